package refs

import (
	"math"
	"sort"

	"forayseq/align"
)

// Overlaps that serve a purpose are looked at in four ways, on both strands.
// With c the least number of compared bases that makes the coverage of the
// gate, first and last the positions in the query before and after which no more
// than its bases less c lie, an overlap q[from:to] that passes
//
//	covers:  from <= first and last <= to; or it spans a whole spacer, less
//	         than c bases are compared, and
//	forward: from <= first; or
//	back:    from > first, so that it begins with the record, and to is the
//	         end of the query; or
//	inside:  from > first and to before the end: all of the record is used.
//
// covers and forward are one view. For Apart there is one more, of overlaps on
// which less than c bases of the query, but as much of the record as the gate asks of the
// query are compared:
//
//	text:    with positions in the record like first and last in the query.
//
// Views may hold more overlaps than these.
const (
	viewForward = iota
	viewBack
	viewInside
	viewText
	viewKinds
)

// viewStale stands for a view where a record's ceiling has come down since it
// was last asked for.
const viewStale = 2 * viewKinds

// state is what is known of a record.
type state struct {
	bases, ns int // letters that are not N, and N
	// views are by strand and kind: strand*viewKinds + kind; the last is
	// viewStale and never done.
	views [2*viewKinds + 1]view
	stale bool
	// lacking is how many pieces of the query the record lacks, on the strand
	// on which it lacks fewer, its open windows counted too.
	lacking uint16
}

// view is what is known of the overlaps of one view: that none has an
// identity above ceiling. Distances have been worked out to limit; done is true
// where a higher limit will not lower the ceiling.
type view struct {
	ceiling float64
	limit   int
	done    bool
}

// prepare works out the reaches of the query's views, and begins with knowing
// nothing of any record.
func (s *Scan) prepare() {
	m := len(s.q.Seq)
	s.before = make([]int, m+1)
	for i, c := range s.q.Seq {
		s.before[i+1] = s.before[i]
		if align.Mask(c) != align.MaskN {
			s.before[i+1]++
		}
	}
	s.bases = s.before[m]
	s.outside = s.bases
	if v := s.q.Exclude; !v.Empty() {
		s.outside -= s.before[v.End] - s.before[v.Start]
	}
	c, covers := s.leastCompared(s.bases)
	s.forward = align.Reach{QStart: 0, QEnd: m, TStart: math.MaxInt}
	if covers {
		s.forward = reachOf(s.q.Seq, c)
	} else {
		c = s.bases + 1
	}
	first := s.forward.QStart
	lastStart := 0
	for _, v := range s.q.Whole {
		if v.Empty() {
			continue
		}
		covers = true
		s.forward.QEnd = min(s.forward.QEnd, v.End)
		s.spanning = append(s.spanning, align.Reach{QStart: v.Start, QEnd: v.End, TEnd: math.MaxInt})
		lastStart = max(lastStart, v.Start)
	}
	// Begun from the end: begins with at most first letters left out.
	s.back = align.Reach{QStart: 0, QEnd: m - lastStart, TStart: math.MaxInt}
	s.fewer = c - 1

	s.index = s.lib.scanIndexOf()
	s.states = make([]state, len(s.lib.Records))
	for r := range s.states {
		st := &s.states[r]
		st.bases = int(s.index.bases[r])
		st.ns = len(s.lib.Records[r].Seq) - st.bases
		st.lacking = math.MaxUint16
		for v := range viewStale {
			st.views[v] = view{ceiling: math.Inf(-1), done: true}
		}
		for _, v := range []int{0, viewKinds} {
			if covers {
				st.views[v+viewForward] = view{ceiling: s.ceiling(r, s.bases, 0, 0), limit: -1}
			}
			if len(s.spanning) > 0 {
				if lastStart > first {
					st.views[v+viewBack] = view{ceiling: s.ceiling(r, s.fewer, 0, 0), limit: -1}
				}
				// The record's bases beyond those of the query are errors.
				over := st.bases - s.fewer - (m - s.bases)
				st.views[v+viewInside] = view{ceiling: s.ceiling(r, s.fewer, 0, over), limit: -1}
			}
			if own, ok := s.leastCompared(st.bases); ok {
				over := own - s.fewer - (m - s.bases)
				st.views[v+viewText] = view{ceiling: s.ceiling(r, s.fewer, 0, over), limit: -1}
			}
		}
	}
	s.boundByPieces(lastStart)
}

