package region

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"

	"forayseq/align"
)

// Conserved parts of the repeat, written down from memory of Saccharomyces
// cerevisiae, Arabidopsis thaliana and Homo sapiens; the motif tables of the
// package were made apart from them where a primer was published. What the
// tests put between them is random, so every sequence here is synthetic.
const (
	yeastSSU = "GAGGCAATAACAGGTCTGTGATGCCCTTAGACGTTCTGGGCCGCACGCGCGCTACACTGACGGAGCCAGC" +
		"GAGTCTAACCTTGGCCGAGAGGTCTTGGTAATCTTGTGAAACTCCGTCGTGCTGGGGATAGAGCATTGTA" +
		"ATTATTGCTCTTCAACGAGGAATTCCTAGTAAGCGCAAGTCATCAGCTTGCGTTGATTACGTCCCTGCCC" +
		"TTTGTACACACCGCCCGTCGCTAGTACCGATTGAATGGCTTAGTGAGGCCTCAGGATCTGCTTAGAGAAG" +
		"GGGGCAACTCCATCTCAGAGCGGAGAATTTGGACAAACTTGGTCATTTAGAGGAACTAAAAGTCGTAACA" +
		"AGGTTTCCGTAGGTGAACCTGCGGAAGGATCATTA"
	yeast58S = "AACTTTCAACAACGGATCTCTTGGTTCTCGCATCGATGAAGAACGCAGCGAAATGCGATACGTAATGTGA" +
		"ATTGCAGAATTCCGTGAATCATCGAATCTTTGAACGCACATTGCGCCCCTTGGTATTCCAGGGGGCATGC" +
		"CTGTTTGAGCGTCATT"
	yeastLSU = "TTGACCTCAAATCAGGTAGGAGTACCCGCTGAACTTAAGCATATCAATAAGCGGAGGAAAAGAAACCAAC" +
		"CGGGATTGCCTTAGTAACGGCGAGTGAAGCGGCAAAAGCTCAAATTTGAAATCTGGTACCTTCGGTGCCC" +
		"GAGTTGTAATTTGGAGAGGGCAACTTTGGGGCCGTTCCTTGTCTATGTTCCTTGGAACAGGACGTCATAG" +
		"AGGGTGAGAATCCCGTGTGGCGAGGAGTGCGGTTCTTTGTAAAGTGCCTTCGAAGAGTCGAGTTGTTTGG" +
		"GAATGCAGCTCTAAGTGGGTGGTAAATTCCATCTAAAGCTAAATATTGGCGAGAGACCGATAGCGAACAA" +
		"GTACAGTGATGGAAAGATGAAAAGAACTTTGAAAAGAGAGTGAAAAAGTACGTGAAATTGTTGAAAGGGA" +
		"AGGGCATTTGATCAGACATGGTGTTTTGTGCCCTCTGCTCCTTGTGGGTAGGGGAATCTCGCATTTCACT" +
		"GGGCCAGCATCAGTTTTGGTGGCAGGATAAATCCATAGGAATGTAGCTTGCCTCGGTAAGTATTATAGCC" +
		"TGTGGGAATACTGCCAGCTGGGACTGAGGACTGCGACGTAAGTCAAGGATGCTGGCATAATGGTTATATG" +
		"CCGCCCGTCTTGAAACACGGACC"
	cressSSUEnd = "TCGTAACAAGGTTTCCGTAGGTGAACCTGCGGAAGGATCATTG"
	cress58S    = "GACTCTCGGCAACGGATATCTCGGCTCTCGCATCGATGAAGAACGTAGCGAAATGCGATACTTGGTGTGA" +
		"ATTGCAGAATCCCGTGAACCATCGAGTCTTTGAACGCAAGTTGCGCCCCAAGCCTTTTGGCCGAGGGCAC" +
		"GTCTGCCTGGGTGTCACA"
	cressLSU = "GCGACCCCAGGTCAGGCGGGATTACCCGCTGAGTTTAAGCATATCAATAAGCGGAGGA"
	human58S = "GACTCTTAGCGGTGGATCACTCGGCTCGTGCGTCGATGAAGAACGCAGCTAGCTGCGAGAATTAATGTGA" +
		"ATTGCAGGACACATTGATCATCGACACTTCGAACGCACTTGCGGCCCCGGGTTCCTCCCGGGGCTACGCC" +
		"TGTCTGAGCGTCGCTT"
)

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 58)) }

