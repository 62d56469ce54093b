package batch_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/contig"
	"forayseq/seqqc/simulate"
)

// readFrom simulates a read of a template and keeps at most n bases.
func readFrom(rng *rand.Rand, template []byte, n int, file, primer string) *seqqc.Read {
	t := simulate.Read(rng, template[:min(n, len(template))], simulate.Good())
	p, _ := seqqc.PrimerByName(primer)
	return &seqqc.Read{
		File: file, Primer: p.Name, Direction: p.Direction, Trace: t,
		Usable: true, Kept: seqqc.Interval{Start: 20, End: len(t.Bases)},
	}
}

// Clubs sequence more than the ITS of a specimen. A read of another stretch
// that is longer than the pair of the ITS, or as good, changes nothing.
func TestReadOfAnotherLocusDisplacesNoITS(t *testing.T) {
	for seed := range uint64(3) {
		rng := rand.New(rand.NewPCG(seed, 1))
		locus := simulate.NewLocus(rng, 180, 190)
		its1f, its4, err := simulate.Amplicon(locus.Seq(), "ITS1-F", "ITS4")
		require.NoError(t, err)
		lr0r, lr5, err := simulate.Amplicon(locus.Seq(), "LR0R", "LR5")
		require.NoError(t, err)
		pair := []*seqqc.Read{readFrom(rng, its1f, 700, "x_ITS1F.ab1", "ITS1-F"), readFrom(rng, its4, 700, "x_ITS4.ab1", "ITS4")}
		want, err := batch.Barcode(pair, contig.Defaults())
		require.NoError(t, err)
		require.Empty(t, want.Flags)
		// The reads of the two ends do not meet.
		ends := []*seqqc.Read{readFrom(rng, its1f, 240, "x_ITS1F.ab1", "ITS1-F"), readFrom(rng, its4, 240, "x_ITS4.ab1", "ITS4")}

		for name, c := range map[string]struct {
			its   []*seqqc.Read
			other *seqqc.Read
			says  string
			flags []seqqc.Flag
		}{
			"28S":                         {pair, readFrom(rng, lr0r, 1000, "x_LR0R.ab1", "LR0R"), "28S", nil},
			"28S, primer not known":       {pair, readFrom(rng, lr0r, 1000, "x_1.ab1", ""), "28S", nil},
			"28S beyond any known place":  {pair, readFrom(rng, lr5, 500, "x_LR5.ab1", "LR5"), "LR5", nil},
			"28S and one read of the ITS": {pair[:1], readFrom(rng, lr0r, 1000, "x_LR0R.ab1", "LR0R"), "28S", []seqqc.Flag{seqqc.OneStrandOnly}},
			"28S and ends that do not meet": {ends, readFrom(rng, lr0r, 1000, "x_LR0R.ab1", "LR0R"), "28S",
				[]seqqc.Flag{seqqc.TwoPart, seqqc.RegionIncomplete}},
			"protein gene": {pair, readFrom(rng, simulate.RandomSequence(rng, 1000), 1000, "x_EF1-983F.ab1", ""), "EF1", nil},
			// Of a stretch that nothing tells: it may be a swapped tube as well.
			"nothing tells": {pair, readFrom(rng, simulate.RandomSequence(rng, 1000), 1000, "x_REF1.ab1", ""), "", []seqqc.Flag{seqqc.StrandsDisagree}},
			"nothing tells, beside one read of the ITS": {pair[1:], readFrom(rng, simulate.RandomSequence(rng, 1000), 1000, "x_1.ab1", ""), "",
				[]seqqc.Flag{seqqc.OneStrandOnly}},
		} {
			t.Run(fmt.Sprintf("%s, %d", name, seed), func(t *testing.T) {
				alone, err := batch.Barcode(c.its, contig.Defaults())
				require.NoError(t, err)
				got, err := batch.Barcode(append([]*seqqc.Read{c.other}, c.its...), contig.Defaults())
				require.NoError(t, err)
				require.Equal(t, alone.Sequence, got.Sequence)
				require.Equal(t, alone.Reads, got.Reads)
				// How far a lone read reaches is not what the other one changes.
				flags := slices.Clone(c.flags)
				if slices.Contains(alone.Flags, seqqc.RegionIncomplete) && !slices.Contains(flags, seqqc.RegionIncomplete) {
					flags = append(flags, seqqc.RegionIncomplete)
				}
				require.Equal(t, flags, got.Flags)
				require.Contains(t, got.Notes[len(got.Notes)-1], c.other.File)
				require.Contains(t, got.Notes[len(got.Notes)-1], c.says)
				require.Equal(t, c.says != "", len(c.other.Notes) > 0)
			})
		}
	}
}

// A read of the large subunit that joins belongs to the molecule.
func TestReadThatReachesTheITSJoins(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	f, r, err := simulate.Amplicon(simulate.NewLocus(rng, 180, 190).Seq(), "ITS1-F", "LR5")
	require.NoError(t, err)
	c, err := batch.Barcode([]*seqqc.Read{readFrom(rng, f, 850, "x_ITS1F.ab1", "ITS1-F"), readFrom(rng, r, 640, "x_LR5.ab1", "LR5")}, contig.Defaults())
	require.NoError(t, err)
	require.Len(t, c.Reads, 2)
	require.Empty(t, c.Flags)
}

// Where no read is of the ITS, nothing is set aside.
func TestNoITSAtAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	f, _, err := simulate.Amplicon(simulate.NewLocus(rng, 180, 190).Seq(), "LR0R", "LR5")
	require.NoError(t, err)
	other := readFrom(rng, simulate.RandomSequence(rng, 400), 400, "x_EF1.ab1", "")
	c, err := batch.Barcode([]*seqqc.Read{other, readFrom(rng, f, 700, "x_LR0R.ab1", "LR0R")}, contig.Defaults())
	require.NoError(t, err)
	require.NotEmpty(t, c.Region.NotITS)
	require.Equal(t, "x_LR0R.ab1", c.Reads[0].File)
	require.Contains(t, c.Notes[0], other.File)
}
