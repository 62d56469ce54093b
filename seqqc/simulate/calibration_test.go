package simulate

import (
	"math"
	"math/rand/v2"
	"testing"

	"forayseq/align"
)

// bin counts the calls whose quality lies in [lo, hi).
type bin struct {
	lo, hi    byte
	calls     int
	errors    int
	predicted float64
}

func calibrate(seed uint64, reads int, p Params) []bin {
	bins := []bin{{lo: 5, hi: 10}, {lo: 10, hi: 15}, {lo: 15, hi: 20}, {lo: 20, hi: 25}, {lo: 25, hi: 30}, {lo: 30, hi: 40}, {lo: 40, hi: 63}}
	rng := rand.New(rand.NewPCG(seed, 1))
	for range reads {
		template := RandomSequence(rng, 500+int(500*uniform(rng)))
		t, truth := Mixture(rng, []Template{{Seq: template, Weight: 1}}, p)
		for i, q := range t.Quals {
			for b := range bins {
				if bins[b].lo <= q && q < bins[b].hi {
					bins[b].calls++
					bins[b].predicted += math.Pow(10, -float64(q)/10)
					if truth.Error(i, t.Bases[i], template) {
						bins[b].errors++
					}
				}
			}
		}
	}
	return bins
}

// The qualities a simulated caller gives must mean what Phred values mean
// (Ewing & Green 1998): in each bin the errors seen are within a factor of the
// errors predicted. The factor is wide because the presets are not the reads
// the knots were fitted on, as a laboratory's reads are not.
func TestQualitiesMeanWhatTheySay(t *testing.T) {
	for name, p := range map[string]Params{"good": Good(), "fair": Fair(), "poor": Poor()} {
		for _, b := range calibrate(77, 150, p) {
			t.Logf("%s Q%d-%d: %d calls, %.1f errors predicted, %d seen", name, b.lo, b.hi-1, b.calls, b.predicted, b.errors)
			// Room for chance: three standard deviations of a count.
			room := 3*math.Sqrt(b.predicted) + 3
			if got := float64(b.errors); got > 2*b.predicted+room || got < b.predicted/3-room {
				t.Errorf("%s Q%d-%d: %.1f errors predicted in %d calls, %d seen", name, b.lo, b.hi-1, b.predicted, b.calls, b.errors)
			}
		}
	}
}

// Each preset must be the read its comment promises.
func TestPresets(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	template := RandomSequence(rng, 1100)
	q20 := func(p Params) (n, recorded int) {
		tr := Read(rng, template, p)
		for _, q := range tr.Quals {
			if q >= 20 {
				n++
			}
		}
		return n, len(tr.Bases)
	}
	for _, c := range []struct {
		name     string
		p        Params
		min, max int
	}{
		{"good", Good(), 700, 1020}, {"fair", Fair(), 500, 750}, {"poor", Poor(), 100, 450},
		{"failed", Failed(), 0, 40}, {"short", Short(), 160, 220},
	} {
		n, recorded := q20(c.p)
		t.Logf("%s: %d of %d calls at Q20", c.name, n, recorded)
		if n < c.min || n > c.max {
			t.Errorf("%s: %d of %d calls at Q20, want %d to %d", c.name, n, recorded, c.min, c.max)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	template := RandomSequence(rng, 700)
	for b.Loop() {
		if t := Read(rng, template, Good()); align.Invalid(t.Bases) >= 0 {
			b.Fatal("no sequence")
		}
	}
}
