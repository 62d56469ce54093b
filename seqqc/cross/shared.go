package cross

import (
	"cmp"
	"fmt"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// sharedBarcodes tells of one barcode under field names of different genera, of
// which one at least is not known to fit its DNA. It is read off the sequences,
// and labels dealt out at random have no part in it: Expected is 0. Only those
// not known to fit are flagged, and what an earlier pattern explains is left out.
func (c *comparison) sharedBarcodes() {
	done := make([]bool, len(c.b.Vouchers))
	for v := range c.b.Vouchers {
		if done[v] || c.own[v].fits() {
			continue
		}
		var genera []string
		var doubtful, fitting []int
		for _, v := range c.component(v, done) {
			x := c.b.Vouchers[v].Voucher
			genus := x.Field.Genus
			// A broader name that its DNA contradicts is none of the others' either.
			if genus == "" && c.own[v].strays() {
				genus = x.Field.Taxon()
			}
			if c.settled[v] || x.Kind == seqqc.Blank || genus == "" {
				continue
			}
			if !slices.Contains(genera, genus) {
				genera = append(genera, genus)
			}
			if c.own[v].fits() {
				fitting = append(fitting, v)
			} else {
				doubtful = append(doubtful, v)
			}
		}
		if len(genera) > 1 && doubtful != nil {
			c.tellShared(doubtful, fitting)
		}
	}
}

// component gives the vouchers that one barcode after another ties to v.
func (c *comparison) component(v int, done []bool) []int {
	done[v] = true
	group := []int{v}
	for i := 0; i < len(group); i++ {
		for _, l := range c.same(group[i]) {
			if !done[l.voucher] {
				done[l.voucher] = true
				group = append(group, l.voucher)
			}
		}
	}
	slices.Sort(group)
	return group
}

func (c *comparison) tellShared(doubtful, fitting []int) {
	all := slices.Concat(doubtful, fitting)
	b := seqqc.Between{
		Pattern: seqqc.PatternOneBarcode, Flag: seqqc.SharedBarcode,
		NextStep: "Lay these specimens side by side: either some were named wrongly in the field, or the DNA of one got into the tubes of others, " +
			"which a new extraction shows.",
	}
	b.Reason = fmt.Sprintf("%s hold one barcode under labels of different genera.", listed(c.codes(doubtful)))
	if fitting != nil {
		hold, only := "hold", "the only ones"
		if len(doubtful) == 1 {
			hold = "holds"
		}
		if len(fitting) == 1 {
			only = "the only one"
		}
		b.Reason = fmt.Sprintf("%s %s the barcode of %s, %s whose label is known to fit it.", listed(c.codes(doubtful)), hold, c.few(fitting), only)
	}
	for _, v := range doubtful {
		says := "does not tell whether its DNA fits"
		if c.own[v].strays() {
			says = "contradicts its DNA"
		}
		nearest := slices.MaxFunc(c.same(v), func(a, b link) int { return cmp.Compare(a.pct, b.pct) })
		b.Evidence = append(b.Evidence, fmt.Sprintf("The barcode of %s is %s %% identical to that of %s, and its label (%s) %s.",
			c.code(v), figure(nearest.pct), c.code(nearest.voucher), c.label(v), says))
	}
	if fitting != nil {
		b.Evidence = append(b.Evidence, fmt.Sprintf("The barcode fits the label of %s.", c.labelled(fitting)))
	}
	c.tell(all, b)
	for _, v := range doubtful {
		others := slices.DeleteFunc(slices.Clone(all), func(o int) bool {
			return o == v || c.b.Vouchers[o].Voucher.Field.Genus == c.b.Vouchers[v].Voucher.Field.Genus
		})
		if len(others) > 0 {
			c.note(v, b.Pattern, b.Flag, true, fmt.Sprintf("Its barcode is also that of %s.", c.labelled(others)), b.NextStep)
		}
	}
}

// few names three vouchers at most, and says how many more there are.
func (c *comparison) few(list []int) string { return fewOf(c.codes(list)) }

// labelled is few with the label of each.
func (c *comparison) labelled(list []int) string {
	names := c.codes(list)
	for i, v := range list {
		names[i] += fmt.Sprintf(" (%s)", c.label(v))
	}
	return fewOf(names)
}

func fewOf(names []string) string {
	const most = 3
	if more := len(names) - most; more > 0 {
		names = append(names[:most:most], fmt.Sprintf("%d more", more))
	}
	return listed(names)
}

// splitNames tells of one field species in several barcodes that are further
// apart than one species usually is. Vouchers whose DNA contradicts the genus are
// left out, as that is told already. It is read off the sequences, so Expected is
// 0.
func (c *comparison) splitNames() error {
	bySpecies := map[string][]int{}
	var names []string
	for v, x := range c.b.Vouchers {
		if n := x.Voucher.Field; c.barcodes[v] != nil && n.CertainSpecies() && !c.own[v].strays() {
			if bySpecies[n.Binomial()] == nil {
				names = append(names, n.Binomial())
			}
			bySpecies[n.Binomial()] = append(bySpecies[n.Binomial()], v)
		}
	}
	for _, name := range names {
		parts := c.parts(bySpecies[name])
		if len(parts) < 2 {
			continue
		}
		most := 0.0
		for i := range parts {
			for j := range i {
				pct, err := c.identity(parts[i][0], parts[j][0])
				if err != nil {
					return err
				}
				// Two that share too little to be compared are not told apart.
				if pct == 0 {
					most = 100
				}
				most = max(most, pct)
			}
		}
		if most >= c.p.NearPct {
			continue
		}
		b := seqqc.Between{
			Pattern: seqqc.PatternSplitName,
			Reason:  fmt.Sprintf("The vouchers labelled %s hold %d barcodes that are at most %s %% identical: more than one species.", name, len(parts), figure(most)),
			NextStep: "Compare these specimens with one another: a name used for several look-alikes, or a label on the wrong one. " +
				"Note what tells them apart.",
		}
		var all []int
		for k, part := range parts {
			b.Evidence = append(b.Evidence, fmt.Sprintf("Barcode %d: %s.", k+1, listed(c.codes(part))))
			all = append(all, part...)
		}
		slices.Sort(all)
		c.tell(all, b)
		for _, v := range all {
			c.note(v, b.Pattern, "", false, b.Reason, b.NextStep)
		}
	}
	return nil
}

// parts divides vouchers by barcodes at NearPct, single linkage, the part of the
// first first.
func (c *comparison) parts(group []int) [][]int {
	var out [][]int
	done := map[int]bool{}
	for _, v := range group {
		if done[v] {
			continue
		}
		done[v] = true
		part := []int{v}
		for i := 0; i < len(part); i++ {
			for _, l := range c.near[part[i]] {
				if !done[l.voucher] && slices.Contains(group, l.voucher) {
					done[l.voucher] = true
					part = append(part, l.voucher)
				}
			}
		}
		slices.Sort(part)
		out = append(out, part)
	}
	return out
}

// identity gives the identity of two barcodes, 0 where too little of them is
// compared.
func (c *comparison) identity(a, b int) (float64, error) {
	x, y := c.barcodes[a], c.barcodes[b]
	al, err := align.Overlap(x.seq, y.seq, align.ITS)
	if err != nil {
		return 0, fmt.Errorf("vouchers %s and %s: %w", c.code(a), c.code(b), err)
	}
	n, err := al.Count(x.seq, y.seq, x.exclude)
	if err != nil {
		return 0, fmt.Errorf("vouchers %s and %s: %w", c.code(a), c.code(b), err)
	}
	if n.AOutside < c.p.Gate.MinOutside {
		return 0, nil
	}
	return n.IdentityPct(), nil
}
