package refs

import (
	"cmp"
	"math"
	"slices"

	"forayseq/align"
)

// rateOf gives the errors to an identical column at an identity in percent.
func rateOf(identity float64) float64 { return (100 - identity) / identity }

// sieve lowers the ceilings of views of any by the distances of their centres.
// Those that may hold an overlap with an identity of level or more are done
// after a second call at the latest; the ceilings of the others are below it
// then. The first call looks as deep as the level next, so that most views are
// looked at once. No ceiling comes below deepest.
func (s *Scan) sieve(views []int32, level, next, deepest float64) {
	if level < 1 {
		for _, at := range views {
			s.views[at].done = true
		}
		return
	}
	next, deepest = max(next, 1), max(deepest, 1)
	var first, again []int32
	for _, at := range views {
		if v := &s.views[at]; v.rate > rateOf(level) && v.over() <= 0 {
			again = append(again, at)
		} else {
			first = append(first, at)
		}
	}
	s.sieveAt(first, next, deepest)
	s.sieveAt(again, level, level)
	for _, at := range views {
		v := &s.views[at]
		v.done = v.over() <= 0 && v.rate <= rateOf(level)
	}
}

// sieveAt looks at overlaps for those with an identity of least and of deepest,
// which is no higher.
//
// Let an overlap have an identity of x and lie between a and b of the query,
// with A and B of the query's bases before them that are not N, N(a) and N(b) that
// are, and k edits. As at budgets, k <= rate(x) (B - A) + N(b) - N(a) + slack. Let r
// be the rate of least, and f(i) r times the bases before i, rounded down, or less
// where it would rise by more than one from i-1 to i. One calculation in which an
// overlap that begins at a has f(a) + N(a) edits more (see align.LaneText.Rise) gives v(b), the
// least k + f(a) + N(a) of all that end at b. With w(b) = v(b) - N(b) - slack
//
//	w(b) <= rate(x) (B - A) + r A.
//
// Where w(b) > r B, rate(x) is greater than r, and w(b)/B or more. Elsewhere it
// is (w(b) - r A)/(B - A) or more, which falls with A, so that the latest start
// gives the least. The least of all b is no greater than rate(x), whatever x is.
//
// A row that Ends does not list has as many edits as a longer one that it lists,
// or rate(x) is no less than the rate of deepest. Of the former the bounds are
// least at the longest, for as b grows B does, and B - A does or stays what the
// gate asks; only where a spacer ends does the latest start leap. So the last row
// before is looked at too.
//
// over is the least w(b) - r B. Where it is above zero no overlap has an identity
// of least. See expand for another use.
//
// slack has the radius of the view's node in it. Where so little of the query is
// used, up to a row or from a row on, that an overlap with an identity of deepest
// uses endLetters of the record at most, what is known of the group's ends takes
// its place: behind the former row in slack itself, behind the latter in v, as a
// cost of beginning there, of one edit more a row at most. Rows of both kinds are
// kept apart, so that no overlap gains twice.
//
// It looks at all overlaps that begin no later than any view's, and end no
// earlier; the others of the record's strand do no harm.
func (s *Scan) sieveAt(views []int32, least, deepest float64) {
	type text struct{ length, view int32 }
	order := make([]text, len(views))
	for i, at := range views {
		order[i] = text{s.index.lengths[s.centreOf(s.views[at].node)], at}
	}
	slices.SortFunc(order, func(a, b text) int { return cmp.Or(cmp.Compare(a.length, b.length), cmp.Compare(a.view, b.view)) })
	rate, deepRate := rateOf(least), rateOf(deepest)
	start := max(s.forward.QStart, s.lastStart)
	s.setRise(rate, start)
	for batch := range slices.Chunk(order, align.TextLanes) {
		var texts [align.TextLanes]align.LaneText
		var ends [align.TextLanes]nodeEnds
		limit := 0
		for lane, t := range batch { // apart, so that memory is waited for once
			texts[lane].Text = s.index.packed(s.centreOf(s.views[t.view].node))
		}
		for lane, t := range batch {
			v := &s.views[t.view]
			limit = max(limit, int(deepRate*float64(s.bases))+s.slack(v)+s.nsBefore(len(s.q.Seq)))
			s.budget[lane] = s.budgets(v, s.forward.QEnd, deepest, math.MaxInt32, s.budget[lane])
			texts[lane].Reading = [2]align.Reading{align.Forward, align.OtherStrand}[v.strand]
			texts[lane].Reach = align.Reach{QStart: start, QEnd: s.forward.QEnd, TStart: math.MaxInt}
			ends[lane] = s.endsOf(v, deepRate)
			s.rises[lane] = raised(append(s.rises[lane][:0], s.rise...), ends[lane].from, start, ends[lane].first)
			texts[lane].Rise, texts[lane].Budgets = s.rises[lane], s.budget[lane]
		}
		s.distances.Find(texts[:len(batch)], limit)
		for lane, t := range batch {
			v := &s.views[t.view]
			slack := s.slack(v)
			lowest, late, early := deepRate, math.Inf(1), math.Inf(1)
			see := func(edits, row int) {
				w := float64(edits - slack - s.nsBefore(row))
				if row <= ends[lane].to {
					w += float64(ends[lane].last)
					early = min(early, w-rate*float64(s.before[row]))
				} else {
					late = min(late, w-rate*float64(s.before[row]))
				}
				lowest = min(lowest, s.leastRate(w, rate, row))
				for _, spacer := range s.spanning {
					if last := spacer.QEnd - 1; last < row && last >= s.forward.QEnd {
						lowest = min(lowest, s.leastRate(w, rate, last))
					}
				}
			}
			see(s.distances.Whole(lane), len(s.q.Seq))
			for _, e := range s.distances.Ends(lane) {
				see(e.Edits, e.Row)
			}
			v.rate, v.deepest, v.early, v.late = rate, deepRate, early, late
			v.ceiling = min(v.ceiling, ceilingAt(lowest))
			if v.over() > 0 {
				v.ceiling = min(v.ceiling, math.Nextafter(least, math.Inf(-1)))
			}
		}
	}
}

