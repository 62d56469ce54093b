package align

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// randomSeq gives n letters of alphabet.
func randomSeq(r *rand.Rand, n int, alphabet string) []byte {
	s := make([]byte, n)
	for i := range s {
		s[i] = alphabet[r.IntN(len(alphabet))]
	}
	return s
}

// mutated gives seq with about rate changes a base: substitutions, and gaps
// of one to six bases, letters taken from alphabet.
func mutated(r *rand.Rand, seq []byte, rate float64, alphabet string) []byte {
	var out []byte
	for i := 0; i < len(seq); i++ {
		switch x := r.Float64() / rate; {
		case x < 0.7:
			out = append(out, alphabet[r.IntN(len(alphabet))])
		case x < 0.85:
			i += r.IntN(6)
		case x < 1:
			out = append(append(out, randomSeq(r, 1+r.IntN(6), alphabet)...), seq[i])
		default:
			out = append(out, seq[i])
		}
	}
	return out
}

// randomPair gives two sequences of up to n bases that may be related,
// shifted, contained in one another, empty, poor in letters or rich in
// ambiguity codes.
func randomPair(r *rand.Rand, n int) (a, b []byte) {
	alphabets := []string{"ACGT", "ACGT", "ACGT", "AC", "A", "ACGTN", "ACGTRYSWKMBDHVN", "ACGTACGTACGTACGTNR"}
	alphabet := alphabets[r.IntN(len(alphabets))]
	a = randomSeq(r, r.IntN(n+1), alphabet)
	if r.IntN(4) == 0 {
		return a, randomSeq(r, r.IntN(n+1), alphabet)
	}
	lo := r.IntN(len(a) + 1)
	hi := lo + r.IntN(len(a)-lo+1)
	switch r.IntN(4) {
	case 0:
		lo, hi = 0, len(a)
	case 1:
		lo = 0
	case 2:
		hi = len(a)
	}
	b = mutated(r, a[lo:hi], []float64{0.01, 0.05, 0.2, 0.5}[r.IntN(4)], alphabet)
	switch r.IntN(4) {
	case 0:
		b = append(randomSeq(r, r.IntN(n/4+1), alphabet), b...)
	case 1:
		b = append(b, randomSeq(r, r.IntN(n/4+1), alphabet)...)
	}
	if r.IntN(2) == 0 {
		a, b = b, a
	}
	return a, b
}

var testScorings = []Scoring{ITS, {Match: 1, Mismatch: -1, GapOpen: 0, GapExtend: 1}, {Match: 1, Mismatch: -2, GapOpen: 0, GapExtend: 1}, {Match: 5, Mismatch: -4, GapOpen: 10, GapExtend: 2}, {Match: 3, Mismatch: 0, GapOpen: 1, GapExtend: 1}}

// word gives the columns of an alignment from the last to the first.
func word(al Alignment) []Op {
	var w []Op
	for _, run := range al.Runs {
		for range run.Len {
			w = append(w, run.Op)
		}
	}
	slices.Reverse(w)
	return w
}

// better holds the definition at Aligner, word for word.
func better(x, y Alignment) bool {
	wx, wy := word(x), word(y)
	switch {
	case x.Score != y.Score:
		return x.Score > y.Score
	case len(wx) != len(wy):
		return len(wx) < len(wy)
	case x.AEnd != y.AEnd:
		return x.AEnd > y.AEnd
	case x.BEnd != y.BEnd:
		return x.BEnd > y.BEnd
	}
	return firstPreferred(wx, wy)
}

func firstPreferred(x, y []Op) bool {
	order := map[Op]int{Pair: 0, OnlyB: 1, OnlyA: 2}
	for i := range x {
		if x[i] != y[i] {
			return order[x[i]] < order[y[i]]
		}
	}
	return false
}

