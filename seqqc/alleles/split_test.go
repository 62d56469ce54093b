package alleles_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/alleles"
)

func looked(t testing.TB, r *seqqc.Read) *seqqc.Read {
	t.Helper()
	require.NoError(t, alleles.Look(r, alleles.Defaults()))
	return r
}

func TestSplitReadsBothAlleles(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	for size := 1; size <= 12; size++ {
		longer := random(rng, 350)
		shorter := longer[:120] + longer[120+size:]
		r := looked(t, readOf(rng, 0.015, 0.25, template{longer, 0.6}, template{shorter, 0.4}))
		major, minor, err := alleles.Split(r)
		require.NoError(t, err)
		// The last bases are linked with nothing behind them.
		end := len(shorter) - size
		require.Equal(t, longer[:end], string(major.Trace.Bases[:end]), "size %d", size)
		require.Equal(t, shorter[:end], string(minor.Trace.Bases[:end]), "size %d", size)
	}
}

func TestSplitReadsTwoOrganisms(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	a, b := random(rng, 400), random(rng, 400)
	r := looked(t, readOf(rng, 0.01, 0.25, template{a, 0.75}, template{b, 0.25}))
	major, minor, err := alleles.Split(r)
	require.NoError(t, err)
	require.Equal(t, a, string(major.Trace.Bases))
	require.Equal(t, b, string(minor.Trace.Bases))
}

// Where both have a like share, heights do not tell them apart; the other reads
// of the sample do.
func TestSubtractUsesWhatIsKnown(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 1))
	a, b := random(rng, 400), random(rng, 400)
	r := looked(t, readOf(rng, 0.01, 0.25, template{a, 0.56}, template{b, 0.44}))
	_, minor, err := alleles.Split(r)
	require.NoError(t, err)
	require.Greater(t, unlike(string(minor.Trace.Bases), b), 20)
	known := &seqqc.Contig{Bases: align.ReverseComplement([]byte(a)), Quals: make([]byte, 400)}
	for i := range known.Quals {
		known.Quals[i] = 40
	}
	minor, err = alleles.Subtract(r, known)
	require.NoError(t, err)
	require.LessOrEqual(t, unlike(string(minor.Trace.Bases), b), 4)
}

func unlike(a, b string) int {
	n := 0
	for i := range a {
		if a[i] != b[i] {
			n++
		}
	}
	return n
}

func TestSplitRefuses(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 1))
	r := looked(t, readOf(rng, 0.01, 0.25, template{random(rng, 200), 1}))
	_, _, err := alleles.Split(r)
	require.ErrorContains(t, err, "made.ab1: no two templates")
	r.Copies.Kind = seqqc.CopiesApart
	r.Signal = nil
	_, _, err = alleles.Split(r)
	require.ErrorContains(t, err, "does not belong")
}

func contigOf(seq string, quality byte) *seqqc.Contig {
	c := &seqqc.Contig{Bases: []byte(seq), Sequence: seq}
	for range seq {
		c.Quals = append(c.Quals, quality)
		c.Phred33 += string(rune(quality + 33))
	}
	c.Reads = []seqqc.ReadPlacement{{File: "f", On: seqqc.Interval{End: len(seq)}, Of: seqqc.Interval{End: len(seq)}}}
	return c
}

func TestCompare(t *testing.T) {
	const seq = "ACGTTGCAAGCTTACGGATCCATTGACCGTAAGCTAGGCTTAACGTCCAT"
	for name, c := range map[string]struct {
		other string
		want  []seqqc.Variant
		words string
	}{
		"alike":      {seq, nil, ""},
		"a base":     {seq[:20] + "T" + seq[21:], []seqqc.Variant{{At: seqqc.Interval{Start: 20, End: 21}, Contig: "C", Other: "T"}}, "1 base different"},
		"two less":   {seq[:20] + seq[22:], []seqqc.Variant{{At: seqqc.Interval{Start: 19, End: 21}, Contig: "CC", Other: ""}}, "2 bases less (CC) at 20"},
		"three more": {seq[:25] + "AGA" + seq[25:], []seqqc.Variant{{At: seqqc.Interval{Start: 25, End: 25}, Contig: "", Other: "AGA"}}, "3 bases more (AGA) at 26"},
	} {
		got, err := alleles.Compare(contigOf(seq, 30), contigOf(c.other, 25))
		require.NoError(t, err)
		require.Len(t, got, len(c.want), name)
		for i, v := range got {
			require.Equal(t, 25, v.Quality, name)
			require.Equal(t, "forward", v.Strands, name)
			v.Quality, v.Strands = 0, ""
			require.Equal(t, len(c.want[i].Contig), len(v.Contig), name)
			require.Equal(t, len(c.want[i].Other), len(v.Other), name)
			require.InDelta(t, c.want[i].At.Start, v.At.Start, 1, name)
		}
		if name != "two less" { // the place may slide by a base
			require.Equal(t, c.words, alleles.Words(got), name)
		}
	}
}

