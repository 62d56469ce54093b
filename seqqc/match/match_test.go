package match_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// random gives n random bases, synthetic.
func random(rng *rand.Rand, n int) []byte {
	seq := make([]byte, n)
	for i := range seq {
		seq[i] = "ACGT"[rng.IntN(4)]
	}
	return seq
}

// mutated gives a copy with k bases changed, well spread.
func mutated(seq []byte, k int) []byte {
	out := slices.Clone(seq)
	for i := range k {
		at := (2*i + 1) * len(seq) / (2 * k)
		out[at] = map[byte]byte{'A': 'C', 'C': 'A', 'G': 'T', 'T': 'G'}[out[at]]
	}
	return out
}

func record(id, genus, epithet string, seq []byte) refs.Record {
	n := refs.Name{Verbatim: genus + " " + epithet, Genus: genus, Epithet: epithet, Rank: refs.Species}
	l := refs.Lineage{Kingdom: "Fungi", Genus: genus, Species: genus + " " + epithet}
	return refs.Record{ID: id, Name: n, Lineage: l, Seq: seq}
}

// TestMatchComparesTheITSOnly gives the contig flanks that agree with one
// reference only: they must not count.
func TestMatchComparesTheITSOnly(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	ssu, its1, r58s, its2, lsu := random(rng, 120), random(rng, 200), random(rng, 158), random(rng, 180), random(rng, 300)
	its := slices.Concat(its1, r58s, its2)
	near := mutated(its, 3)
	flanked := slices.Concat(ssu, mutated(its, 30), lsu)
	lib := refs.NewLibrary([]refs.Record{
		record("SYN1", "Russula", "flanked", flanked),
		record("SYN2", "Lactarius", "near", align.ReverseComplement(near)),
		record("SYN3", "Lactarius", "near", mutated(near, 2)),
		record("SYN4", "Amanita", "other", random(rng, 600)),
		record("SYN5", "Amanita", "bare", r58s),
	}, nil)
	c := &seqqc.Contig{Bases: slices.Concat(ssu, its, lsu), Region: seqqc.Region{
		Located: true,
		SSU:     seqqc.Interval{Start: 0, End: 120}, ITS1: seqqc.Interval{Start: 120, End: 320}, R58S: seqqc.Interval{Start: 320, End: 478},
		ITS2: seqqc.Interval{Start: 478, End: 658}, LSU: seqqc.Interval{Start: 658, End: 958}, ITS1Whole: true, ITS2Whole: true,
	}}
	m, err := match.Match(context.Background(), lib, c, refs.Name{Genus: "Russula", Epithet: "flanked", Rank: refs.Species}, match.Defaults())
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(m.Hits), 3)
	first := m.Hits[0]
	require.Equal(t, "SYN2", first.Reference)
	require.Equal(t, seqqc.Reverse, first.Strand)
	require.Equal(t, 538, first.Columns)
	require.Equal(t, 3, first.Substitutions)
	require.InDelta(t, 100*535./538, first.IdentityPct, 1e-9)
	require.Equal(t, 100., first.CoveragePct)
	require.Equal(t, 538-158, first.Outside58S)
	require.Equal(t, seqqc.Interval{Start: 120, End: 658}, first.OnContig)
	require.Equal(t, seqqc.Interval{Start: 0, End: 538}, first.OnReference)
	require.Equal(t, "SYN3", m.Hits[1].Reference)
	for _, h := range m.Hits {
		require.NotEqual(t, "SYN5", h.Reference, "a bare 5.8S supports nothing")
		if h.Reference == "SYN1" {
			require.Equal(t, 30, h.Substitutions, "the equal flanks are not counted")
			require.Equal(t, seqqc.Interval{Start: 120, End: 658}, h.OnReference)
		}
	}
	require.Equal(t, refs.Genus, m.Supported)
	require.Equal(t, "Lactarius", m.Taxon)
	require.Equal(t, "Lactarius", m.Lineage.Genus)
	require.Equal(t, "SYN1", m.NextGenus.Reference)
	require.Equal(t, 1, m.Field.GenusRecords)
	require.Equal(t, 1, m.Field.SpeciesRecords)
	require.Equal(t, "SYN1", m.Field.Species.Reference)

	again, err := match.Match(context.Background(), lib, c, refs.Name{}, match.Defaults())
	require.NoError(t, err)
	require.Equal(t, seqqc.FieldEvidence{}, again.Field)
	require.Equal(t, m.Hits, again.Hits)
}