// pathScore computes the score of an alignment from its columns alone.
func pathScore(al Alignment, a, b []byte, s Scoring) int {
	score, i, j := 0, al.AStart, al.BStart
	for _, run := range al.Runs {
		if run.Op != Pair {
			score -= s.GapOpen + run.Len*s.GapExtend
		}
		for range run.Len {
			switch run.Op {
			case Pair:
				x, y := Mask(a[i]), Mask(b[j])
				switch {
				case x == MaskN || y == MaskN:
				case x&y != 0:
					score += s.Match
				default:
					score += s.Mismatch
				}
				i, j = i+1, j+1
			case OnlyA:
				i++
			case OnlyB:
				j++
			}
		}
	}
	return score
}

// checkPath holds what the documentation of Alignment promises.
func checkPath(t testing.TB, al Alignment, a, b []byte, s Scoring) {
	t.Helper()
	require.True(t, al.AStart == 0 || al.BStart == 0)
	require.True(t, al.AEnd == len(a) || al.BEnd == len(b))
	i, j := al.AStart, al.BStart
	for k, run := range al.Runs {
		require.Positive(t, run.Len)
		if k > 0 {
			require.NotEqual(t, al.Runs[k-1].Op, run.Op)
			require.True(t, run.Op == Pair || al.Runs[k-1].Op == Pair, "a gap beside a gap")
		}
		if run.Op != OnlyB {
			i += run.Len
		}
		if run.Op != OnlyA {
			j += run.Len
		}
	}
	require.Equal(t, al.AEnd, i)
	require.Equal(t, al.BEnd, j)
	require.Equal(t, al.Score, pathScore(al, a, b, s))
}

// everyAlignment calls f with every overlap of a and b.
func everyAlignment(a, b []byte, f func(Alignment)) {
	var walk func(i0, j0, i, j int, ops []Op)
	walk = func(i0, j0, i, j int, ops []Op) {
		if i == len(a) || j == len(b) {
			al := Alignment{AStart: i0, AEnd: i, BStart: j0, BEnd: j}
			for _, op := range ops {
				if n := len(al.Runs); n > 0 && al.Runs[n-1].Op == op {
					al.Runs[n-1].Len++
				} else {
					al.Runs = append(al.Runs, Run{op, 1})
				}
			}
			f(al)
		}
		if i < len(a) && j < len(b) {
			walk(i0, j0, i+1, j+1, append(ops, Pair))
		}
		if i < len(a) {
			walk(i0, j0, i+1, j, append(ops, OnlyA))
		}
		if j < len(b) {
			walk(i0, j0, i, j+1, append(ops, OnlyB))
		}
	}
	for i := range len(a) + 1 {
		walk(i, 0, i, 0, nil)
	}
	for j := 1; j <= len(b); j++ {
		walk(0, j, 0, j, nil)
	}
}

// Every overlap of short sequences, listed and compared by the definition.
func TestOverlapIsTheDefinedOne(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for trial := range trials(600) {
		s := testScorings[trial%len(testScorings)]
		a, b := randomPair(r, 5)
		a, b = a[:min(5, len(a))], b[:min(5, len(b))]
		var best Alignment
		first := true
		everyAlignment(a, b, func(al Alignment) {
			al.Score = pathScore(al, a, b, s)
			if first || better(al, best) {
				best, first = al, false
			}
		})
		got, err := Overlap(a, b, s)
		require.NoError(t, err)
		require.Equal(t, best, got, "%s %s %+v", a, b, s)
	}
}

