package main

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// Worked example: 81 of 263 gives 0.255 to 0.366 (Newcombe 1998, Statistics in
// Medicine 17: 857-872, table I, method 3).
func TestWilson(t *testing.T) {
	lo, hi := wilson(81, 263)
	require.InDelta(t, 0.2553, lo, 0.0001)
	require.InDelta(t, 0.3662, hi, 0.0001)
	lo, hi = wilson(0, 20)
	require.InDelta(t, 0, lo, 1e-12)
	require.InDelta(t, 0.1611, hi, 0.0001)
}

// A small run must come to the end, and the rows without any doubt must come
// out as they are.
func TestRun(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, run(t.Context(), []string{"-number", "2", "-clean", "3", "-only", "one template"}, &out))
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	require.Equal(t, strings.Join(columns, "\t"), lines[0])
	require.Len(t, lines, 1+3*5)
	for _, l := range lines[1:] {
		require.Len(t, strings.Split(l, "\t"), len(columns))
	}
	require.Contains(t, out.String(), "one template\t-\tclean\tcontig right\t3\t3\t")
	require.Contains(t, out.String(), "one template\t-\tclean\tfalse mixed_template\t0\t6\t")
}

// Every row must be able to make its samples.
func TestEveryCaseMakesSamples(t *testing.T) {
	w := newWorld(1)
	for _, c := range simulated(w, 1, 1) {
		s, err := c.make(rand.New(rand.NewPCG(1, 2)), 0)
		require.NoError(t, err, c.phenomenon)
		require.NotEmpty(t, s.reads)
		require.NotEmpty(t, c.questions)
	}
}

// The questions are asked of what a perfect tool would say, and of what one
// would that sees nothing.
func TestQuestions(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	a, _ := newWorld(1).any(rng)
	b, err := longer(rng, a, 1, 3)
	require.NoError(t, err)
	s, err := pair(rng, simulate.Good(), molecule{a.Seq(), 60}, molecule{b.Seq(), 40})
	require.NoError(t, err)
	require.Equal(t, 3, s.truth.reads[0].size)
	require.False(t, s.truth.reads[0].calls.Empty())

	require.Equal(t, string(a.ITS()), string(s.truth.alleles[0][ssuBases:len(s.truth.alleles[0])-lsuBases]))

	perfect := outcome{}
	perfect.Contig = &seqqc.Contig{Bases: s.truth.alleles[0], Second: &seqqc.SecondCopy{Sequence: string(s.truth.alleles[1])}}
	for _, is := range s.truth.reads {
		perfect.reads = append(perfect.reads, &seqqc.Read{Flags: []seqqc.Flag{seqqc.IndelHeterozygote},
			Copies: &seqqc.Copies{Kind: seqqc.CopiesShifted, Stretches: []seqqc.CopyStretch{
				{At: seqqc.Interval{End: is.calls.Start}}, {At: seqqc.Interval{Start: is.calls.Start, End: 600}, Shift: -3},
			}}})
	}
	blind := outcome{reads: []*seqqc.Read{{}, {}}}
	blind.Contig = &seqqc.Contig{Bases: s.truth.alleles[0]}
	for _, c := range []struct {
		q              question
		perfect, blind int
	}{
		{found(seqqc.IndelHeterozygote), 1, 0}, {alarms(seqqc.IndelHeterozygote), 0, 0}, {alarms(), 1, 0},
		{indelPlace("place", 0), 2, 0}, {indelSize, 2, 0}, {allelesRight, 1, 0}, {contigRight, 1, 1}, {manyCopies, 0, 0},
	} {
		right, _ := c.q.ask(s.truth, perfect)
		require.Equal(t, c.perfect, right, c.q.name)
		right, _ = c.q.ask(s.truth, blind)
		require.Equal(t, c.blind, right, c.q.name)
	}
}

// The places of changed bases are those of the amplicon.
func TestChangedSites(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	a, _ := newWorld(1).any(rng)
	b, sites, err := changed(rng, a, 6)
	require.NoError(t, err)
	f, _, err := simulate.Amplicon(a.Seq(), "ITS1-F", "ITS4")
	require.NoError(t, err)
	g, _, err := simulate.Amplicon(b.Seq(), "ITS1-F", "ITS4")
	require.NoError(t, err)
	var differ []int
	for i := range f {
		if f[i] != g[i] {
			differ = append(differ, i)
		}
	}
	require.Equal(t, sites, differ)

	coded := slices.Clone(f)
	for _, i := range sites {
		coded[i] = code(align.Mask(f[i]) | align.Mask(g[i]))
	}
	o := outcome{}
	o.Contig = &seqqc.Contig{Bases: coded}
	right, cases := codes.ask(truth{alleles: [][]byte{f, g}, sites: sites}, o)
	require.Equal(t, []int{6, 6}, []int{right, cases})
	right, _ = falseCodes.ask(truth{alleles: [][]byte{f, g}, sites: sites[1:]}, o)
	require.Equal(t, 1, right)
}

func code(mask byte) byte {
	for _, c := range []byte("ACGTRYSWKMBDHVN") {
		if align.Mask(c) == mask {
			return c
		}
	}
	return 0
}

// Genera must be at least a tenth apart in both spacers, as the row of chimeras
// says.
func TestGeneraAreATenthApart(t *testing.T) {
	w := newWorld(1)
	for i, a := range w.species {
		for _, b := range w.species[:i] {
			// With a neighbour of the spacer on each side, so that they align end to end.
			for _, parts := range [][2][]byte{
				{slices.Concat(a[0].SSU, a[0].ITS1, a[0].R58S), slices.Concat(b[0].SSU, b[0].ITS1, b[0].R58S)},
				{slices.Concat(a[0].R58S, a[0].ITS2, a[0].LSU[:70]), slices.Concat(b[0].R58S, b[0].ITS2, b[0].LSU[:70])},
			} {
				al, err := align.Overlap(parts[0], parts[1], align.ITS)
				require.NoError(t, err)
				c, err := al.Count(parts[0], parts[1])
				require.NoError(t, err)
				// The neighbours' 225 columns are equal, or nearly so.
				require.Less(t, 100*float64(c.Identical-225)/float64(c.Columns-225), 90.0)
			}
		}
	}
}
