package match

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
)

// ErrEmpty means that a contig has no bases.
var ErrEmpty = errors.New("the contig has no bases")

// Match compares the contig's ITS (Region.ITS; the whole contig where nothing
// was located) with every reference, lets the nearest vote, and looks up what
// the library has of the field name, whether it is near or not. A field name
// that was not understood only leaves Match.Field empty.
//
// The hits listed are those that aligning every record would give: the first
// p.Hits with the ties of the last, of those that reach the threshold of some
// rank, and the whole voting window. Where no hit reaches any threshold nobody
// votes; then the first p.Hits of those that reach p.ListFrom are listed.
//
// The error is ErrEmpty, that of a contig or reference with a letter that is
// no nucleotide code, or that of ctx.
func Match(ctx context.Context, lib *refs.Library, c *seqqc.Contig, field refs.Name, p Params) (*seqqc.Match, error) {
	if c == nil || len(c.Bases) == 0 {
		return nil, ErrEmpty
	}
	span := c.Region.ITS(len(c.Bases))
	q := query(c, span)
	q.Every = p.Every
	newScan := refs.NewScan
	if p.Scan != nil {
		newScan = p.Scan
	}
	scan, err := newScan(ctx, lib, q, p.Gate)
	if err != nil {
		return nil, fmt.Errorf("contig: %w", err)
	}
	l := lister{lib: lib, scan: scan, query: q, gate: p.Gate, span: span}
	if p.Memory != nil {
		l.recall = &recall{Memory: p.Memory, ctx: ctx, scan: scan, query: q, params: p}
	}
	lowest := p.Thresholds.lowest()
	m := &seqqc.Match{ListFromPct: min(p.ListFrom, lowest)}
	if m.Hits, err = l.search(asked{what: "all", floor: lowest, n: p.Hits, window: p.Window}); err != nil {
		return nil, err
	}
	apart := lowest // of these, what would stand in the window if it passed
	if len(m.Hits) > 0 {
		if err = l.doubtful(ctx, m, p); err != nil {
			return nil, err
		}
		best := bestOf(m.Hits)
		apart = best - p.Window(best)
	} else if m.Hits, err = l.search(asked{what: "all", floor: m.ListFromPct, n: p.Hits}); err != nil {
		return nil, err
	}
	rank(m.Hits)
	if len(m.Hits) == 0 || !p.NotApart {
		if m.Apart, err = l.apart(apart); err != nil {
			return nil, err
		}
	}
	count(m, lib, p)
	if len(m.Hits) > 0 {
		if m.NextGenus, err = l.nextGenus(m, lowest); err != nil {
			return nil, err
		}
	}
	if err := l.compare(m, c); err != nil {
		return nil, err
	}
	if m.Chimera, err = l.chimera(ctx, m, c); err != nil {
		return nil, err
	}
	if m.Chimera != nil {
		m.Flags = seqqc.MergeFlags(m.Flags, []seqqc.Flag{seqqc.ChimeraSuspected})
	}
	m.Field, err = l.field(m, lib.Current(lib.Taxonomy.Resolve(field)))
	if err != nil {
		return nil, err
	}
	return m, nil
}

// QueryOf gives the part of a contig that is compared, its ITS.
func QueryOf(c *seqqc.Contig) refs.Query { return query(c, c.Region.ITS(len(c.Bases))) }

// query cuts the contig to span. A spacer counts as whole only where both its
// ends were seen.
func query(c *seqqc.Contig, span seqqc.Interval) refs.Query {
	shift := func(v seqqc.Interval) align.Interval {
		if v.Empty() || !span.Contains(v) {
			return align.Interval{}
		}
		return align.Interval{Start: v.Start - span.Start, End: v.End - span.Start}
	}
	q := refs.Query{Seq: c.Bases[span.Start:span.End], Exclude: shift(c.Region.R58S)}
	if c.Region.ITS1Whole && !c.Region.ITS1.Empty() {
		q.Whole = append(q.Whole, shift(c.Region.ITS1))
	}
	if c.Region.ITS2Whole && !c.Region.ITS2.Empty() {
		q.Whole = append(q.Whole, shift(c.Region.ITS2))
	}
	return q
}

