package batch_test

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// pairOf simulates the forward and the reverse read of a tube: a good and an
// everyday one.
func pairOf(t testing.TB, rng *rand.Rand, loci []simulate.Locus, shares []float64) []*seqqc.Read {
	t.Helper()
	var forward, reverse []simulate.Template
	for i, l := range loci {
		f, r, err := simulate.Amplicon(l.Seq(), "ITS1-F", "ITS4")
		require.NoError(t, err)
		forward = append(forward, simulate.Template{Seq: f, Weight: shares[i]})
		reverse = append(reverse, simulate.Template{Seq: r, Weight: shares[i]})
	}
	f, _ := simulate.Mixture(rng, forward, simulate.Good())
	r, _ := simulate.Mixture(rng, reverse, simulate.Fair())
	return []*seqqc.Read{
		{File: "a_ITS1F.ab1", Trace: f, Primer: "ITS1-F", Direction: seqqc.Forward, Voucher: "a"},
		{File: "a_ITS4.ab1", Trace: r, Primer: "ITS4", Direction: seqqc.Reverse, Voucher: "a"},
	}
}

func locusOf(rng *rand.Rand) simulate.Locus {
	return simulate.NewLocus(rng, 140+rng.IntN(120), 140+rng.IntN(120))
}

// trials is the number of tubes of a sweep: some in every run, more on request.
func trials(short, long int) int {
	if os.Getenv("FORAYSEQ_LONG") != "" {
		return long
	}
	if testing.Short() {
		return max(1, short/4)
	}
	return short
}

func sampleOf(t testing.TB, reads []*seqqc.Read, lib *refs.Library) *seqqc.SampleResult {
	t.Helper()
	var s seqqc.SampleResult
	require.NoError(t, batch.WorkSample(t.Context(), &s, reads, batch.DefaultSettings(), lib))
	return &s
}

func libraryOf(t testing.TB, loci map[string]simulate.Locus) *refs.Library {
	t.Helper()
	var fasta bytes.Buffer
	for _, name := range slices.Sorted(maps.Keys(loci)) {
		// Two records, for one alone supports no rank without doubt.
		for i := range 2 {
			fmt.Fprintf(&fasta, ">SYN%s%d %s\n%s\n", strings.ReplaceAll(name, " ", ""), i, name, loci[name].ITS())
		}
	}
	lib, err := refs.Read(&fasta, refs.ReadOptions{})
	require.NoError(t, err)
	return lib
}

// flagged reports whether a read or the contig bears a flag of a second
// template.
func flagged(s *seqqc.SampleResult, reads []*seqqc.Read) bool {
	list := [][]seqqc.Flag{}
	if s.Contig != nil {
		list = append(list, s.Contig.Flags)
	}
	for _, r := range reads {
		list = append(list, r.Flags)
	}
	all := seqqc.MergeFlags(list...)
	return slices.Contains(all, seqqc.MixedTemplate) || slices.Contains(all, seqqc.IndelHeterozygote)
}

func TestCleanReadsShowNoSecondTemplate(t *testing.T) {
	lib := libraryOf(t, map[string]simulate.Locus{"Russula syna": locusOf(rand.New(rand.NewPCG(1, 1)))})
	codes := 0
	n := trials(40, 500)
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 401))
		reads := pairOf(t, rng, []simulate.Locus{locusOf(rng)}, []float64{1})
		s := sampleOf(t, reads, lib)
		require.False(t, flagged(s, reads), "tube %d: %+v, %+v", i, *reads[0].Copies, *reads[1].Copies)
		require.Nil(t, s.Minor)
		require.Nil(t, s.Contig.Second)
		for _, v := range s.Contig.Variants {
			if v.InCode {
				codes++
			}
		}
	}
	require.LessOrEqual(t, codes, 1+n/100)
}

// Two alleles of which one has 1 to 12 bases more, at a ratio of 40:60.
func TestTwoAllelesAreReadOutOfTheTraces(t *testing.T) {
	lib := libraryOf(t, map[string]simulate.Locus{"Russula syna": locusOf(rand.New(rand.NewPCG(1, 1)))})
	n := trials(24, 200)
	found, both, one := 0, 0, 0
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 402))
		short := locusOf(rng)
		long := short
		spacer := &long.ITS1
		if i%2 == 1 {
			spacer = &long.ITS2
		}
		var err error
		*spacer, _, err = simulate.Lengthened(rng, *spacer, 10+rng.IntN(len(*spacer)-20), 1+i%12)
		require.NoError(t, err)
		loci := []simulate.Locus{short, long}
		if i%4 > 1 {
			slices.Reverse(loci)
		}
		reads := pairOf(t, rng, loci, []float64{0.6, 0.4})
		s := sampleOf(t, reads, lib)
		if s.Contig == nil || !slices.Contains(s.Contig.Flags, seqqc.IndelHeterozygote) {
			continue
		}
		found++
		if s.Contig.Second == nil {
			continue
		}
		right := 0
		for k, seq := range []string{s.Contig.Sequence, s.Contig.Second.Sequence} {
			if strings.Contains(seq, string(loci[k].ITS())) {
				right++
			}
		}
		if right > 0 {
			one++
		}
		if right == 2 {
			both++
		}
	}
	t.Logf("of %d tubes: %d flagged, %d with both alleles right, %d with one at least", n, found, both, one)
	require.GreaterOrEqual(t, found, n*90/100)
	require.GreaterOrEqual(t, both, n*70/100)
}