// plainOverlap is the textbook form: three full tables of (score, columns),
// and the way back over every origin of every value.
func plainOverlap(a, b []byte, s Scoring) Alignment {
	type value struct{ score, columns int }
	none := value{-1 << 40, 0}
	less := func(x, y value) bool {
		return x.score < y.score || x.score == y.score && x.columns > y.columns
	}
	plus := func(v value, score int) value { return value{v.score + score, v.columns + 1} }
	tables := [3][][]value{} // by the last column: Pair (or start), OnlyA, OnlyB
	for op := range tables {
		tables[op] = make([][]value, len(a)+1)
		for i := range tables[op] {
			tables[op][i] = slices.Repeat([]value{none}, len(b)+1)
		}
	}
	type origin struct {
		op   Op
		i, j int
		add  int
	}
	// before lists the columns that (op, i, j) may follow.
	before := func(op Op, i, j int) (list []origin) {
		for last := Pair; last <= OnlyB; last++ {
			gap := -s.GapExtend
			if last != op {
				gap -= s.GapOpen
			}
			switch {
			case op == Pair && i > 0 && j > 0:
				x, y := Mask(a[i-1]), Mask(b[j-1])
				score := s.Mismatch
				if x == MaskN || y == MaskN {
					score = 0
				} else if x&y != 0 {
					score = s.Match
				}
				list = append(list, origin{last, i - 1, j - 1, score})
			case op == OnlyA && i > 0:
				list = append(list, origin{last, i - 1, j, gap})
			case op == OnlyB && j > 0:
				list = append(list, origin{last, i, j - 1, gap})
			}
		}
		return list
	}
	for i := range len(a) + 1 {
		for j := range len(b) + 1 {
			for op := range tables {
				if op == int(Pair) && (i == 0 || j == 0) {
					tables[op][i][j] = value{}
					continue
				}
				for _, o := range before(Op(op), i, j) {
					if v := plus(tables[o.op][o.i][o.j], o.add); less(tables[op][i][j], v) {
						tables[op][i][j] = v
					}
				}
			}
		}
	}
	best, al := none, Alignment{}
	at := func(i, j int) value {
		v := tables[0][i][j]
		for _, t := range tables[1:] {
			if less(v, t[i][j]) {
				v = t[i][j]
			}
		}
		return v
	}
	for i := range len(a) + 1 {
		for j := range len(b) + 1 {
			if (i == len(a) || j == len(b)) && !less(at(i, j), best) {
				best, al = at(i, j), Alignment{Score: at(i, j).score, AEnd: i, BEnd: j}
			}
		}
	}
	// The states that a best alignment may have here, and the first of the
	// preferred kinds among them.
	var states []Op
	i, j := al.AEnd, al.BEnd
	for op := Pair; op <= OnlyB; op++ {
		if tables[op][i][j] == best {
			states = append(states, op)
		}
	}
	for i > 0 && j > 0 {
		op := OnlyA
		if slices.Contains(states, Pair) {
			op = Pair
		} else if slices.Contains(states, OnlyB) {
			op = OnlyB
		}
		if n := len(al.Runs); n > 0 && al.Runs[n-1].Op == op {
			al.Runs[n-1].Len++
		} else {
			al.Runs = append(al.Runs, Run{op, 1})
		}
		states = nil
		var next origin
		for _, o := range before(op, i, j) {
			next = o
			if plus(tables[o.op][o.i][o.j], o.add) == tables[op][i][j] {
				states = append(states, o.op)
			}
		}
		i, j = next.i, next.j
	}
	slices.Reverse(al.Runs)
	al.AStart, al.BStart = i, j
	return al
}

func TestOverlapEqualsPlainTables(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	aligners := make([]*Aligner, len(testScorings))
	for i, s := range testScorings {
		var err error
		aligners[i], err = NewAligner(s)
		require.NoError(t, err)
	}
	for trial := range trials(1500) {
		s, g := testScorings[trial%len(testScorings)], aligners[trial%len(testScorings)]
		a, b := randomPair(r, 80)
		want := plainOverlap(a, b, s)
		got, err := g.Overlap(a, b)
		require.NoError(t, err)
		require.Equal(t, want, got, "%s %s %+v", a, b, s)
		checkPath(t, got, a, b, s)

		// Any guess gives the same; a bound tells exactly whether it is met.
		got, err = g.OverlapGuess(a, b, want.Score+r.IntN(21)-10)
		require.NoError(t, err)
		require.Equal(t, want, got)
		for _, least := range []int{want.Score - 1, want.Score, want.Score + 1} {
			got, ok, err := g.OverlapAtLeast(a, b, least)
			require.NoError(t, err)
			require.Equal(t, least <= want.Score, ok, "%s %s %+v %d", a, b, s, least)
			if ok {
				require.Equal(t, want, got)
			}
		}
	}
}

