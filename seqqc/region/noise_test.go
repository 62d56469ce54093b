package region

import (
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// nullRounds is the number of random sequences per composition; set
// REGION_NULL_ROUNDS to measure a small rate.
func nullRounds(t *testing.T) int {
	if n, err := strconv.Atoi(os.Getenv("REGION_NULL_ROUNDS")); err == nil {
		return n
	}
	if testing.Short() {
		return 100
	}
	return 600
}

// Random sequences of 1,000 bases hold no border. At falseRate 1e-4 a count
// of 2 in 600 has a probability of about 0.2 %.
func TestRandomSequenceIsNotLocated(t *testing.T) {
	rounds := nullRounds(t)
	for _, gc := range []float64{0.3, 0.5, 0.65} {
		rng := newRand(uint64(1000 * gc))
		located := 0
		for range rounds {
			if Locate([]byte(randomBases(rng, 1000, gc))).Located {
				located++
			}
		}
		t.Logf("GC %.0f %%: %d of %d located", 100*gc, located, rounds)
		require.LessOrEqual(t, float64(located), 1+5e-4*float64(rounds), "GC %.2f", gc)
	}
}

// An outer border is not invented where the sequence has none: the 5.8S
// between spacers of random bases without SSU and LSU.
func TestNoBorderInvented(t *testing.T) {
	rounds := nullRounds(t)
	rng := newRand(5)
	invented := 0
	for range rounds {
		u := newUnit("", randomBases(rng, 400, 0.45), yeast58S, randomBases(rng, 400, 0.45), "")
		r := Locate([]byte(u.seq))
		require.Equal(t, span(u.r58s, u.its2), r.R58S)
		if !r.SSU.Empty() || !r.LSU.Empty() {
			invented++
		}
	}
	t.Logf("%d of %d", invented, rounds)
	// leastGene asks for one in 1,024 at most on each side.
	require.LessOrEqual(t, float64(invented), 1+2.0/1024*float64(rounds))
}

// detection is what the noise table counts.
type detection struct {
	located, strand             int
	ssu, start, end, lsu, whole int // borders within 5 bases of the truth
}

// Located borders in repeats of which every base, motifs included, is changed
// with the given probability: the table in the package documentation.
func TestDetectionUnderNoise(t *testing.T) {
	rounds := 300
	if testing.Short() {
		rounds = 60
	}
	for _, row := range []struct {
		rate                  float64
		located, inner, outer float64 // least shares
	}{
		{0, 1, 1, 1}, {0.05, 1, 1, 0.99}, {0.10, 1, 0.99, 0.98}, {0.15, 0.99, 0.98, 0.95}, {0.20, 0.97, 0.95, 0.85},
	} {
		rng := newRand(uint64(100*row.rate) + 7)
		var d detection
		for k := range rounds {
			u := yeastUnit(rng, 80+rng.IntN(300), 120+rng.IntN(300))
			seq, where := mutate(rng, u.seq, row.rate)
			turned := k%2 == 1
			if turned {
				seq = reversed(string(seq))
			}
			r := Locate(seq)
			if !r.Located {
				continue
			}
			d.located++
			if r.Complemented == turned {
				d.strand++
			}
			near := func(got, want int) bool { return max(got-where[want], where[want]-got) <= 5 }
			ok := [4]bool{
				!r.SSU.Empty() && near(r.SSU.End, u.its1), !r.R58S.Empty() && near(r.R58S.Start, u.r58s),
				!r.R58S.Empty() && near(r.R58S.End, u.its2), !r.LSU.Empty() && near(r.LSU.Start, u.tail),
			}
			for i, n := range []*int{&d.ssu, &d.start, &d.end, &d.lsu} {
				if ok[i] {
					*n++
				}
			}
			if r.ITS1Whole && r.ITS2Whole && !slices.Contains(ok[:], false) {
				d.whole++
			}
		}
		n := float64(rounds)
		t.Logf("%2.0f %%: located %5.1f, SSU end %5.1f, 5.8S start %5.1f, 5.8S end %5.1f, LSU start %5.1f, all four %5.1f",
			100*row.rate, 100*float64(d.located)/n, 100*float64(d.ssu)/n, 100*float64(d.start)/n,
			100*float64(d.end)/n, 100*float64(d.lsu)/n, 100*float64(d.whole)/n)
		require.Equal(t, d.located, d.strand, "on the wrong strand at %.2f", row.rate)
		require.GreaterOrEqual(t, float64(d.located)/n, row.located, "located at %.2f", row.rate)
		for _, c := range []int{d.start, d.end} {
			require.GreaterOrEqual(t, float64(c)/n, row.inner, "5.8S at %.2f", row.rate)
		}
		for _, c := range []int{d.ssu, d.lsu} {
			require.GreaterOrEqual(t, float64(c)/n, row.outer, "SSU, LSU at %.2f", row.rate)
		}
	}
}
