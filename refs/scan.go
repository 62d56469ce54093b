package refs

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

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
	// Every is true where every record is to be aligned, none left out by what
	// is known of it. It changes no result and takes long: it is there to hold
	// the search to.
	Every bool
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

// Scan is one query against one library. It keeps what it has worked out, so
// that asking again, for a part of the library, costs little. It is not safe
// for concurrent use; several Scans of one Library may run at a time.
type Scan struct {
	ctx  context.Context
	lib  *Library
	q    Query
	gate Gate

	bases   int   // of the query that are not N
	outside int   // of these, outside Exclude
	before  []int // of these, before each position
	// The query and its reverse, with the reaches of the views of scan_bound.go.
	distances     *align.PatternLanes
	reversed      *align.PatternLanes
	forward, back align.Reach
	spanning      []align.Reach
	lastStart     int // of the spacers spanned
	fewer         int // one less than the bases that make the coverage

	index        *scanIndex
	views        []view
	hasTextViews bool
	aligned      []bool   // by unit
	found        []*Found // of the units aligned, with their first records

	// What the groups and clusters lack, see scan_pieces.go.
	pieces              *pieces
	kFirst, kEnd, kLast int              // cuts of pieces at forward.QStart, forward.QEnd and lastStart
	spanned             []align.Interval // spanning, in cuts of pieces
	starts              []int            // see latestStart, by segment of pieces
	covered             align.Interval   // by all overlaps that compare what the gate asks
	cores               []core
	always              []uint64                // one bit a group: it may lack pieces that cost nothing
	made                [][2][blockWords]uint64 // by block and strand: which groups have views
	missing             []uint8                 // pieces that clusters and groups lack, segment by segment
	counted             [2][]int32              // where those of 64 nodes begin in missing, plus one, by strand
	lacking             []int32                 // by group: twice the pieces that it lacks on the strand on which it lacks fewer, and that strand
	absent              *[2][gramRows + 1]uint8 // by strand of the record and tile: 1 where that is no word of the query
	openWindows         int                     // of the query, see gramBlock.add
	seeds               []likely                // the units from which the search begins
	rise                []uint64                // see sieve
	rises               [align.TextLanes][]uint64

	aligner *align.Aligner
	lanes   *align.Lanes
	// Memory that is used again.
	sums    []int
	budget  [align.TextLanes][]align.Budget
	letters []byte
}

// NewScan prepares the search. It says what is wrong with a query whose
// letters or intervals cannot be. The methods of the Scan give the error of ctx
// once that is cancelled.
func NewScan(ctx context.Context, lib *Library, q Query, g Gate) (*Scan, error) {
	if i := align.Invalid(q.Seq); i >= 0 {
		return nil, fmt.Errorf("query: %q at position %d is no nucleotide code", q.Seq[i], i)
	}
	for _, v := range append([]align.Interval{q.Exclude}, q.Whole...) {
		if !v.Empty() && (v.Start < 0 || v.End > len(q.Seq)) {
			return nil, fmt.Errorf("query of %d bases: the interval [%d, %d) lies outside", len(q.Seq), v.Start, v.End)
		}
	}
	s := &Scan{ctx: ctx, lib: lib, q: q, gate: g}
	var err error
	if s.aligner, err = align.NewAligner(align.ITS); err != nil {
		return nil, err
	}
	if s.lanes, err = align.NewLanes(q.Seq, q.Exclude); err != nil {
		return nil, err
	}
	backward := slices.Clone(q.Seq)
	slices.Reverse(backward)
	if s.distances, err = align.NewPatternLanes(q.Seq); err != nil {
		return nil, err
	}
	if s.reversed, err = align.NewPatternLanes(backward); err != nil {
		return nil, err
	}
	s.prepare()
	return s, ctx.Err()
}

// Best gives the records that pass the gate, of those for which keep is true
// (all where it is nil): at least n of them where there are as many, with all
// that equal the nth in identity, coverage and score, and all whose identity
// is at most within(best) points below the best (none more where within is
// nil). The lower end of the window, best - within(best), must not fall where
// best grows. They are ranked by identity, then coverage, then score, then library
// order. The result is that of aligning every record (see walk).
func (s *Scan) Best(n int, within func(best float64) float64, keep func(record int) bool) ([]Found, error) {
	return s.BestFrom(math.Inf(-1), n, within, keep)
}

