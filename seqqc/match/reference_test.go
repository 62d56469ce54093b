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

// TestNeighboursOfAnotherFamily: one wrong label with a single record near it and
// five at 90 % of its true genus. Among genera of one family that says nothing;
// against a label of another family or order it does, unless the library has
// nothing else of the label's genus, or has more of its family near.
func TestNeighboursOfAnotherFamily(t *testing.T) {
	order := map[string]string{"Russulaceae": "Russulales", "Stereaceae": "Russulales", "Amanitaceae": "Agaricales"}
	for _, r := range []struct {
		what          string
		genus, family string // on the label
		own           int    // other records of the label's genus
		kin           int    // records of another genus of its family, as near as the neighbours
		doubtful      bool
		rank          refs.Rank
		says          string
	}{
		{"genus of the family", "Lactarius", "Russulaceae", 5, 0, false, refs.Genus, ""},
		{"another family", "Stereum", "Stereaceae", 5, 0, true, refs.Family, "its 4 nearest references of another family, down to 91.5 %, are Russulaceae, and the next record of Stereaceae, the family of Stereum, is at "},
		{"another order", "Amanita", "Amanitaceae", 5, 0, true, refs.Family, "are Russulaceae, and the next record of Amanitaceae, the family of Amanita, is at "},
		{"another family, no other of the genus", "Stereum", "Stereaceae", 0, 0, false, refs.Genus, ""},
		{"another family, of which others are near", "Stereum", "Stereaceae", 5, 3, false, refs.Genus, ""},
	} {
		t.Run(r.what, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(61, 1))
			seed := random(rng, 600)
			of := func(family string, records []refs.Record) []refs.Record {
				for i := range records {
					records[i].Lineage.Family, records[i].Lineage.Order = family, order[family]
				}
				return records
			}
			records := of(r.family, []refs.Record{record("WRONG", r.genus, "wrong", seed)})
			records = append(records, of("Russulaceae", group(rng, "N", "Russula", mutated(seed, 4), 1, 1))...)
			records = append(records, of("Russulaceae", group(rng, "R", "Russula", mutated(seed, 50), 5, 1))...)
			records = append(records, of("Stereaceae", group(rng, "K", "Acanthophysium", mutated(seed, 52), r.kin, 1))...)
			records = append(records, of(r.family, group(rng, "O", r.genus, mutated(seed, 190), r.own, 1))...)
			lib := refs.NewLibrary(records, nil)
			s := stand(t, lib, 0)
			require.Equal(t, r.doubtful, s.Doubtful, "%+v", s)
			require.Equal(t, r.rank, s.Rank, "%+v", s)
			if r.doubtful {
				require.Contains(t, s.Says(), r.says)
			}
			for i := range lib.Len() {
				if i > 0 {
					require.False(t, stand(t, lib, i).Doubtful, lib.Record(i).ID)
				}
			}
		})
	}
}

// TestTwoTriplesOfOneWrongName: three records near one another bear a wrong name,
// and three more bear the same further off, twice as far as the right ones around
// the first. Each three stand between right ones, and neither lends the other
// support.
func TestTwoTriplesOfOneWrongName(t *testing.T) {
	rng := rand.New(rand.NewPCG(67, 1))
	seed := random(rng, 600)
	further := mutated(seed, 24) // with the changes of mutated(seed, 8) among its own
	records := group(rng, "WRONG", "Lactarius", seed, 3, 4)
	records = append(records, group(rng, "ALSO", "Lactarius", further, 3, 1)...)
	records = append(records, group(rng, "R", "Russula", mutated(seed, 8), 5, 4)...)
	records = append(records, group(rng, "S", "Russula", further, 5, 1)...)
	records = append(records, group(rng, "L", "Lactarius", mutated(seed, 130), 6, 2)...)
	lib := refs.NewLibrary(records, nil)
	for i, rec := range lib.All() {
		require.Equal(t, i < 6, stand(t, lib, i).Doubtful, rec.ID)
	}
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