// lister turns what a scan finds into hits.
type lister struct {
	lib   *refs.Library
	scan  *refs.Scan
	query refs.Query
	gate  refs.Gate
	span  seqqc.Interval // of the contig, what was compared
	// leftOut tells records that are not to be found, nil where all are.
	leftOut func(record int) bool
	recall  *recall // nil where nothing is remembered
}

// isOut reports whether a record is left out.
func (l lister) isOut(record int) bool { return l.leftOut != nil && l.leftOut(record) }

// nextGenus gives the nearest named hit of another genus than the contig's own:
// the supported genus or, where none is, that of the nearest hit with a genus.
// It is nil where there is none of identity floor or more.
func (l lister) nextGenus(m *seqqc.Match, floor float64) (*seqqc.Hit, error) {
	own := m.Lineage.Genus
	if own == "" {
		first, err := l.nearest(m, "named", m.ListFromPct, func(r int) bool { return l.lib.GenusNumber(r) != 0 && !isDoubtful(m, r) })
		if err != nil || first == nil {
			return nil, err
		}
		own = first.Lineage.Genus
	}
	number := l.lib.GenusNumberOf(own)
	m.OtherGenera = l.lib.Info().Genera - 1
	return l.nearest(m, "named, and not of "+own, floor, func(r int) bool { g := l.lib.GenusNumber(r); return g != 0 && g != number && !isDoubtful(m, r) })
}

func (l lister) best(floor float64, n int, window func(float64) float64, keep func(int) bool) ([]seqqc.Hit, error) {
	found, err := l.scan.BestFrom(floor, n, window, keep)
	if err != nil {
		return nil, err
	}
	return l.hits(found), nil
}

func (l lister) apart(floor float64) ([]seqqc.Hit, error) {
	found, err := l.scan.Apart(maxApart, floor)
	if err != nil {
		return nil, err
	}
	return l.hits(found), nil
}

// search is best, answered from what is remembered where it can be.
func (l lister) search(a asked) ([]seqqc.Hit, error) {
	if l.recall == nil {
		return l.best(a.floor, a.n, a.window, a.keep)
	}
	found, err := l.recall.search(a, func() ([]refs.Found, error) { return l.scan.BestFrom(a.floor, a.n, a.window, a.keep) })
	if err != nil {
		return nil, err
	}
	return l.hits(found), nil
}

// nearest gives the first hit among the records for which keep is true, nil
// where none of identity floor or more passes the gate. what says which those
// are, the ones with doubtful labels being left out.
func (l lister) nearest(m *seqqc.Match, what string, floor float64, keep func(int) bool) (*seqqc.Hit, error) {
	hits, err := l.search(asked{what: what + l.withoutDoubtful(m), floor: floor, n: 1, keep: keep})
	if err != nil || len(hits) == 0 {
		return nil, err
	}
	return &hits[0], nil
}

// withoutDoubtful names the records with doubtful labels where searches are
// remembered.
func (l lister) withoutDoubtful(m *seqqc.Match) string {
	if l.recall == nil {
		return ""
	}
	var out []int
	for _, d := range m.Doubtful {
		out = append(out, d.Record)
	}
	return l.recall.without(out)
}

// field gives what the library has of the field name. The nearest hits are
// those of all its records, not only of the ones already listed; one with a
// doubtful label is not known to be of the field name.
func (l lister) field(m *seqqc.Match, n refs.Name) (seqqc.FieldEvidence, error) {
	var e seqqc.FieldEvidence
	if n.Genus == "" {
		return e, nil
	}
	genus := l.lib.OfGenus(n.Genus)
	e.GenusRecords = len(genus)
	e.GenusSpecies = len(l.lib.SpeciesOf(n.Genus))
	var err error
	if e.Genus, err = l.nearestOf(m, "of genus "+n.Genus, genus); err != nil {
		return e, err
	}
	if b := n.Binomial(); b != "" {
		species := l.lib.OfSpecies(b)
		e.SpeciesRecords = len(species)
		e.Species, err = l.nearestOf(m, "of species "+b, species)
	}
	return e, err
}

