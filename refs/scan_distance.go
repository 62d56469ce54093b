package refs

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"forayseq/align"
)

// deepen works out the distances of views, of which the ceiling is to come
// below least, and lowers their ceilings by them. backward is true where all
// are of the kind back, false where none is.
func (s *Scan) deepen(views []int32, backward bool, least float64) {
	length := func(v int32) int32 { return s.index.lengths[s.centreOf(s.views[v].node)] }
	slices.SortFunc(views, func(a, b int32) int { return cmp.Or(cmp.Compare(length(a), length(b)), cmp.Compare(a, b)) })
	for batch := range slices.Chunk(views, align.TextLanes) {
		s.deepenBatch(batch, backward, least)
	}
}

func (s *Scan) deepenBatch(batch []int32, backward bool, least float64) {
	var texts [align.TextLanes]align.LaneText
	var inside [align.TextLanes]bool
	limit, turns := 0, 0
	for lane, at := range batch {
		v := &s.views[at]
		limit = max(limit, s.nextLimit(v, least))
		texts[lane].Text = s.index.packed(s.centreOf(v.node))
		texts[lane].Reading = [2]align.Reading{align.Forward, align.OtherStrand}[v.strand]
		switch v.kind {
		case viewForward:
			texts[lane].Reach = s.forward
		case viewBack:
			texts[lane].Reach = s.back
			texts[lane].Reading = [2]align.Reading{align.Backward, align.OtherStrandBackward}[v.strand]
			texts[lane].Longest = len(s.q.Seq) - s.forward.QStart - 1
		case viewInside:
			inside[lane], turns = true, len(s.spanning)-1
			texts[lane].Reach = s.spanning[0]
		case viewText:
			texts[lane].Reach = s.textReach(v.node, v.strand)
		}
	}
	if least > 0 {
		for lane, at := range batch {
			if v := &s.views[at]; v.kind != viewText {
				s.budget[lane] = s.budgets(v, texts[lane].Reach.QEnd, least, limit, s.budget[lane])
				texts[lane].Budgets = s.budget[lane]
			}
		}
	}
	lanes := s.distances
	if backward {
		lanes = s.reversed
	}
	var next [align.TextLanes]nextView
	for lane, at := range batch {
		v := &s.views[at]
		next[lane] = nextView{s: s, size: s.extentOf(v.node), radius: s.radiusOf(v.node), limit: limit, ratio: ratio{-1, 1}}
	}
	lanes.Find(texts[:len(batch)], limit)
	m, ns := len(s.q.Seq), s.nsBefore(len(s.q.Seq))
	for lane, at := range batch {
		n := &next[lane]
		switch s.views[at].kind {
		case viewForward:
			n.see(s.bases, ns, lanes.Whole(lane))
			n.seeEnds(lanes.Ends(lane), m-1, s.forward.QEnd, func(row int) (int, int) { return s.before[row], s.nsBefore(row) })
		case viewBack:
			n.seeEnds(lanes.Ends(lane), m-s.forward.QStart-1, s.back.QEnd, func(row int) (int, int) {
				return min(s.fewer, s.bases-s.before[m-row]), ns - s.nsBefore(m-row)
			})
		default:
			n.see(s.fewer, ns, lanes.Distance(lane))
		}
	}
	for turn := range turns { // of the other spacers
		var some []align.LaneText
		var whose []int
		for lane := range batch {
			if inside[lane] {
				texts[lane].Reach = s.spanning[turn+1]
				if least > 0 {
					s.budget[lane] = s.budgets(&s.views[batch[lane]], texts[lane].Reach.QEnd, least, limit, s.budget[lane])
					texts[lane].Budgets = s.budget[lane]
				}
				some, whose = append(some, texts[lane]), append(whose, lane)
			}
		}
		lanes.Find(some, limit)
		for i, lane := range whose {
			next[lane].beyond = false
			next[lane].see(s.fewer, ns, lanes.Distance(i))
		}
	}
	for lane, at := range batch {
		v, n := &s.views[at], &next[lane]
		c := n.ratio.percent()
		if least > 0 && c < least {
			// That is all that is known where budgets were kept to.
			v.ceiling = min(v.ceiling, math.Nextafter(least, math.Inf(-1)))
			continue
		}
		v.limit, v.done = int32(limit), n.done
		v.ceiling = min(v.ceiling, c)
	}
}

// nextLimit gives the limit to which a view is worked out next: as far as it
// takes to bring the ceiling below least, or three times as far as before where
// every ceiling is enough.
func (s *Scan) nextLimit(v *view, least float64) int {
	most := s.bases
	if v.kind != viewForward {
		most = s.fewer
	}
	size, radius := s.extentOf(v.node), s.radiusOf(v.node)
	m := len(s.q.Seq)
	all := m + int(s.index.lengths[s.centreOf(v.node)])
	// The least number of edits that brings the ceiling below x.
	toBelow := func(x float64) int {
		return sort.Search(all, func(edits int) bool { return s.ceiling(size, most, edits+1-radius-s.nsBefore(m), 0) < x })
	}
	if least > 0 {
		return max(int(v.limit)+1, toBelow(least))
	}
	gain := toBelow(v.ceiling)
	return max(int(v.limit)+1, gain, min(max(m/24, 3*int(v.limit), gain+gain/4), all))
}

// nextView gathers what is known of a view from the edits of its overlaps with
// the centre.
type nextView struct {
	s             *Scan
	size          extent
	radius, limit int
	ratio         ratio // the greatest
	done, beyond  bool
}

// see takes the edits of an overlap with at most so many bases and N of the query. Of
// those beyond the limit the first seen has the most bases.
func (n *nextView) see(most, ns, edits int) {
	if edits > n.limit {
		if n.beyond {
			return
		}
		n.beyond = true
		edits = n.limit + 1
	}
	r := n.s.ratio(n.size, most, edits-n.radius-ns, 0)
	if c := r.compare(n.ratio); c > 0 || c == 0 && edits <= n.limit {
		n.ratio, n.done = r, edits <= n.limit
	}
}

// seeEnds takes those of the overlaps that end in the rows from highest down to
// lowest. Rows that are not in the list are beyond the limit, or have no
// fewer edits than one before them.
func (n *nextView) seeEnds(ends []align.End, highest, lowest int, used func(row int) (most, ns int)) {
	row := highest
	see := func(row, edits int) {
		most, ns := used(row)
		n.see(most, ns, edits)
	}
	for _, e := range ends {
		if e.Row < row && !n.beyond {
			see(row, n.limit+1)
		}
		see(e.Row, e.Edits)
		row = e.Row - 1
	}
	if row >= lowest && !n.beyond {
		see(row, n.limit+1)
	}
}
