package refs

import (
	"math"
	"slices"

	"forayseq/align"
)

// purpose says what a walk is for.
type purpose uint8

const (
	forBest  purpose = iota // alignments that pass the gate
	forApart                // alignments that do not, and that Apart may give
)

// walk shows every record for which keep is true (all where it is nil) to
// visit, except those that need not be aligned: those of which no alignment
// can serve the purpose with an identity of need() or more. Alignments may be
// outlines (see complete).
//
// That these are all is seen so. An alignment that serves the purpose lies
// under a view of its unit, or of the unit's cluster as long as that stands for
// it, so its identity is no more than that view's ceiling (see ceiling). Views
// are taken up by their ceilings, highest first. One that rests on a distance
// cut off at a limit is worked out further; that of a group is then replaced by
// those of its clusters, that of a cluster by those of its units; a unit is aligned. When the highest is below
// need(), all are. A ceiling equal to need() is still taken up, so ties are
// complete. need() never falls, and where several are taken up at a time
// some may turn out not to have been needed, which is no harm.
func (s *Scan) walk(keep func(record int) bool, p purpose, need func() float64, visit func(hit)) error {
	w := walker{s: s, keep: keep, purpose: p, need: need, visit: visit}
	for _, f := range s.found {
		w.show(f)
	}
	if s.q.Every {
		return w.alignEvery()
	}
	w.begin()
	for {
		if err := s.ctx.Err(); err != nil {
			return err
		}
		least := need()
		w.level = max(w.level, least)
		switch {
		case w.queue.reaches(w.level):
			if at := w.queue.pop(); w.ceiling(&s.views[at]) >= w.level {
				w.take(at)
			}
			if len(w.units) >= s.lanes.Width() {
				if err := w.align(least); err != nil {
					return err
				}
			}
			for kind, waiting := range w.waiting {
				if len(waiting) >= maxWaiting {
					w.deepen(kind)
				}
			}
		case w.isWaiting():
			for kind := range w.waiting {
				w.deepen(kind)
			}
		case len(w.units) > 0:
			if err := w.align(least); err != nil {
				return err
			}
		case w.level > least:
			w.lower(least)
		default:
			return nil
		}
	}
}

// A level is what is asked in place of need() as long as that is lower. It
// begins at firstLevel, and whenever no ceiling is as high the distance from
// 100 grows by the half. So little is worked out of what is far away before
// what is near is known.
const firstLevel = 98

// lower lowers the level, to least at the lowest.
func (w *walker) lower(least float64) {
	w.level = lowered(w.level, least)
	w.look()
}

// lowered gives the level after a level. Where the seeds are nearer than
// unrelated sequences, least is not far below where it ends.
func lowered(level, least float64) float64 {
	// Buckets begin at levels, so that what is below one lies in another.
	level = 100 - math.Ceil(parts*1.5*(100-level))/parts
	if level <= max(least, 0) || least > unrelated {
		return least
	}
	return level
}

// unrelated is an identity that unrelated sequences of two spacers seldom have.
const unrelated = 70

// look takes up the views that groups come to have at the level.
func (w *walker) look() {
	from := len(w.s.views)
	w.s.makeViews(w.level)
	w.pushFrom(from)
}

// pushFrom puts views from number from on into the queue if they may be
// needed.
func (w *walker) pushFrom(from int) {
	for least := w.need(); from < len(w.s.views); from++ {
		if w.keeps(w.s.views[from].node) {
			w.push(int32(from), least)
		}
	}
}

// maxWaiting is how many views of a kind wait for their distances to be worked
// out together: those of like length take the least time.
const maxWaiting = 16 * align.TextLanes

func (w *walker) isWaiting() bool {
	for _, waiting := range w.waiting {
		if len(waiting) > 0 {
			return true
		}
	}
	return false
}

