package refs

import (
	"container/heap"
	"math"
	"sort"

	"forayseq/align"
)

// state is what is known of a record.
type state struct {
	bases int // letters that are not N
	ns    int // N
	// byQuery bounds the distance over the reaches of the query, byText that
	// over the reach of the record itself (for Apart), by strand.
	byQuery, byText [2]bound
}

// bound says that a distance is at least lower, and exactly lower where that
// is at most limit.
type bound struct{ lower, limit int }

// prepare lists the reaches in which the overlaps that pass the gate lie, and
// begins with knowing nothing of any record.
func (s *Scan) prepare() {
	if c, ok := s.leastCompared(s.bases); ok {
		if r, ok := reachOf(s.q.Seq, c); ok {
			s.reaches = append(s.reaches, r)
		}
	}
	for _, v := range s.q.Whole {
		if !v.Empty() {
			s.reaches = append(s.reaches, align.Reach{QStart: v.Start, QEnd: v.End, TStart: math.MaxInt})
		}
	}
	s.states = make([]state, len(s.lib.Records))
	for r := range s.states {
		seq := s.lib.Records[r].Seq
		bases := countBases(seq)
		none := [2]bound{{0, -1}, {0, -1}}
		s.states[r] = state{bases: bases, ns: len(seq) - bases, byQuery: none, byText: none}
	}
}

// leastCompared gives the least number of compared bases, of so many, that
// reaches the coverage of the gate; false where none does.
func (s *Scan) leastCompared(bases int) (int, bool) {
	c := sort.Search(bases+1, func(c int) bool { return coverage(c, bases) >= s.gate.MinCoveragePct })
	return c, c <= bases
}

// reachOf gives the Reach that holds all overlaps of a query seq on which at
// least compared of its bases are used, N not counted; false where it has
// fewer. An overlap that leaves out more than the rest on either side is not
// among them.
func reachOf(seq []byte, compared int) (align.Reach, bool) {
	rest := countBases(seq) - compared
	if rest < 0 {
		return align.Reach{}, false
	}
	r := align.Reach{QStart: len(seq), TStart: math.MaxInt}
	for i, left := 0, rest; i < len(seq); i++ {
		if align.Mask(seq[i]) == align.MaskN {
			continue
		}
		if left == 0 {
			r.QStart = i
			break
		}
		left--
	}
	for i, left := len(seq), rest; i > 0; i-- {
		if align.Mask(seq[i-1]) == align.MaskN {
			continue
		}
		if left == 0 {
			r.QEnd = i
			break
		}
		left--
	}
	return r, true
}

// distance gives the distance of the query to a record on a strand over a
// reach, limit+1 where it is more than limit. Instead of the record the query
// is turned.
func (s *Scan) distance(r, strand int, reach align.Reach, limit int) int {
	seq := s.lib.Records[r].Seq
	if strand == 1 {
		m, n := len(s.q.Seq), len(seq)
		reach = align.Reach{QStart: m - reach.QEnd, QEnd: m - reach.QStart, TStart: n - reach.TEnd, TEnd: n - min(n, reach.TStart)}
	}
	return s.patterns[strand].Distance(seq, reach, limit)
}

// ceiling gives an identity in percent that no alignment of the record
// exceeds which has so many edits or more, and fewest errors or more.
//
// Let an alignment have I identical columns, s substitutions, and gA and gB
// gap bases of query and record that are not N: e = s + gA + gB errors. Its
// edits are e and the N that lie over gaps, so e is no less than edits less
// all N of both. With a and b the bases of both that are not N, I + s + gA <= a
// and I + s + gB <= b, so I <= min(a, b) and 2I <= a + b - e. The identity
// I/(I+e) grows with I and falls with e, so it is greatest for the least e.
// Both it and the identity of an alignment are rounded once, in the
// division, which keeps their order and equality.
func (s *Scan) ceiling(r, edits, fewest int) float64 {
	st := &s.states[r]
	e := max(0, fewest, edits-(len(s.q.Seq)-s.bases)-st.ns)
	i := min(s.bases, st.bases, (s.bases+st.bases-e)/2)
	if i <= 0 {
		return 0
	}
	return float64(100*i) / float64(i+e)
}

// purpose says what a walk is for.
type purpose uint8

const (
	forBest  purpose = iota // alignments that pass the gate
	forApart                // alignments that do not, and that Apart may give
)

// view is one of the bounds of a record, with its ceiling.
type view struct {
	ceiling float64
	strand  int
	byText  bool
}

