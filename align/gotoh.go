package align

import (
	"errors"
	"fmt"
	"math/bits"
	"slices"
)

// ErrLetter means that a sequence holds something else than nucleotide codes,
// ErrScoring that the aligner cannot use these scores.
var (
	ErrLetter  = errors.New("not a nucleotide code")
	ErrScoring = errors.New("scoring not supported")
)

const (
	// lost stands for minus infinity; values may fall below it by less than
	// 1<<30 (see load).
	lost = -1 << 30
	// maxCells bounds the memory of one alignment to 512 MiB. An ITS contig
	// against a reference of 100,000 bases stays below it.
	maxCells = 1 << 27
)

// Aligner makes overlap alignments and keeps its memory between them. It is
// not safe for concurrent use.
//
// The algorithm is that of Gotoh 1982, J. Mol. Biol. 162: 705-708, DOI
// 10.1016/0022-2836(82)90398-9, on the grid of positions (i, j), i bases of a
// and j bases of b used up:
//
//	H(i,0) = H(0,j) = 0
//	E(i,j) = max(H(i,j-1) - open - extend, E(i,j-1) - extend)    OnlyB
//	F(i,j) = max(H(i-1,j) - open - extend, F(i-1,j) - extend)    OnlyA
//	H(i,j) = max(H(i-1,j-1) + s(a[i-1], b[j-1]), E(i,j), F(i,j))
//
// The alignment ends at the greatest H of the last row and the last column.
//
// Which of several best alignments is given. The one of the highest score;
// of these, of fewest columns; of these, the one that ends furthest in a,
// then furthest in b; of these, reading the columns from the last to the
// first, the one that has a Pair where others have a gap, and OnlyB where
// others have OnlyA, at the first column where they differ. So gaps lie as
// far left as they can. An alignment of score 0 is always the empty one. The
// number of columns is carried in H: every value is score x K - columns with
// K greater than any number of columns.
//
// OnlyA right beside OnlyB is allowed by the recurrence and never given:
// pairing the last base of one with the first of the other costs no score,
// as NewAligner asks for Mismatch >= -2*GapExtend, and saves a column.
//
// Pruning. No path gains more than Match x min(len(a)-i, len(b)-j) after
// (i, j). With a bound s0 on the final score, cells with H + this gain < s0 lie
// on no path that reaches s0; rows are computed and kept only between their
// first and last cell that is not so. Values of kept cells off the best paths
// may come out too low, never too high, and those on every best path are
// exact, so is the way back. Where nothing reaches s0, s0 was a wrong guess
// and the work is done again with a lower one, at last with 0, which the
// empty alignment reaches. Time and memory are those of the kept cells:
// 4 bytes each, len(a) x len(b) at most, for near pairs a few percent of it.
type Aligner struct {
	s      Scoring
	k      int32         // K
	scores [16][16]int32 // K*s(x,y) - 1 by the masks of x and y
	a, b   []uint8       // masks
	h      []int32       // kept cells, row by row
	rows   []span        // of row i in h
	f      []int32       // F of the row above, by column
}

// span is the kept part of a row: columns lo to hi, both included, the first
// at h[at].
type span struct{ lo, hi, at int }

// NewAligner checks the scores: Match > 0 >= Mismatch >= -2*GapExtend,
// GapOpen >= 0, GapExtend > 0, none beyond 1000. The error wraps ErrScoring.
func NewAligner(s Scoring) (*Aligner, error) {
	switch {
	case s.Match <= 0, s.Mismatch > 0, s.GapOpen < 0, s.GapExtend <= 0,
		s.Mismatch < -2*s.GapExtend, s.Match > 1000, s.GapOpen > 1000, s.GapExtend > 1000:
		return nil, fmt.Errorf("%w: %+v", ErrScoring, s)
	}
	return &Aligner{s: s}, nil
}

// Overlap gives the best overlap alignment of a and b. The errors wrap
// ErrScoring, ErrLetter or ErrTooLong. For many pairs use an Aligner.
func Overlap(a, b []byte, s Scoring) (Alignment, error) {
	g, err := NewAligner(s)
	if err != nil {
		return Alignment{}, err
	}
	return g.Overlap(a, b)
}

// Overlap gives the best overlap alignment of a and b, in the sense described
// at Aligner. The errors wrap ErrLetter or ErrTooLong.
func (g *Aligner) Overlap(a, b []byte) (Alignment, error) {
	if err := g.load(a, b); err != nil {
		return Alignment{}, err
	}
	// Near pairs are the ones that are aligned most.
	top := g.s.Match * min(len(a), len(b))
	return g.descend(top-top/32, top)
}

