package align

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// pythonWith gives a Python that can import a module, or skips.
func pythonWith(t *testing.T, module, debian string) string {
	t.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if python, err := exec.LookPath(name); err == nil && exec.Command(python, "-c", "import "+module).Run() == nil {
			return python
		}
	}
	t.Skipf("no Python with %s (Debian package %s) to compare with", module, debian)
	return ""
}

// outside runs a Python program once on lines of words, and gives the numbers
// it prints.
func outside(t *testing.T, python, program string, input *bytes.Buffer) []int {
	t.Helper()
	command := exec.Command(python, "-c", program)
	command.Stdin = input
	var complaint bytes.Buffer
	command.Stderr = &complaint
	out, err := command.Output()
	require.NoError(t, err, complaint.String())
	var numbers []int
	for _, word := range strings.Fields(string(out)) {
		n, err := strconv.Atoi(word)
		require.NoError(t, err)
		numbers = append(numbers, n)
	}
	return numbers
}

// against is a sequence with others to be aligned with it.
type against struct {
	a  []byte
	bs [][]byte
}

// generalPairs gives 4,000 pairs, a tenth with -short, ten times as many with
// FORAYSEQ_LONG set: unrelated and evolved ones up to 200 long of the letters
// given, evolved ones of 550 to 750, and a tenth of published ITS sequences
// (TreeBASE, its/macrofungi_its.fasta of the open data), without their codes,
// where FORAYSEQ_OPEN_DATA is set.
func generalPairs(t *testing.T, letters string) (list []against) {
	t.Helper()
	const each = 20
	groups := max(20, trials(200)) // twenty have one of every kind
	r := rand.New(rand.NewPCG(31, 1))
	add := func(a []byte, b func() []byte) {
		one := against{a: a}
		for len(one.bs) < each {
			if seq := b(); len(seq) > 0 {
				one.bs = append(one.bs, seq)
			}
		}
		list = append(list, one)
	}
	real := publishedITS(t)
	for len(list) < groups {
		short := randomSeq(r, 1+r.IntN(200), letters)
		long := randomSeq(r, 550+r.IntN(200), letters)
		rate := []float64{0.01, 0.05, 0.2, 0.5}[r.IntN(4)]
		switch n := len(list) % 20; {
		case n < 5:
			add(short, func() []byte { return randomSeq(r, 1+r.IntN(200), letters) })
		case n < 15: // shifted, contained or whole
			add(short, func() []byte {
				lo := r.IntN(len(short))
				part := mutated(r, short[lo*r.IntN(2):], rate, letters)
				return append(randomSeq(r, r.IntN(60)*r.IntN(2), letters), part...)
			})
		case n < 18 || len(real) == 0:
			add(long, func() []byte { return mutated(r, long, rate, letters) })
		default:
			add(real[r.IntN(len(real))], func() []byte { return real[r.IntN(len(real))] })
		}
	}
	return list
}

