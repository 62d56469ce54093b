package batch_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/contig"
	"forayseq/seqqc/signal"
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

// Reads of two alleles that differ at 20 places, the minor one 42 % of the
// signal: of the bases called there, as many are not the major allele's as their
// qualities predict, within a factor of two; without the peaks it is a fraction.
func TestContigErrorsAtDoublePeaks(t *testing.T) {
	notUnderShort(t)
	for _, preset := range []struct {
		name string
		p    simulate.Params
	}{{"good", simulate.Good()}, {"fair", simulate.Fair()}} {
		for strands := 1; strands <= 2; strands++ {
			rng := rand.New(rand.NewPCG(2026, 42))
			var blind, seeing qualityBin
			for range 30 {
				locus := simulate.NewLocus(rng, 200, 200).Seq()
				forward, _, err := simulate.Amplicon(locus, "ITS1-F", "ITS4")
				require.NoError(t, err)
				other, sites, err := simulate.Substituted(rng, forward, 20, seqqc.Interval{Start: 60, End: len(forward) - 60})
				require.NoError(t, err)
				mix := func(a, b []byte) *seqqc.Trace {
					tr, _ := simulate.Mixture(rng, []simulate.Template{{Seq: a, Weight: 0.58}, {Seq: b, Weight: 0.42}}, preset.p)
					return tr
				}
				reads := []*seqqc.Read{
					{File: "f.ab1", Primer: "ITS1-F", Partner: "ITS4", Direction: seqqc.Forward, Trace: mix(forward, other)},
					{File: "r.ab1", Primer: "ITS4", Partner: "ITS1-F", Direction: seqqc.Reverse,
						Trace: mix(align.ReverseComplement(forward), align.ReverseComplement(other))},
				}[:strands]
				for _, r := range reads {
					require.NoError(t, trim.Trim(r, trim.Defaults()))
				}
				blind.addSites(t, reads, forward, sites)
				for _, r := range reads {
					r.Signal = signal.Measure(r.Trace)
				}
				seeing.addSites(t, reads, forward, sites)
			}
			t.Logf("%s, %d reads: %d sites, %d not the major allele's; predicted %.1f, without the peaks %.1f",
				preset.name, strands, seeing.bases, seeing.wrong, seeing.predicted, blind.predicted)
			require.Greater(t, seeing.wrong, 20, "too few to judge by")
			require.InDelta(t, 0, math.Log2(float64(seeing.wrong)/seeing.predicted), 1)
			require.Less(t, blind.predicted, float64(blind.wrong)/2)
		}
	}
}

// addSites counts the bases of the contig at sites of the major allele.
func (b *qualityBin) addSites(t *testing.T, reads []*seqqc.Read, major []byte, sites []int) {
	t.Helper()
	c, err := contig.Assemble(reads, contig.Defaults())
	require.NoError(t, err)
	al, err := align.Overlap(c.Bases, major, align.ITS)
	require.NoError(t, err)
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		for range run.Len {
			if run.Op == align.Pair && slices.Contains(sites, j) {
				b.bases++
				b.predicted += align.CallError(c.Quals[i])
				if align.Mask(c.Bases[i])&align.Mask(major[j]) == 0 {
					b.wrong++
				}
			}
			if run.Op != align.OnlyB {
				i++
			}
			if run.Op != align.OnlyA {
				j++
			}
		}
	}
}