// walker is one walk.
type walker struct {
	s       *Scan
	keep    func(record int) bool
	purpose purpose
	need    func() float64
	visit   func(hit)
	level   float64 // see lower

	queue   buckets
	waiting [viewKinds][]int32 // views whose distances are to be worked out, by kind
	units   []likely           // to be aligned
}

// likely is a unit with the strand on which its ceiling is highest.
type likely struct {
	unit    int32
	strand  uint8
	ceiling float64
}

// hit is an aligned unit with one of its records.
type hit struct {
	*Found
	record int
}

// show visits the records of an aligned unit.
func (w *walker) show(f *Found) {
	for _, r := range w.s.index.recordsOf(w.s.index.unitOf[f.Record]) {
		if w.keep == nil || w.keep(int(r)) {
			w.visit(hit{f, int(r)})
		}
	}
}

func (w *walker) keepsUnit(unit int32) bool {
	if w.keep == nil {
		return true
	}
	for _, r := range w.s.index.recordsOf(unit) {
		if w.keep(int(r)) {
			return true
		}
	}
	return false
}

func (w *walker) keeps(node int32) bool {
	switch {
	case w.keep == nil:
		return true
	case w.s.isUnit(node):
		return w.keepsUnit(w.s.unitOf(node))
	case !w.s.isCluster(node):
		first, end := w.s.index.clustersOf(w.s.groupOf(node))
		for c := first; c < end; c++ {
			if w.keeps(c) {
				return true
			}
		}
		return false
	}
	units, _ := w.s.index.membersOf(node)
	return slices.ContainsFunc(units, w.keepsUnit)
}

// begin fills the queue.
func (w *walker) begin() {
	s, least := w.s, w.need()
	w.level = max(firstLevel, least)
	if w.purpose == forApart {
		s.addTextViews()
	}
	node, kept := int32(-1), false
	for at := range s.views {
		n, c := s.views[at].node, w.ceiling(&s.views[at])
		if c < least || c < 0 || s.isUnit(n) && s.aligned[s.unitOf(n)] {
			continue
		}
		if n != node {
			node, kept = n, w.keeps(n)
		}
		if kept {
			w.queue.push(int32(at), c)
		}
	}
	w.look()
}

// ceiling gives that of a view for the purpose, below zero where it serves
// another.
func (w *walker) ceiling(v *view) float64 {
	s := w.s
	if w.purpose == forApart {
		return v.ceiling
	}
	if v.kind == viewText {
		return -1
	}
	if s.gate.MinOutside > s.outside {
		// Columns outside that the query lacks bases for are gap bases.
		return min(v.ceiling, s.ceiling(s.extentOf(v.node), s.bases, 0, s.gate.MinOutside-s.outside))
	}
	return v.ceiling
}

// push puts a view back into the queue if it may still be needed.
func (w *walker) push(at int32, least float64) {
	if c := w.ceiling(&w.s.views[at]); c >= least && c >= 0 {
		w.queue.push(at, c)
	}
}

// wordsTell is an identity below which missing words rule out next to nothing: of a
// group that is not like the query three pieces in four are missing, one edit in
// eight bases.
const wordsTell = 88

// take does what is next for a view.
func (w *walker) take(at int32) {
	s := w.s
	if v := &s.views[at]; v.counts < 0 && w.level < wordsTell {
		v.counts = 0
	}
	v := s.views[at]
	switch {
	case v.counts < 0:
		s.know(&s.views[at])
		w.push(at, w.need())
	case v.kind == viewAny && v.rate > 0 && v.over() <= 0 && v.rate <= rateOf(w.level):
		w.expand(at) // seen to hold at a level what it may hold at this
	case !v.done:
		w.waiting[v.kind] = append(w.waiting[v.kind], at)
	case !s.isUnit(v.node):
		w.expand(at)
	default:
		u := s.unitOf(v.node)
		for i := range w.units {
			if w.units[i].unit == u {
				w.units[i].ceiling = max(w.units[i].ceiling, v.ceiling)
				return
			}
		}
		if !s.aligned[u] {
			w.units = append(w.units, likely{u, v.strand, v.ceiling})
		}
	}
}

