package trim

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

// bestWindow is the oracle: every stretch, summed anew.
func bestWindow(quals []byte, limit float64) seqqc.Interval {
	var best seqqc.Interval
	bestSum := int64(0)
	for start := range quals {
		sum := int64(0)
		for end := start + 1; end <= len(quals); end++ {
			sum += int64(limit*unit+0.5) - errorUnits[quals[end-1]]
			longer := sum == bestSum && sum > 0 && end-start > best.Len()
			if sum > bestSum || longer {
				best, bestSum = seqqc.Interval{Start: start, End: end}, sum
			}
		}
	}
	return best
}

func TestWindowAgainstOracle(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	for i := range 1500 {
		quals := make([]byte, rng.IntN(60))
		for k := range quals {
			switch i % 3 {
			case 0:
				quals[k] = byte(rng.IntN(45))
			case 1: // ties: at limit 0.1 a Q10 base is worth exactly nothing
				quals[k] = []byte{0, 10, 10, 40}[rng.IntN(4)]
			default:
				quals[k] = byte(rng.IntN(256))
			}
		}
		for _, limit := range []float64{0.01, 0.05, 0.1, 0.5} {
			require.Equal(t, bestWindow(quals, limit), Window(quals, limit), "%v at %v", quals, limit)
		}
	}
}

func TestWindowTies(t *testing.T) {
	for _, c := range []struct {
		name  string
		quals []byte
		limit float64
		want  seqqc.Interval
	}{
		{"nothing", nil, 0.05, seqqc.Interval{}},
		{"no good base", []byte{3, 5, 8}, 0.05, seqqc.Interval{}},
		{"only bases worth nothing", []byte{10, 10}, 0.1, seqqc.Interval{}},
		{"all", []byte{30, 30}, 0.05, seqqc.Interval{Start: 0, End: 2}},
		{"worth nothing, taken in at both ends", []byte{0, 10, 30, 10, 0}, 0.1, seqqc.Interval{Start: 1, End: 4}},
		{"the left of two equal ones", []byte{30, 0, 30}, 0.1, seqqc.Interval{Start: 0, End: 1}},
		{"the longer of two equal ones", []byte{30, 0, 30, 10}, 0.1, seqqc.Interval{Start: 2, End: 4}},
	} {
		require.Equal(t, c.want, Window(c.quals, c.limit), c.name)
	}
}

func TestClearEnds(t *testing.T) {
	for _, c := range []struct{ bases, want string }{
		{"", ""},
		{"ACGTACGT", "ACGTACGT"},
		{"ANCGTACGTNA", "ANCGTACGTNA"}, // one N a window is allowed
		{"NANCGTACGT", "ANCGTACGT"},    // two are not: the outer one goes
		{"ACGTACGTNRNA", "ACGTACGTN"},
		{"ACGTNNNNACGT", "ACGTNNNNACGT"}, // no end of five bases holds two
		{"NNNNN", ""},                    // an N alone is nothing
		{"ANNNA", "NA"},
		{"NN", ""},
	} {
		v := clearEnds([]byte(c.bases), seqqc.Interval{End: len(c.bases)}, 5, 1)
		require.Equal(t, c.want, c.bases[v.Start:v.End], c.bases)
	}
}

// Whatever goes in, both ends are clear afterwards, and what was cut begins
// and ends with an ambiguous base next to what is kept.
func FuzzClearEnds(f *testing.F) {
	f.Add([]byte("NANCGTNRACGTN"), 5, 1)
	f.Add([]byte("NNNN"), 2, 0)
	f.Fuzz(func(t *testing.T, bases []byte, size, most int) {
		if size < 1 || size > 100 || most < 0 || most > 100 || len(bases) > 1000 {
			return
		}
		v := clearEnds(bases, seqqc.Interval{End: len(bases)}, size, most)
		require.True(t, 0 <= v.Start && v.Start <= v.End && v.End <= len(bases), "%v", v)
		left, right := 0, 0
		for i := v.Start; i < v.End; i++ {
			if align.Plain(bases[i]) {
				continue
			}
			if i < v.Start+size {
				left++
			}
			if i >= v.End-size {
				right++
			}
		}
		require.LessOrEqual(t, left, most)
		require.LessOrEqual(t, right, most)
		if v.Start > 0 {
			require.False(t, align.Plain(bases[v.Start-1]))
		}
		if v.End < len(bases) {
			require.False(t, align.Plain(bases[v.End]))
		}
	})
}

func BenchmarkWindow(b *testing.B) {
	rng := rand.New(rand.NewPCG(2, 9))
	quals := make([]byte, 700)
	for i := range quals {
		quals[i] = byte(rng.IntN(45))
	}
	for b.Loop() {
		Window(quals, 0.02)
	}
}

// Of a read of nothing but N nothing is left, not the last that may be.
func TestClearEndsOfNothingButN(t *testing.T) {
	for n := range 12 {
		require.True(t, clearEnds(bytes.Repeat([]byte("N"), n), seqqc.Interval{End: n}, 5, 2).Empty())
	}
}
