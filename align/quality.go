package align

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Bits is one bit in the units of the scores of OverlapQuality.
const Bits = 100

// The gap model of OverlapQuality, in bits: of the errors of a base caller
// about one in four leaves out or adds a base, and a gap goes on with
// probability 1/4. Common practice, no source.
const (
	gapShareBits  = 2
	gapExtendBits = 2
)

// maxQuality is the highest Phred value told apart; higher ones count as it.
const maxQuality = 60

// maxQualityCells is the largest len(a) x len(b) that OverlapQuality takes, a
// byte each: two reads of 16,000 bases. maxQualityLen keeps the score of the
// longest gap within 32 bits.
const (
	maxQualityCells = 1 << 28
	maxQualityLen   = 1 << 20
)

// Called is a sequence with the Phred quality of each base.
type Called struct {
	Bases []byte
	Quals []byte // one a base
}

// ErrTooLong is the error of sequences too long to be aligned.
var ErrTooLong = errors.New("sequences too long to align")

// CallError gives the error probability of a base of Phred quality q,
// 10^(-q/10) (Ewing & Green 1998, Genome Research 8: 186-194, DOI
// 10.1101/gr.8.3.186), but never more than 3/4: the error of a base picked
// blindly, which says nothing.
func CallError(q byte) float64 {
	return min(0.75, math.Pow(10, -float64(q)/10))
}

// qualityScores holds the scores by the qualities of the two bases.
var qualityScores = func() (t struct {
	same, differ [maxQuality + 1][maxQuality + 1]int32
	open         [maxQuality + 1]int32
}) {
	for x := range t.open {
		e := CallError(byte(x))
		t.open[x] = int32(math.Round(Bits * (math.Log2(e) - gapShareBits)))
		for y := range t.open {
			f := CallError(byte(y))
			t.same[x][y] = int32(math.Round(Bits * math.Log2(4*((1-e)*(1-f)+e*f/3))))
			t.differ[x][y] = int32(math.Round(Bits * math.Log2(4*(e*(1-f)/3+f*(1-e)/3+2*e*f/9))))
		}
	}
	return t
}()

// States of the dynamic programme, and their bits in the traceback.
const (
	inPair = iota
	inOnlyA
	inOnlyB
)

// OverlapQuality gives the best overlap of two reads of one molecule, both on
// the same strand, weighing each base by its quality. Score is in units of
// 1/Bits bit: the base-2 logarithm of how much likelier the two stretches are
// as readings of one sequence than as unrelated ones. An alignment without
// columns (no overlap scores above zero) has Score 0 and no Runs; its
// coordinates then mean nothing.
//
// A pair of bases scores log2( P(x,y | one base) / (1/16) ) where, with error
// probabilities e and f spread evenly over the three wrong bases,
//
//	P(x,x) = ((1-e)(1-f) + ef/3) / 4
//	P(x,y) = (e(1-f)/3 + f(1-e)/3 + 2ef/9) / 4
//
// so that two bases of Q40 score +2 or -11.9 bits, two of Q10 +1.7 or -2. A
// code for several bases scores 0 against any code it has a base in common with.
// A gap costs 2 bits and -log2 of the largest error probability among the
// first base it leaves out and the two bases on its other side; each further
// base costs 2 bits. A gap in one sequence does not touch a gap in the other.
//
// Recurrence (Gotoh 1982, Journal of Molecular Biology 162: 705-708, DOI
// 10.1016/0022-2836(82)90398-9, with costs that depend on the place; a gap
// of k bases costs open + (k-1) extend):
//
//	M(i,j) = s(i,j) + max( M(i-1,j-1), X(i-1,j-1), Y(i-1,j-1) )
//	X(i,j) = max( M(i-1,j) + open(i|j), X(i-1,j) + extend )    a over a gap
//	Y(i,j) = max( M(i,j-1) + open(j|i), Y(i,j-1) + extend )    b over a gap
//
// with M = 0 along both edges and the best M in the last row or column as the
// end (no overlap begins or ends with a gap). Ties: the end in the last row (a
// runs out) with the largest j, then the end with the largest i; before each
// column a pair, then a gap in b, then a gap in a; an opened gap before a
// longer one.
//
// Time O(nm), memory nm bytes. The errors wrap ErrLetter or ErrTooLong, or
// tell of qualities that are not one a base.
func OverlapQuality(a, b Called) (Alignment, error) {
	for _, s := range []struct {
		name string
		c    Called
	}{{"first", a}, {"second", b}} {
		if len(s.c.Bases) != len(s.c.Quals) {
			return Alignment{}, fmt.Errorf("%s sequence: %d bases, %d qualities", s.name, len(s.c.Bases), len(s.c.Quals))
		}
		if i := Invalid(s.c.Bases); i >= 0 {
			return Alignment{}, fmt.Errorf("%s sequence: position %d: %q: %w", s.name, i, s.c.Bases[i], ErrLetter)
		}
	}
	n, m := len(a.Bases), len(b.Bases)
	if max(n, m) > maxQualityLen || n > 0 && m > maxQualityCells/n {
		return Alignment{}, fmt.Errorf("%d and %d bases: %w", n, m, ErrTooLong)
	}
	d := overlapQuality{
		a: a, b: b,
		qa: clampQuals(a.Quals), qb: clampQuals(b.Quals),
		back: make([]byte, n*m),
	}
	d.fill()
	return d.trace(), nil
}

