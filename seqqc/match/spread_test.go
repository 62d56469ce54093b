package match_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// located finds the whole sequence to be ITS.
func located(c *seqqc.Contig) {
	c.Region = seqqc.Region{Located: true, ITS1: seqqc.Interval{End: len(c.Bases)}}
}

// TestSpread has a genus of species 18 bases of 600 apart, with another genus
// 90 away: the cutoff lies between 94 % and 85 %.
func TestSpread(t *testing.T) {
	rng := rand.New(rand.NewPCG(53, 1))
	seed := random(rng, 600)
	records := group(rng, "R", "Russula", seed, 6, 9)
	records = append(records, group(rng, "L", "Lactarius", mutated(seed, 90), 6, 9)...)
	lib := refs.NewLibrary(records, nil)
	s, err := match.Spread(context.Background(), lib, "Russula", 5, located, match.Defaults())
	require.NoError(t, err)
	require.Equal(t, 6, s.Records)
	require.Equal(t, 5, s.Sampled)
	require.Len(t, s.Within, 10)
	require.True(t, slices.IsSorted(s.Within))
	require.Len(t, s.OtherSpecies, 5)
	require.Equal(t, 5, len(s.OtherGenus)+s.Beyond)
	require.Greater(t, s.CutoffPct, 85.)
	require.Less(t, s.CutoffPct, s.OtherSpecies[0])
	require.Zero(t, s.Misplaced)

	few, err := match.Spread(context.Background(), lib, "Russula", 3, located, match.Defaults())
	require.NoError(t, err)
	require.Zero(t, few.CutoffPct, "three records teach nothing")
}

// TestSpreadLeavesDoubtfulLabelsOut: of the records of Russula, one is a Lactarius
// by its sequence. It says nothing of Russula, nor of what is near it.
func TestSpreadLeavesDoubtfulLabelsOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(53, 1))
	seed := random(rng, 600)
	lactarius := mutated(seed, 90)
	records := group(rng, "R", "Russula", seed, 6, 9)
	records = append(records, group(rng, "L", "Lactarius", lactarius, 6, 9)...)
	right, err := match.Spread(context.Background(), refs.NewLibrary(records, nil), "Russula", 8, located, match.Defaults())
	require.NoError(t, err)
	require.Zero(t, right.LeftOut)

	records = append(records, record("WRONG", "Russula", "wrong", lactarius))
	for _, genus := range []string{"Russula", "Lactarius"} {
		s, err := match.Spread(context.Background(), refs.NewLibrary(records, nil), genus, 8, located, match.Defaults())
		require.NoError(t, err)
		require.Equal(t, 6, s.Sampled)
		require.Greater(t, s.Within[0], 94.)
		require.True(t, len(s.OtherGenus) == 0 || s.OtherGenus[len(s.OtherGenus)-1] < 90, "%v", s.OtherGenus)
		if genus == "Russula" {
			require.Equal(t, 1, s.LeftOut)
			name := refs.Name{Verbatim: genus, Genus: genus, Rank: refs.Genus}
			lib := refs.NewLibrary(records, nil)
			m, err := match.Match(context.Background(), lib, &seqqc.Contig{Bases: seed}, name, match.Defaults())
			require.NoError(t, err)
			w := match.Power(m, name, match.OfferOf(lib, refs.Genus, genus), &s, match.Defaults())
			require.Contains(t, w.Text, " is used), 1 record with a doubtful label left out.")
			s.LeftOut, s.Records = 0, 6
			require.Equal(t, right, s, "as without the record")
		}
	}
}

func TestPowerSaysWhatIsMissing(t *testing.T) {
	rng := rand.New(rand.NewPCG(59, 1))
	seed := random(rng, 600)
	records := group(rng, "R", "Russula", seed, 3, 3)
	records = append(records, records[0])
	records[3].ID = "COPY"
	records[1].Header = "R1 Russula synth1 from TYPE material"
	records = append(records, group(rng, "L", "Lactarius", mutated(seed, 60), 2, 3)...)
	lib := refs.NewLibrary(records, nil)
	o := match.OfferOf(lib, refs.Genus, "Russula")
	require.Equal(t, match.Offer{Records: 3, Species: 3, Types: 1}, o)

	asked := func(genus string) *seqqc.Power {
		name := refs.Name{Verbatim: genus, Genus: genus, Rank: refs.Genus}
		if genus == "" {
			name = refs.Name{}
		}
		m, err := match.Match(context.Background(), lib, &seqqc.Contig{Bases: seed}, name, match.Defaults())
		require.NoError(t, err)
		return match.Power(m, name, match.OfferOf(lib, refs.Genus, genus), nil, match.Defaults())
	}
	w := asked("Russula")
	require.True(t, w.Could, w.Text)
	require.Greater(t, w.GapPct, 5.)
	require.Contains(t, w.Text, "Another genus would have been seen: the library has 3 independent records of Russula in 3 species, 1 of them of type material")
	require.Contains(t, w.Text, "and the next genus, Lactarius, is ")
	absent := asked("Amanita")
	require.False(t, absent.Could)
	require.Contains(t, absent.Text, "no record of Amanita")
	require.Contains(t, asked("").Text, "names no taxon")
}

func ExampleSpread() {
	rng := rand.New(rand.NewPCG(53, 1))
	seed := random(rng, 600)
	records := append(group(rng, "R", "Russula", seed, 6, 9), group(rng, "L", "Lactarius", mutated(seed, 90), 6, 9)...)
	s, err := match.Spread(context.Background(), refs.NewLibrary(records, nil), "Russula", 5, located, match.Defaults())
	if err != nil {
		panic(err)
	}
	fmt.Println(s.Sampled, "of", s.Records, "records; a cutoff was learned:", s.CutoffPct > 0)
	// Output: 5 of 6 records; a cutoff was learned: true
}
