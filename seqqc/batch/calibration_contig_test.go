package batch_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/contig"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trim"
)

// qualityBin counts consensus bases of qualities from lo to below hi.
type qualityBin struct {
	lo, hi    int
	bases     int
	wrong     int
	predicted float64
}

// Contigs of simulated pairs of reads against their true sequence: where the
// two traces are read independently, the consensus qualities must mean what
// Phred values mean (Ewing & Green 1998, Genome Research 8: 186-194).
func TestContigErrorsOnSimulatedReads(t *testing.T) {
	samples := 60
	if testing.Short() {
		samples = 15
	}
	for _, preset := range []struct {
		name string
		p    simulate.Params
	}{{"good", simulate.Good()}, {"fair", simulate.Fair()}, {"poor", simulate.Poor()}} {
		rng := rand.New(rand.NewPCG(2026, 6))
		bins := []qualityBin{{lo: 0, hi: 10}, {lo: 10, hi: 20}, {lo: 20, hi: 30}, {lo: 30, hi: 40}, {lo: 40, hi: 50}, {lo: 50, hi: 95}}
		outcomes := map[string]int{}
		total := qualityBin{}
		for range samples {
			seq := simulate.NewLocus(rng, 150+rng.IntN(150), 150+rng.IntN(150)).Seq()
			forward, reverse, err := simulate.Amplicon(seq, "ITS1-F", "ITS4")
			require.NoError(t, err)
			c := contigOf(t, rng, forward, reverse, preset.p)
			if c == nil {
				outcomes["no usable read"]++
				continue
			}
			outcomes["contigs, flags: "+seqqc.JoinFlags(c.Flags)]++
			parts := []seqqc.Interval{{End: len(c.Bases)}}
			if !c.Gap.Empty() {
				parts = []seqqc.Interval{{End: c.Gap.Start}, {Start: c.Gap.End, End: len(c.Bases)}}
			}
			for _, v := range parts {
				differs := differences(t, c.Bases[v.Start:v.End], forward)
				for k, wrong := range differs {
					at := v.Start + k
					e, q := align.CallError(c.Quals[at]), int(c.Quals[at])
					b := &bins[slices.IndexFunc(bins, func(b qualityBin) bool { return q < b.hi })]
					for _, b := range []*qualityBin{b, &total} {
						b.bases++
						b.predicted += e
						if wrong {
							b.wrong++
						}
					}
				}
			}
		}
		for _, b := range bins {
			t.Logf("%s Q%d-%d: %d bases, %.2f errors predicted, %d seen", preset.name, b.lo, b.hi-1, b.bases, b.predicted, b.wrong)
		}
		t.Logf("%s, all: %d bases, %.2f errors predicted, %d seen; %v", preset.name, total.bases, total.predicted, total.wrong, outcomes)
		require.Greater(t, total.bases, samples*100)
		// Twice what is predicted, and room for the errors two reads share.
		require.LessOrEqual(t, float64(total.wrong), 2*total.predicted+10)
	}
}

// contigOf simulates, trims and assembles the two reads of a sample; nil where
// neither is usable.
func contigOf(t *testing.T, rng *rand.Rand, forward, reverse []byte, p simulate.Params) *seqqc.Contig {
	t.Helper()
	reads := []*seqqc.Read{
		{File: "f.ab1", Primer: "ITS1-F", Partner: "ITS4", Direction: seqqc.Forward, Trace: simulate.Read(rng, forward, p)},
		{File: "r.ab1", Primer: "ITS4", Partner: "ITS1-F", Direction: seqqc.Reverse, Trace: simulate.Read(rng, reverse, p)},
	}
	usable := 0
	for _, r := range reads {
		require.NoError(t, trim.Trim(r, trim.Defaults()))
		if r.Usable {
			usable++
		}
	}
	c, err := contig.Assemble(reads, contig.Defaults())
	if usable == 0 {
		require.ErrorIs(t, err, contig.ErrNoRead)
		return nil
	}
	require.NoError(t, err)
	return c
}
