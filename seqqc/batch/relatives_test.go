package batch

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

func member(order, family, genus string, records ...int) relative {
	r := relative{label: genus, lineage: refs.Lineage{Order: order, Family: family, Genus: genus}}
	for _, rec := range records {
		r.hits = append(r.hits, &seqqc.Hit{Record: rec})
	}
	return r
}

func TestGroupsByOrderThenNarrower(t *testing.T) {
	var members []relative
	record := 0
	for i := range 40 { // 80 leaves of one order, 40 of each family
		record++
		members = append(members, member("O", fmt.Sprintf("F%d", i%2), fmt.Sprintf("G%d", i), record))
	}
	members = append(members, member("P", "Q", "R", 1000), member("", "", "S", 1001))
	var got []string
	for _, g := range groups(members, []refs.Rank{refs.Order, refs.Family, refs.Genus}) {
		got = append(got, fmt.Sprint(g.taxon, " ", g.rank, " ", len(g.members)))
	}
	require.Equal(t, []string{"  1", "F0 family 20", "F1 family 20", "P order 1"}, got)
}

// A genus with too many leaves is cut in parts, and nothing of it is lost.
func TestGroupsOfOneGenus(t *testing.T) {
	var members []relative
	for i := range 100 {
		members = append(members, member("O", "F", "G", i, i+1000))
	}
	n := 0
	for _, g := range groups(members, []refs.Rank{refs.Order, refs.Family, refs.Genus}) {
		require.LessOrEqual(t, leafCount(g.members), mostLeaves)
		require.Equal(t, "G", g.taxon)
		n += len(g.members)
	}
	require.Equal(t, 100, n)
}

func TestPairsThatShareTooLittleAreTakenApart(t *testing.T) {
	leaves := []leaf{{node: seqqc.TreeNode{Voucher: "a"}}, {node: seqqc.TreeNode{Voucher: "b"}}, {node: seqqc.TreeNode{References: []string{"SYN1"}}}}
	d := [][]float64{{0, 1, unknown}, {1, 0, unknown}, {unknown, unknown, 0}}
	kept, table, out := comparable(leaves, d)
	require.Len(t, kept, 2)
	require.Equal(t, [][]float64{{0, 1}, {1, 0}}, table)
	require.Equal(t, []string{"SYN1 shares fewer than 150 columns with 2 of the others"}, out)
}

// Distances are symmetric, and the percentage of columns that were changed.
func TestDistances(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	seq := make([]byte, 400)
	for i := range seq {
		seq[i] = "ACGT"[rng.IntN(4)]
	}
	changed := append([]byte(nil), seq...)
	for i := 10; i < 400; i += 40 { // ten substitutions
		changed[i] = map[byte]byte{'A': 'C', 'C': 'G', 'G': 'T', 'T': 'A'}[seq[i]]
	}
	d, err := distances(context.Background(), []leaf{{seq: seq}, {seq: changed}, {seq: seq[:100]}}, 1)
	require.NoError(t, err)
	require.InDelta(t, 2.5, d[0][1], 1e-9)
	require.Equal(t, d[0][1], d[1][0])
	require.EqualValues(t, unknown, d[0][2])
	require.Zero(t, d[1][1])
}
