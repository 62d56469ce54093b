package batch_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/phylogeny"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// Vouchers looked at together, which share the search where their barcodes are
// alike, get what each gets alone.
func TestTogetherAsAlone(t *testing.T) {
	tree := phylogeny.New(phylogeny.Shape{Records: 400, Seed: 11})
	var library, barcodes strings.Builder
	for i := range tree.Len() {
		r := tree.Record(i)
		fmt.Fprintf(&library, ">%s\n%s\n", r.Header, r.Seq)
	}
	for i, k := range phylogeny.Kinds {
		fmt.Fprintf(&barcodes, ">V%d\n%s\n", i, tree.Query(k, i).Seq)
	}
	lib, err := refs.Read(strings.NewReader(library.String()), refs.ReadOptions{})
	require.NoError(t, err)
	sequences, _, err := batch.Sequences(strings.NewReader(barcodes.String()), "barcodes.fasta")
	require.NoError(t, err)
	require.Len(t, sequences, len(phylogeny.Kinds))
	s := batch.DefaultSettings()
	var list, want []seqqc.VoucherResult
	if testing.Short() {
		sequences = sequences[:3] // each looked at thrice all the same
	}
	for _, n := range slices.Concat(sequences, sequences, sequences) {
		label := lib.Record(len(list)).Name.Taxon()
		v := seqqc.VoucherResult{
			Voucher: seqqc.Voucher{Code: fmt.Sprint(n.Name, "-", len(list)), FieldID: label, Kind: seqqc.Specimen},
			Samples: []seqqc.SampleResult{{Contig: n.Contig, Match: &seqqc.Match{}}},
		}
		list = append(list, v)
		v.Samples = slices.Clone(v.Samples)
		alone, err := batch.Again(t.Context(), lib, v, s)
		require.NoError(t, err)
		want = append(want, alone)
	}
	got, err := batch.AgainAll(t.Context(), lib, list, s)
	require.NoError(t, err)
	require.Equal(t, want, got)
	kinds := map[seqqc.VerdictKind]bool{}
	for _, v := range got {
		kinds[v.Verdict.Kind] = true
	}
	require.Greater(t, len(kinds), 1)
}