// BestFrom is Best of the records with an identity of floor or more; those
// inside the window of one of them are given whatever their identity, none
// where there is none such. It takes less time than Best where few records are
// as near.
func (s *Scan) BestFrom(floor float64, n int, within func(best float64) float64, keep func(record int) bool) ([]Found, error) {
	if n <= 0 && within == nil {
		return nil, nil
	}
	var passing []hit
	lowerEnd := func(best float64) float64 { return LowerEnd(best, within) }
	isReached := func() bool { return len(passing) > 0 && passing[0].IdentityPct >= floor }
	need := func() float64 {
		switch {
		case !isReached():
			return min(floor, lowerEnd(floor))
		case n <= 0:
			return lowerEnd(passing[0].IdentityPct)
		case len(passing) < n:
			return min(floor, lowerEnd(passing[0].IdentityPct))
		}
		return min(max(floor, passing[n-1].IdentityPct), lowerEnd(passing[0].IdentityPct))
	}
	if err := s.seed(keep); err != nil {
		return nil, err
	}
	err := s.walk(keep, forBest, need, func(h hit) {
		if h.Pass {
			passing = insert(passing, h)
		}
	})
	if err != nil || !isReached() {
		return nil, err
	}
	return s.values(passing[:listEnd(len(passing), func(i int) *Found { return passing[i].Found }, floor, n, within)])
}

// LowerEnd gives the lower end of the window below a best identity, above all
// where within is nil.
func LowerEnd(best float64, within func(best float64) float64) float64 {
	switch {
	case within == nil:
		return math.Inf(1)
	case math.IsInf(best, -1):
		return best
	}
	return best - within(best)
}

// Cut gives what BestFrom gives of a ranked list that holds all of it.
func Cut(list []Found, floor float64, n int, within func(best float64) float64) []Found {
	return list[:listEnd(len(list), func(i int) *Found { return &list[i] }, floor, n, within)]
}

// listEnd gives how many of so many ranked hits are listed.
func listEnd(hits int, at func(i int) *Found, floor float64, n int, within func(best float64) float64) (end int) {
	if hits == 0 || at(0).IdentityPct < floor {
		return 0
	}
	least := LowerEnd(at(0).IdentityPct, within)
	for ; end < hits; end++ {
		f := at(end)
		listed := f.IdentityPct >= floor && (end < n || n > 0 && CompareRank(at(n-1), f) == 0)
		if !listed && f.IdentityPct < least {
			break
		}
	}
	return end
}

// apartColumns is the least number of compared columns for a record to be
// given by Apart: below it a chance likeness can look near.
const apartColumns = 50

// Apart gives the nearest records that do not pass the gate: of those on which
// at least MinCoveragePct of the query's or of their own bases (N not counted)
// or one whole spacer, and at least 50 columns, are compared, and whose
// identity is at least floor, the first k in the order of Best. With the
// identity of the last hit listed as floor these are records that the
// list would have held, had they passed. The result is that of aligning every
// record.
func (s *Scan) Apart(k int, floor float64) ([]Found, error) {
	if k <= 0 {
		return nil, nil
	}
	var apart []hit
	need := func() float64 {
		if len(apart) < k {
			return floor
		}
		return max(floor, apart[k-1].IdentityPct)
	}
	err := s.walk(nil, forApart, need, func(h hit) {
		if !h.Pass && h.IdentityPct >= floor && s.isComparable(h.Found) {
			apart = insert(apart, h)
		}
	})
	if err != nil {
		return nil, err
	}
	return s.values(apart[:min(k, len(apart))])
}

// isComparable reports whether enough of f is compared for Apart.
func (s *Scan) isComparable(f *Found) bool {
	c := f.Counts
	onlyQuery := c.ACompared - c.Identical - c.Substitutions
	bases := int(s.index.bases[s.index.unitOf[f.Record]])
	return c.Columns >= apartColumns && (s.coversQuery(f) ||
		coverage(c.Columns-onlyQuery, bases) >= s.gate.MinCoveragePct)
}

// insert puts h into a list in order.
func insert(list []hit, h hit) []hit {
	at, _ := slices.BinarySearchFunc(list, h, compareHits)
	return slices.Insert(list, at, h)
}

// values gives a list with whole alignments.
func (s *Scan) values(list []hit) ([]Found, error) {
	out := make([]Found, len(list))
	for i, h := range list {
		if err := s.complete(h.Found); err != nil {
			return nil, err
		}
		out[i] = *h.Found
		out[i].Record = h.record
	}
	return out, nil
}

// compareHits orders by rank, then library order.
func compareHits(a, b hit) int {
	return cmp.Or(CompareRank(a.Found, b.Found), cmp.Compare(a.record, b.record))
}

// CompareRank orders by identity, coverage and score, greatest first.
func CompareRank(a, b *Found) int {
	return cmp.Or(
		cmp.Compare(b.IdentityPct, a.IdentityPct),
		cmp.Compare(b.CoveragePct, a.CoveragePct),
		cmp.Compare(b.Alignment.Score, a.Alignment.Score),
	)
}
