package seqqc

import (
	"forayseq/align"
	"forayseq/refs"
)

// Query gives the stretch span of the contig as a query of a search in a
// library. A spacer counts as whole only where both its ends were seen.
func (c *Contig) Query(span Interval) refs.Query {
	shift := func(v Interval) align.Interval {
		if v.Empty() || !span.Contains(v) {
			return align.Interval{}
		}
		return align.Interval{Start: v.Start - span.Start, End: v.End - span.Start}
	}
	q := refs.Query{Seq: c.Bases[span.Start:span.End], Exclude: shift(c.Region.R58S)}
	if c.Region.ITS1Whole && !c.Region.ITS1.Empty() {
		q.Whole = append(q.Whole, shift(c.Region.ITS1))
	}
	if c.Region.ITS2Whole && !c.Region.ITS2.Empty() {
		q.Whole = append(q.Whole, shift(c.Region.ITS2))
	}
	return q
}