// TestMatchListsTiesAndWindow asks for one hit and must still get all that
// share its place and all of the window.
func TestMatchListsTiesAndWindow(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	seq := random(rng, 500)
	lib := refs.NewLibrary([]refs.Record{
		record("SYN1", "Russula", "one", seq),
		record("SYN2", "Russula", "two", seq),
		record("SYN3", "Russula", "three", mutated(seq, 2)), // 99.6: inside the window of 0.5 points
		record("SYN4", "Russula", "four", mutated(seq, 5)),  // 99.0: outside
	}, nil)
	p := match.Defaults()
	p.Hits = 1
	m, err := match.Match(context.Background(), lib, &seqqc.Contig{Bases: seq}, refs.Name{}, p)
	require.NoError(t, err)
	require.Len(t, m.Hits, 3)
	require.Equal(t, 3, m.InWindow)
	require.Equal(t, []int{1, 1, 3}, []int{m.Hits[0].Rank, m.Hits[1].Rank, m.Hits[2].Rank})
	require.Equal(t, []seqqc.Flag{seqqc.SpeciesComplex}, m.Flags)
	require.Equal(t, refs.Genus, m.Supported)
	require.Nil(t, m.NextGenus)
}

// TestMatchBelowEveryThreshold has 40 references about as far from the contig as
// can be: none can support a rank, so that no window is listed behind the
// hits that were asked for. The same references at an identity that can
// support one are listed in full.
func TestMatchBelowEveryThreshold(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	seq := random(rng, 500)
	for _, r := range []struct {
		different, listed int
		window            float64
	}{{100, 10, 0}, {80, 40, 4}} {
		var records []refs.Record
		for i := range 40 {
			// From the first on, each a base further away.
			records = append(records, record(fmt.Sprint("SYN", i), "Russula", fmt.Sprint("r", i), mutated(seq, r.different+i/4)))
		}
		p := match.Defaults()
		m, err := match.Match(context.Background(), refs.NewLibrary(records, nil), &seqqc.Contig{Bases: seq}, refs.Name{}, p)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(m.Hits), r.listed, r.different)
		require.LessOrEqual(t, len(m.Hits), r.listed+4, "no more than the ties of the last")
		require.InDelta(t, r.window, m.WindowPct, 0.05)
		require.Equal(t, r.window == 0, m.Supported == refs.NoRank)
	}
}

// TestMatchWindowBesideTheLowestThreshold puts a hit just above the lowest
// threshold behind many just below it in the library: the window is that of the
// best hit, whatever was found first.
func TestMatchWindowBesideTheLowestThreshold(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	seq := random(rng, 500)
	var records []refs.Record
	for i := range 30 {
		records = append(records, record(fmt.Sprint("SYN", i), "Russula", fmt.Sprint("r", i), mutated(seq, 97+i/5)))
	}
	records = append(records, record("SYN99", "Russula", "best", mutated(seq, 94)))
	p := match.Defaults()
	m, err := match.Match(context.Background(), refs.NewLibrary(records, nil), &seqqc.Contig{Bases: seq}, refs.Name{}, p)
	require.NoError(t, err)
	require.Equal(t, "SYN99", m.Hits[0].Reference)
	in := 0
	for i := range records {
		alone, err := match.Match(context.Background(), refs.NewLibrary(records[i:i+1], nil), &seqqc.Contig{Bases: seq}, refs.Name{}, p)
		require.NoError(t, err)
		require.Len(t, alone.Hits, 1)
		if alone.Hits[0].IdentityPct >= m.Hits[0].IdentityPct-m.WindowPct {
			in++
		}
	}
	require.Equal(t, in, m.InWindow)
	require.Greater(t, in, 20)
}