// randomBases gives n bases of which the share gc is G or C.
func randomBases(rng *rand.Rand, n int, gc float64) string {
	b := make([]byte, n)
	for i := range b {
		if rng.Float64() < gc {
			b[i] = "GC"[rng.IntN(2)]
		} else {
			b[i] = "AT"[rng.IntN(2)]
		}
	}
	return string(b)
}

// repeatUnit is a synthetic repeat with its true borders.
type repeatUnit struct {
	seq                    string
	its1, r58s, its2, tail int // starts of ITS1, 5.8S, ITS2 and LSU
}

func newUnit(ssu, its1, r58s, its2, lsu string) repeatUnit {
	u := repeatUnit{seq: ssu + its1 + r58s + its2 + lsu, its1: len(ssu)}
	u.r58s = u.its1 + len(its1)
	u.its2 = u.r58s + len(r58s)
	u.tail = u.its2 + len(its2)
	return u
}

// yeastUnit has a synthetic ITS1 and ITS2 of the given lengths between 68
// bases of SSU and 75 of LSU.
func yeastUnit(rng *rand.Rand, its1, its2 int) repeatUnit {
	return newUnit(yeastSSU[len(yeastSSU)-68:], randomBases(rng, its1, 0.45), yeast58S,
		randomBases(rng, its2, 0.45), yeastLSU[:75])
}

// mutate changes each base with probability rate: three in five
// substitutions, the rest insertions and deletions alike. where maps a place
// of seq to the mutated text.
func mutate(rng *rand.Rand, seq string, rate float64) (out []byte, where []int) {
	for i := range seq {
		where = append(where, len(out))
		if rng.Float64() >= rate {
			out = append(out, seq[i])
			continue
		}
		switch x := rng.Float64(); {
		case x < 0.6:
			out = append(out, "ACGT"[(strings.IndexByte("ACGT", seq[i])+1+rng.IntN(3))%4])
		case x < 0.8:
			out = append(out, seq[i], "ACGT"[rng.IntN(4)])
		}
	}
	return out, append(where, len(out))
}

// record is one record of a FASTA file.
type record struct{ id, title, seq string }

// locatedBefore has what Locate says of published sequences, which several tests
// ask for.
var locatedBefore = map[string]seqqc.Region{}

func locateOnce(seq string) seqqc.Region {
	r, ok := locatedBefore[seq]
	if !ok {
		r = Locate([]byte(seq))
		locatedBefore[seq] = r
	}
	return r
}

// openFasta reads a file of the open data, skipping the test where that is
// not there.
func openFasta(t testing.TB, name string) []record {
	t.Helper()
	text := openFile(t, name)
	var recs []record
	for _, part := range strings.Split(text, ">")[1:] {
		title, seq, _ := strings.Cut(part, "\n")
		seq = strings.ToUpper(strings.Join(strings.Fields(seq), ""))
		id, _, _ := strings.Cut(title, " ")
		recs = append(recs, record{id, title, seq})
	}
	require.NotEmpty(t, recs, name)
	return recs
}

func openFile(t testing.TB, name string) string {
	t.Helper()
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no open data to check against")
	}
	b, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	require.NoError(t, err)
	return string(bytes.ReplaceAll(b, []byte("\r\n"), []byte("\n")))
}

func reversed(seq string) []byte { return align.ReverseComplement([]byte(seq)) }

// openNames lists the files of a folder of the open data with an ending.
func openNames(t testing.TB, dir, ending string) []string {
	t.Helper()
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no open data to check against")
	}
	entries, err := os.ReadDir(filepath.Join(root, filepath.FromSlash(dir)))
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ending) {
			names = append(names, dir+"/"+e.Name())
		}
	}
	require.NotEmpty(t, names, dir)
	return names
}
