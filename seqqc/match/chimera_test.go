package match_test

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// spacers are a synthetic ITS: 200, 156 and 200 bases.
type spacers struct{ its1, r58s, its2 []byte }

func (s spacers) seq() []byte { return slices.Concat(s.its1, s.r58s, s.its2) }

// twoGenera are two ITS with a common 5.8S whose spacers differ at one base in
// five, a third as far from both, and the library of two records of each.
func twoGenera() (a, b spacers, records []refs.Record) {
	rng := rand.New(rand.NewPCG(7, 7))
	a = spacers{random(rng, 200), random(rng, 156), random(rng, 200)}
	b = spacers{mutated(a.its1, 40), a.r58s, mutated(a.its2, 40)}
	other := spacers{mutated(random(rng, 200), 1), a.r58s, random(rng, 200)}
	for i, s := range []struct {
		genus string
		seq   []byte
	}{{"Russula", a.seq()}, {"Amanita", b.seq()}, {"Mycena", other.seq()}} {
		id := []string{"A", "B", "C"}[i]
		records = append(records, record(id+"1", s.genus, "prima", s.seq), record(id+"2", s.genus, "secunda", mutated(s.seq, 5)))
	}
	return a, b, records
}

func itsContig(seq []byte) *seqqc.Contig {
	n := len(seq)
	return &seqqc.Contig{Bases: seq, Region: seqqc.Region{Located: true, ITS1: seqqc.Interval{End: 200},
		R58S: seqqc.Interval{Start: 200, End: 356}, ITS2: seqqc.Interval{Start: 356, End: n}}}
}

func matched(t *testing.T, records []refs.Record, c *seqqc.Contig) *seqqc.Match {
	t.Helper()
	m, err := match.Match(context.Background(), refs.NewLibrary(records, nil), c, refs.Name{}, match.Defaults())
	require.NoError(t, err)
	require.Equal(t, m.Chimera != nil, slices.Contains(m.Flags, seqqc.ChimeraSuspected))
	return m
}

func TestChimera(t *testing.T) {
	a, b, records := twoGenera()
	for name, x := range map[string]struct {
		seq        []byte
		start, end int // bounds of the breakpoint
		in         string
	}{
		// The 5.8S is the same in both, as are the bases up to the next difference.
		"between the spacers": {slices.Concat(a.its1, a.r58s, b.its2), 195, 361, "ITS1 or 5.8S or ITS2"},
		"inside ITS1":         {slices.Concat(a.its1[:100], b.its1[100:], a.r58s, b.its2), 93, 107, "ITS1"},
		"inside ITS2":         {slices.Concat(a.its1, a.r58s, a.its2[:120], b.its2[120:]), 469, 483, "ITS2"},
	} {
		c := matched(t, records, itsContig(x.seq)).Chimera
		require.NotNil(t, c, name)
		require.Equal(t, "A1", c.Left.Reference, name)
		require.Equal(t, "B1", c.Right.Reference, name)
		require.Equal(t, "Amanita", c.Right.Lineage.Genus, name)
		require.Equal(t, x.in, c.In, name)
		require.GreaterOrEqual(t, c.Breakpoint.Start, x.start, name)
		require.LessOrEqual(t, c.Breakpoint.End, x.end, name)
		require.Zero(t, c.PairErrors, name)
		require.Greater(t, c.SingleErrors, 10, name)
		require.InDelta(t, 100, c.Left.IdentityPct, 0.5, name)
		require.Less(t, c.Right.OtherPct, 92., name)
		require.Equal(t, 0, c.Left.OnContig.Start, name)
		require.Equal(t, c.Left.OnContig.End, c.Right.OnContig.Start, name)
		require.Equal(t, len(x.seq), c.Right.OnContig.End, name)
		require.Equal(t, seqqc.JointUnknown, c.Joint, name)
	}
}

