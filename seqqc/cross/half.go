package cross

import (
	"fmt"
	"math"
	"slices"

	"forayseq/seqqc"
)

// half is DNA that contradicts its label, and a voucher whose label it fits and
// which has nothing of its own to set against it.
type half struct {
	voucher, to int
	fit         Fit
	// chance is the number of such vouchers expected for this DNA.
	chance float64
	why    string // what the other one lacks
	file   string // of the only read, where the other one lacks one of its direction
}

// halfExchanges tells where one of two vouchers may have the other's DNA, and the
// other gave no DNA that could be named, so that half of the exchange cannot be
// seen. Where the first rests on one read, a voucher that lacks a read of that
// direction is such another one too. It is never more than a possibility: a
// wrong name on the first looks the same.
//
// How many would be there by chance: with u such vouchers, and a share f of the
// batch's labels that fit the DNA as well, u x f of them would fit if labels were
// dealt out at random. Expected is the sum of u x f over all DNA that contradicts
// its label and for which it is no greater than for the one seen.
func (c *comparison) halfExchanges() {
	lacking := c.lacking()
	var halves []half
	var chances []float64
	for v, s := range c.odd {
		if s < 0 || c.settled[v] || !c.b.Fits(c.oddMatch(v), v).strays() {
			continue
		}
		h, chance := c.halfOf(v, lacking)
		if chances = append(chances, chance); h.to >= 0 {
			halves = append(halves, h)
		}
	}
	for _, h := range halves {
		expected := 0.0
		for _, chance := range chances {
			if chance <= h.chance {
				expected += chance
			}
		}
		var others []int
		for _, o := range halves {
			if o.to == h.to && o.voucher != h.voucher {
				others = append(others, o.voucher)
			}
		}
		if expected <= c.p.MaxExpected {
			c.tellHalf(h, others, expected)
		}
	}
}

// halfOf gives the only voucher that the DNA under v fits best of those that have
// nothing to set against it, to -1 where there is none or there are several.
func (c *comparison) halfOf(v int, lacking map[seqqc.Direction]map[int]bool) (h half, chance float64) {
	h = half{voucher: v, to: -1}
	file, direction := c.onlyRead(v)
	row := c.fits(c.oddMatch(v))
	u, several := 0, false
	for o, x := range c.b.Vouchers {
		if o == v || x.Voucher.Kind != seqqc.Specimen || !c.isLabelled(o) {
			continue
		}
		why, read := "gave no sequence", ""
		switch s := x.ChosenSample(); {
		case s == nil:
		case s.Match == nil || s.Match.Taxon == "":
			why = "gave a sequence that could not be named"
		case file != "" && lacking[direction][o] && c.own[o].fits():
			why, read = fmt.Sprintf("has no usable %s read", direction), file
		default:
			continue
		}
		u++
		switch fit := row[o]; {
		case !fit.fits() || h.to >= 0 && fit < h.fit:
		case h.to >= 0 && fit == h.fit:
			several = true
		default:
			h.to, h.fit, h.why, h.file, several = o, fit, why, read, false
		}
	}
	least := Inside
	if h.to >= 0 && h.fit == SameSpecies {
		least = SameSpecies
	}
	fits, named := 0, 0
	for _, fit := range row {
		if fit != Untold {
			named++
		}
		if fit >= least {
			fits++
		}
	}
	if several {
		h.to = -1
	}
	h.chance = float64(u) * float64(fits) / math.Max(1, float64(named))
	return h, h.chance
}

// isLabelled reports whether the label of a voucher names a taxon.
func (c *comparison) isLabelled(v int) bool {
	n := c.b.Vouchers[v].Voucher.Field
	return n.Genus != "" || n.Higher != "" || n.Group != ""
}

// onlyRead gives the only usable read of a voucher's contradicting sample, empty
// where there are several or its direction is not known.
func (c *comparison) onlyRead(v int) (file string, d seqqc.Direction) {
	n := 0
	for _, r := range c.b.Reads {
		if r.Usable && slices.Contains(c.b.Vouchers[v].Samples[c.odd[v]].ReadFiles, r.File) {
			file, d = r.File, r.Direction
			n++
		}
	}
	if n != 1 || d == seqqc.UnknownDirection {
		return "", seqqc.UnknownDirection
	}
	return file, d
}

// tellHalf tells of a half; others are vouchers that fit its other one as well.
func (c *comparison) tellHalf(h half, others []int, expected float64) {
	v, to := c.code(h.voucher), c.code(h.to)
	b := seqqc.Between{
		Pattern: seqqc.PatternHalfExchange, Flag: seqqc.SwapSuspected, Expected: expected,
		Evidence: []string{
			fmt.Sprintf("The DNA under %s is of %s, and the label of %s says \"%s\".", v, dnaName(c.oddMatch(h.voucher)), to, c.label(h.to)),
			fmt.Sprintf("%s %s, so that the other half of an exchange cannot be seen.", to, h.why),
			fmt.Sprintf("With labels dealt out at random, about %s would fit as well.", about(expected, "such voucher")),
			fmt.Sprintf("A wrong field name of %s would show the same.", v),
		},
		Reason: fmt.Sprintf("The DNA of %s fits the label of %s, which %s, so that the two may have been exchanged.", v, to, h.why),
		NextStep: fmt.Sprintf("Compare the labels, tubes and file names of %s and %s, and have %s sequenced again: DNA that fits the label of %s (%s) would prove an exchange.",
			v, to, to, v, c.label(h.voucher)),
	}
	if others != nil {
		b.Evidence = append(b.Evidence, fmt.Sprintf("The DNA of %s fits that label as well, so that it is not sure which of them it is.", c.few(others)))
	}
	if h.file != "" {
		b.Reason = fmt.Sprintf("The read %s of %s fits the label of %s, which %s, so that it may be filed under the wrong one.", h.file, v, to, h.why)
		b.NextStep = fmt.Sprintf("Compare the file name of %s with the well that the laboratory's list gives it, and have %s sequenced again.", h.file, v)
	}
	c.tell([]int{h.voucher, h.to}, b)
	c.note(h.voucher, b.Pattern, b.Flag, true, b.Reason, b.NextStep)
	// Nothing speaks against the other one's label.
	c.note(h.to, b.Pattern, "", false, b.Reason, b.NextStep)
}
