package align

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/biogo/biogo/align"
	"github.com/biogo/biogo/align/matrix"
	"github.com/biogo/biogo/alphabet"
	"github.com/biogo/biogo/seq/linear"
	"github.com/stretchr/testify/require"
)

// withGap gives a copy of a matrix with a score for gaps.
func withGap(m [][]int, gap int) [][]int {
	out := make([][]int, len(m))
	for i, row := range m {
		out[i] = slices.Clone(row)
		for j := range row {
			if i == 0 || j == 0 {
				out[i][j] = gap
			}
		}
	}
	return out
}

func total(blocks []Block) (sum int) {
	for _, b := range blocks {
		sum += b.Score
	}
	return sum
}

// Durbin, Eddy, Krogh & Mitchison 1998, Biological Sequence Analysis, chapter
// 2: HEAGAWGHEE and PAWHEAE under BLOSUM50 and a gap of 8 a letter score 1
// globally, and 28 locally (AWGHE / AW-HE). With -11 for the first letter of
// a gap and -1 for the others the local score is 25, and GATTACA / GCATGCG
// under 1, -1, -1 scores 0: both worked out with Biopython 1.80.
func TestWorkedExamples(t *testing.T) {
	a, b := []byte("HEAGAWGHEE"), []byte("PAWHEAE")
	blocks, err := Biogo(Global, a, b, alphabet.Protein, withGap(matrix.BLOSUM50, -8), 0)
	require.NoError(t, err)
	require.Equal(t, 1, total(blocks))

	blocks, err = Biogo(Local, a, b, alphabet.Protein, withGap(matrix.BLOSUM50, -8), 0)
	require.NoError(t, err)
	require.Equal(t, 28, total(blocks))
	require.Equal(t, Interval{4, 9}, Interval{blocks[0].A.Start, blocks[len(blocks)-1].A.End})
	require.Equal(t, Interval{1, 5}, Interval{blocks[0].B.Start, blocks[len(blocks)-1].B.End})

	blocks, err = Biogo(Local, a, b, alphabet.Protein, withGap(matrix.BLOSUM50, -1), -10)
	require.NoError(t, err)
	require.Equal(t, 25, total(blocks))

	scores, open := Scoring{Match: 1, Mismatch: -1, GapExtend: 1}.Biogo()
	blocks, err = Biogo(Global, []byte("GATTACA"), []byte("GCATGCG"), alphabet.DNAredundant, scores, open)
	require.NoError(t, err)
	require.Equal(t, 0, total(blocks))
}

// What the wrapper is for: these are facts of biogo 1.0.4. Where one of them
// changes, the checks of Biogo can be looked at again.
func TestBiogoPanics(t *testing.T) {
	scores, open := ITS.Biogo()
	affine := align.Affine{Matrix: scores, GapOpen: open}
	dna := func(s string) *linear.Seq {
		return linear.NewSeq("", alphabet.BytesToLetters([]byte(s)), alphabet.DNAredundant)
	}
	for name, f := range map[string]func(){
		"NWAffine, letter":     func() { _, _ = align.NWAffine(affine).Align(dna("AC!T"), dna("ACGT")) },
		"FittedAffine, letter": func() { _, _ = align.FittedAffine(affine).Align(dna("ACGT"), dna("!CGT")) },
		"NWAffine, empty":      func() { _, _ = align.NWAffine(affine).Align(dna("ACGT"), dna("")) },
		"FittedAffine, empty":  func() { _, _ = align.FittedAffine(affine).Align(dna("ACGT"), dna("")) },
		"FittedAffine, small matrix": func() {
			small := align.Affine{Matrix: [][]int{{0}}, GapOpen: open}
			_, _ = align.FittedAffine(small).Align(dna("ACGT"), dna("ACGT"))
		},
	} {
		require.Panics(t, f, name)
	}
	_, err := align.SWAffine(affine).Align(dna("AC!T"), dna("ACGT"))
	require.Error(t, err)

	for _, mode := range []Mode{Global, Fitted, Local} {
		for _, pair := range [][2]string{{"AC!T", "ACGT"}, {"ACGT", "!CGT"}, {"AC-T", "ACGT"}, {"", "ACGT"}, {"ACGT", ""}} {
			_, err := Biogo(mode, []byte(pair[0]), []byte(pair[1]), alphabet.DNAredundant, scores, open)
			require.Error(t, err, "%v %q", mode, pair)
		}
		_, err := Biogo(mode, []byte("A"), []byte("A"), alphabet.DNAredundant, [][]int{{0}}, open)
		require.ErrorIs(t, err, ErrScoring)
	}
	_, err = Biogo(7, []byte("A"), []byte("A"), alphabet.DNAredundant, scores, open)
	require.Error(t, err)
	_, err = Biogo(Global, make([]byte, 10_000), make([]byte, 10_000), alphabet.DNAredundant, scores, open)
	require.ErrorIs(t, err, ErrTooLong)
}

// An overlap of a and b is a fitting of all of b into a with as many N on
// both sides: columns with N score 0, as free ends do.
func TestOverlapScoreEqualsBiogo(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	scores, open := ITS.Biogo()
	g, err := NewAligner(ITS)
	require.NoError(t, err)
	compared := 0
	for range 3000 {
		a, b := randomPair(r, 60)
		if len(a) == 0 || len(b) == 0 {
			continue
		}
		al, err := g.Overlap(a, b)
		require.NoError(t, err)
		ns := bytes.Repeat([]byte("N"), len(b))
		blocks, err := Biogo(Fitted, slices.Concat(ns, a, ns), b, alphabet.DNAredundant, scores, open)
		require.NoError(t, err)
		require.Equal(t, total(blocks), al.Score, "%s %s", a, b)
		compared++
	}
	require.Greater(t, compared, 2500)
}

func ExampleBiogo() {
	// Match 2, mismatch -3, a gap of g bases -(4 + 2g).
	scores, open := ITS.Biogo()
	blocks, err := Biogo(Fitted, []byte("TTACGTACCGTT"), []byte("ACGTCCG"), alphabet.DNAredundant, scores, open)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range blocks {
		fmt.Println(b.A, b.B, b.Score)
	}
	// Output:
	// {2 6} {0 4} 8
	// {6 7} {4 4} -6
	// {7 10} {4 7} 6
}

func BenchmarkBiogoFitted(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 1))
	x := randomSeq(r, 700, "ACGT")
	y := mutated(r, x, 0.03, "ACGT")
	scores, open := ITS.Biogo()
	for b.Loop() {
		if _, err := Biogo(Fitted, x, y, alphabet.DNAredundant, scores, open); err != nil {
			b.Fatal(err)
		}
	}
}
