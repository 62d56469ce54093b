package phylogeny

import (
	"math/rand/v2"
	"slices"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

// How far apart the ITS of two records are, by the narrowest rank that they
// share: edits in percent of the longer one. The limits are for the middle half
// of the pairs (common practice, no source).
func TestDivergenceByRank(t *testing.T) {
	tree := New(Shape{Records: 3000, Seed: 4})
	r := rand.New(rand.NewPCG(4, 4))
	var apart [record][]float64
	seq := func(nodes [record + 1]int) []byte {
		l := tree.at(&nodes, haplotype)
		return slices.Concat(l.its1, l.r58s, l.its2)
	}
	for range 600_000 {
		a, b := tree.path(r.IntN(tree.Len())), tree.path(r.IntN(tree.Len()))
		shared := haplotype
		for shared > order && a[shared] != b[shared] {
			shared--
		}
		if shared == haplotype || a[order] != b[order] || len(apart[shared]) >= 150 {
			continue
		}
		x, y := seq(a), seq(b)
		p, err := align.NewPattern(x)
		require.NoError(t, err)
		edits := p.Distance(y, align.Reach{QEnd: len(x), TEnd: len(y)}, len(x)+len(y))
		apart[shared] = append(apart[shared], 100*float64(edits)/float64(max(len(x), len(y))))
	}
	for _, row := range []struct {
		name        string
		rank        rank
		least, most float64
	}{
		{"species", species, 0, 1},
		{"group", group, 1, 6},
		{"genus", genus, 3, 15},
		{"family", family, 8, 25},
		{"order", order, 20, 45},
	} {
		list := apart[row.rank]
		require.Greater(t, len(list), 100, row.name)
		slices.Sort(list)
		q := quantiles(list)
		t.Logf("two records of one %-8s %.1f %% apart (10, 25, 50, 75, 90 %% points)", row.name, q)
		require.GreaterOrEqual(t, q[1], row.least, row.name)
		require.LessOrEqual(t, q[3], row.most, row.name)
	}
}
