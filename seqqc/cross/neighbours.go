package cross

import (
	"cmp"
	"fmt"
	"slices"

	"forayseq/seqqc"
)

// controls tells which vouchers hold the DNA found in a blank, or in a positive
// control that holds other DNA than it was made of: it may have come from them,
// or into them.
//
// Expected is the number of vouchers with that DNA that would stand as near as
// the nearest one if they stood in random wells: of n other vouchers on the plate
// with DNA, k as near and s with that DNA, s x k / n. It is s where no wells are
// known. All vouchers with the DNA are told whatever it is.
func (c *comparison) controls(layouts []*layout) {
	for v := range c.b.Vouchers {
		x := &c.b.Vouchers[v]
		isFailed := x.Voucher.Kind == seqqc.Blank || x.Voucher.Kind == seqqc.Positive && c.own[v].strays()
		if !isFailed || x.ChosenSample() == nil {
			continue
		}
		sources := slices.DeleteFunc(c.same(v), func(l link) bool { return c.b.Vouchers[l.voucher].Voucher.Kind == seqqc.Blank })
		if len(sources) > 0 {
			c.tellControl(layouts, v, sources)
		}
	}
}

func (c *comparison) tellControl(layouts []*layout, v int, sources []link) {
	var where *layout
	const otherPlate = 1 << 20
	far := func(o int) int {
		if where == nil {
			return 0
		}
		if d, _ := c.between(where, v, o); d >= 0 {
			return d
		}
		return otherPlate
	}
	for _, l := range layouts {
		where = l
		if l.isPlate() && slices.ContainsFunc(sources, func(s link) bool { return far(s.voucher) < otherPlate }) {
			break
		}
		where = nil
	}
	slices.SortStableFunc(sources, func(a, b link) int {
		return cmp.Or(cmp.Compare(far(a.voucher), far(b.voucher)), -cmp.Compare(a.pct, b.pct), cmp.Compare(a.voucher, b.voucher))
	})
	expected := float64(len(sources))
	if where != nil {
		near, n := 0, 0
		for o := range c.b.Vouchers {
			if o != v && c.b.Vouchers[o].ChosenSample() != nil && far(o) < otherPlate {
				n++
				if far(o) <= far(sources[0].voucher) {
					near++
				}
			}
		}
		expected *= float64(near) / float64(n)
	}
	b := seqqc.Between{Pattern: seqqc.PatternControl, Flag: seqqc.ControlSignal, Expected: expected}
	vouchers := []int{v}
	for _, s := range sources {
		vouchers = append(vouchers, s.voucher)
		text := fmt.Sprintf("%s (%s) is %s %% identical to the DNA in %s", c.code(s.voucher), c.label(s.voucher), figure(s.pct), c.code(v))
		if where != nil && far(s.voucher) < otherPlate {
			text += fmt.Sprintf(" and stands %s from it on the %s", seqqc.Count(far(s.voucher), "well"), where.step)
		}
		b.Evidence = append(b.Evidence, text+".")
	}
	first := c.code(sources[0].voucher)
	b.Reason = fmt.Sprintf("The control %s holds the DNA of %s.", c.code(v), listed(c.codes(vouchers[1:])))
	switch {
	case len(sources) == 1:
		b.Evidence = append(b.Evidence, fmt.Sprintf("No voucher but %s holds it.", first))
	case where != nil:
		b.Evidence = append(b.Evidence, fmt.Sprintf("In random wells, about %s with this DNA would stand as near as %s.", about(expected, "voucher"), first))
	}
	b.NextStep = fmt.Sprintf("Ask the laboratory for a new PCR of %s with a new blank, and look at the wells around %s.", listed(c.codes(vouchers[1:])), c.code(v))
	c.tell(vouchers, b)
	c.note(v, b.Pattern, seqqc.ControlSignal, true, fmt.Sprintf("Its DNA is that of %s, so it may have come from there.", listed(c.codes(vouchers[1:]))), b.NextStep)
	for _, s := range sources {
		reason := fmt.Sprintf("The control %s holds the same DNA (%s %% identical)", c.code(v), figure(s.pct))
		if c.own[s.voucher].fits() {
			reason += ", which may have come from this voucher."
		} else {
			reason += ", so the DNA may be no more this specimen's than the control's."
		}
		c.note(s.voucher, b.Pattern, seqqc.ControlSignal, contradicts(c.own[s.voucher]), reason, b.NextStep)
	}
}
