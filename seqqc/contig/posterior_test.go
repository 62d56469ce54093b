package contig

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

// bruteForce gives the posterior of a column by writing out the joint
// probability of every true state with every call, call by call.
func bruteForce(calls []call) map[uint8]float64 {
	truths := []uint8{align.MaskA, align.MaskC, align.MaskG, align.MaskT}
	for _, c := range calls {
		if c.mask == gapMask {
			truths = append(truths, gapMask)
			break
		}
	}
	s := float64(len(truths))
	joint := map[uint8]float64{}
	sum := 0.0
	for _, truth := range truths {
		p := 1 / s
		for _, c := range calls {
			if c.mask == align.MaskN {
				continue
			}
			n := float64(bits.OnesCount8(c.mask))
			e := min(math.Pow(10, float64(c.quality)/-10), (s-n)/s)
			if c.mask&truth != 0 {
				p *= (1 - e) / n
			} else {
				p *= e / (s - n)
			}
		}
		joint[truth] = p
		sum += p
	}
	for truth := range joint {
		joint[truth] /= sum
	}
	return joint
}

func randomCalls(rng *rand.Rand, n int, gaps bool) []call {
	calls := make([]call, n)
	for i := range calls {
		calls[i] = call{mask: 1 << rng.IntN(4), quality: byte(rng.IntN(50))}
		switch k := rng.IntN(10); {
		case k == 0:
			calls[i].mask = uint8(1 + rng.IntN(15))
		case k < 3 && gaps:
			calls[i].mask = gapMask
		}
	}
	return calls
}

func TestPosteriorAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 5))
	for range 6000 {
		calls := randomCalls(rng, 1+rng.IntN(5), true)
		post, called := posterior(calls)
		if called == 0 {
			for _, c := range calls {
				require.Equal(t, align.MaskN, c.mask)
			}
			continue
		}
		sum := 0.0
		for truth, p := range bruteForce(calls) {
			require.InDelta(t, p, post[bits.TrailingZeros8(truth)], 1e-12)
			sum += post[bits.TrailingZeros8(truth)]
		}
		require.InDelta(t, 1, sum, 1e-12)
	}
}

// The consensus against what its rule says of the posterior.
func TestDecideAgainstItsRule(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 5))
	p := Defaults()
	splits, gaps := 0, 0
	for range 6000 {
		calls := randomCalls(rng, 1+rng.IntN(4), true)
		v := decide(calls, p)
		post := bruteForce(calls)
		called := uint8(0)
		for _, c := range calls {
			if c.mask != align.MaskN {
				called |= c.mask
			}
		}
		if called == 0 {
			require.Equal(t, verdict{mask: align.MaskN}, v)
			continue
		}
		require.Zero(t, v.mask&^called, "a state that nobody called")
		outside := 0.0
		for truth, prob := range post {
			if truth&v.mask == 0 {
				outside += prob
			}
		}
		require.Equal(t, int(min(50, math.Floor(-10*math.Log10(outside)+1e-6))), int(v.quality))
		if v.mask == gapMask {
			gaps++
			for truth, prob := range post {
				require.GreaterOrEqual(t, post[gapMask], prob*(1-1e-9), truth)
			}
			continue
		}
		best, inside, all, least := 0.0, 0.0, 0.0, 1.0
		for truth, prob := range post {
			if truth&called == 0 || truth == gapMask {
				continue
			}
			all += prob
			best = max(best, prob)
			if truth&v.mask != 0 {
				inside += prob
				least = min(least, prob)
			} else {
				require.LessOrEqual(t, prob, best, "left out %d", truth)
			}
		}
		require.GreaterOrEqual(t, best, post[gapMask]*(1-1e-9))
		if bits.OnesCount8(v.mask) == 1 {
			require.True(t, best >= p.SplitBelow || inside >= p.SplitBelow*all*(1-1e-9))
			continue
		}
		splits++
		require.Less(t, best, p.SplitBelow)
		require.GreaterOrEqual(t, inside, p.SplitBelow*all*(1-1e-9))
	}
	require.Greater(t, splits, 200)
	require.Greater(t, gaps, 200)
}

// One more read that agrees and has no error never lowers the quality.
func TestAgreeingCallNeverLowersQuality(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 6000 {
		calls := randomCalls(rng, 1+rng.IntN(4), true)
		v := decide(calls, Defaults())
		if v.mask != gapMask && bits.OnesCount8(v.mask) != 1 {
			continue
		}
		more := decide(append(calls, call{mask: v.mask, quality: 60}), Defaults())
		require.Equal(t, v.mask, more.mask)
		require.GreaterOrEqual(t, more.quality, v.quality)
	}
}

// The other strand's column has the other strand's consensus.
func TestDecideOnTheOtherStrand(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 5))
	for range 6000 {
		calls := randomCalls(rng, 1+rng.IntN(4), true)
		v := decide(calls, Defaults())
		other := make([]call, len(calls))
		for i, c := range calls {
			c.mask = complement(c.mask)
			other[len(calls)-1-i] = c
		}
		w := decide(other, Defaults())
		require.Equal(t, complement(v.mask), w.mask)
		require.Equal(t, v.quality, w.quality)
	}
}