func TestOverlapRefuses(t *testing.T) {
	_, err := Overlap([]byte("ACGT"), []byte("AC-T"), ITS)
	require.ErrorIs(t, err, ErrLetter)
	require.ErrorContains(t, err, "position 2 of the second sequence")
	_, err = Overlap([]byte("ACGP"), []byte("ACT"), ITS)
	require.ErrorContains(t, err, "position 3 of the first sequence")
	for _, s := range []Scoring{{}, {2, -5, 4, 2}, {2, 1, 4, 2}, {2, -3, -1, 2}, {2, -3, 4, 0}, {5000, -3, 4, 2}} {
		_, err := Overlap([]byte("A"), []byte("A"), s)
		require.ErrorIs(t, err, ErrScoring)
	}
	// Too many cells, though they could be numbered.
	_, err = Overlap(slices.Repeat([]byte("A"), 20_000), slices.Repeat([]byte("CG"), 10_000), ITS)
	require.ErrorIs(t, err, ErrTooLong)
}

func FuzzOverlap(f *testing.F) {
	f.Add([]byte("ACGTACGTNNACGT"), []byte("ACGTRYACGT"))
	f.Add([]byte(""), []byte("N"))
	f.Fuzz(func(t *testing.T, a, b []byte) {
		a, b = a[:min(len(a), 200)], b[:min(len(b), 200)]
		al, err := Overlap(a, b, ITS)
		if Invalid(a) >= 0 || Invalid(b) >= 0 {
			require.ErrorIs(t, err, ErrLetter)
			return
		}
		require.NoError(t, err)
		checkPath(t, al, a, b, ITS)
		require.Equal(t, plainOverlap(a, b, ITS), al)
		_, err = al.Count(a, b)
		require.NoError(t, err)
	})
}

func ExampleOverlap() {
	// Match 2, mismatch -3, a gap of g bases -(4 + 2g).
	a, b := []byte("TTACGTACGTACCGTT"), []byte("ACGTACGTACGTTGG")
	al, err := Overlap(a, b, ITS)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := al.Count(a, b)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(al.Score, al.AStart, al.AEnd, al.BStart, al.BEnd)
	fmt.Printf("%d of %d columns identical\n", c.Identical, c.Columns)
	// Output:
	// 20 2 16 0 13
	// 13 of 14 columns identical
}

func BenchmarkOverlap(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 1))
	for _, rate := range []float64{0, 0.01, 0.03, 0.1, 0.2, 0.4, 1} {
		x := randomSeq(r, 700, "ACGT")
		y := mutated(r, x, rate+1e-9, "ACGT")
		if rate == 1 {
			y = randomSeq(r, 700, "ACGT")
		}
		g, err := NewAligner(ITS)
		require.NoError(b, err)
		al, err := g.Overlap(x, y)
		require.NoError(b, err)
		for _, kind := range []string{"unguided", "guided"} {
			b.Run(fmt.Sprintf("rate=%g/%s", rate, kind), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if kind == "guided" {
						_, err = g.OverlapGuess(x, y, al.Score-20)
					} else {
						_, err = g.Overlap(x, y)
					}
					if err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func ExampleAligner() {
	g, err := NewAligner(ITS)
	if err != nil {
		fmt.Println(err)
		return
	}
	a := []byte("TTACGTACGTACCGTT")
	for _, b := range []string{"ACGTACGTACGTTGG", "GGCCGGCC"} {
		// Only alignments of score 10 and more are wanted.
		al, ok, err := g.OverlapAtLeast(a, []byte(b), 10)
		fmt.Println(al.Runs, ok, err)
	}
	// Output:
	// [{0 9} {1 1} {0 4}] true <nil>
	// [] false <nil>
}
