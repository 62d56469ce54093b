package signal

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// A second peak of every height, up to a third of a spacing away, at every
// width from sharp to barely resolved, is found within five points; next to it
// nothing is.
func TestSecondPeak(t *testing.T) {
	const at = 60
	rng := rand.New(rand.NewPCG(1, 1))
	for _, sd := range []float64{2.5, 3.5, 4.5} {
		for _, share := range []float64{0.1, 0.25, 0.5, 0.75, 0.95} {
			for off := -4; off <= 4; off++ {
				bases := shuffled(rng, 120)
				second := another(bases[at-1 : at+2]...)
				d := draw(bases, sd)
				d.add(second, float64(d.at[at]+off), 1000*share)
				s := Measure(d.trace())
				b := s.Bases[at]
				what := fmt.Sprintf("sd %v, share %v, %d samples off", sd, share, off)
				require.Equal(t, string(bases[at]), string(b.Primary.Base), what)
				require.Equal(t, seqqc.Summit, b.Primary.Shape, what)
				require.InDelta(t, 1000, b.Primary.Height, 50, what)
				require.InDelta(t, d.at[at], b.Primary.At, 1, what)
				require.Equal(t, string(second), string(b.Secondary.Base), what)
				require.Equal(t, seqqc.Summit, b.Secondary.Shape, what)
				require.InDelta(t, d.at[at]+off, b.Secondary.At, 1, what)
				require.InDelta(t, share, b.Ratio, 0.05, what)
				require.InDelta(t, float64(b.Secondary.Height)*sd*math.Sqrt(2*math.Pi), b.Secondary.Area, 0.1*float64(b.Secondary.Area), what)
				require.Equal(t, []int{at}, doubles(s), what)
			}
		}
	}
}

// doubles gives the bases with a second peak.
func doubles(s *seqqc.Signal) []int {
	var at []int
	for i, b := range s.Bases {
		if b.Ratio > 0 {
			at = append(at, i)
		}
	}
	return at
}

// A second peak beside a base of its own channel stands on that base's flank.
// While it has a summit it is found; where the two have merged it is none, and
// its height still shows.
func TestSecondPeakBesideItsOwnBase(t *testing.T) {
	for _, sd := range []float64{2.5, 3.5} {
		bases := slices.Repeat([]byte("ACGT"), 30)
		d := draw(bases, sd)
		d.add(bases[61], float64(d.at[60]), 250)
		b := Measure(d.trace()).Bases[60]
		require.Equal(t, string(bases[61]), string(b.Secondary.Base))
		require.InDelta(t, 0.25, b.Ratio, 0.05, "sd %v", sd)
	}
	bases := slices.Repeat([]byte("ACGT"), 30)
	d := draw(bases, 6)
	d.add(bases[61], float64(d.at[60]), 250)
	b := Measure(d.trace()).Bases[60]
	require.Zero(t, b.Ratio)
	require.InDelta(t, 250, b.Heights[channelOf(bases[61])], 100)
}

// Flanks of neighbours are no second peaks, whatever the width.
func TestFlanksAreNoPeaks(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for _, sd := range []float64{2, 3, 4, 5, 6} {
		bases := simulate.RandomSequence(rng, 300)
		s := Measure(draw(bases, sd).trace())
		require.Empty(t, doubles(s), "sd %v", sd)
		for i, b := range s.Bases {
			require.Equal(t, string(bases[i]), string(b.Primary.Base), "sd %v, base %d", sd, i)
		}
	}
}

// Dyes that show in the channels beside theirs give no second peaks, and their
// share is told; a true second peak of a quarter is still a quarter.
func TestCrosstalk(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	const at = 150
	for _, share := range []float64{0.02, 0.05, 0.1, 0.15} {
		bases := shuffled(rng, 300)
		second := another(bases[at-1 : at+2]...)
		d := draw(bases, 3.5)
		d.add(second, float64(d.at[at]), 250)
		pure := d.samples
		for c := range d.samples {
			y := slices.Clone(pure[c])
			for i := range y {
				y[i] += share * (pure[(c+1)%4][i] + pure[(c+3)%4][i])
			}
			d.samples[c] = y
		}
		s := Measure(d.trace())
		require.Equal(t, []int{at}, doubles(s), "crosstalk %v", share)
		require.InDelta(t, 0.25, s.Bases[at].Ratio, 0.05, "crosstalk %v", share)
		require.Equal(t, string(second), string(s.Bases[at].Secondary.Base))
		for from := range 4 {
			for to := range 4 {
				want := []float64{1, share, 0, share}[(to-from+4)%4]
				require.InDelta(t, want, s.Crosstalk[from][to], 0.01, "%d in %d", from, to)
			}
		}
	}
}

// Simulated reads of one template: few second peaks of a fifth and more where
// the caller is sure.
func TestCleanReads(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for _, c := range []struct {
		name string
		p    simulate.Params
		most float64
	}{{"good", simulate.Good(), 0.015}, {"fair", simulate.Fair(), 0.05}} {
		sure, double := 0, 0
		for range 20 {
			tr := simulate.Read(rng, simulate.RandomSequence(rng, 700), c.p)
			for i, b := range Measure(tr).Bases {
				if tr.Quals[i] >= 30 {
					sure++
					if b.Ratio > 0.2 {
						double++
					}
				}
			}
		}
		t.Logf("%s: %d of %d calls of Q30 with a second peak above 0.2", c.name, double, sure)
		require.LessOrEqual(t, float64(double), c.most*float64(sure))
	}
}

// The baseline may lie anywhere and drift, and values may be negative.
func TestBaseline(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	bases := shuffled(rng, 300)
	d := draw(bases, 3)
	for i := range d.samples[1] {
		d.samples[1][i] += 400 - 0.1*float64(i)
		d.samples[2][i] -= 300
	}
	s := Measure(d.trace())
	require.Empty(t, doubles(s))
	require.InDelta(t, -300, s.Baseline[2], 5)
	require.InDelta(t, 400-0.05*float64(len(d.samples[1])), s.Baseline[1], 20)
	for i, b := range s.Bases {
		require.InDelta(t, 1000, b.Primary.Height, 60, "base %d", i)
	}
}

// Noise is told within a factor of two, and what it makes is mostly flat.
func TestNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	const sd = 30
	d := draw(shuffled(rng, 400), 3)
	for c := range d.samples {
		for i := range d.samples[c] {
			d.samples[c][i] += sd * rng.NormFloat64()
		}
	}
	s := Measure(d.trace())
	for c, noise := range s.Noise {
		require.Less(t, noise, 4.0*sd, "channel %d", c)
		require.Greater(t, noise, sd/2.0, "channel %d", c)
	}
	require.Less(t, len(doubles(s)), 20)
	require.Equal(t, seqqc.Interval{End: 400}, s.Usable)
}

func BenchmarkMeasure(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	p := simulate.Good()
	p.MaxBases = 1200
	t := simulate.Read(rng, simulate.RandomSequence(rng, 1200), p)
	for b.Loop() {
		if s := Measure(t); s.Usable.Len() < 100 {
			b.Fatal("no usable stretch")
		}
	}
	b.ReportMetric(float64(len(t.Bases)), "bases")
}

func BenchmarkQualities(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	t := simulate.Read(rng, simulate.RandomSequence(rng, 1000), simulate.Good())
	s := Measure(t)
	for b.Loop() {
		if len(Qualities(t, s)) == 0 {
			b.Fatal("no qualities")
		}
	}
}
