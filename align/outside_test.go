package align

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// biopython scores pairs of sequences, two words a line, as overlaps with
// free end gaps.
const biopython = `
import sys
from Bio import Align
from Bio.Align import substitution_matrices
codes = dict(A="A", C="C", G="G", T="T", R="AG", Y="CT", M="AC", K="GT", S="CG", W="AT",
             H="ACT", B="CGT", V="ACG", D="AGT", N="ACGT")
letters = "".join(codes)
m = substitution_matrices.Array(letters, dims=2)
for x in letters:
    for y in letters:
        m[x, y] = 0 if "N" in (x, y) else 2 if set(codes[x]) & set(codes[y]) else -3
al = Align.PairwiseAligner(mode="global", substitution_matrix=m)
al.open_gap_score, al.extend_gap_score = -6, -2
al.target_end_gap_score = al.query_end_gap_score = 0
for line in sys.stdin:
    print(int(al.score(*line.split())))
`

// Bio.Align.PairwiseAligner of Biopython (Debian's python3-biopython), run
// once over all pairs.
func TestOverlapScoreEqualsBiopython(t *testing.T) {
	python := pythonWith(t, "Bio.Align", "python3-biopython")
	r := rand.New(rand.NewPCG(9, 1))
	var input bytes.Buffer
	var scores []int
	g, err := NewAligner(ITS)
	require.NoError(t, err)
	for len(scores) < 4000 {
		a, b := randomPair(r, 150)
		if len(a) == 0 || len(b) == 0 {
			continue // no pair to that library
		}
		al, err := g.Overlap(a, b)
		require.NoError(t, err)
		scores = append(scores, al.Score)
		fmt.Fprintf(&input, "%s %s\n", a, b)
	}
	pairs := strings.Split(input.String(), "\n")
	got := outside(t, python, biopython, &input)
	require.Len(t, got, len(scores))
	for i, score := range got {
		require.Equal(t, score, scores[i], pairs[i])
	}
}

// openData gives a file of the open data, or skips.
func openData(t *testing.T, name ...string) string {
	t.Helper()
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no open data to compare with")
	}
	return filepath.Join(append([]string{root}, name...)...)
}

// degapped reads an aligned FASTA and drops the gaps.
func degapped(t *testing.T, path string) map[string][]byte {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	seqs, name := map[string][]byte{}, ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		if header, ok := strings.CutPrefix(line, ">"); ok {
			name = header
		} else {
			seqs[name] = append(seqs[name], strings.ReplaceAll(strings.ReplaceAll(line, "-", ""), "?", "N")...)
		}
	}
	return seqs
}

// Pairs of ITS sequences out of published alignments (TreeBASE S11398 and
// S12489), with two figures each: the identity in the published alignment
// over columns without a gap, from which a plain library alignment differed
// by at most 1.2 points, 0.38 on average (README of the data); and the
// identity over all columns, gaps included, in that library alignment.
func TestIdentityOfPublishedAlignments(t *testing.T) {
	table, err := os.ReadFile(openData(t, "its", "aligned_pairs_94plus.tsv"))
	require.NoError(t, err)
	rows := csv.NewReader(bytes.NewReader(table))
	rows.Comma = '\t'
	records, err := rows.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(records), 30)
	files := map[string]map[string][]byte{}
	var published, library [2]float64 // sum and greatest of the differences
	for _, rec := range records[1:] {
		if files[rec[0]] == nil {
			files[rec[0]] = degapped(t, openData(t, "its", "aligned", rec[0]))
		}
		a, b := files[rec[0]][rec[1]], files[rec[0]][rec[2]]
		require.NotEmpty(t, a, rec[1])
		require.NotEmpty(t, b, rec[2])
		al, err := Overlap(a, b, ITS)
		require.NoError(t, err)
		c, err := al.Count(a, b)
		require.NoError(t, err)
		differ := func(sums *[2]float64, column string, pct float64) {
			want, err := strconv.ParseFloat(column, 64)
			require.NoError(t, err)
			d := math.Abs(pct - want)
			require.LessOrEqual(t, d, 1.2, "%v: %.2f", rec, pct)
			sums[0], sums[1] = sums[0]+d, max(sums[1], d)
		}
		differ(&published, rec[6], pct(c.Identical, c.Identical+c.Substitutions))
		differ(&library, rec[8], c.IdentityPct())
	}
	n := float64(len(records) - 1)
	t.Logf("%g pairs: from the published alignment %.2f points on average, %.2f at most; from the library's %.2f and %.2f",
		n, published[0]/n, published[1], library[0]/n, library[1])
	require.LessOrEqual(t, published[0]/n, 0.4)
	require.LessOrEqual(t, library[0]/n, 0.1)
}