// A quarter of the DNA is of another organism: it is found, and named.
func TestSecondOrganismIsNamed(t *testing.T) {
	n := trials(24, 200)
	found, named, wrong := 0, 0, 0
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 403))
		a, b := locusOf(rng), locusOf(rng)
		lib := libraryOf(t, map[string]simulate.Locus{"Russula syna": a, "Penicillium synb": b, "Amanita sync": locusOf(rng)})
		reads := pairOf(t, rng, []simulate.Locus{a, b}, []float64{0.75, 0.25})
		s := sampleOf(t, reads, lib)
		if s.Contig == nil || !slices.Contains(s.Contig.Flags, seqqc.MixedTemplate) {
			continue
		}
		found++
		require.Equal(t, "Russula", s.Match.Lineage.Genus)
		if s.Minor == nil {
			continue
		}
		switch s.Minor.Match.Lineage.Genus {
		case "Penicillium":
			named++
		case "":
		default:
			wrong++
		}
	}
	t.Logf("of %d tubes: %d flagged, in %d the second organism's genus is named, in %d wrongly", n, found, named, wrong)
	require.GreaterOrEqual(t, found, n*95/100)
	require.GreaterOrEqual(t, named, n*80/100)
	require.Zero(t, wrong)
}

func TestMoreThanTwoIsSaid(t *testing.T) {
	lib := libraryOf(t, map[string]simulate.Locus{"Russula syna": locusOf(rand.New(rand.NewPCG(1, 1)))})
	n := trials(12, 100)
	said := 0
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 404))
		reads := pairOf(t, rng, []simulate.Locus{locusOf(rng), locusOf(rng), locusOf(rng)}, []float64{0.4, 0.3, 0.3})
		sampleOf(t, reads, lib)
		if slices.ContainsFunc(reads, func(r *seqqc.Read) bool { return r.Copies.Kind == seqqc.ManyCopies }) {
			said++
		}
	}
	t.Logf("of %d tubes with three organisms: %d said to hold more than two", n, said)
	require.GreaterOrEqual(t, said, n*80/100)
}

// The real reads of https://github.com/sgraham9319/SubalpineMyco (26 of a
// 3730xl) and of the collections beside them. Of the flagged ones the middle
// 150 bases were looked at as a picture. Reads 5, 31, 43, 46, 49, 59 and 62
// show a row of low second peaks, often between their own, faint in 5 and 31. Reads 56 and 81 show two sequences of about equal height,
// in 56 off one another's beat, so that many bases seem to have a third peak.
// Read 53 is clean up to base 85 and double behind it, as of an insertion; 85
// shows no sequence that can be followed. Read 70 shows pairs of peaks in
// step. That no other read shows a second template was not looked at.
func TestRealReadsWithASecondTemplate(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	want := map[string]seqqc.CopyKind{
		"cleaned_31-ITS1F.ab1": seqqc.CopiesApart, "cleaned_43-ITS1F.ab1": seqqc.CopiesOfBothStrands, "cleaned_46-ITS1F.ab1": seqqc.CopiesOfBothStrands,
		"cleaned_49-ITS1F.ab1": seqqc.CopiesOfBothStrands, "cleaned_59-ITS1F.ab1": seqqc.CopiesOfBothStrands, "cleaned_62-ITS1F.ab1": seqqc.CopiesOfBothStrands,
		// Faint, about 15 %.
		"cleaned_5-ITS1F.ab1": seqqc.CopiesApart,
		// A run of A, seven long in one copy and six in the other, and a run of T
		// behind which the two are in step again.
		"cleaned_70-ITS1F.ab1": seqqc.CopiesShifted,
		// Unreadable as one sequence to the eye as well.
		"cleaned_53-ITS1F.ab1": seqqc.CopiesShifted, "cleaned_56-ITS1F.ab1": seqqc.ManyCopies,
		"cleaned_81-ITS1F.ab1": seqqc.CopiesApart, "cleaned_85-ITS1F.ab1": seqqc.ManyCopies,
	}
	got := map[string]seqqc.CopyKind{}
	for item := range trace.Folder(os.DirFS(dir), "abif", trace.Limits{}) {
		lookAtReal(t, item, got)
	}
	for item := range trace.Folder(os.DirFS(dir), "scf", trace.Limits{}) {
		lookAtReal(t, item, got)
	}
	require.Equal(t, want, got)
}

func lookAtReal(t *testing.T, item trace.Item, got map[string]seqqc.CopyKind) {
	t.Helper()
	if item.Trace == nil {
		return
	}
	r := &seqqc.Read{File: item.File, Trace: item.Trace}
	require.NoError(t, batch.MeasureAndTrim(r, batch.DefaultSettings()))
	if r.Copies != nil && (r.Copies.Kind == seqqc.CopiesOfBothStrands ||
		slices.Contains(r.Flags, seqqc.MixedTemplate) || slices.Contains(r.Flags, seqqc.IndelHeterozygote)) {
		got[filepath.Base(r.File)] = r.Copies.Kind
	}
}
