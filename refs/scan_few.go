package refs

import "math"

// fewRecords is the number of different records up to which aligning each takes
// less time than looking for the nearest among them in the whole library.
const fewRecords = 1000

// BestOf is Best of the records given, which may come in any order and more
// than once. Where they are few each is aligned, so that the time does not
// depend on the library.
func (s *Scan) BestOf(records []int, n int) ([]Found, error) {
	in := make(map[int]bool, len(records))
	asked := map[int32]bool{}
	var units []likely
	for _, r := range records {
		in[r] = true
		if u := s.index.unitOf[r]; !asked[u] {
			asked[u] = true
			units = append(units, likely{unit: u, ceiling: 100})
		}
	}
	keep := func(record int) bool { return in[record] }
	if len(units) > fewRecords || s.lanes.Width() == 1 && len(units) > fewLanes {
		return s.BestFrom(math.Inf(-1), n, nil, keep)
	}
	var batch []likely
	for i, u := range units {
		if !s.aligned[u.unit] {
			batch = append(batch, u)
		}
		if len(batch) == s.lanes.Width() || i == len(units)-1 && len(batch) > 0 {
			if err := s.ctx.Err(); err != nil {
				return nil, err
			}
			if _, err := s.alignAll(batch); err != nil {
				return nil, err
			}
			batch = batch[:0]
		}
	}
	var passing []hit
	w := walker{s: s, keep: keep, visit: func(h hit) {
		if h.Pass {
			passing = insert(passing, h)
		}
	}}
	for _, f := range s.found {
		if asked[s.index.unitOf[f.Record]] {
			w.show(f)
		}
	}
	end := min(n, len(passing))
	for end > 0 && end < len(passing) && CompareRank(passing[n-1].Found, passing[end].Found) == 0 {
		end++
	}
	return s.values(passing[:max(end, 0)])
}