// nearestOf gives the first hit among records whose labels are not in doubt.
// what says which those are.
func (l lister) nearestOf(m *seqqc.Match, what string, records []int) (*seqqc.Hit, error) {
	records = slices.DeleteFunc(slices.Clone(records), func(r int) bool { return isDoubtful(m, r) })
	if len(records) == 0 {
		return nil, nil
	}
	full := func() ([]refs.Found, error) { return l.scan.BestOf(records, 1) }
	var found []refs.Found
	var err error
	if l.recall == nil {
		found, err = full()
	} else {
		in := func(r int) bool { _, is := slices.BinarySearch(records, r); return is }
		found, err = l.recall.search(asked{what: what + l.withoutDoubtful(m), floor: math.Inf(-1), n: 1, keep: in}, full)
	}
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return &l.hits(found[:1])[0], nil
}

func (l lister) hits(found []refs.Found) []seqqc.Hit {
	var hits []seqqc.Hit
	for _, f := range found {
		rec := l.lib.Record(f.Record)
		on := f.OnReference(len(rec.Seq))
		h := seqqc.Hit{
			Record:            f.Record,
			Reference:         rec.ID,
			Name:              rec.Name,
			Lineage:           rec.Lineage,
			Strand:            seqqc.Forward,
			IdentityPct:       f.IdentityPct,
			IdentityStrictPct: f.StrictPct,
			CoveragePct:       f.CoveragePct,
			Columns:           f.Counts.Columns,
			Substitutions:     f.Counts.Substitutions,
			GapEvents:         f.Counts.GapEvents,
			GapBases:          f.Counts.GapBases,
			AmbiguousColumns:  f.Counts.Ambiguous,
			Outside58S:        f.Counts.AOutside,
			Score:             f.Alignment.Score,
			Gate:              seqqc.GatePass,
			OnContig: seqqc.Interval{
				Start: l.span.Start + f.Alignment.AStart,
				End:   l.span.Start + f.Alignment.AEnd,
			},
			OnReference: seqqc.Interval{Start: on.Start, End: on.End},
		}
		if f.Complemented {
			h.Strand = seqqc.Reverse
		}
		if !f.Pass {
			h.Gate = l.lacks(f)
		}
		hits = append(hits, h)
	}
	return hits
}

// lacks says in plain words what a hit lacks to pass the gate.
func (l lister) lacks(f refs.Found) string {
	var lacks []string
	whole := slices.ContainsFunc(l.query.Whole, func(v align.Interval) bool {
		return !v.Empty() && f.Alignment.AStart <= v.Start && v.End <= f.Alignment.AEnd
	})
	if f.CoveragePct < l.gate.MinCoveragePct && !whole {
		lacks = append(lacks, fmt.Sprintf("it shares only %.1f %% of this sequence and neither spacer (ITS1, ITS2) in full, and %g %% or one spacer are needed",
			f.CoveragePct, l.gate.MinCoveragePct))
	}
	if f.Counts.AOutside < l.gate.MinOutside {
		lacks = append(lacks, fmt.Sprintf("it shares only %d bases outside the 5.8S, which is much alike in all fungi, and %d are needed",
			f.Counts.AOutside, l.gate.MinOutside))
	}
	return strings.Join(lacks, "; ")
}

// rank numbers the hits from 1; those equal in identity, coverage and score
// share the place.
func rank(hits []seqqc.Hit) {
	for i := range hits {
		hits[i].Rank = i + 1
		if i == 0 {
			continue
		}
		a, b := hits[i-1], hits[i]
		if a.IdentityPct == b.IdentityPct && a.CoveragePct == b.CoveragePct && a.Score == b.Score {
			hits[i].Rank = a.Rank
		}
	}
}
