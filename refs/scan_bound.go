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
// covers and forward are one view. All three kinds together are a fourth, any,
// of which only whether it may hold what is sought is worked out (see sieve);
// it comes before the others. For Apart there is one more, of overlaps on
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
	viewAny
	viewKinds
)

// view is what is known of the overlaps of one view on one strand of a unit, or
// of all units of a cluster or group: that none has an identity above ceiling.
// Distances have been worked out to limit; done is true where a higher limit
// will not lower the ceiling. A view of any has no limit, and is done where it
// may hold what is sought; rate and over say what was found at which level (see
// sieveAt), rate being 0 before.
type view struct {
	ceiling float64
	rate    float64
	deepest float64 // what is worked out says nothing of overlaps with more errors to an identical column
	early   float64 // over of the overlaps that end at nodeEnds.to or before
	late    float64 // and of the others
	node    int32
	words   int32 // the node, or the cluster of the unit
	counts  int32 // of what these words lack on the strand, in Scan.missing; 0 where that is not counted, -1 as long as it may be
	limit   int32
	strand  uint8
	kind    uint8
	done    bool
}

func (v *view) over() float64 { return min(v.early, v.late) }

// A node is a cluster or, behind these, a group or, behind these, a unit.
func (s *Scan) isCluster(node int32) bool { return int(node) < s.index.clusters() }
func (s *Scan) isUnit(node int32) bool    { return int(node) >= len(s.index.least) }
func (s *Scan) groupOf(node int32) int32  { return node - int32(s.index.clusters()) }
func (s *Scan) nodeOf(unit int32) int32   { return int32(len(s.index.least)) + unit }
func (s *Scan) unitOf(node int32) int32   { return node - int32(len(s.index.least)) }
func (s *Scan) centreOf(node int32) int32 {
	x := s.index
	switch {
	case s.isUnit(node):
		return s.unitOf(node)
	case !s.isCluster(node):
		node = x.groupStarts[s.groupOf(node)]
	}
	return x.members[x.memberStarts[node]]
}

// radiusOf gives the edits from the centre of a node to any of its units.
func (s *Scan) radiusOf(node int32) int {
	switch {
	case s.isUnit(node):
		return 0
	case s.isCluster(node):
		return int(s.index.radius(node))
	}
	return int(s.index.groupRadii[s.groupOf(node)])
}

// extent says how many letters the units of a node have that are not N, the
// least and the most, and how many N at most.
type extent struct{ least, most, ns int }

func (s *Scan) extentOf(node int32) extent {
	x := s.index
	if !s.isUnit(node) {
		return extent{int(x.least[node]), int(x.most[node]), int(x.ns[node])}
	}
	u := s.unitOf(node)
	return extent{int(x.bases[u]), int(x.bases[u]), int(x.lengths[u] - x.bases[u])}
}

// ceiling gives an identity in percent that no alignment with a unit of extent
// x exceeds which has at most most of the query's bases in it, so many edits or
// more that are no N of the query over gaps, and fewest errors or more.
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
func (s *Scan) ceiling(x extent, most, edits, fewest int) float64 {
	return s.ratio(x, most, edits, fewest).percent()
}

// ratio is ceiling as identical columns of all.
func (s *Scan) ratio(x extent, most, edits, fewest int) ratio {
	e := max(0, fewest, edits-x.ns)
	i := max(0, min(most, x.most, (most+x.most-e)/2))
	return ratio{i, max(1, i+e)}
}

type ratio struct{ part, whole int }

func (r ratio) percent() float64 { return float64(100*r.part) / float64(r.whole) }

// compare is below, equal to or above 0 where r is less than, equal to or
// greater than other.
func (r ratio) compare(other ratio) int { return r.part*other.whole - other.part*r.whole }

func (r ratio) max(other ratio) ratio {
	if r.compare(other) < 0 {
		return other
	}
	return r
}

// prepare works out the reaches of the query's views and what the clusters lack
// of it.
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
		s.covered = align.Interval{Start: s.forward.QStart, End: max(s.forward.QStart, s.forward.QEnd)}
	} else {
		c = s.bases + 1
	}
	for _, v := range s.q.Whole {
		if v.Empty() {
			continue
		}
		s.forward.QEnd = min(s.forward.QEnd, v.End)
		s.spanning = append(s.spanning, align.Reach{QStart: v.Start, QEnd: v.End, TEnd: math.MaxInt})
		s.lastStart = max(s.lastStart, v.Start)
	}
	// Begun from the end: begins with at most first letters left out.
	s.back = align.Reach{QStart: 0, QEnd: m - s.lastStart, TStart: math.MaxInt}
	s.fewer = c - 1
	s.index = s.lib.scanIndexOf()
	s.aligned = make([]bool, s.index.units())
	if !s.q.Every {
		s.prepareCores(covers)
	}
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

// over gives the errors that all overlaps have of a record with at least so
// many bases used, where less than the gate asks of the query is compared: the
// record's bases beyond those of the query.
func (s *Scan) over(used int) int { return used - s.fewer - s.nsBefore(len(s.q.Seq)) }

// nsBefore counts the N of the query before a position.
func (s *Scan) nsBefore(i int) int { return i - s.before[i] }

// latestStart gives the position at which an overlap that covers enough begins
// at the latest where it ends at to: then it has c bases, or a whole spacer. It
// grows with to.
func (s *Scan) latestStart(to int) int {
	// The last position with no more than before[to]-c bases before it; c is fewer + 1.
	latest := sort.Search(len(s.before), func(i int) bool { return s.before[i] > s.before[to]-s.fewer-1 }) - 1
	for _, v := range s.spanning {
		if v.QEnd <= to {
			latest = max(latest, v.QStart)
		}
	}
	return max(latest, 0)
}