// expand replaces a view of a group by those of its clusters, a view of any of
// a cluster by those of the other kinds, and one of these by those of the units.
func (w *walker) expand(at int32) {
	s := w.s
	v := s.views[at]
	s.views[at].ceiling = -1
	if v.kind == viewAny {
		from := len(s.views)
		if s.isCluster(v.node) {
			s.split(v)
		} else {
			first, end := s.index.clustersOf(s.groupOf(v.node))
			for c := first; c < end; c++ {
				s.makeAny(c, v.strand, s.ceilingWithin(&v, c))
			}
		}
		w.pushFrom(from)
		return
	}
	units, _ := s.index.membersOf(v.node)
	for _, u := range units {
		if s.aligned[u] {
			continue
		}
		own := v
		own.node = s.nodeOf(u)
		if v.kind == viewText {
			if _, ok := s.leastCompared(int(s.index.bases[u])); !ok {
				continue
			}
		}
		if len(units) > 1 {
			own.done, own.limit = false, -1
		}
		s.views = append(s.views, own)
		if w.keepsUnit(u) {
			w.push(int32(len(s.views)-1), w.need())
		}
	}
}

// deepen works out the distances of waiting views.
func (w *walker) deepen(kind int) {
	least, waiting := w.need(), w.waiting[kind]
	w.level = max(w.level, least)
	w.waiting[kind] = waiting[:0]
	n := 0
	for _, at := range waiting { // least may have risen
		if w.ceiling(&w.s.views[at]) >= least {
			waiting[n] = at
			n++
		}
	}
	if kind == viewAny {
		next := lowered(w.level, least)
		w.s.sieve(waiting[:n], w.level, next, lowered(next, least))
	} else {
		w.s.deepen(waiting[:n], kind == viewBack, w.level)
	}
	for _, at := range waiting[:n] {
		w.push(at, least)
	}
}

// align aligns the units taken, and visits their records.
func (w *walker) align(least float64) error {
	s := w.s
	units := slices.DeleteFunc(w.units, func(u likely) bool { return u.ceiling < least })
	found, err := s.alignAll(units)
	w.units = w.units[:0]
	for _, f := range found {
		w.show(f)
	}
	return err
}

// alignEvery aligns all units that are kept.
func (w *walker) alignEvery() error {
	s := w.s
	for u := range int32(s.index.units()) {
		if err := s.ctx.Err(); err != nil {
			return err
		}
		if !s.aligned[u] && w.keepsUnit(u) {
			w.units = append(w.units, likely{unit: u, ceiling: 100})
		}
		if len(w.units) >= s.lanes.Width() {
			if err := w.align(0); err != nil {
				return err
			}
		}
	}
	return w.align(0)
}

// buckets is a queue of views in the order of their ceilings, as far as these
// differ by more than a part of a point: the order affects the speed of a
// walk, never its result.
type buckets struct {
	views [][]int32 // by ceiling in parts
	top   int       // none above it holds any
	count int
}

// parts is how many buckets there are to a point of identity.
const parts = 16

func (q *buckets) push(view int32, ceiling float64) {
	if q.views == nil {
		q.views = make([][]int32, 100*parts+1)
	}
	at := min(int(ceiling*parts), 100*parts)
	q.views[at] = append(q.views[at], view)
	q.top = max(q.top, at)
	q.count++
}

// reaches reports whether a view is in the bucket of a ceiling or in a higher
// one.
func (q *buckets) reaches(ceiling float64) bool {
	if q.count == 0 {
		return false
	}
	for len(q.views[q.top]) == 0 {
		q.top--
	}
	return float64(q.top+1) > ceiling*parts
}

// pop takes a view out of the highest bucket with one, found by reaches.
func (q *buckets) pop() int32 {
	list := q.views[q.top]
	view := list[len(list)-1]
	q.views[q.top] = list[:len(list)-1]
	q.count--
	return view
}
