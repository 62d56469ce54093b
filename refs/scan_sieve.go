package refs

import (
	"cmp"
	"math"
	"slices"

	"forayseq/align"
)

// sieve works out of views of any which may hold an overlap with an identity of
// least or more. These are done then; the ceilings of the others come below
// least.
//
// Let such an overlap lie between a and b of the query, with n of its bases
// there that are not N, and k edits. As at budgets, k is no more than
// n (100 - least)/least and the slack. Let f(i) be that rate times the query's
// bases before i, rounded down, or i if that is less; it rises by one at most
// from i to i+1. Then
//
//	k + f(a) <= f'(b) + slack
//
// with f'(b) the rate times the query's bases before b. So one calculation in
// which an overlap that begins at a has f(a) edits more (see
// align.LaneText.Rise) tells of all overlaps, wherever they begin, whether any
// keeps to this where it ends. It looks at all that begin no later than any
// view's, and end no earlier; the others of the record's strand do no harm.
func (s *Scan) sieve(views []int32, least float64) {
	if least <= 0 {
		for _, at := range views {
			s.views[at].done = true
		}
		return
	}
	length := func(v int32) int32 { return s.index.lengths[s.centreOf(s.views[v].node)] }
	slices.SortFunc(views, func(a, b int32) int { return cmp.Or(cmp.Compare(length(a), length(b)), cmp.Compare(a, b)) })
	rate := (100 - least) / least
	m := len(s.q.Seq)
	start := max(s.forward.QStart, s.lastStart)
	s.rise = slices.Grow(s.rise[:0], (m+63)/64)[:(m+63)/64]
	clear(s.rise)
	f := 0
	for i := 1; i <= start; i++ {
		if g := min(i, int(rate*float64(s.before[i]))); g > f {
			s.rise[(i-1)/64] |= 1 << ((i - 1) % 64)
			f = g
		}
	}
	for batch := range slices.Chunk(views, align.TextLanes) {
		var texts [align.TextLanes]align.LaneText
		limit := 0
		for lane, at := range batch {
			v := &s.views[at]
			limit = max(limit, int(rate*float64(s.bases))+s.slack(v))
			s.budget[lane] = s.budgets(v, s.forward.QEnd, least, math.MaxInt32, s.budget[lane])
			texts[lane] = align.LaneText{
				Text:    s.index.packed(s.centreOf(v.node)),
				Reading: [2]align.Reading{align.Forward, align.OtherStrand}[v.strand],
				Reach:   align.Reach{QStart: start, QEnd: s.forward.QEnd, TStart: math.MaxInt},
				Rise:    s.rise,
				Budgets: s.budget[lane],
			}
		}
		s.distances.Find(texts[:len(batch)], limit)
		for lane, at := range batch {
			v := &s.views[at]
			slack := float64(s.slack(v))
			keeps := func(edits, row int) bool { return float64(edits) <= rate*float64(s.before[row])+slack }
			v.done = keeps(s.distances.Whole(lane), m) ||
				slices.ContainsFunc(s.distances.Ends(lane), func(e align.End) bool { return keeps(e.Edits, e.Row) })
			if !v.done {
				v.ceiling = min(v.ceiling, math.Nextafter(least, math.Inf(-1)))
			}
		}
	}
}
