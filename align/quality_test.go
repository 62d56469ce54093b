package align

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// qualityPairScore is the score of a pair as documented, from the sum over
// the four true bases rather than the closed form.
func qualityPairScore(x, y, qx, qy byte) int {
	switch {
	case Mask(x)&Mask(y) == 0:
	case !Plain(x) || !Plain(y):
		return 0
	}
	sees := func(call, truth int, e float64) float64 {
		if call == truth {
			return 1 - e
		}
		return e / 3
	}
	other := 0
	if Mask(x)&Mask(y) == 0 {
		other = 1
	}
	p := 0.0
	for truth := range 4 {
		p += sees(0, truth, CallError(min(qx, 60))) * sees(other, truth, CallError(min(qy, 60))) / 4
	}
	return int(math.Round(Bits * math.Log2(p*16)))
}

func qualityOpenScore(q byte) int {
	return int(math.Round(Bits * (math.Log2(CallError(min(q, 60))) - 2)))
}

// rescoreCalled adds up the columns of an alignment from its path alone.
func rescoreCalled(t *testing.T, al Alignment, a, b Called) int {
	t.Helper()
	i, j, score := al.AStart, al.BStart, 0
	for k, run := range al.Runs {
		require.Positive(t, run.Len)
		if k > 0 && run.Op != Pair {
			require.Equal(t, Pair, al.Runs[k-1].Op, "gap touches gap")
		}
		for c := range run.Len {
			switch run.Op {
			case Pair:
				score += qualityPairScore(a.Bases[i], b.Bases[j], a.Quals[i], b.Quals[j])
				i, j = i+1, j+1
			case OnlyA:
				if c == 0 {
					score += qualityOpenScore(min(a.Quals[i], b.Quals[j-1], b.Quals[j]))
				} else {
					score -= 2 * Bits
				}
				i++
			case OnlyB:
				if c == 0 {
					score += qualityOpenScore(min(b.Quals[j], a.Quals[i-1], a.Quals[i]))
				} else {
					score -= 2 * Bits
				}
				j++
			}
		}
	}
	require.Equal(t, al.AEnd, i)
	require.Equal(t, al.BEnd, j)
	if len(al.Runs) > 0 {
		require.Equal(t, Pair, al.Runs[0].Op)
		require.Equal(t, Pair, al.Runs[len(al.Runs)-1].Op)
		require.True(t, al.AStart == 0 || al.BStart == 0)
		require.True(t, al.AEnd == len(a.Bases) || al.BEnd == len(b.Bases))
	}
	return score
}

// bestOverlap is the oracle: the best score over every overlap, by plain
// recursion over where the next pair stands after the last one.
func bestOverlap(a, b Called) int {
	n, m := len(a.Bases), len(b.Bases)
	memo := map[[2]int]int{}
	// from gives the best score of the columns from pair (i,j) on.
	var from func(i, j int) int
	from = func(i, j int) int {
		if v, ok := memo[[2]int{i, j}]; ok {
			return v
		}
		best := 0
		if i < n-1 && j < m-1 {
			best = from(i+1, j+1)
			for k := i + 2; k < n; k++ { // a[i+1:k] over a gap
				gap := qualityOpenScore(min(a.Quals[i+1], b.Quals[j], b.Quals[j+1])) - 2*Bits*(k-i-2)
				best = max(best, gap+from(k, j+1))
			}
			for k := j + 2; k < m; k++ {
				gap := qualityOpenScore(min(b.Quals[j+1], a.Quals[i], a.Quals[i+1])) - 2*Bits*(k-j-2)
				best = max(best, gap+from(i+1, k))
			}
		}
		best += qualityPairScore(a.Bases[i], b.Bases[j], a.Quals[i], b.Quals[j])
		memo[[2]int{i, j}] = best
		return best
	}
	best := 0
	for i := range n {
		for j := range m {
			if i == 0 || j == 0 {
				best = max(best, from(i, j))
			}
		}
	}
	return best
}

func randomCalled(rng *rand.Rand, n int, letters string) Called {
	c := Called{Bases: make([]byte, n), Quals: make([]byte, n)}
	for i := range n {
		c.Bases[i] = letters[rng.IntN(len(letters))]
		c.Quals[i] = byte(rng.IntN(45))
	}
	return c
}

func TestOverlapQualityAgainstOracle(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	gapped := 0
	for i := range 3000 {
		letters := []string{"ACGT", "AC", "ACGTNRY"}[i%3]
		a := randomCalled(rng, rng.IntN(16), letters)
		b := randomCalled(rng, rng.IntN(16), letters)
		if i%2 == 0 && len(a.Bases) > 6 {
			// A relative of a: an overlap with an indel, where gaps pay.
			cut := 1 + rng.IntN(3)
			b.Bases = append([]byte(nil), a.Bases[cut:]...)
			at := rng.IntN(len(b.Bases))
			b.Bases = append(b.Bases[:at], b.Bases[at+1:]...)
			b.Quals = randomCalled(rng, len(b.Bases), letters).Quals
		}
		al, err := OverlapQuality(a, b)
		require.NoError(t, err)
		name := fmt.Sprintf("%s %v / %s %v", a.Bases, a.Quals, b.Bases, b.Quals)
		require.Equal(t, bestOverlap(a, b), al.Score, name)
		require.Equal(t, al.Score, rescoreCalled(t, al, a, b), name)
		if len(al.Runs) > 1 {
			gapped++
		}
	}
	require.Greater(t, gapped, 300, "the pairs must try gaps")
}