// publishedITS gives published sequences, nil where there are none to be had.
func publishedITS(t *testing.T) (seqs [][]byte) {
	t.Helper()
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Log("FORAYSEQ_OPEN_DATA is not set: no published sequences among the pairs")
		return nil
	}
	text, err := os.ReadFile(filepath.Join(root, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	for line := range bytes.Lines(text) {
		if line[0] != '>' {
			seqs = append(seqs, bytes.Map(func(c rune) rune {
				if strings.ContainsRune("ACGT", c) {
					return c
				}
				return -1
			}, bytes.ToUpper(line)))
		}
	}
	return seqs
}

// parasail scores overlaps: end gaps free on both sequences. Its cost of
// opening is that of the first letter of a gap, so that a gap of g letters
// costs 4 + 2g here as in ITS.
const parasail = `
import sys, parasail
matrix = parasail.matrix_create("ACGT", 2, -3)
for line in sys.stdin:
    a, *bs = line.split()
    profile = parasail.profile_create_sat(a, matrix)
    print(*(parasail.sg_striped_profile_sat(profile, b, 6, 2).score for b in bs))
`

// Parasail 2.6 by its Python binding (Debian's python3-parasail): Daily 2016,
// BMC Bioinformatics 17: 81, DOI 10.1186/s12859-016-0930-z.
func TestOverlapScoresEqualParasail(t *testing.T) {
	python := pythonWith(t, "parasail", "python3-parasail")
	list := generalPairs(t, "ACGT")
	var input bytes.Buffer
	for _, p := range list {
		fmt.Fprintf(&input, "%s %s\n", p.a, bytes.Join(p.bs, []byte(" ")))
	}
	want := outside(t, python, parasail, &input)
	require.Len(t, want, 20*len(list))
	g, err := NewAligner(ITS)
	require.NoError(t, err)
	for i, p := range list {
		lanes, err := NewLanes(p.a, Interval{})
		require.NoError(t, err)
		outlines, err := lanes.Outlines(p.bs)
		require.NoError(t, err)
		for k, b := range p.bs {
			score := max(0, want[i*len(p.bs)+k]) // parasail has no overlap of nothing
			require.Equal(t, score, outlines[k].Alignment.Score, "side by side: %s %s", p.a, b)
			al, err := g.Overlap(p.a, b)
			require.NoError(t, err)
			require.Equal(t, score, al.Score, "%s %s", p.a, b)
		}
	}
}

// edlib gives the least edits of a query (first word) and texts in three modes.
// Codes for several bases equal those they have a base in common with.
const edlib = `
import sys, edlib
codes = dict(A="A", C="C", G="G", T="T", R="AG", Y="CT", M="AC", K="GT", S="CG", W="AT",
             H="ACT", B="CGT", V="ACG", D="AGT", N="ACGT")
equal = [(x, y) for x in codes for y in codes if x != y and set(codes[x]) & set(codes[y])]
for line in sys.stdin:
    q, *texts = line.split()
    print(*(edlib.align(q, text, mode=mode, additionalEqualities=equal)["editDistance"]
            for text in texts for mode in ("NW", "HW", "SHW")))
`

// Edlib 1.2.7 by its Python binding (Debian's python3-edlib): Sosic & Sikic
// 2017, Bioinformatics 33: 1394-1395, DOI 10.1093/bioinformatics/btw753.
func TestDistancesEqualEdlib(t *testing.T) {
	python := pythonWith(t, "edlib", "python3-edlib")
	list := generalPairs(t, "ACGT")
	half := len(list) / 2
	list = append(list[:half], generalPairs(t, "ACGTACGTACGTRYN")[half:]...)
	var input bytes.Buffer
	for _, p := range list {
		fmt.Fprintf(&input, "%s %s\n", p.a, bytes.Join(p.bs, []byte(" ")))
	}
	want := outside(t, python, edlib, &input)
	require.Len(t, want, 3*20*len(list))
	for i, p := range list {
		m := len(p.a)
		pattern, err := NewPattern(p.a)
		require.NoError(t, err)
		lanes, err := NewPatternLanes(p.a)
		require.NoError(t, err)
		for mode := range 3 {
			reaches := make([]Reach, len(p.bs))
			for k, b := range p.bs {
				n := len(b)
				reaches[k] = []Reach{
					{QEnd: m, TEnd: n},   // all of both
					{QEnd: m, TStart: n}, // all of the query, anywhere
					{QEnd: m},            // all of the query, from the start of the text
				}[mode]
			}
			edits := sideBySide(lanes, p.bs, reaches, m+1000)
			for k, b := range p.bs {
				d := want[3*(i*len(p.bs)+k)+mode]
				require.Equal(t, d, edits[k], "side by side, mode %d: %s %s", mode, p.a, b)
				require.Equal(t, d, pattern.Distance(b, reaches[k], m+1000), "mode %d: %s %s", mode, p.a, b)
				require.Equal(t, d, pattern.Distance(b, reaches[k], d), "mode %d, bound %d: %s %s", mode, d, p.a, b)
			}
		}
	}
}

// sideBySide gives the distances of texts by PatternLanes.
func sideBySide(lanes *PatternLanes, texts [][]byte, reaches []Reach, limit int) (edits []int) {
	for lo := 0; lo < len(texts); lo += TextLanes {
		var batch []LaneText
		for k := lo; k < min(lo+TextLanes, len(texts)); k++ {
			batch = append(batch, LaneText{Text: Pack(texts[k]), Reach: reaches[k]})
		}
		lanes.Find(batch, limit)
		for lane := range batch {
			edits = append(edits, lanes.Distance(lane))
		}
	}
	return edits
}
