package region

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
)

// geneOf invents a gene of n codons: places one and two of a codon from few
// amino acids, place three mostly C or G, as in many fungal genes.
func geneOf(seed uint64, n int) string {
	rng := newRand(seed)
	var b strings.Builder
	for range n {
		b.WriteString([]string{"GC", "GA", "AA", "GT", "CT", "AT", "GG", "AC", "TC", "CG"}[rng.IntN(10)])
		b.WriteByte("CCCGGTTC"[rng.IntN(8)])
	}
	return b.String()
}

func TestReadingFrame(t *testing.T) {
	rng := newRand(43)
	gene := geneOf(44, 160)
	for name, c := range map[string]struct {
		seq   string
		found bool
	}{
		"gene":             {gene, true},
		"in another frame": {"A" + gene + "TT", true},
		"between introns":  {randomBases(rng, 90, 0.4) + gene + randomBases(rng, 90, 0.4), true},
		"short":            {gene[:120], false},
		"random":           {randomBases(rng, 700, 0.55), false},
		"tandem repeat":    {strings.Repeat("GCTGACAAGGTC", 40), false},
		"one base":         {strings.Repeat("C", 600), false},
		"N":                {strings.Repeat("N", 600), false},
		"nothing":          {"", false},
	} {
		n := readingFrame(sets([]byte(c.seq)))
		require.Equal(t, c.found, n > 0, name)
		require.Equal(t, n, readingFrame(sets(align.ReverseComplement([]byte(c.seq)))), name)
		if c.found {
			require.GreaterOrEqual(t, n, len(gene)-3, name)
			r := Locate([]byte(c.seq))
			require.Contains(t, r.NotITS, "protein-coding gene", name)
			require.False(t, r.Located, name)
		}
	}
}

// Of the published ITS, whole and each spacer by itself, none looks like a
// gene; two sequences of Tuber (TB02309, TB02310) have one joined to their ITS
// by their authors. 4,276 sequences of TreeBASE.
func TestNoITSLooksCoding(t *testing.T) {
	asked := 0
	for k, rec := range openFasta(t, "its/macrofungi_its.fasta") {
		if k%20 != 0 && testing.Short() {
			continue
		}
		text := sets([]byte(rec.seq))
		joined := rec.id == "TB02309" || rec.id == "TB02310"
		require.Equal(t, joined, readingFrame(text) > 0, rec.title)
		if joined {
			continue
		}
		r := locateOnce(rec.seq)
		require.Zero(t, readingFrame(text[r.ITS1.Start:r.ITS1.End]), rec.title)
		require.Zero(t, readingFrame(text[r.ITS2.Start:r.ITS2.End]), rec.title)
		asked++
	}
	t.Logf("%d sequences", asked)
}

// Random bases of three compositions: at 16 bits one in 65,000 at most.
func TestReadingFrameByChance(t *testing.T) {
	rng := newRand(45)
	found := 0
	for k := range 3000 {
		if readingFrame(sets([]byte(randomBases(rng, 700, []float64{0.35, 0.5, 0.65}[k%3])))) > 0 {
			found++
		}
	}
	require.LessOrEqual(t, found, 1)
}