// Worked by hand from the formula in the comment of decide.
func TestDecideKnown(t *testing.T) {
	const a, g, n = align.MaskA, align.MaskG, align.MaskN
	for _, c := range []struct {
		name  string
		calls []call
		want  verdict
	}{
		{"a lone call keeps its quality", []call{{a, 23, false}}, verdict{a, 23}},
		{"even a poor one", []call{{a, 4, false}}, verdict{a, 4}},
		{"N alone", []call{{n, 40, false}}, verdict{n, 0}},
		{"N beside a base", []call{{n, 40, false}, {a, 20, false}}, verdict{a, 20}},
		// Q20 twice: wrong 3 (0.01/3)^2 = 3.3e-5 of 0.98: Q44.7.
		{"two that agree", []call{{a, 20, false}, {a, 20, false}}, verdict{a, 44}},
		{"the cap", []call{{a, 40, false}, {a, 40, false}}, verdict{a, 50}},
		// A at Q31 (e 7.9e-4), G at Q12 (0.0631): G : A = (7.9e-4/3 x 0.937) :
		// (0.9992 x 0.0631/3) = 0.01173; C and T add 2 x 7.9e-4/3 x 0.0631/3 /
		// 0.021 = 5.3e-4. Wrong 0.0121, Q19.2.
		{"a weak rival", []call{{a, 31, false}, {g, 12, false}}, verdict{a, 19}},
		// Equal: both, and wrong only where both are: 2 (e/3)^2 of 2 (e/3)(1-e):
		// e/3 / (1-e) = 3.3e-4 at Q30, Q34.8.
		{"a split", []call{{a, 30, false}, {g, 30, false}}, verdict{a | g, 34}},
		{"an ambiguous call", []call{{a | g, 20, false}}, verdict{a | g, 20}},
		// G : A = 0.495 (0.001/3) : 0.495 (0.999), Q34.8.
		{"an ambiguous call settled", []call{{a | g, 20, false}, {a, 30, false}}, verdict{a, 34}},
		// Five states. A : gap = 0.9 (1e-4/4) : (0.1/4) 0.9999 = 9.0e-4; C, G, T
		// add 3 (1e-4/4)(0.1/4) / 0.025 = 7.5e-5: Q30.1. The other way the same.
		{"a gap that wins", []call{{gapMask, 40, false}, {a, 10, false}}, verdict{gapMask, 30}},
		{"a gap that loses", []call{{gapMask, 10, false}, {a, 40, false}}, verdict{a, 30}},
		{"a draw with a gap", []call{{gapMask, 20, false}, {a, 20, false}}, verdict{a, 2}},
		{"assumed alone", []call{{a, 13, true}}, verdict{a, 13}},
		{"assumed twice", []call{{a, 13, true}, {a, 13, true}}, verdict{a, 13}},
		{"assumed beside measured", []call{{a, 13, true}, {a, 25, false}}, verdict{a, 25}},
		// A : G = 0.99684 (0.0501/3) : 0.94988 (0.00316/3) = 16.6, so A has 0.94
		// and is split; outside both 2 (0.00316/3)(0.0501/3): the measured call alone
		// gives 2/3 of 0.00316, Q26.8.
		{"measured against assumed", []call{{g, 13, true}, {a, 25, false}}, verdict{a | g, 26}},
	} {
		require.Equal(t, c.want, decide(c.calls, Defaults()), c.name)
	}
}

func FuzzDecide(f *testing.F) {
	f.Add([]byte{1, 30, 4, 20})
	f.Add([]byte{16, 0, 15, 255})
	f.Fuzz(func(t *testing.T, data []byte) {
		var calls []call
		for i := 0; i+1 < len(data) && i < 100; i += 2 {
			m := data[i] & 31
			if m&gapMask != 0 || m == 0 {
				m = gapMask
			}
			calls = append(calls, call{m, data[i+1], data[i]&32 != 0})
		}
		if len(calls) == 0 {
			return
		}
		v := decide(calls, Defaults())
		require.NotZero(t, v.mask)
		require.LessOrEqual(t, v.quality, byte(50))
	})
}

// The ratio of the peaks limits a quality, and only lowers it: at 0.4 of
// heightSpread the normal distribution has 0.0110 beyond (ln 0.4 = -0.916, 2.29
// standard deviations), Q19; at 1 half, Q3.
func TestMixedPeaksAreDoubted(t *testing.T) {
	r := usable("f", seqqc.Forward, []byte("ACGTACGT"), []byte{40, 40, 40, 40, 10, 40, 40, 40})
	r.Kept = seqqc.Interval{Start: 1, End: 8}
	before := assemble(t, r)
	require.Equal(t, r.Trace.Quals[1:], before.Quals)
	r.Signal = &seqqc.Signal{Bases: make([]seqqc.BaseSignal, 8)}
	for i, ratio := range []float32{1, 0, 0.4, 1, 0.4, 0.05, 0, 0} {
		r.Signal.Bases[i].Ratio = ratio
	}
	want := []byte{40, 19, 3, 10, 40, 40, 40}
	require.Equal(t, want, assemble(t, r).Quals)
	r.Direction = seqqc.Reverse
	require.Equal(t, reversed(want), assemble(t, r).Quals)
	require.Equal(t, []byte{40, 40, 40, 40, 10, 40, 40, 40}, r.Trace.Quals)
}
