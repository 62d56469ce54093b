package refs

import (
	"math"

	"forayseq/align"
)

// hopeless is a budget that nothing keeps to.
const hopeless = math.MinInt32 / 2

// slack is what the edits of an overlap with a view's centre and the errors of
// one with a unit may differ by, but for the N of the query; one is for rounding.
func (s *Scan) slack(v *view) int {
	return s.radiusOf(v.node) + s.extentOf(v.node).ns + 1
}

// budgets gives, by block of rows of the query, what no overlap of a view
// exceeds which is to have an identity of least or more and no more than
// limit edits.
//
// Behind row r, as far as row a in which it ends, such an overlap has an edit at
// least for each piece there that is no word of the cluster, but for
// scanIndex.open of them. And with at most n compared bases of the query up to a
// it has no more than n (100 - least)/least errors: I/(I+e) is least/100 or
// more with I <= n; its other edits are N over gaps, and slack. So in row r it has no more than the greatest difference of
// the two over all a that it may end in.
func (s *Scan) budgets(v *view, lastEnd int, least float64, limit int, out []align.Budget) []align.Budget {
	p, m := s.pieces, len(s.q.Seq)
	segments := len(p.cuts) - 1
	missing := s.missing[v.counts:][:segments]
	slack := s.slack(v) + int(s.index.open[v.words])
	allowed := func(n, ns int) int32 {
		return int32(min(float64(limit), float64(n)*(100-least)/least+float64(slack+ns)))
	}
	out = out[:0]
	for range (m + 63) / 64 {
		out = append(out, align.Budget{Way: hopeless, End: hopeless})
	}
	later := int32(hopeless) // what ends behind the segment allows before it
	segment := func(k, from, to int, ends bool, n, ns int) {
		here := int32(hopeless)
		if ends {
			here = allowed(n, ns)
		}
		for w := from / 64; w <= (to-1)/64; w++ {
			out[w].Way = max(out[w].Way, here, later)
			out[w].End = max(out[w].End, here)
		}
		later = max(here, later-int32(missing[k]))
	}
	switch v.kind {
	case viewForward, viewAny:
		for k := segments - 1; k >= 0; k-- {
			segment(k, p.cuts[k], p.cuts[k+1], p.cuts[k+1] >= lastEnd, s.before[p.cuts[k+1]], s.nsBefore(p.cuts[k+1]))
		}
	case viewBack:
		for k := range segments {
			ends := p.cuts[k] <= s.lastStart && p.cuts[k+1] > s.forward.QStart
			segment(k, m-p.cuts[k+1], m-p.cuts[k], ends, min(s.fewer, s.bases-s.before[p.cuts[k]]), s.nsBefore(m)-s.nsBefore(p.cuts[k]))
		}
	case viewInside:
		for k := segments - 1; k >= 0; k-- {
			segment(k, p.cuts[k], p.cuts[k+1], p.cuts[k+1] >= lastEnd, s.fewer, s.nsBefore(p.cuts[k+1]))
		}
	}
	return out
}
