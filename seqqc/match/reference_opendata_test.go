package match_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// stand asks for the standing of one record.
func stand(t *testing.T, lib *refs.Library, record int) seqqc.Standing {
	t.Helper()
	s, err := match.Stand(context.Background(), lib, record, refs.Query{Seq: lib.Record(record).Seq}, match.Defaults())
	require.NoError(t, err)
	return s
}

// TestLabelsOfPublishedSequences asks which of the real labels are doubted.
// Every 16th is asked, all with FORAYSEQ_LONG.
func TestLabelsOfPublishedSequences(t *testing.T) {
	all := macrofungi(t)
	step := 16
	if os.Getenv("FORAYSEQ_LONG") != "" {
		step = 1
	}
	lib, _ := without(all, func(published) bool { return false })
	accused, asked := 0, 0
	for i := 0; i < lib.Len(); i += step {
		asked++
		if s := stand(t, lib, i); s.Doubtful {
			accused++
			r := lib.Record(i)
			t.Logf("%s %s: %s", r.ID, r.Name.Verbatim, s.Says())
		}
	}
	_, hi := wilson(accused, asked)
	t.Logf("%d of %d labels doubted, at most %.2f %%", accused, asked, 100*hi)
	require.Less(t, accused*100, asked, "1 %")
}

// relabelled is one way of putting wrong labels into a library.
type relabelled struct {
	what string
	// genus gives the wrong label, empty where there is none of the kind.
	genus func(rng *rand.Rand, lib *refs.Library, record int) string
	// together is how many near records get the label with it.
	together int
}

// other gives a genus of another taxon at rank r but of the same one above, of
// those with ten records or more.
func other(r, same refs.Rank) func(*rand.Rand, *refs.Library, int) string {
	return func(rng *rand.Rand, lib *refs.Library, record int) string {
		l := lib.Record(record).Lineage
		var genera []string
		seen := map[string]bool{l.Genus: true}
		for _, o := range lib.All() {
			g := o.Lineage.Genus
			if seen[g] {
				continue
			}
			seen[g] = true
			differs := o.Lineage.At(r) != "" && l.At(r) != "" && o.Lineage.At(r) != l.At(r)
			if differs && (same == refs.NoRank || o.Lineage.At(same) == l.At(same)) && len(lib.OfGenus(g)) >= 10 {
				genera = append(genera, g)
			}
		}
		if len(genera) == 0 {
			return ""
		}
		slices.Sort(genera)
		return genera[rng.IntN(len(genera))]
	}
}

// sister gives the genus of the nearest record of another genus.
func sister(_ *rand.Rand, lib *refs.Library, record int) string {
	scan, err := refs.NewScan(context.Background(), lib, refs.Query{Seq: lib.Record(record).Seq}, match.Defaults().Gate)
	if err != nil {
		return ""
	}
	g := lib.GenusNumber(record)
	near, err := scan.BestFrom(math.Inf(-1), 1, nil, func(r int) bool { return lib.GenusNumber(r) != g })
	if err != nil || len(near) == 0 {
		return ""
	}
	return lib.Record(near[0].Record).Lineage.Genus
}

// neighboursOf gives the nearest records of the same genus, other sequences.
func neighboursOf(t *testing.T, lib *refs.Library, record int) []refs.Found {
	scan, err := refs.NewScan(context.Background(), lib, refs.Query{Seq: lib.Record(record).Seq}, match.Defaults().Gate)
	require.NoError(t, err)
	g := lib.GenusNumber(record)
	near, err := scan.BestFrom(match.Defaults().Thresholds.Genus, 8, nil, func(r int) bool { return r != record && lib.GenusNumber(r) == g })
	require.NoError(t, err)
	return near
}

// TestWrongLabelsAmongPublishedSequences changes labels and asks for them, of
// records with at least four of their genus at its threshold or nearer.
func TestWrongLabelsAmongPublishedSequences(t *testing.T) {
	all := macrofungi(t)
	lib, _ := without(all, func(published) bool { return false })
	n := 25
	if os.Getenv("FORAYSEQ_LONG") != "" {
		n = 250
	}
	for _, kind := range []relabelled{
		{"another order", other(refs.Order, refs.NoRank), 0},
		{"another family of the order", other(refs.Family, refs.Order), 0},
		{"the sister genus", sister, 0},
		{"three together, another order", other(refs.Order, refs.NoRank), 2},
		{"three together, the sister genus", sister, 2},
	} {
		rng := rand.New(rand.NewPCG(59, 2006))
		found, asked := 0, 0
		for asked < n {
			record := rng.IntN(lib.Len())
			near := neighboursOf(t, lib, record)
			wrong := kind.genus(rng, lib, record)
			if len(near) < 4+kind.together || wrong == "" {
				continue
			}
			asked++
			relabel := map[int]bool{record: true}
			for _, f := range near[:kind.together] {
				relabel[f.Record] = true
			}
			records := make([]refs.Record, 0, lib.Len())
			for i, r := range lib.All() {
				if relabel[i] {
					r.Name = refs.Name{Verbatim: wrong, Genus: wrong, Rank: refs.Genus, Doubt: refs.DoubtSp}
					r.Lineage = refs.Lineage{}
				}
				records = append(records, r)
			}
			if s := stand(t, refs.NewLibrary(records, nil), record); s.Doubtful {
				found++
			} else if asked < 60 {
				t.Log(kind.what, lib.Record(record).ID, lib.Record(record).Lineage.Genus, fmt.Sprintf("%+v", s), near[3+kind.together].IdentityPct)
			}
		}
		lo, hi := wilson(found, asked)
		t.Logf("%s: %d of %d found (%.1f-%.1f %%)", kind.what, found, asked, 100*lo, 100*hi)
	}
}