// Swapping the two sequences, or turning both round, keeps the score when all
// qualities are equal (an opened gap looks at the first base it leaves out,
// so that with unequal ones the turned score may differ).
func TestOverlapQualitySymmetry(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		a, b := randomCalled(rng, 40, "ACGT"), randomCalled(rng, 40, "ACGT")
		for i := range a.Quals {
			a.Quals[i], b.Quals[i] = 20, 20
		}
		ab, err := OverlapQuality(a, b)
		require.NoError(t, err)
		ba, err := OverlapQuality(b, a)
		require.NoError(t, err)
		require.Equal(t, ab.Score, ba.Score)
		turned, err := OverlapQuality(
			Called{ReverseComplement(a.Bases), a.Quals}, Called{ReverseComplement(b.Bases), b.Quals})
		require.NoError(t, err)
		require.Equal(t, ab.Score, turned.Score)
	}
}

func TestOverlapQualityKnown(t *testing.T) {
	q := func(n int, v byte) []byte { return []byte(strings.Repeat(string(rune(v)), n)) }
	called := func(s string, v byte) Called { return Called{[]byte(s), q(len(s), v)} }

	// 4 ((1-1e-4)^2 + 1e-8/3) = 3.9992, 1.9997 bits; differing 4(2e-4/3) =
	// 2.7e-4, -11.87 bits. Q10: 4 (0.81 + 0.01/3) = 3.2533, 1.70 bits;
	// differing 4 (0.06 + 0.02/9) = 0.2489, -2.01 bits. Worked by hand.
	require.Equal(t, int32(200), qualityScores.same[40][40])
	require.Equal(t, int32(-1187), qualityScores.differ[40][40])
	require.Equal(t, int32(170), qualityScores.same[10][10])
	require.Equal(t, int32(-201), qualityScores.differ[10][10])
	// A base without information agrees and differs alike.
	require.Zero(t, qualityScores.same[0][40])
	require.Zero(t, qualityScores.differ[0][40])

	al, err := OverlapQuality(called("TTTTACGTACGGATC", 40), called("ACGTACGGATCCCCC", 40))
	require.NoError(t, err)
	require.Equal(t, Alignment{Score: 2200, AStart: 4, AEnd: 15, BEnd: 11, Runs: []Run{{Pair, 11}}}, al)

	// A low quality makes the difference cheap where it lies.
	x, y := called("ACGTACGTTTGCAACGG", 40), called("ACGTACGTATGCAACGG", 40)
	strict, err := OverlapQuality(x, y)
	require.NoError(t, err)
	y.Quals[8] = 4
	lax, err := OverlapQuality(x, y)
	require.NoError(t, err)
	require.Greater(t, lax.Score, strict.Score)

	none, err := OverlapQuality(called("", 40), called("ACGT", 40))
	require.NoError(t, err)
	require.Zero(t, none)
	none, err = OverlapQuality(called("AAAA", 40), called("CCCC", 40))
	require.NoError(t, err)
	require.Zero(t, none)
}

func TestOverlapQualityBadInput(t *testing.T) {
	ok := Called{[]byte("ACGT"), []byte{9, 9, 9, 9}}
	_, err := OverlapQuality(ok, Called{[]byte("AC-T"), ok.Quals})
	require.ErrorIs(t, err, ErrLetter)
	require.ErrorContains(t, err, "second sequence: position 2")
	_, err = OverlapQuality(Called{[]byte("ACG"), ok.Quals}, ok)
	require.ErrorContains(t, err, "3 bases, 4 qualities")
	long := Called{[]byte(strings.Repeat("A", 20000)), make([]byte, 20000)}
	_, err = OverlapQuality(long, long)
	require.ErrorIs(t, err, ErrTooLong)
}

func FuzzOverlapQuality(f *testing.F) {
	f.Add([]byte("ACGTNACGT"), []byte("GTNACGTTT"), uint64(1))
	f.Add([]byte("AAAAAAAA"), []byte("AAAA"), uint64(9))
	f.Add([]byte(""), []byte("-"), uint64(0))
	f.Fuzz(func(t *testing.T, x, y []byte, seed uint64) {
		if len(x) > 14 || len(y) > 14 {
			return
		}
		rng := rand.New(rand.NewPCG(seed, 0))
		a, b := randomCalled(rng, len(x), "A"), randomCalled(rng, len(y), "A")
		a.Bases, b.Bases = x, y
		al, err := OverlapQuality(a, b)
		if Invalid(x) >= 0 || Invalid(y) >= 0 {
			require.ErrorIs(t, err, ErrLetter)
			return
		}
		require.NoError(t, err)
		require.Equal(t, bestOverlap(a, b), al.Score)
		require.Equal(t, al.Score, rescoreCalled(t, al, a, b))
	})
}

func BenchmarkOverlapQuality(b *testing.B) {
	rng := rand.New(rand.NewPCG(5, 6))
	x := randomCalled(rng, 700, "ACGT")
	y := Called{append([]byte(nil), x.Bases[200:]...), append([]byte(nil), x.Quals[200:]...)}
	tail := randomCalled(rng, 200, "ACGT")
	y.Bases, y.Quals = append(y.Bases, tail.Bases...), append(y.Quals, tail.Quals...)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := OverlapQuality(x, y); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleOverlapQuality() {
	read := func(bases string, quality byte) Called {
		c := Called{Bases: []byte(bases)}
		for range bases {
			c.Quals = append(c.Quals, quality)
		}
		return c
	}
	forward := read("GGATCATTACTGACCTGTGAT", 40)
	other := read("ACTGACTGTGATTTAAA", 20)
	al, err := OverlapQuality(forward, other)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("forward %d-%d over other %d-%d, %.1f bits\n",
		al.AStart, al.AEnd, al.BStart, al.BEnd, float64(al.Score)/Bits)
	fmt.Println(al.Runs)
	// Output:
	// forward 8-21 over other 0-12, 15.2 bits
	// [{0 5} {1 1} {0 7}]
}
