package refs

import "forayseq/align"

// line is the order in which the records of a view are taken along: by
// ceiling in whole percent, the highest first, those alike by length. It is that of the
// ceilings when it was made: it affects speed, never a result.
type line struct {
	order []int32
	next  int // place in order
	limit int // of the last round, a passage through order
}

// takeAlong adds to a batch other records of which the view is to be worked out
// to about the same limit, as many as there are lanes. It gives the limit that
// serves all.
func (s *Scan) takeAlong(batch []int, from, limit int, least float64) ([]int, int) {
	l := &s.lines[from]
	if l.order == nil {
		l.order, l.limit = s.lineUp(from), limit
	}
	if l.next == len(l.order) && limit > l.limit {
		l.next, l.limit = 0, limit
	}
	most := limit + limit/4
	for ; l.next < len(l.order) && len(batch) < align.TextLanes; l.next++ {
		r := int(l.order[l.next])
		v := &s.states[r].views[from]
		if r == batch[0] || v.done || v.limit >= limit || v.ceiling < least {
			continue
		}
		if s.boundText(r, from) {
			s.states[r].stale = true
			if v.ceiling < least {
				continue
			}
		}
		if next := s.nextLimit(r, from, least); next <= most {
			batch, limit = append(batch, r), max(limit, next)
		}
	}
	return batch, limit
}

func (s *Scan) lineUp(from int) []int32 {
	// Sorted by counting: starts[p] is where those of 100 - p percent begin.
	var starts [102]int
	percent := func(r int32) (int, bool) {
		v := &s.states[r].views[from]
		return 100 - int(v.ceiling), !v.done
	}
	n := 0
	for _, r := range s.index.byLength {
		if p, ok := percent(r); ok {
			starts[p+1]++
			n++
		}
	}
	for p := range 101 {
		starts[p+1] += starts[p]
	}
	order := make([]int32, n)
	for _, r := range s.index.byLength {
		if p, ok := percent(r); ok {
			order[starts[p]] = r
			starts[p]++
		}
	}
	return order
}