// OverlapGuess is Overlap with a guess of the score to begin with; the result
// does not depend on it. A good guess is a little below the true score.
func (g *Aligner) OverlapGuess(a, b []byte, guess int) (Alignment, error) {
	if err := g.load(a, b); err != nil {
		return Alignment{}, err
	}
	return g.descend(guess, g.s.Match*min(len(a), len(b)))
}

// OverlapAtLeast is Overlap where the score is at least least, and false
// where it is less, which is found out faster.
func (g *Aligner) OverlapAtLeast(a, b []byte, least int) (Alignment, bool, error) {
	if err := g.load(a, b); err != nil {
		return Alignment{}, false, err
	}
	return g.bounded(max(least, 0))
}

// descend tries lower and lower bounds on the score.
func (g *Aligner) descend(guess, top int) (Alignment, error) {
	s0 := max(0, min(guess, top-1))
	for {
		al, ok, err := g.bounded(s0)
		if ok || err != nil {
			return al, err
		}
		// The paths had top-s0 to lose and lost it within the rows kept;
		// what they would lose to the end is a fair guess. What was reached
		// in spite of the bound is a sure one.
		loss := top - s0
		forecast := loss * (len(g.a) + 1) / len(g.rows)
		s0 = max(0, al.Score, top-min(max(forecast, loss*3/2), loss*4)-8)
	}
}

// load checks the sequences and prepares masks and scores.
func (g *Aligner) load(a, b []byte) error {
	var err error
	if g.a, err = appendMasks(g.a[:0], a, "first"); err != nil {
		return err
	}
	if g.b, err = appendMasks(g.b[:0], b, "second"); err != nil {
		return err
	}
	// All values lie within len(a)+1 steps of 0 or of lost: a cell is never
	// below its diagonal neighbour by more than the dearest column.
	dearest := max(g.s.Match, -g.s.Mismatch, g.s.GapOpen+g.s.GapExtend)
	shift := bits.Len(uint(len(a) + len(b)))
	if shift > 30 || (len(a)+2)*dearest >= 1<<30>>shift {
		return fmt.Errorf("%w: %d and %d bases", ErrTooLong, len(a), len(b))
	}
	if k := int32(1) << shift; k != g.k {
		g.k = k
		for x := range g.scores {
			for y := range g.scores[x] {
				g.scores[x][y] = k*int32(g.score(uint8(x), uint8(y))) - 1
			}
		}
	}
	return nil
}

func appendMasks(dst []uint8, seq []byte, which string) ([]uint8, error) {
	for i, c := range seq {
		m := masks[c]
		if m == 0 {
			return dst, fmt.Errorf("%w: %q at position %d of the %s sequence", ErrLetter, c, i, which)
		}
		dst = append(dst, m)
	}
	return dst, nil
}

// score gives the score of a column of the codes with masks x and y.
func (g *Aligner) score(x, y uint8) int {
	switch {
	case x == MaskN || y == MaskN:
		return 0
	case x&y != 0:
		return g.s.Match
	}
	return g.s.Mismatch
}

