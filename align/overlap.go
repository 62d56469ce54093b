package align

// Scoring holds the scores of an affine-gap alignment: a column of two
// intersecting codes scores Match, of two disjoint codes Mismatch, a column
// with N on either side 0; a gap of g bases scores -(GapOpen + g*GapExtend).
type Scoring struct {
	Match, Mismatch    int
	GapOpen, GapExtend int
}

// ITS is the scoring used for percent identity: match +2 and mismatch -3 are
// the log-odds scores of DNA that is 90 % identical; a gap of g bases costs
// 4 + 2g.
var ITS = Scoring{Match: 2, Mismatch: -3, GapOpen: 4, GapExtend: 2}

// Op is what a run of alignment columns holds.
type Op uint8

// The three kinds of column.
const (
	Pair  Op = iota // a base of a over a base of b
	OnlyA           // a base of a over a gap in b
	OnlyB           // a gap in a over a base of b
)

// Run is a number of consecutive columns of one kind.
type Run struct {
	Op  Op
	Len int
}

// Alignment is an overlap of two sequences: a[AStart:AEnd] over
// b[BStart:BEnd], with the columns between. End gaps are free and are not in
// Runs, so at each end one of the two sequences runs out:
// AStart == 0 || BStart == 0, and AEnd == len(a) || BEnd == len(b).
type Alignment struct {
	Score        int
	AStart, AEnd int
	BStart, BEnd int
	Runs         []Run
}

// Counts says what the columns of an alignment hold.
type Counts struct {
	// Columns are the compared columns: those with N on neither side.
	Columns int
	// Identical columns hold two codes whose base sets intersect.
	Identical int
	// IdenticalStrict columns hold the same unambiguous base twice.
	IdenticalStrict int
	Substitutions   int // pairs of disjoint codes
	GapEvents       int // runs of gap columns, not counting runs of N only
	GapBases        int // gap columns whose base is not N
	Ambiguous       int // columns with N or another ambiguity code on either side
	// AOutside counts the compared columns outside the interval of a given to
	// Count (for percent identity: the 5.8S).
	AOutside int
	// ACompared counts the bases of a in compared columns.
	ACompared int
}

// Interval is a stretch of positions, half-open and 0-based.
type Interval struct{ Start, End int }

// Empty reports whether the interval holds no position.
func (v Interval) Empty() bool { return v.End <= v.Start }
