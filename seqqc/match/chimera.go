package match

import (
	"context"
	"math"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
)

// What makes a chimera. The numbers were set on 4,276 published sequences, of
// which none may be called one, and on chimeras made of them; see the tests.
const (
	// leastChange is the least gain of two error rates over one along the best
	// hit at which the sides are searched apart, as a logarithm of likelihoods.
	leastChange = 9
	// leastShift is the least number of differences that each parent has more on
	// the side of the other, and the pair less than any single reference.
	leastShift = 8
	// leastParentPct is the identity of each parent with its side.
	leastParentPct = 94.3
	// leastOtherPoints is how many points of identity nearer a parent is to its
	// side than every reference of the other parent's genus.
	leastOtherPoints = 4
	// leastSideCoverPct is how much of its side a parent must cover, and
	// leastParentCoverPct how much of the whole. A single reference that covers
	// less than leastSingleCoverPct may lack just the side it does not fit.
	leastSideCoverPct   = 85
	leastParentCoverPct = 60
	leastSingleCoverPct = 97
	// leastSide is the least number of bases of a side outside the 5.8S.
	leastSide = 25
	// leastSidePct is the identity at which a reference is a candidate for a side
	// before the breakpoint is known well.
	leastSidePct = 85
	// singlesTried is how many hits are asked for a change of their rate of
	// differences: the first may cover one side only.
	singlesTried = 3
	// parentsTried is how many references of a side are looked at, those within
	// asNear points of the nearest; the one that covers most of the whole is the
	// parent.
	parentsTried = 8
	asNear       = 1
)

// chimera looks for two parents of the contig of which m is the match, nil
// where nothing speaks for a chimera.
//
// The best single reference is looked at first. Where its differences from the
// contig are spread as evenly as one rate makes them, nothing more is done: a
// chimera whose parents are far apart has them on one side. That misses
// chimeras of which the library holds neither parent nor a near relative, and
// those with a side of a few bases.
//
// Otherwise the sides before and behind the change are searched apart, and the
// nearest references of them are parents where they are of different genera,
// each clearly nearer to its side than any reference of the other genus, and
// both together clearly nearer than the best single one. Only what was
// compared counts: a reference that ends where the other side begins is no
// parent, for that it would not fit there cannot be known.
func (l lister) chimera(ctx context.Context, m *seqqc.Match, c *seqqc.Contig) (*seqqc.Chimera, error) {
	aligner, err := align.NewAligner(align.ITS)
	if err != nil {
		return nil, err
	}
	j := joiner{l, aligner, steps(l.query.Seq, l.query.Exclude), math.MaxInt}
	at, most := 0, 0.0
	for _, h := range m.Hits[:min(len(m.Hits), singlesTried)] {
		line, _, err := j.line(h.Record, h.Strand == seqqc.Reverse)
		if err != nil {
			return nil, err
		}
		if h.CoveragePct >= leastSingleCoverPct {
			j.alone = min(j.alone, line.all())
		}
		if place, gain := line.changePoint(j.steps); gain >= leastChange && gain > most {
			at, most = place, gain
		}
	}
	if most == 0 {
		return nil, nil
	}
	return j.parents(ctx, at, c)
}

// ReferenceChimera looks for two parents of a reference. c is the record with
// its Region, leftOut tells the record and what must be left out with it, its
// copies; nil is given where nothing speaks for a chimera.
func ReferenceChimera(ctx context.Context, lib *refs.Library, c *seqqc.Contig, leftOut func(record int) bool, p Params) (*seqqc.Chimera, error) {
	span := c.Region.ITS(len(c.Bases))
	q := query(c, span)
	q.Every = p.Every
	scan, err := refs.NewScan(ctx, lib, q, p.Gate)
	if err != nil {
		return nil, err
	}
	l := lister{lib: lib, scan: scan, query: q, gate: p.Gate, span: span, leftOut: leftOut}
	m := &seqqc.Match{}
	if m.Hits, err = l.best(p.Thresholds.lowest(), singlesTried, nil, func(r int) bool { return !l.isOut(r) }); err != nil {
		return nil, err
	}
	return l.chimera(ctx, m, c)
}

// joiner looks for the parents of a query.
type joiner struct {
	lister
	aligner *align.Aligner
	steps   []int // see the function
	alone   int   // differences of the best single reference
}

// line aligns a record, on the strand on which it was found, with the whole
// query.
func (j joiner) line(record int, complemented bool) (errorLine, []byte, error) {
	seq := j.lib.Record(record).Seq
	if complemented {
		seq = align.ReverseComplement(seq)
	}
	al, err := j.aligner.Overlap(j.query.Seq, seq)
	if err != nil {
		return errorLine{}, nil, err
	}
	return newErrorLine(al, j.query.Seq, seq), seq, nil
}

// side is one side of the query and the references near it.
type side struct {
	on   align.Interval
	scan *refs.Scan
	// The parent: its record and that on the query's strand, its line over the
	// whole query and its identity with the side.
	record int
	seq    []byte
	line   errorLine
	pct    float64
}