// nodeEnds says how much nearer to the centre of a node the ends of its units are
// than their radius: what overlaps use of the record that begin behind row from of
// the query is first edits nearer, and what those use that end at row to or before, last.
type nodeEnds struct{ from, first, to, last int }

// endsOf gives the nodeEnds of a view for overlaps with so many errors to an
// identical column at most.
func (s *Scan) endsOf(v *view, rate float64) nodeEnds {
	m, radius := len(s.q.Seq), s.radiusOf(v.node)
	if s.isCluster(v.node) || radius == 0 {
		return nodeEnds{from: m, to: -1}
	}
	// A stretch of the record has no more letters than that of the query and edits:
	// errors, N over gaps, and one for rounding.
	rows := int(float64(endLetters-s.nsBefore(m)-s.extentOf(v.node).ns-1) / (1 + rate))
	g := s.groupOf(v.node)
	e := nodeEnds{max(0, m-rows), radius - int(s.index.groupFirst[g]), rows, radius - int(s.index.groupLast[g])}
	if v.strand == 1 {
		e.first, e.last = e.last, e.first
	}
	e.to = min(e.to, e.from)
	return e
}

// raised adds so many edits to a rise (see setRise), as early as can be behind row
// from and not behind row start.
func raised(rise []uint64, from, start, edits int) []uint64 {
	for ; edits > 0 && from < start; from++ {
		if bit := uint64(1) << (from % 64); rise[from/64]&bit == 0 {
			rise[from/64] |= bit
			edits--
		}
	}
	return rise
}

// ceilingAt gives an identity that is no less than any with so many errors to
// an identical column, whatever was rounded.
func ceilingAt(rate float64) float64 { return 100/(1+max(0, rate)) + 1e-9 }

// ceilingWithin gives what is known of the ceiling of a cluster from the view of
// its group: where its units, or those ends of them that count, are n edits nearer
// to the group's centre than the group's units may be, their w(b) (see sieveAt) are
// greater by n. With w(b) - r B >= over + n > 0 rate(x) is r + (over + n)/B or more.
// An early row that Ends does not list, for a late one has no more edits, is as
// much above that one as the radius is above what is known of the last letters,
// and so no nearer than it by the cluster's own edits.
func (s *Scan) ceilingWithin(group *view, cluster int32) float64 {
	if group.rate == 0 {
		return group.ceiling
	}
	x, g := s.index, s.groupOf(group.node)
	first, last := x.groupFirst[g]-x.awayFirst[cluster], x.groupLast[g]-x.awayLast[cluster]
	if group.strand == 1 {
		first, last = last, first
	}
	late := min(first, x.groupRadii[g]-x.aways[cluster])
	over := min(group.early+float64(last), group.late+float64(late))
	if over <= 0 {
		return group.ceiling
	}
	return min(group.ceiling, ceilingAt(min(group.deepest, group.rate+over/float64(s.bases))))
}

// setRise sets the cost of beginning later, f + N (see sieveAt), up to row start.
func (s *Scan) setRise(rate float64, start int) {
	words := (len(s.q.Seq) + 63) / 64
	s.rise = slices.Grow(s.rise[:0], words)[:words]
	clear(s.rise)
	f := 0
	for i := 1; i <= start; i++ {
		switch {
		case s.before[i] == s.before[i-1]: // an N
		case f < int(rate*float64(s.before[i])):
			f++
		default:
			continue
		}
		s.rise[(i-1)/64] |= 1 << ((i - 1) % 64)
	}
}

// leastRate gives the least errors to an identical column of overlaps that end
// at a row with w(row) (see sieveAt).
func (s *Scan) leastRate(w, rate float64, row int) float64 {
	b := float64(s.before[row])
	if w > rate*b {
		return w / b
	}
	a := float64(s.before[s.latestStart(row)])
	if w <= rate*a || a >= b {
		return 0
	}
	return (w - rate*a) / (b - a)
}
