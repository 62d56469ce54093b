package refs

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"forayseq/align"
)

// Query is a sequence to be compared with the references.
type Query struct {
	// Seq is the stretch of the contig to be compared, its ITS, as nucleotide
	// codes.
	Seq []byte
	// Whole are the spacers of which both ends lie in Seq: none, ITS1, ITS2 or
	// both, in coordinates of Seq.
	Whole []align.Interval
	// Exclude is the 5.8S in coordinates of Seq, empty where there is none.
	Exclude align.Interval
}

// Gate says what a hit must compare to support a rank.
type Gate struct {
	// MinCoveragePct is the least percentage of the query's bases, N not
	// counted, that is compared, unless one whole spacer is.
	MinCoveragePct float64
	// MinOutside is the least number of compared columns outside
	// Query.Exclude.
	MinOutside int
}

// Found is a reference aligned with the query, on the strand on which the
// score is higher, its own where both are equal.
type Found struct {
	Record int // index in Library.Records
	// Complemented is true where the reference was reversed and complemented;
	// Alignment then lies on its other strand (see OnReference).
	Complemented bool
	// Alignment has the query as its first sequence.
	Alignment align.Alignment
	Counts    align.Counts
	// IdentityPct and StrictPct are those of Counts; CoveragePct is 100 x
	// compared bases of the query / its bases that are not N.
	IdentityPct, StrictPct, CoveragePct float64
	// Pass is true where the gate is passed; Lacks says what is missing where
	// it is not.
	Pass  bool
	Lacks string
}

// OnReference gives the stretch compared on the reference's own strand, for a
// reference of n bases.
func (f Found) OnReference(n int) align.Interval {
	if f.Complemented {
		return align.Interval{Start: n - f.Alignment.BEnd, End: n - f.Alignment.BStart}
	}
	return align.Interval{Start: f.Alignment.BStart, End: f.Alignment.BEnd}
}

// Scan is one query against one library. It is not safe for concurrent use;
// several Scans of one Library may run at a time.
type Scan struct {
	ctx   context.Context
	lib   *Library
	q     Query
	gate  Gate
	al    *align.Aligner
	bases int // of the query that are not N
	found map[int]Found
}

// NewScan prepares the search. It, and the methods of the Scan, give the
// error of ctx when that is cancelled.
func NewScan(ctx context.Context, lib *Library, q Query, g Gate) (*Scan, error) {
	if i := align.Invalid(q.Seq); i >= 0 {
		return nil, fmt.Errorf("query: %q at position %d is no nucleotide code", q.Seq[i], i)
	}
	for _, v := range append([]align.Interval{q.Exclude}, q.Whole...) {
		if !v.Empty() && (v.Start < 0 || v.End > len(q.Seq)) {
			return nil, fmt.Errorf("query of %d bases: the interval [%d, %d) lies outside", len(q.Seq), v.Start, v.End)
		}
	}
	al, err := align.NewAligner(align.ITS)
	if err != nil {
		return nil, err
	}
	s := &Scan{ctx: ctx, lib: lib, q: q, gate: g, al: al, found: make(map[int]Found)}
	for _, c := range q.Seq {
		if align.Mask(c) != align.MaskN {
			s.bases++
		}
	}
	return s, nil
}

// Best gives the records that pass the gate, of those for which keep is true
// (all where it is nil): at least n of them where there are as many, with all
// that equal the nth in identity, coverage and score, and all whose identity
// is within(best) points or less below the best (none more where within is
// nil). They are ranked by identity, then coverage, then score, then library
// order. The result is that of aligning every record.
func (s *Scan) Best(n int, within func(best float64) float64, keep func(record int) bool) ([]Found, error) {
	var all []Found
	for r := range s.lib.Records {
		if keep != nil && !keep(r) {
			continue
		}
		f, err := s.align(r)
		if err != nil {
			return nil, err
		}
		if f.Pass {
			all = append(all, f)
		}
	}
	return listed(all, n, within), nil
}