func (j joiner) parents(ctx context.Context, at int, c *seqqc.Contig) (*seqqc.Chimera, error) {
	n := len(j.query.Seq)
	var left, right *side
	var errors, first, last int
	for range 2 {
		var err error
		if left, err = j.search(ctx, align.Interval{Start: 0, End: at}); err != nil || left == nil {
			return nil, err
		}
		if right, err = j.search(ctx, align.Interval{Start: at, End: n}); err != nil || right == nil {
			return nil, err
		}
		if j.genus(left.record) == j.genus(right.record) {
			return nil, nil
		}
		errors, first, last = crossing(left.line, right.line)
		// The change along one reference is rough: the sides are asked again
		// where the parents part.
		if first <= at && at <= last {
			break
		}
		at = (first + last) / 2
	}
	alone := min(j.alone, left.line.all(), right.line.all())
	shiftLeft := right.line.in(0, first) - left.line.in(0, first)
	shiftRight := left.line.in(last, n) - right.line.in(last, n)
	if min(shiftLeft, shiftRight, alone-errors) < leastShift || 2*errors > alone {
		return nil, nil
	}
	for _, pair := range [][2]*side{{left, right}, {right, left}} {
		own, other := pair[0], pair[1]
		if own.pct < leastParentPct {
			return nil, nil
		}
		near, err := own.scan.BestFrom(own.pct-leastOtherPoints, 1, nil, func(r int) bool { return j.genus(r) == j.genus(other.record) && !j.isOut(r) })
		if err != nil {
			return nil, err
		}
		if len(near) > 0 && near[0].IdentityPct > own.pct-leastOtherPoints {
			return nil, nil
		}
	}
	found := &seqqc.Chimera{
		Breakpoint:   seqqc.Interval{Start: j.span.Start + first, End: j.span.Start + last},
		SingleErrors: alone, PairErrors: errors,
	}
	middle := (first + last) / 2
	left.on, right.on = align.Interval{Start: 0, End: middle}, align.Interval{Start: middle, End: n}
	var err error
	if found.Left, err = j.parent(left, right.on); err != nil {
		return nil, err
	}
	if found.Right, err = j.parent(right, left.on); err != nil {
		return nil, err
	}
	found.In = partsAt(c.Region, found.Breakpoint)
	found.Joint = j.joint(left.line, right.line, first, last, c.Reads)
	return found, nil
}

func (j joiner) genus(record int) int32 { return j.lib.GenusNumber(record) }

// search gives the reference with a genus that is nearest to a side and covers
// most of the query, nil where there is none.
func (j joiner) search(ctx context.Context, on align.Interval) (*side, error) {
	within := func(v align.Interval) align.Interval {
		cut := align.Interval{Start: max(v.Start, on.Start) - on.Start, End: min(v.End, on.End) - on.Start}
		if cut.Empty() {
			return align.Interval{}
		}
		return cut
	}
	if j.steps[on.End]-j.steps[on.Start] < leastSide {
		return nil, nil
	}
	q := refs.Query{Seq: j.query.Seq[on.Start:on.End], Exclude: within(j.query.Exclude), Every: j.query.Every}
	scan, err := refs.NewScan(ctx, j.lib, q, refs.Gate{MinCoveragePct: leastSideCoverPct, MinOutside: leastSide})
	if err != nil {
		return nil, err
	}
	near, err := scan.BestFrom(leastSidePct, parentsTried, nil, func(r int) bool { return j.genus(r) != 0 && !j.isOut(r) })
	if err != nil {
		return nil, err
	}
	var parent *side
	for _, f := range near {
		if f.IdentityPct < near[0].IdentityPct-asNear {
			break
		}
		line, seq, err := j.line(f.Record, f.Complemented)
		if err != nil {
			return nil, err
		}
		if parent == nil || j.covered(line) > j.covered(parent.line) {
			parent = &side{on: on, scan: scan, record: f.Record, seq: seq, line: line, pct: f.IdentityPct}
		}
	}
	if parent == nil || 100*j.covered(parent.line) < leastParentCoverPct*j.steps[len(j.query.Seq)] {
		return nil, nil
	}
	return parent, nil
}

// covered counts the bases outside the 5.8S that were compared with a
// reference. What it lacks of the other side counts as if it fitted, so that of
// references as near the longest is the best witness.
func (j joiner) covered(line errorLine) int { return j.steps[line.end] - j.steps[line.start] }

// parent describes the parent of a side by its identity with that and with the
// other side.
func (j joiner) parent(s *side, other align.Interval) (seqqc.Parent, error) {
	rec := j.lib.Record(s.record)
	p := seqqc.Parent{Record: s.record, Reference: rec.ID, Name: rec.Name, Lineage: rec.Lineage,
		OnContig: seqqc.Interval{Start: j.span.Start + s.on.Start, End: j.span.Start + s.on.End}}
	var err error
	if p.IdentityPct, err = j.identity(s.on, s.seq); err == nil {
		p.OtherPct, err = j.identity(other, s.seq)
	}
	return p, err
}

func (j joiner) identity(on align.Interval, seq []byte) (float64, error) {
	query := j.query.Seq[on.Start:on.End]
	al, err := j.aligner.Overlap(query, seq)
	if err != nil {
		return 0, err
	}
	counts, err := al.Count(query, seq)
	return counts.IdentityPct(), err
}
