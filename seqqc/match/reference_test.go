package match_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// group gives n records of a genus, each k bases from the seed in places of its
// own (synthetic).
func group(rng *rand.Rand, prefix, genus string, seed []byte, n, k int) []refs.Record {
	var out []refs.Record
	for i := range n {
		seq := append([]byte(nil), seed...)
		for range k {
			at := rng.IntN(len(seq))
			seq[at] = map[byte]byte{'A': 'C', 'C': 'A', 'G': 'T', 'T': 'G'}[seq[at]]
		}
		out = append(out, record(fmt.Sprint(prefix, i), genus, fmt.Sprint("synth", i), seq))
	}
	return out
}

// TestOneWrongLabelDecidesNothing: one wrong label at 100 % among right ones
// outside its window. Without right neighbours, with few of them, or where the
// genus of the label is near too, it stands.
func TestOneWrongLabelDecidesNothing(t *testing.T) {
	for _, r := range []struct {
		what     string
		right    int // records of Russula, 4 bases of 600 from the contig
		own      int // other records of the label's genus, Lactarius
		ownApart int // and how many bases these lie from the contig
		doubtful bool
		taxon    string
	}{
		{"twenty right ones", 20, 5, 120, true, "Russula"},
		{"four right ones", 4, 5, 120, true, "Russula"},
		{"three right ones", 3, 5, 120, false, "Lactarius"},
		{"a sister genus", 20, 5, 10, false, "Lactarius"},
		{"a genus of one record", 20, 0, 0, false, "Lactarius"},
	} {
		t.Run(r.what, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(41, 1))
			seed := random(rng, 600)
			records := []refs.Record{record("WRONG", "Lactarius", "wrong", seed)}
			records = append(records, group(rng, "R", "Russula", mutated(seed, 4), r.right, 1)...)
			records = append(records, group(rng, "L", "Lactarius", mutated(seed, r.ownApart), r.own, 1)...)
			m, err := match.Match(context.Background(), refs.NewLibrary(records, nil), &seqqc.Contig{Bases: seed}, refs.Name{}, match.Defaults())
			require.NoError(t, err)
			require.Equal(t, r.doubtful, len(m.Doubtful) == 1, "%+v", m.Doubtful)
			require.Equal(t, r.taxon, m.Lineage.Genus, "%+v", m.Votes)
			require.Equal(t, "WRONG", m.Hits[0].Reference, "the list stays that of all references")
			require.Equal(t, r.doubtful, m.Hits[0].Doubtful)
			if r.doubtful {
				require.Contains(t, m.Flags, seqqc.ReferenceDoubtful)
				require.Contains(t, m.Doubtful[0].Says(), "are Russula")
			}
		})
	}
}

// TestThreeWrongTogether: three records of one study that bear a wrong name are
// each found beside four right ones, and none of the right ones is accused.
func TestThreeWrongTogether(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 1))
	seed := random(rng, 600)
	records := group(rng, "WRONG", "Lactarius", seed, 3, 2)
	records = append(records, group(rng, "R", "Russula", seed, 6, 2)...)
	records = append(records, group(rng, "L", "Lactarius", mutated(seed, 100), 6, 2)...)
	lib := refs.NewLibrary(records, nil)
	for i, rec := range lib.All() {
		s, err := match.Stand(context.Background(), lib, i, refs.Query{Seq: rec.Seq}, match.Defaults())
		require.NoError(t, err)
		require.Equal(t, i < 3, s.Doubtful, "%s: %+v", rec.ID, s)
	}
}

// TestFewWrongRecordsAccuseNobody: four records of one study stand wrong around a
// right one, far from the rest of the genus they name.
func TestFewWrongRecordsAccuseNobody(t *testing.T) {
	rng := rand.New(rand.NewPCG(47, 1))
	seed := random(rng, 600)
	records := group(rng, "RIGHT", "Russula", seed, 1, 0)
	records = append(records, group(rng, "WRONG", "Lactarius", seed, 5, 2)...)
	records = append(records, group(rng, "R", "Russula", mutated(seed, 40), 6, 2)...)
	records = append(records, group(rng, "L", "Lactarius", mutated(seed, 110), 6, 2)...)
	lib := refs.NewLibrary(records, nil)
	s, err := match.Stand(context.Background(), lib, 0, refs.Query{Seq: lib.Record(0).Seq}, match.Defaults())
	require.NoError(t, err)
	require.Equal(t, "Lactarius", s.Other)
	require.False(t, s.Doubtful, "%+v", s)
}

func ExampleStand() {
	rng := rand.New(rand.NewPCG(41, 1))
	seed := random(rng, 600)
	records := append([]refs.Record{record("WRONG", "Lactarius", "wrong", seed)}, group(rng, "R", "Russula", seed, 9, 2)...)
	records = append(records, group(rng, "L", "Lactarius", mutated(seed, 100), 4, 1)...)
	lib := refs.NewLibrary(records, nil)
	s, err := match.Stand(context.Background(), lib, 0, refs.Query{Seq: lib.Record(0).Seq}, match.Defaults())
	if err != nil {
		panic(err)
	}
	fmt.Println(s.Doubtful, s.Genus, s.Other, s.For)
	// Output: true Lactarius Russula 4
}