// leastCompared gives the least number of compared bases, of so many, that
// reaches the coverage of the gate; false where none does.
func (s *Scan) leastCompared(bases int) (int, bool) {
	c := sort.Search(bases+1, func(c int) bool { return coverage(c, bases) >= s.gate.MinCoveragePct })
	return c, c <= bases
}

// reachOf gives the Reach that holds all overlaps of a query seq on which at
// least compared of its bases are used, N not counted: those that leave out no
// more than the others on either side. There must be so many.
func reachOf(seq []byte, compared int) align.Reach {
	rest := countBases(seq) - compared
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
	return r
}

// ceiling gives an identity in percent that no alignment of the record
// exceeds which has at most most of the query's bases in it, so many edits or
// more, and fewest errors or more.
//
// Let an alignment have I identical columns, s substitutions, and gA and gB
// gap bases of query and record that are not N: e = s + gA + gB errors. Its
// edits, as align.Pattern counts them, are e and the N that lie over gaps, so e
// is no less than edits less all N of both. With a <= most and b the bases in
// it of both that are not N, I + s + gA <= a and I + s + gB <= b, so
// I <= min(a, b) and 2I <= a + b - e. The identity I/(I+e) grows with I and
// falls with e, so it is greatest for the least e and the greatest I. Both it and
// the identity of an alignment are rounded once, in the division, which keeps
// their order and equality.
func (s *Scan) ceiling(r, most, edits, fewest int) float64 {
	st := &s.states[r]
	e := max(0, fewest, edits-(len(s.q.Seq)-s.bases)-st.ns)
	i := min(most, st.bases, (most+st.bases-e)/2)
	if i <= 0 {
		return 0
	}
	return float64(100*i) / float64(i+e)
}

// highest gives the highest ceiling of a record's views for a purpose, minus
// infinity where there are none, and the view it comes from, viewStale where
// the ceiling given last was another.
func (s *Scan) highest(r int, p purpose) (float64, int) {
	best, from := math.Inf(-1), 0
	for i, v := range s.states[r].views[:viewStale] {
		if v.ceiling > best && (p == forApart || i%viewKinds != viewText) {
			best, from = v.ceiling, i
		}
	}
	if p == forBest && best > 0 {
		// Columns outside that the query lacks bases for are gap bases.
		best = min(best, s.ceiling(r, s.bases, 0, s.gate.MinOutside-s.outside))
	}
	if s.states[r].stale {
		from = viewStale
	}
	return best, from
}

// deepen raises the limit of a view, three times or as far as it takes to
// bring the ceiling below least. Eight records cost no more than one, so others
// that stand next in line are taken along.
func (s *Scan) deepen(r, from int, least float64) {
	if from == viewStale {
		s.states[r].stale = false
		return
	}
	if s.boundText(r, from) {
		return
	}
	limit := s.nextLimit(r, from, least)
	batch := append(s.batch[:0], r)
	batch, limit = s.takeAlong(batch, from, limit, least)
	s.batch = batch
	strand, kind := from/viewKinds, from%viewKinds
	lanes, reading := s.distances, [2]align.Reading{align.Forward, align.OtherStrand}[strand]
	reaches := []align.Reach{s.forward}
	switch kind {
	case viewBack:
		lanes, reading = s.reversed, [2]align.Reading{align.Backward, align.OtherStrandBackward}[strand]
		reaches[0] = s.back
	case viewInside:
		reaches = s.spanning
	case viewText:
		reaches[0] = align.Reach{QStart: len(s.q.Seq)}
	}
	texts := s.texts[:0]
	for _, r := range batch {
		texts = append(texts, align.LaneText{Text: s.index.packed[r], Reading: reading})
	}
	s.texts = texts
	var least8 [align.TextLanes]int // edits of the views that need only these
	for i, reach := range reaches {
		for lane, r := range batch {
			texts[lane].Reach = reach
			if kind == viewText {
				own := s.ownReach(r, strand)
				texts[lane].Reach.TStart, texts[lane].Reach.TEnd = own.QStart, own.QEnd
			}
		}
		lanes.Find(texts, limit)
		for lane := range batch {
			if d := lanes.Distance(lane); i == 0 || d < least8[lane] {
				least8[lane] = d
			}
		}
	}
	for lane, other := range batch {
		n := nextView{s: s, r: other, view: view{ceiling: math.Inf(-1), limit: limit}}
		switch m := len(s.q.Seq); kind {
		case viewForward:
			n.see(s.bases, lanes.Whole(lane))
			n.seeEnds(lanes.Ends(lane), m-1, s.forward.QEnd, func(row int) int { return s.before[row] })
		case viewBack:
			n.seeEnds(lanes.Ends(lane), m-s.forward.QStart-1, s.back.QEnd, func(row int) int {
				return min(s.fewer, s.bases-s.before[m-row])
			})
		default:
			n.see(s.fewer, least8[lane])
		}
		st := &s.states[other]
		n.view.ceiling = min(n.view.ceiling, st.views[from].ceiling)
		st.views[from] = n.view
		st.stale = st.stale || other != r
	}
}

