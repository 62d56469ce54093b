package cross

import (
	"fmt"

	"forayseq/seqqc"
)

// readsCrossed finds single reads that belong to another voucher. Two or more
// whose reads went round are told like an exchange (see rings). A read whose
// owner is missing one of that direction is told as found where few vouchers
// would fit it by chance: with u vouchers that lack a read of a direction, and a
// share f of the batch's labels that fit a read by chance, u x f are expected for
// each such read.
func (c *comparison) readsCrossed() {
	var nodes []node
	for _, s := range c.b.Singles {
		if s.Match == nil {
			continue
		}
		if fit := c.b.Fits(s.Match, s.Voucher); fit.strays() {
			nodes = append(nodes, node{voucher: s.Voucher, match: s.Match, file: s.File, fit: fit})
		}
	}
	if nodes == nil {
		return
	}
	for _, r := range c.rings(nodes) {
		if r.expected > c.p.MaxExpected {
			continue
		}
		c.tellRing(nodes, r, seqqc.PatternReadCrossed)
		for _, i := range r.members {
			c.told[nodes[i].file] = true
		}
	}
	c.readsOfOthers(nodes)
}

func (c *comparison) readsOfOthers(nodes []node) {
	direction := map[string]seqqc.Direction{}
	for _, s := range c.b.Singles {
		direction[s.File] = s.Direction
	}
	lacking := c.lacking()
	expected := 0.0
	owner := map[string][]int{}
	for _, n := range nodes {
		fits, named := 0, 0
		for v, f := range c.fits(n.match) {
			if f == Untold {
				continue
			}
			named++
			if !f.fits() {
				continue
			}
			fits++
			if v != n.voucher && lacking[direction[n.file]][v] && direction[n.file] != seqqc.UnknownDirection {
				owner[n.file] = append(owner[n.file], v)
			}
		}
		if named > 0 {
			expected += float64(len(lacking[direction[n.file]])) * float64(fits) / float64(named)
		}
	}
	if expected > c.p.MaxExpected {
		return
	}
	for _, n := range nodes {
		if c.told[n.file] || len(owner[n.file]) != 1 {
			continue
		}
		to := owner[n.file][0]
		b := seqqc.Between{
			Pattern: seqqc.PatternReadCrossed, Flag: seqqc.SwapSuspected, Expected: expected,
			Evidence: []string{
				fmt.Sprintf("The read %s of %s is of %s, and the label of %s says \"%s\".", n.file, c.code(n.voucher), dnaName(n.match), c.code(to), c.label(to)),
				fmt.Sprintf("%s has no usable %s read of its own.", c.code(to), direction[n.file]),
				fmt.Sprintf("With labels dealt out at random, about %s that lack one would fit.", about(expected, "voucher")),
			},
			Reason:   fmt.Sprintf("A read filed under %s seems to be that of %s.", c.code(n.voucher), c.code(to)),
			NextStep: fmt.Sprintf("Compare the file name of %s with the well that the laboratory's list gives it.", n.file),
		}
		c.told[n.file] = true
		c.tell([]int{n.voucher, to}, b)
		c.note(n.voucher, b.Pattern, b.Flag, true, b.Evidence[0], b.NextStep)
		// Nothing speaks against the other one's label.
		c.note(to, b.Pattern, "", false, b.Reason, b.NextStep)
	}
}

// lacking gives, by direction, the vouchers without a usable read of it.
func (c *comparison) lacking() map[seqqc.Direction]map[int]bool {
	usable := map[string]seqqc.Direction{}
	for _, r := range c.b.Reads {
		if r.Usable {
			usable[r.File] = r.Direction
		}
	}
	out := map[seqqc.Direction]map[int]bool{seqqc.Forward: {}, seqqc.Reverse: {}}
	for v, x := range c.b.Vouchers {
		if x.Voucher.Kind == seqqc.Blank {
			continue
		}
		has := map[seqqc.Direction]bool{}
		for _, s := range x.Samples {
			for _, file := range s.ReadFiles {
				has[usable[file]] = true
			}
		}
		for d, list := range out {
			if !has[d] {
				list[v] = true
			}
		}
	}
	return out
}
