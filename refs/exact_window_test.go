package refs_test

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"forayseq/refs"

	"github.com/stretchr/testify/require"
)

// TestExactBehindLikelierRecords has records that share all words with the query,
// but not their order, so that they cover half of it and do not pass the gate;
// the one that passes shares fewer. The window is a share of the best identity.
func TestExactBehindLikelierRecords(t *testing.T) {
	r := rand.New(rand.NewPCG(45, 1))
	q := bases(r, 240)
	var seqs [][]byte
	for range 40 {
		seqs = append(seqs, slices.Concat(q[120:], bases(r, 10), q[:120]))
	}
	seqs = append(seqs, changed(r, q, 0.1))
	c := exactCase{seqs, refs.Query{Seq: q}, exactGate}
	plain := alignPlainly(t, c.seqs, c.query, c.gate)
	for _, within := range []func(float64) float64{nil, exactWindow, func(best float64) float64 { return best / 10 }} {
		for n := range 2 {
			scan, err := refs.NewScan(context.Background(), c.library(), c.query, c.gate)
			require.NoError(t, err)
			got, err := scan.Best(n, within, nil)
			require.NoError(t, err)
			require.Empty(t, difference(plain.best(math.Inf(-1), n, within, nil), got), "%d", n)
		}
	}
}
