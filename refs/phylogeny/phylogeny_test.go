package phylogeny_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/refs/phylogeny"

	"github.com/stretchr/testify/require"
)

func ExampleTree_Record() {
	tree := phylogeny.New(phylogeny.Shape{Records: 1000, Seed: 1})
	r := tree.Record(3)
	fmt.Println(r.Header)
	fmt.Println(len(r.Seq), "bases")
	// Output:
	// SYN0000004 [organism=Syncaballa synsubusa] [family=Syncabaraceae] synthetic sequence
	// 614 bases
}

func ExampleTree_Query() {
	tree := phylogeny.New(phylogeny.Shape{Records: 1000, Seed: 1})
	q := tree.Query(phylogeny.Truncated, 0)
	fmt.Println(q.Kind, q.R58S, q.ITS2, len(q.Seq))
	// Output:
	// one spacer {0 56} {56 317} 317
}

// The reader takes every record, with the name the tree gave it.
func TestLibraryReads(t *testing.T) {
	tree := phylogeny.New(phylogeny.Shape{Records: 3000, Seed: 2})
	var fasta bytes.Buffer
	require.NoError(t, tree.WriteFASTA(&fasta))
	lib, err := refs.Read(&fasta, refs.ReadOptions{})
	require.NoError(t, err)
	require.Equal(t, tree.Len(), lib.Len())
	seqs := map[string]int{}
	reversed, coded := 0, 0
	for i := range lib.Len() {
		got, want := lib.Record(i), tree.Record(i)
		require.Equal(t, want.ID, got.ID)
		require.Equal(t, want.Seq, got.Seq)
		require.Contains(t, got.Header, "synthetic")
		if got.Name.Unnamed {
			require.Contains(t, got.Header, "uncultured")
		} else {
			require.True(t, strings.HasPrefix(got.Name.Genus, "Syn"), got.Header)
			require.Contains(t, got.Header, got.Name.Genus)
		}
		seqs[string(got.Seq)]++
		if bytes.Contains(got.Seq, align.ReverseComplement([]byte("GATGAAGAACG"))) {
			reversed++
		}
		if bytes.Trim(got.Seq, "ACGT") != nil {
			coded++
		}
	}
	info := lib.Info()
	require.Greater(t, info.Genera, 100)
	require.Greater(t, info.Species, 3*info.Genera/2)
	require.Less(t, len(seqs), lib.Len()-20, "exact copies")
	require.InDelta(t, 60, reversed, 40, "of 3000 on the other strand")
	require.InDelta(t, 390, coded, 90, "of 3000 with codes")
}

func TestOneGenus(t *testing.T) {
	tree := phylogeny.New(phylogeny.Shape{Records: 500, Seed: 2, Genera: 1})
	var fasta bytes.Buffer
	require.NoError(t, tree.WriteFASTA(&fasta))
	lib, err := refs.Read(&fasta, refs.ReadOptions{})
	require.NoError(t, err)
	require.Equal(t, 1, lib.Info().Genera)
	require.Zero(t, phylogeny.New(phylogeny.Shape{}).Len())
}

// A record is a function of shape and number, whatever else was asked for.
func TestSameSeedSameLibrary(t *testing.T) {
	a := phylogeny.New(phylogeny.Shape{Records: 300, Seed: 5})
	b := phylogeny.New(phylogeny.Shape{Records: 300, Seed: 5})
	other := phylogeny.New(phylogeny.Shape{Records: 300, Seed: 6})
	differ := 0
	for i := range 300 {
		require.Equal(t, a.Record(i), b.Record(i))
		if !bytes.Equal(a.Record(i).Seq, other.Record(i).Seq) {
			differ++
		}
	}
	require.Greater(t, differ, 290)
	for _, k := range phylogeny.Kinds {
		require.Equal(t, a.Query(k, 7), b.Query(k, 7))
		require.NotEqual(t, a.Query(k, 7).Seq, a.Query(k, 8).Seq)
	}
}

// Queries lie as far from the record they come from as their kind says, and
// their parts where they are.
func TestQueries(t *testing.T) {
	tree := phylogeny.New(phylogeny.Shape{Records: 2000, Seed: 3})
	apart := map[phylogeny.Kind]float64{}
	const each = 16
	for _, k := range phylogeny.Kinds {
		measured := 0
		for n := range each {
			q := tree.Query(k, n)
			require.Equal(t, -1, align.Invalid(q.Seq))
			for _, v := range []align.Interval{q.ITS1, q.R58S, q.ITS2} {
				require.True(t, v.Empty() || v.Start >= 0 && v.End <= len(q.Seq))
			}
			seq, middle := q.Seq, q.R58S
			if k == phylogeny.Reversed {
				seq = align.ReverseComplement(seq)
				middle = align.Interval{Start: len(seq) - middle.End, End: len(seq) - middle.Start}
			}
			end := []byte("CCTGTTTGAGTGTC") // of the 5.8S, but for rare changes
			if bytes.Contains(seq, end) {
				require.True(t, bytes.Contains(seq[middle.Start:middle.End], end), "%v %d", k, n)
			}
			near := tree.Record(q.Near).Seq
			al, err := align.Overlap(seq, near, align.ITS)
			require.NoError(t, err)
			turned, err := align.Overlap(seq, align.ReverseComplement(near), align.ITS)
			require.NoError(t, err)
			if turned.Score > al.Score {
				al, near = turned, align.ReverseComplement(near)
			}
			c, err := al.Count(seq, near, align.Interval{})
			require.NoError(t, err)
			if c.ACompared > len(seq)*4/5 {
				apart[k] += 100 - c.IdentityPct()
				measured++
			}
		}
		require.Greater(t, measured, each/2)
		apart[k] /= float64(measured)
	}
	t.Logf("percent apart: %v", apart)
	require.Less(t, apart[phylogeny.Same], 0.1)
	for _, k := range []phylogeny.Kind{phylogeny.Apart3, phylogeny.Reversed} {
		require.InDelta(t, 3, apart[k], 0.8, k.String())
	}
	require.InDelta(t, 3, apart[phylogeny.Mixed], 1, "an ambiguity code agrees")
	require.InDelta(t, 10, apart[phylogeny.Apart10], 2)
	require.InDelta(t, 20, apart[phylogeny.Apart20], 4)
	require.Greater(t, apart[phylogeny.NoGenus], 8.0)
}

func BenchmarkRecord(b *testing.B) {
	tree := phylogeny.New(phylogeny.Shape{Records: 100_000, Seed: 1})
	i := 0
	for b.Loop() {
		tree.Record(i % tree.Len())
		i++
	}
}
