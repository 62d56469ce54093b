package refs_test

import (
	"bytes"
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"forayseq/align"
	"forayseq/refs"

	"github.com/stretchr/testify/require"
)

// BenchmarkScanAwkward searches libraries of 2,000 records, each of which but
// the first is awkward in one way, for one that differs by 3 % from one of
// them: the best ten with the window of a vote, and what lies apart.
func BenchmarkScanAwkward(b *testing.B) {
	const records, length = 2000, 600
	tree := phylogeny(rand.New(rand.NewPCG(51, 1)), records, length)
	for _, kind := range []struct {
		name string
		of   func(r *rand.Rand, i int) []byte
	}{
		{"ordinary", func(_ *rand.Rand, i int) []byte { return tree[i] }},
		{"one_genus", func(r *rand.Rand, _ int) []byte { return changed(r, tree[0], 0.04) }},
		{"100_copies", func(_ *rand.Rand, i int) []byte { return tree[i/100] }},
		{"homopolymers", func(r *rand.Rand, i int) []byte {
			if i%2 == 0 {
				return bytes.Repeat([]byte{"ACGT"[i/2%4]}, length-r.IntN(100))
			}
			at := r.IntN(len(tree[i]))
			return slices.Concat(tree[i][:at], bytes.Repeat([]byte{"ACGT"[r.IntN(4)]}, 10+r.IntN(60)), tree[i][at:])
		}},
		{"runs_of_N", func(r *rand.Rand, i int) []byte { return withRun(r, tree[i], "N", 20+r.IntN(200)) }},
		{"codes", func(r *rand.Rand, i int) []byte { return withCodes(r, tree[i], "RYSWKMBDHVN", 0.05) }},
		{"low_complexity", func(r *rand.Rand, _ int) []byte {
			unit := bases(r, 1+r.IntN(6))
			return changed(r, bytes.Repeat(unit, length/len(unit)), 0.03)
		}},
		{"very_short", func(r *rand.Rand, i int) []byte {
			if i%2 == 0 {
				return part(r, tree[i][:1+r.IntN(60)])
			}
			return tree[i]
		}},
		{"very_long", func(r *rand.Rand, i int) []byte {
			return slices.Concat(bases(r, r.IntN(4400)), tree[i], bases(r, r.IntN(4400)))
		}},
	} {
		r := rand.New(rand.NewPCG(52, 1))
		c := exactCase{seqs: make([][]byte, records)}
		for i := range c.seqs {
			c.seqs[i] = kind.of(r, i)
		}
		lib := c.library()
		var queries []refs.Query
		for range 16 {
			at := 1 + 2*r.IntN(records/2)
			seq := c.seqs[at]
			if len(seq) > 2*length { // a contig is no longer than what is amplified
				seq = tree[at]
			}
			seq = changed(r, seq, 0.03)
			exclude := align.Interval{Start: len(seq) * 2 / 5, End: len(seq) * 3 / 5}
			queries = append(queries, refs.Query{Seq: seq, Exclude: exclude,
				Whole: []align.Interval{{End: exclude.Start}, {Start: exclude.End, End: len(seq)}}})
		}
		search := func(q refs.Query) int {
			scan, err := refs.NewScan(context.Background(), lib, q, exactGate)
			require.NoError(b, err)
			best, err := scan.Best(10, exactWindow, nil)
			require.NoError(b, err)
			if len(best) == 0 {
				return 0
			}
			_, err = scan.Apart(5, best[len(best)-1].IdentityPct)
			require.NoError(b, err)
			return len(best)
		}
		search(queries[0]) // makes the index
		b.Run(kind.name, func(b *testing.B) {
			hits, n := 0, 0
			for b.Loop() {
				hits += search(queries[n%len(queries)])
				n++
			}
			b.ReportMetric(float64(hits)/float64(n), "hits/op")
		})
	}
}