func TestUnclear(t *testing.T) {
	c := contigOf("ACGTACGTAC", 30)
	c.Quals[2], c.Quals[3], c.Quals[8] = 5, 9, 2
	require.Equal(t, []seqqc.Interval{{Start: 2, End: 4}, {Start: 8, End: 9}}, alleles.Unclear(c))
}

// One site, seen on both strands, on one of two, and on the only one.
func TestMarkSites(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 1))
	seq := random(rng, 300)
	const at = 140
	other := []byte(seq)
	other[at] = map[byte]byte{'A': 'G', 'G': 'A', 'C': 'T', 'T': 'C'}[seq[at]]
	code := string(align.Code(align.Mask(seq[at]) | align.Mask(other[at])))
	turn := func(s string) string { return string(align.ReverseComplement([]byte(s))) }
	double := looked(t, readOf(rng, 0.01, 0, template{seq, 0.52}, template{string(other), 0.48}))
	back := looked(t, readOf(rng, 0.01, 0, template{turn(seq), 0.52}, template{turn(string(other)), 0.48}))
	single := looked(t, readOf(rng, 0.01, 0, template{turn(seq), 1}))
	require.Equal(t, seqqc.CopiesInStep, double.Copies.Kind)
	for name, c := range map[string]struct {
		reads  []*seqqc.Read
		inCode bool
		says   string
	}{
		"both strands":   {[]*seqqc.Read{double, back}, true, "both"},
		"one of two":     {[]*seqqc.Read{double, single}, false, "forward"},
		"the only one":   {[]*seqqc.Read{double}, true, "forward"},
		"only a reverse": {[]*seqqc.Read{back}, true, "reverse"},
	} {
		contig := contigOf(seq, 40)
		contig.Reads = nil
		for i, r := range c.reads {
			r.File = fmt.Sprint("read ", i)
			contig.Reads = append(contig.Reads, seqqc.ReadPlacement{
				File: r.File, On: seqqc.Interval{End: 300}, Of: seqqc.Interval{End: 300}, Complemented: r == back || r == single,
			})
		}
		require.NoError(t, alleles.MarkSites(contig, c.reads))
		require.Len(t, contig.Variants, 1, name)
		v := contig.Variants[0]
		require.Equal(t, at, v.At.Start, name)
		require.Equal(t, c.inCode, v.InCode, name)
		require.Equal(t, c.says, v.Strands, name)
		require.Equal(t, contig.Sequence, string(contig.Bases))
		if c.inCode {
			require.Equal(t, code, string(contig.Bases[at]), name)
			require.Equal(t, 1, contig.Ambiguous, name)
			require.Less(t, contig.Quals[at], byte(40), name)
		} else {
			require.Equal(t, seq, contig.Sequence, name)
		}
	}
}

func ExampleSplit() {
	rng := rand.New(rand.NewPCG(2, 1))
	longer := random(rng, 300)
	shorter := longer[:100] + longer[103:]
	read := readOf(rng, 0.01, 0.2, template{longer, 0.6}, template{shorter, 0.4})
	if err := alleles.Look(read, alleles.Defaults()); err != nil {
		fmt.Println(err)
		return
	}
	major, minor, err := alleles.Split(read)
	if err != nil {
		fmt.Println(err)
		return
	}
	variants, err := alleles.Compare(
		&seqqc.Contig{Bases: major.Trace.Bases[:280], Quals: major.Trace.Quals[:280]},
		&seqqc.Contig{Bases: minor.Trace.Bases[:277], Quals: minor.Trace.Quals[:277]})
	fmt.Println(alleles.Words(variants), err)
	// Output:
	// 3 bases less (TGG) at 101 <nil>
}