// Apart gives the records that do not pass the gate though at least
// MinCoveragePct of the query's or of their own bases, N not counted, or one
// whole spacer of the query, and 50 columns are compared, and whose identity
// is at least floor: the first k of them in the order of Best. With the identity of
// the last hit listed as floor these are the records that would have been
// listed before it.
func (s *Scan) Apart(k int, floor float64) ([]Found, error) {
	var all []Found
	for r := range s.lib.Records {
		f, err := s.align(r)
		if err != nil {
			return nil, err
		}
		if !f.Pass && s.comparable(f) && f.IdentityPct >= floor {
			all = append(all, f)
		}
	}
	slices.SortFunc(all, compareFound)
	return all[:min(k, len(all))], nil
}

// apartColumns is the least number of compared columns for a record to be
// given by Apart.
const apartColumns = 50

// comparable reports whether enough is compared for the record to be given by
// Apart.
func (s *Scan) comparable(f Found) bool {
	if f.Counts.Columns < apartColumns {
		return false
	}
	compared := f.Counts.ACompared // and how many of the reference's bases?
	return compared > 0
}

func listed(all []Found, n int, within func(best float64) float64) []Found {
	slices.SortFunc(all, compareFound)
	if len(all) == 0 {
		return nil
	}
	least := math.Inf(1)
	if within != nil {
		least = all[0].IdentityPct - within(all[0].IdentityPct)
	}
	end := min(n, len(all))
	for end < len(all) && (all[end].IdentityPct >= least || end > 0 && n > 0 && compareRank(all[n-1], all[end]) == 0) {
		end++
	}
	return all[:end]
}

// align gives the record's better strand.
func (s *Scan) align(r int) (Found, error) {
	if f, ok := s.found[r]; ok {
		return f, nil
	}
	seq := s.lib.Records[r].Seq
	f, err := s.alignStrand(r, seq)
	if err != nil {
		return Found{}, err
	}
	g, err := s.alignStrand(r, align.ReverseComplement(seq))
	if err != nil {
		return Found{}, err
	}
	if g.Alignment.Score > f.Alignment.Score {
		g.Complemented = true
		f = g
	}
	s.found[r] = f
	return f, nil
}

func (s *Scan) alignStrand(r int, seq []byte) (Found, error) {
	a, err := s.al.Overlap(s.q.Seq, seq)
	if err != nil {
		return Found{}, fmt.Errorf("reference %s, line %d: %w", s.lib.Records[r].ID, s.lib.Records[r].Line, err)
	}
	c, err := a.Count(s.q.Seq, seq, s.q.Exclude)
	if err != nil {
		return Found{}, err
	}
	return s.judge(Found{Record: r, Alignment: a, Counts: c}), nil
}

// judge fills in the figures and holds the gate.
func (s *Scan) judge(f Found) Found {
	c := f.Counts
	f.IdentityPct, f.StrictPct = c.IdentityPct(), c.StrictPct()
	if s.bases > 0 {
		f.CoveragePct = float64(100*c.ACompared) / float64(s.bases)
	}
	spanned := false
	for _, v := range s.q.Whole {
		spanned = spanned || !v.Empty() && f.Alignment.AStart <= v.Start && v.End <= f.Alignment.AEnd
	}
	var lacks []string
	if f.CoveragePct < s.gate.MinCoveragePct && !spanned {
		lacks = append(lacks, fmt.Sprintf("compares %.1f%% of the ITS (%g%% or one whole spacer asked)", f.CoveragePct, s.gate.MinCoveragePct))
	}
	if c.AOutside < s.gate.MinOutside {
		lacks = append(lacks, fmt.Sprintf("compares %d columns outside the 5.8S (%d asked)", c.AOutside, s.gate.MinOutside))
	}
	f.Lacks = strings.Join(lacks, "; ")
	f.Pass = len(lacks) == 0
	return f
}

// compareFound orders by identity, coverage and score, greatest first, then
// library order.
func compareFound(a, b Found) int {
	return cmp.Or(compareRank(a, b), cmp.Compare(a.Record, b.Record))
}

// compareRank is compareFound without the library order.
func compareRank(a, b Found) int {
	return cmp.Or(
		cmp.Compare(b.IdentityPct, a.IdentityPct),
		cmp.Compare(b.CoveragePct, a.CoveragePct),
		cmp.Compare(b.Alignment.Score, a.Alignment.Score),
	)
}