// TestNextGenusIsAnother: an unnamed record nearest of all is of no genus, and
// must not make the contig's own genus the next one.
func TestNextGenusIsAnother(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 16))
	seq := random(rng, 500)
	unnamed := record("SYN0", "Amanita", "none", seq)
	unnamed.Name = refs.Name{Verbatim: "uncultured fungus", Unnamed: true}
	for what, lineage := range map[string]refs.Lineage{"no lineage": {}, "a lineage": unnamed.Lineage} {
		for different, supported := range map[int]refs.Rank{3: refs.Genus, 60: refs.Order} {
			unnamed.Lineage = lineage
			far := unnamed
			far.Seq = mutated(seq, different-1)
			lib := refs.NewLibrary([]refs.Record{
				far,
				record("SYN1", "Russula", "one", mutated(seq, different)),
				record("SYN2", "Russula", "two", mutated(seq, different+1)),
				record("SYN3", "Lactarius", "three", mutated(seq, different+30)),
			}, nil)
			m, err := match.Match(context.Background(), lib, &seqqc.Contig{Bases: seq}, refs.Name{}, match.Defaults())
			require.NoError(t, err)
			require.Equal(t, "SYN0", m.Hits[0].Reference)
			require.Equal(t, supported, m.Supported, what)
			require.NotNil(t, m.NextGenus, what)
			require.Equal(t, "SYN3", m.NextGenus.Reference, "%s, %d", what, different)
		}
	}
}

// TestGateIsSaidPlainly holds what a hit that may support nothing is said to
// lack, with its figures.
func TestGateIsSaidPlainly(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 18))
	seq := random(rng, 400)
	c := &seqqc.Contig{Bases: seq}
	gate := func(ref []byte) string {
		m, err := match.Match(context.Background(), refs.NewLibrary([]refs.Record{record("SYN1", "Russula", "one", ref)}, nil), c, refs.Name{}, match.Defaults())
		require.NoError(t, err)
		if len(m.Hits) > 0 {
			return m.Hits[0].Gate
		}
		require.Len(t, m.Apart, 1)
		return m.Apart[0].Gate
	}
	require.Equal(t, seqqc.GatePass, gate(seq))
	require.Equal(t, "it shares only 50.0 % of this sequence and neither spacer (ITS1, ITS2) in full, and 80 % or one spacer are needed", gate(seq[:200]))
	require.Equal(t, "it shares only 25.0 % of this sequence and neither spacer (ITS1, ITS2) in full, and 80 % or one spacer are needed; "+
		"it shares only 100 bases outside the 5.8S, which is much alike in all fungi, and 150 are needed", gate(seq[:100]))
	c.Region = seqqc.Region{Located: true, ITS1: seqqc.Interval{Start: 0, End: 100}, R58S: seqqc.Interval{Start: 100, End: 258},
		ITS2: seqqc.Interval{Start: 258, End: 400}, ITS1Whole: true, ITS2Whole: true}
	require.Equal(t, "it shares only 110 bases outside the 5.8S, which is much alike in all fungi, and 150 are needed", gate(seq[:268]), "a whole spacer")
}

func TestMatchErrors(t *testing.T) {
	lib := refs.NewLibrary(nil, nil)
	p := match.Defaults()
	_, err := match.Match(context.Background(), lib, nil, refs.Name{}, p)
	require.ErrorIs(t, err, match.ErrEmpty)
	_, err = match.Match(context.Background(), lib, &seqqc.Contig{}, refs.Name{}, p)
	require.ErrorIs(t, err, match.ErrEmpty)
	_, err = match.Match(context.Background(), lib, &seqqc.Contig{Bases: []byte("ACGT*")}, refs.Name{}, p)
	require.ErrorContains(t, err, "position 4")
	m, err := match.Match(context.Background(), lib, &seqqc.Contig{Bases: []byte("ACGTACGT")}, refs.Name{}, p)
	require.NoError(t, err, "an empty library is no fault of the contig")
	require.Empty(t, m.Hits)
	require.Equal(t, refs.NoRank, m.Supported)
	rng := rand.New(rand.NewPCG(7, 8))
	full := refs.NewLibrary([]refs.Record{record("SYN1", "Russula", "one", random(rng, 500))}, nil)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = match.Match(ctx, full, &seqqc.Contig{Bases: random(rng, 500)}, refs.Name{}, p)
	require.ErrorIs(t, err, context.Canceled)
}