// bounded aligns the loaded sequences, considering only paths that can reach
// the score s0 >= 0. Where none does it gives false, and an Alignment that
// holds nothing but a score that some alignment reaches.
func (g *Aligner) bounded(s0 int) (Alignment, bool, error) {
	m, n := len(g.a), len(g.b)
	k := g.k
	match := int32(g.s.Match) * k
	open, ext := int32(g.s.GapOpen+g.s.GapExtend)*k+1, int32(g.s.GapExtend)*k+1
	// H + match*min(m-i, n-j) > floor keeps all paths of score s0 and more:
	// columns take less than K off a value.
	floor := (int32(s0) - 1) * k

	if cap(g.f) < n+1 {
		g.f = make([]int32, n+1)
	}
	f := g.f[:n+1]
	for j := range f {
		f[j] = lost
	}
	g.h, g.rows = g.h[:0], g.rows[:0]

	// Row 0: starts along b.
	hi := n - (s0+g.s.Match-1)/g.s.Match
	if hi < 0 || s0 > g.s.Match*m {
		return Alignment{}, false, nil
	}
	g.h = slices.Grow(g.h, hi+1)[:hi+1]
	clear(g.h)
	g.rows = append(g.rows, span{0, hi, 0})
	endI, endJ, best := -1, -1, int32(lost)
	if hi == n {
		endI, endJ, best = 0, n, 0
	}

	for i := 1; i <= m; i++ {
		above := g.rows[i-1]
		at := len(g.h)
		// The row may reach from above.lo to n.
		need := at + n + 1 - above.lo
		if need > maxCells {
			return Alignment{}, false, fmt.Errorf("%w: %d and %d bases", ErrTooLong, m, n)
		}
		g.h = slices.Grow(g.h, n+1-above.lo)[:need]
		prev := g.h[above.at : above.at+above.hi-above.lo+1]
		cur := g.h[at:need]
		ff := f[above.lo:]
		bb := g.b[above.lo:]
		scores := &g.scores[g.a[i-1]]

		// Column above.lo: nothing to its left is kept but the free start.
		ff[0] = max(prev[0]-open, ff[0]-ext)
		cur[0] = ff[0]
		if above.lo == 0 {
			cur[0] = 0
		}
		e := cur[0] - open

		// Columns with a kept cell above and diagonally above. E opens from the
		// cell's best without E: a second opening never pays.
		width := len(prev)
		up := prev[0]
		if bb := bb[:width-1]; len(bb) > 0 {
			prev, cur, ff := prev[1:][:len(bb)], cur[1:][:len(bb)], ff[1:][:len(bb)]
			for x, y := range bb {
				v := up + scores[y&15]
				up = prev[x]
				fv := max(up-open, ff[x]-ext)
				ff[x] = fv
				v = max(v, fv)
				cur[x] = max(v, e)
				e = max(v-open, e-ext)
			}
		}
		// One more has a kept cell diagonally above; beyond it a gap may go on.
		x := width
		last := n - above.lo
		if x <= last {
			hv := max(up+scores[bb[x-1]&15], e)
			cur[x] = hv
			ff[x] = lost
			e = max(hv-open, e-ext)
			x++
		}
		for x <= last && e+match*int32(min(m-i, last-x)) > floor {
			cur[x] = e
			ff[x] = lost
			e -= ext
			x++
		}
		x--

		// Cut dead ends off.
		left, rest := 0, m-i
		for x >= left && cur[x]+match*int32(min(rest, last-x)) <= floor {
			x--
		}
		for left <= x && cur[left]+match*int32(min(rest, last-left)) <= floor {
			left++
		}
		if left > x {
			g.h = g.h[:at]
			break
		}
		g.rows = append(g.rows, span{above.lo + left, above.lo + x, at + left})
		g.h = g.h[:at+x+1]
		if x == last && cur[x] >= best {
			endI, endJ, best = i, n, cur[x]
		}
	}
	if len(g.rows) == m+1 {
		for row, j := g.rows[m], g.rows[m].lo; j <= row.hi; j++ {
			if v := g.h[row.at+j-row.lo]; v >= best {
				endI, endJ, best = m, j, v
			}
		}
	}
	score := int((best + k - 1) >> bits.TrailingZeros32(uint32(k)))
	if endI < 0 || score < s0 {
		return Alignment{Score: max(0, score)}, false, nil
	}
	al := g.trace(endI, endJ)
	al.Score = score
	return al, true, nil
}

// at gives H of a cell, lost where it was not kept.
func (g *Aligner) at(i, j int) int32 {
	row := g.rows[i]
	if j < row.lo || j > row.hi {
		return lost
	}
	return g.h[row.at+j-row.lo]
}

// trace reads the alignment that ends at (i, j) from the kept cells. The
// shortest gap that explains a value is taken: the column before it is then
// a Pair.
func (g *Aligner) trace(i, j int) Alignment {
	al := Alignment{AEnd: i, BEnd: j}
	add := func(op Op, n int) {
		if last := len(al.Runs) - 1; last >= 0 && al.Runs[last].Op == op {
			al.Runs[last].Len += n
			return
		}
		al.Runs = append(al.Runs, Run{op, n})
	}
	open, ext := int32(g.s.GapOpen)*g.k, int32(g.s.GapExtend)*g.k+1
	for i > 0 && j > 0 {
		v := g.at(i, j)
		if g.at(i-1, j-1)+g.scores[g.a[i-1]][g.b[j-1]] == v {
			add(Pair, 1)
			i, j = i-1, j-1
			continue
		}
		gap := 0
		for d := 1; d <= j && gap == 0; d++ {
			if g.at(i, j-d)-open-int32(d)*ext == v {
				gap = d
			}
		}
		if gap > 0 {
			add(OnlyB, gap)
			j -= gap
			continue
		}
		for d := 1; d <= i && gap == 0; d++ {
			if g.at(i-d, j)-open-int32(d)*ext == v {
				gap = d
			}
		}
		if gap == 0 {
			panic("align: a kept cell has no origin")
		}
		add(OnlyA, gap)
		i -= gap
	}
	al.AStart, al.BStart = i, j
	slices.Reverse(al.Runs)
	return al
}
