package batch_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// Left-over reverse primer sequences the amplicon from its other end: a fifth to
// a quarter of the signal is its reverse complement, and there is one organism.
func TestOtherStrandIsNoSecondOrganism(t *testing.T) {
	n := trials(20, 200)
	told := 0
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 405))
		locus := locusOf(rng)
		lib := libraryOf(t, map[string]simulate.Locus{"Russula syna": locus, "Amanita sync": locusOf(rng)})
		f, r, err := simulate.Amplicon(locus.Seq(), "ITS1-F", "ITS4")
		require.NoError(t, err)
		minor := 0.2 + 0.05*rng.Float64()
		made, _ := simulate.Mixture(rng, []simulate.Template{{Seq: f, Weight: 1 - minor}, {Seq: r, Weight: minor}}, simulate.Good())
		read := &seqqc.Read{File: "a_ITS1F.ab1", Trace: made, Primer: "ITS1-F", Direction: seqqc.Forward, Voucher: "a"}
		s := sampleOf(t, []*seqqc.Read{read}, lib)
		require.Nil(t, s.Minor, "tube %d", i)
		require.NotNil(t, s.Contig, "tube %d", i)
		require.Equal(t, "Russula", s.Match.Lineage.Genus)
		if read.Copies.Kind != seqqc.CopiesOfBothStrands {
			continue
		}
		told++
		require.NotContains(t, read.Flags, seqqc.MixedTemplate)
		require.NotContains(t, s.Contig.Flags, seqqc.MixedTemplate)
		require.InDelta(t, 100*minor, s.Contig.OtherStrandPct, 8)
		require.Contains(t, strings.Join(read.Notes, "; "), "the other strand of the same DNA")
	}
	t.Logf("of %d tubes with left-over primer: %d told", n, told)
	require.GreaterOrEqual(t, told, n*95/100)
}

// Two organisms stay two, whichever strand the second was read from.
func TestOtherOrganismsStrandIsASecondOrganism(t *testing.T) {
	for i := range trials(12, 100) {
		rng := rand.New(rand.NewPCG(uint64(i), 406))
		f, _, err := simulate.Amplicon(locusOf(rng).Seq(), "ITS1-F", "ITS4")
		require.NoError(t, err)
		g, r, err := simulate.Amplicon(locusOf(rng).Seq(), "ITS1-F", "ITS4")
		require.NoError(t, err)
		for _, second := range [][]byte{g, r} {
			made, _ := simulate.Mixture(rng, []simulate.Template{{Seq: f, Weight: 0.75}, {Seq: second, Weight: 0.25}}, simulate.Good())
			read := &seqqc.Read{File: "a_ITS1F.ab1", Trace: made, Primer: "ITS1-F", Direction: seqqc.Forward}
			require.NoError(t, batch.MeasureAndTrim(read, batch.DefaultSettings()))
			require.NotEqual(t, seqqc.CopiesOfBothStrands, read.Copies.Kind, "tube %d", i)
		}
	}
}

// Five real reads of https://github.com/sgraham9319/SubalpineMyco hold their
// own reverse complement at a fifth to a quarter of the signal: of the clear
// bases of the second sequence 0.95 to 0.98 are alike with it. That left-over
// primer is the cause is common practice, no source.
func TestOtherStrandOfRealReads(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	var told []string
	for item := range trace.Folder(os.DirFS(dir), "abif/fungal_its1f", trace.Limits{}) {
		if item.Trace == nil {
			continue
		}
		r := &seqqc.Read{File: item.File, Trace: item.Trace}
		require.NoError(t, batch.MeasureAndTrim(r, batch.DefaultSettings()))
		if r.Copies != nil && r.Copies.Kind == seqqc.CopiesOfBothStrands {
			require.NotContains(t, r.Flags, seqqc.MixedTemplate)
			require.InDelta(t, 23, r.Copies.MinorPct, 5)
			told = append(told, filepath.Base(r.File))
		}
	}
	require.Equal(t, []string{"cleaned_43-ITS1F.ab1", "cleaned_46-ITS1F.ab1", "cleaned_49-ITS1F.ab1",
		"cleaned_59-ITS1F.ab1", "cleaned_62-ITS1F.ab1"}, told)
}

// A read of two unlike templates may be too poor as called, and give a
// sequence when read apart: its row then tells of that.
func TestRowOfAReadThatWasReadApart(t *testing.T) {
	apart := 0
	for i := range trials(12, 60) {
		rng := rand.New(rand.NewPCG(uint64(i), 407))
		a, b := locusOf(rng), locusOf(rng)
		lib := libraryOf(t, map[string]simulate.Locus{"Russula syna": a, "Amanita synb": b})
		reads := pairOf(t, rng, []simulate.Locus{a, b}, []float64{0.58, 0.42})
		s := sampleOf(t, reads, lib)
		if s.Contig == nil {
			continue
		}
		for _, p := range s.Contig.Reads {
			for _, r := range reads {
				if r.File == p.File {
					require.True(t, r.Usable, "tube %d: %s", i, r.Why)
					require.Empty(t, r.Why)
					require.True(t, r.Kept.Contains(p.Of), "tube %d: %v of %v", i, p.Of, r.Kept)
				}
			}
		}
		if strings.Contains(strings.Join(s.Contig.Notes, "; "), "read out of traces") {
			apart++
		}
	}
	require.Positive(t, apart)
}