// A library on the other strand, and flanks outside the ITS, change nothing but
// the coordinates.
func TestChimeraOnTheOtherStrand(t *testing.T) {
	a, b, records := twoGenera()
	for i := range records {
		records[i].Seq = align.ReverseComplement(records[i].Seq)
	}
	rng := rand.New(rand.NewPCG(8, 8))
	c := itsContig(slices.Concat(random(rng, 50), a.its1, a.r58s, b.its2, random(rng, 60)))
	shift := func(v seqqc.Interval) seqqc.Interval { return seqqc.Interval{Start: v.Start + 50, End: v.End + 50} }
	c.Region.ITS1, c.Region.R58S, c.Region.ITS2 = shift(c.Region.ITS1), shift(c.Region.R58S), seqqc.Interval{Start: 406, End: 606}
	x := matched(t, records, c).Chimera
	require.NotNil(t, x)
	require.Equal(t, seqqc.Interval{Start: 50, End: x.Left.OnContig.End}, x.Left.OnContig)
	require.Equal(t, 606, x.Right.OnContig.End)
	require.GreaterOrEqual(t, x.Breakpoint.Start, 245)
	require.LessOrEqual(t, x.Breakpoint.End, 411)
}

// What looks like two parents and is none.
func TestNoChimera(t *testing.T) {
	a, b, records := twoGenera()
	chimera := slices.Concat(a.its1, a.r58s, b.its2)
	withoutB := []refs.Record{records[0], records[1], records[4], records[5]}
	for name, x := range map[string]struct {
		records []refs.Record
		seq     []byte
	}{
		"a parent itself":              {records, a.seq()},
		"differences all along":        {records, mutated(a.seq(), 50)},
		"one spacer unlike anything":   {records, slices.Concat(a.its1, a.r58s, mutated(a.its2, 100))},
		"second parent not in library": {withoutB, chimera},
		// The species is there with its ITS2 alone; the next in ITS1 is of another
		// genus.
		"only one spacer in the library": {append(slices.Clone(withoutB), record("B3", "Amanita", "prima", b.its2)), chimera},
		// The same sequence under two names, one of them wrong.
		"mislabelled reference": {append(slices.Clone(withoutB),
			record("B4", "Amanita", "prima", chimera), record("B5", "Russula", "prima", chimera)), mutated(chimera, 3)},
		"parents of one genus": {append(slices.Clone(withoutB), record("B6", "Russula", "tertia", b.seq())), chimera},
		"no name":              {append(slices.Clone(withoutB), refs.Record{ID: "B7", Name: refs.Name{Verbatim: "uncultured", Unnamed: true}, Seq: b.seq()}), chimera},
		"a few bases":          {records, slices.Concat(a.its1, a.r58s, a.its2[:185], b.its2[185:])},
	} {
		require.Nil(t, matched(t, x.records, itsContig(x.seq)).Chimera, name)
	}
}

// Reads tell whether the molecule was joined or the reads were.
func TestJoint(t *testing.T) {
	a, b, records := twoGenera()
	for name, x := range map[string]struct {
		reads [][2]int
		want  seqqc.Joint
	}{
		"a read across":           {[][2]int{{0, 500}, {300, 556}}, seqqc.JointInRead},
		"met in the 5.8S":         {[][2]int{{0, 330}, {230, 556}}, seqqc.JointOfReads},
		"reverse read a bit over": {[][2]int{{0, 360}, {190, 556}}, seqqc.JointOfReads},
		"one side alone":          {[][2]int{{0, 340}}, seqqc.JointUnknown},
		"no reads":                {nil, seqqc.JointUnknown},
	} {
		c := itsContig(slices.Concat(a.its1, a.r58s, b.its2))
		for _, r := range x.reads {
			c.Reads = append(c.Reads, seqqc.ReadPlacement{On: seqqc.Interval{Start: r[0], End: r[1]}})
		}
		found := matched(t, records, c).Chimera
		require.NotNil(t, found, name)
		require.Equal(t, x.want, found.Joint, name)
	}
}