// overlapQuality is one run of the dynamic programme.
type overlapQuality struct {
	a, b   Called
	qa, qb []byte // clamped to maxQuality
	// back holds for cell (i,j), both 1-based, at (i-1)*m + j-1: in the bits
	// of cameFrom the state before M, and whether X and Y went on.
	back []byte

	score      int32
	endA, endB int
}

const (
	cameFrom = 3
	xGoesOn  = 1 << 2
	yGoesOn  = 1 << 3
)

func clampQuals(quals []byte) []byte {
	out := make([]byte, len(quals))
	for i, q := range quals {
		out[i] = min(q, maxQuality)
	}
	return out
}

// neighbours gives for each place between two bases, at the index of the
// second, the lower quality of the two. The ends have no place.
func neighbours(quals []byte) []byte {
	out := make([]byte, len(quals)+1)
	for i := 1; i < len(quals); i++ {
		out[i] = min(quals[i-1], quals[i])
	}
	return out
}

func (d *overlapQuality) fill() {
	const never = math.MinInt32 / 2 // low enough, and adding scores cannot wrap
	const extend = -Bits * gapExtendBits
	n, m := len(d.a.Bases), len(d.b.Bases)
	besideA, besideB := neighbours(d.qa), neighbours(d.qb)
	maskB := make([]uint8, m)
	for j, c := range d.b.Bases {
		maskB[j] = Mask(c)
	}
	row := func(v int32) []int32 {
		r := make([]int32, m+1)
		for j := range r {
			r[j] = v
		}
		return r
	}
	// Row i-1 and row i; rows and columns 0 are M = 0, X = Y = never.
	m0, x0, y0 := row(0), row(never), row(never)
	m1, x1, y1 := row(0), row(never), row(never)
	for i := 1; i <= n; i++ {
		maskA, qa := Mask(d.a.Bases[i-1]), d.qa[i-1]
		same, differ := &qualityScores.same[qa], &qualityScores.differ[qa]
		for j := 1; j <= m; j++ {
			qb := d.qb[j-1]
			from, best := byte(inPair), m0[j-1]
			if x0[j-1] > best {
				from, best = inOnlyA, x0[j-1]
			}
			if y0[j-1] > best {
				from, best = inOnlyB, y0[j-1]
			}
			switch both := maskA & maskB[j-1]; {
			case both == 0:
				best += differ[qb]
			case both == maskA|maskB[j-1] && both&(both-1) == 0:
				best += same[qb]
			}
			m1[j] = best

			// No gap opens on an edge: there an overlap has not begun.
			opened := int32(never)
			if i > 1 {
				opened = m0[j] + qualityScores.open[min(qa, besideB[j])]
			}
			if x := x0[j] + extend; x > opened {
				x1[j], from = x, from|xGoesOn
			} else {
				x1[j] = opened
			}
			opened = never
			if j > 1 {
				opened = m1[j-1] + qualityScores.open[min(qb, besideA[i])]
			}
			if y := y1[j-1] + extend; y > opened {
				y1[j], from = y, from|yGoesOn
			} else {
				y1[j] = opened
			}
			d.back[(i-1)*m+j-1] = from
		}
		if i < n && m1[m] >= d.score {
			d.score, d.endA, d.endB = m1[m], i, m
		}
		m0, m1, x0, x1, y0, y1 = m1, m0, x1, x0, y1, y0
	}
	if n == 0 {
		return
	}
	for j := 1; j <= m; j++ {
		if m0[j] >= d.score {
			d.score, d.endA, d.endB = m0[j], n, j
		}
	}
}

// trace follows back from the best end to the edge.
func (d *overlapQuality) trace() Alignment {
	if d.score <= 0 {
		return Alignment{}
	}
	out := Alignment{Score: int(d.score), AEnd: d.endA, BEnd: d.endB}
	m := len(d.b.Bases)
	i, j, state := d.endA, d.endB, inPair
	for i > 0 && j > 0 {
		back := d.back[(i-1)*m+j-1]
		op := Pair
		switch state {
		case inPair:
			state = int(back & cameFrom)
			i, j = i-1, j-1
		case inOnlyA:
			op = OnlyA
			if back&xGoesOn == 0 {
				state = inPair
			}
			i--
		case inOnlyB:
			op = OnlyB
			if back&yGoesOn == 0 {
				state = inPair
			}
			j--
		}
		if k := len(out.Runs) - 1; k >= 0 && out.Runs[k].Op == op {
			out.Runs[k].Len++
		} else {
			out.Runs = append(out.Runs, Run{op, 1})
		}
	}
	slices.Reverse(out.Runs)
	out.AStart, out.BStart = i, j
	return out
}