// highest gives the view of the highest ceiling, which is the ceiling of the
// record; false where no alignment can serve the purpose.
func (s *Scan) highest(r int, p purpose) (view, bool) {
	st := &s.states[r]
	best := view{ceiling: math.Inf(-1)}
	for strand := range 2 {
		if len(s.reaches) > 0 {
			fewest := 0
			if p == forBest {
				// What the query lacks of the columns outside is gap bases.
				fewest = s.gate.MinOutside - s.outside
			}
			if c := s.ceiling(r, st.byQuery[strand].lower, fewest); c > best.ceiling {
				best = view{c, strand, false}
			}
		}
		if p == forApart {
			if c := s.ceiling(r, st.byText[strand].lower, 0); c > best.ceiling {
				best = view{c, strand, true}
			}
		}
	}
	return best, !math.IsInf(best.ceiling, -1)
}

// deepen works out the distance behind a view, to a limit that is raised
// step by step, no further than is needed to bring the ceiling below
// least; false where it is known already.
func (s *Scan) deepen(r int, v view, least float64) bool {
	st := &s.states[r]
	b := &st.byQuery[v.strand]
	if v.byText {
		b = &st.byText[v.strand]
	}
	if b.lower <= b.limit {
		return false
	}
	rec := s.lib.Records[r]
	all := len(s.q.Seq) + len(rec.Seq)
	// Edits of which one more is too many.
	enough := sort.Search(all, func(edits int) bool { return s.ceiling(r, edits+1, 0) < least })
	limit := min(max(len(s.q.Seq)/24, 3*b.limit), enough)
	limit = max(limit, b.limit+1)

	reaches := s.reaches
	if v.byText {
		c, ok := s.leastCompared(st.bases)
		if !ok {
			*b = bound{all, all}
			return true
		}
		own, _ := reachOf(rec.Seq, c)
		reaches = []align.Reach{{QStart: len(s.q.Seq), TStart: own.QStart, TEnd: own.QEnd}}
	}
	lower := limit + 1
	for _, reach := range reaches {
		lower = min(lower, s.distance(r, v.strand, reach, lower-1))
	}
	*b = bound{lower, limit}
	return true
}

// walk shows every record for which keep is true (all where it is nil) to
// visit, except those that need not be aligned: those of which no alignment
// can serve the purpose with an identity of need() or more.
//
// That these are all is seen so. The distance over the reaches of the gate is
// no more than the edits of any alignment that passes it: the one with the
// highest score among them too. So a record that passes has an identity of at
// most its ceiling on the strand it is aligned on, and of at most the greater of the
// ceilings of both. Records are taken up by their ceilings, highest first; a
// ceiling that rests on a distance cut off at a limit is lowered by a higher
// limit before the record is aligned. When the highest ceiling is below need(),
// so are all. A ceiling equal to need() is still taken up, so ties are complete.
func (s *Scan) walk(keep func(record int) bool, p purpose, need func() float64, visit func(*Found)) error {
	var queue candidates
	for r := range s.states {
		if keep != nil && !keep(r) {
			continue
		}
		if f, ok := s.found[r]; ok {
			visit(f)
		} else if v, ok := s.highest(r, p); ok {
			queue = append(queue, candidate{v.ceiling, r})
		}
	}
	heap.Init(&queue)
	for len(queue) > 0 {
		if err := s.ctx.Err(); err != nil {
			return err
		}
		r, least := queue[0].record, need()
		if queue[0].ceiling < least {
			return nil
		}
		if v, _ := s.highest(r, p); s.deepen(r, v, least) {
			v, _ = s.highest(r, p)
			queue[0].ceiling = v.ceiling
			heap.Fix(&queue, 0)
			continue
		}
		heap.Pop(&queue)
		f, err := s.align(r)
		if err != nil {
			return err
		}
		visit(f)
	}
	return s.ctx.Err()
}

// candidate is a record with its ceiling.
type candidate struct {
	ceiling float64
	record  int
}

// candidates is a heap, the highest ceiling first, then library order.
type candidates []candidate

var _ heap.Interface = (*candidates)(nil)

func (c candidates) Len() int      { return len(c) }
func (c candidates) Swap(i, j int) { c[i], c[j] = c[j], c[i] }
func (c candidates) Less(i, j int) bool {
	if c[i].ceiling != c[j].ceiling {
		return c[i].ceiling > c[j].ceiling
	}
	return c[i].record < c[j].record
}
func (c *candidates) Push(x any) { *c = append(*c, x.(candidate)) }
func (c *candidates) Pop() any {
	last := (*c)[len(*c)-1]
	*c = (*c)[:len(*c)-1]
	return last
}