// ownReach is reachOf a record on a strand for the coverage of its own bases,
// which must be possible.
func (s *Scan) ownReach(r, strand int) align.Reach {
	st := &s.states[r]
	c, _ := s.leastCompared(st.bases)
	if rest := st.bases - c; st.ns == 0 {
		return align.Reach{QStart: rest, QEnd: c, TStart: math.MaxInt}
	}
	return reachOf(s.text(r, strand), c)
}

// nextLimit gives the limit to which a view is worked out next.
func (s *Scan) nextLimit(r, from int, least float64) int {
	v := &s.states[r].views[from]
	most := s.bases
	if from%viewKinds != viewForward {
		most = s.fewer
	}
	m, all := len(s.q.Seq), len(s.q.Seq)+len(s.lib.Records[r].Seq)
	enough := sort.Search(all, func(edits int) bool { return s.ceiling(r, most, edits+1, 0) < least })
	// Less than gain would not lower the ceiling.
	gain := sort.Search(all, func(edits int) bool { return s.ceiling(r, most, edits+1, 0) < v.ceiling })
	return max(v.limit+1, gain, min(max(m/24, 3*v.limit, gain+gain/4), enough))
}

// nextView gathers a view from the edits of its overlaps.
type nextView struct {
	s      *Scan
	r      int
	view   view
	beyond bool
}

// see takes the edits of an overlap with at most so many bases of the query. Of
// those beyond the limit the first seen has the most bases.
func (n *nextView) see(most, edits int) {
	if edits > n.view.limit {
		if n.beyond {
			return
		}
		n.beyond = true
		edits = n.view.limit + 1
	}
	if c := n.s.ceiling(n.r, most, edits, 0); c > n.view.ceiling || c == n.view.ceiling && edits <= n.view.limit {
		n.view.ceiling, n.view.done = c, edits <= n.view.limit
	}
}

// seeEnds takes those of the overlaps that end in the rows from highest down to
// lowest. Rows that are not in the list are beyond the limit.
func (n *nextView) seeEnds(ends []align.End, highest, lowest int, most func(row int) int) {
	row := highest
	for _, e := range ends {
		if e.Row > highest {
			continue
		}
		if e.Row < row {
			n.see(most(row), n.view.limit+1)
		}
		n.see(most(e.Row), e.Edits)
		row = e.Row - 1
	}
	if row >= lowest {
		n.see(most(row), n.view.limit+1)
	}
}

// text gives the sequence of a record on strand 0, its own, or 1, in memory
// that the next call uses again.
func (s *Scan) text(r, strand int) []byte {
	if seq := s.lib.Records[r].Seq; strand == 0 {
		s.letters = append(s.letters[:0], seq...)
	} else {
		s.letters = align.AppendReverseComplement(s.letters[:0], seq)
	}
	return s.letters
}
