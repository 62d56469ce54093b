package contig

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

// mutate changes a share of the bases.
func mutate(rng *rand.Rand, seq []byte, share float64) []byte {
	out := slices.Clone(seq)
	for i := range out {
		if rng.Float64() < share {
			for c := out[i]; c == out[i]; {
				out[i] = "ACGT"[rng.IntN(4)]
			}
		}
	}
	return out
}

func TestTwoPart(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 7))
	template := randomBases(rng, 1500)
	c := assemble(t, pairOf(rng, template, 650, 900)...)
	require.Equal(t, []seqqc.Flag{seqqc.TwoPart}, c.Flags)
	require.Equal(t, PartGap, c.Gap.Len())
	require.Equal(t, strings.Repeat("N", PartGap), c.Sequence[c.Gap.Start:c.Gap.End])
	require.Less(t, distance(t, template[:650], c.Bases[:c.Gap.Start]), 15)
	require.Less(t, distance(t, template[900:], c.Bases[c.Gap.End:]), 15)
	require.Equal(t, c.Gap.Start, c.Reads[0].On.End)
	require.Equal(t, seqqc.Interval{Start: c.Gap.End, End: len(c.Bases)}, c.Reads[1].On)
	require.Zero(t, c.Ambiguous)
}

// Two reads that end 0 to 15 bases apart, or share less than can be told from
// chance, stay two parts; from some 20 good shared bases on they join.
func TestJoiningNeedsMoreThanChance(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 7))
	for _, shared := range []int{-15, 0, 8, 15, 17, 26, 40} {
		for range 5 {
			template := randomBases(rng, 600)
			f, r := template[:300+shared], template[300:]
			if shared < 0 {
				f, r = template[:300], template[300-shared:]
			}
			c := assemble(t,
				usable("f", seqqc.Forward, f, even(len(f), 40)),
				usable("r", seqqc.Reverse, align.ReverseComplement(r), even(len(r), 40)))
			if shared > 20 {
				require.Empty(t, c.Flags)
				require.Equal(t, string(template), c.Sequence)
			} else {
				require.Equal(t, []seqqc.Flag{seqqc.TwoPart}, c.Flags, shared)
			}
		}
	}
}

// Unrelated reads never join. The bound of Params, 2^-S on each of the 1,000
// diagonals, makes log2(1000 n) bits the best score to expect of n pairs.
func TestStrangersNeverJoin(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	const n = 20
	for _, quality := range []byte{8, 15, 40} {
		best := 0
		for range n {
			a := newLayout(usable("a", seqqc.Forward, randomBases(rng, 500), even(500, quality)), Defaults())
			b := newLayout(usable("b", seqqc.Forward, randomBases(rng, 500), even(500, quality)), Defaults())
			o, err := findOverlap(a, b)
			require.NoError(t, err)
			best = max(best, o.al.Score)
		}
		bits := float64(best) / align.Bits
		t.Logf("Q%d: best overlap of %d pairs of strangers %.1f bits, expected at most %.1f", quality, n, bits, math.Log2(1000*n))
		require.Less(t, bits, math.Log2(1000*n)+10)
	}
}

// Reads that end in the same repeat do not join on it.
func TestRepeatsDoNotJoin(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 7))
	for _, unit := range []string{"T", "CA", "GAT", "TTAGGG"} {
		repeat := []byte(strings.Repeat(unit, 40)[:40])
		f := slices.Concat(randomBases(rng, 400), repeat)
		r := slices.Concat(repeat, randomBases(rng, 400))
		c := assemble(t,
			usable("f", seqqc.Forward, f, even(len(f), 40)),
			usable("r", seqqc.Reverse, align.ReverseComplement(r), even(len(r), 40)))
		require.Equal(t, []seqqc.Flag{seqqc.TwoPart}, c.Flags, unit)
	}
}

func TestStrandsDisagree(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	conserved := randomBases(rng, 158)
	for _, c := range []struct {
		name  string
		share float64 // of bases that differ outside the conserved part
	}{{"another species", 0.08}, {"another genus", 0.2}, {"another family", 0.5}} {
		its1, its2 := randomBases(rng, 220), randomBases(rng, 220)
		template := slices.Concat(its1, conserved, its2)
		other := slices.Concat(mutate(rng, its1, c.share), conserved, mutate(rng, its2, c.share))
		fb, fq := noisy(rng, template[:560])
		rb, rq := noisy(rng, other[60:])
		contig := assemble(t,
			usable("f.ab1", seqqc.Forward, fb, fq),
			usable("r.ab1", seqqc.Reverse, align.ReverseComplement(rb), reversed(rq)))
		require.Contains(t, contig.Flags, seqqc.StrandsDisagree, c.name)
		require.Contains(t, contig.Flags, seqqc.OneStrandOnly, c.name)
		require.Len(t, contig.Reads, 1)
		require.Len(t, contig.Notes, 1)
		require.Contains(t, contig.Notes[0], "left out: ")
		require.Empty(t, contig.Disagreements)
	}
}

// A fungus and a plant may share no stretch of 16 bases, and still both reads
// hold the core of the 5.8S (here the only place where the two are alike): they
// cover the same place and are no two parts of one molecule.
func TestCoreOf58STellsStrangers(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 7))
	for _, c := range []struct {
		fungus, plant string
		flag          seqqc.Flag
	}{
		{"CGATGAAGAACGCAGC", "CGATGAAGAACGTAGC", seqqc.StrandsDisagree},
		{"CGATGATGAACGCAGC", "CGATGAAGAACGTAGG", seqqc.StrandsDisagree}, // two wrong bases
		{"CGATGAAGAACGCAGC", "CGATGNNNNNCGTAGC", seqqc.TwoPart},         // N is no sign of it
		{"CGATGAAGAACGCAGC", "GCTACGTTCTTCATCG", seqqc.StrandsDisagree}, // on the other strand
	} {
		f := slices.Concat(randomBases(rng, 250), []byte(c.fungus), randomBases(rng, 150))
		r := slices.Concat(randomBases(rng, 150), []byte(c.plant), randomBases(rng, 250))
		contig := assemble(t,
			usable("f", seqqc.Forward, f, even(len(f), 40)),
			usable("r", seqqc.Reverse, align.ReverseComplement(r), even(len(r), 40)))
		require.Contains(t, contig.Flags, c.flag, "%s %s", c.fungus, c.plant)
	}
}

// The ends of the 5.8S are as authors of published sequences have them, its
// letters from memory.
func TestOverlapInThe58SIsTold(t *testing.T) {
	const r58S = "AACTTTCAACAACGGATCTCTTGGCTCTCGCATCGATGAAGAACGCAGCGAAATGCGATAAGTAATGTGAATTGCAGAATTCAGTGAATCATCGAATCTTTGAACGCACCTTGCGCTCCTTGGTATTCCGAGGAGCATGCCTGTTTGAGTGTC"
	rng := rand.New(rand.NewPCG(17, 7))
	template := slices.Concat(randomBases(rng, 200), []byte(r58S), randomBases(rng, 200))
	end := 200 + len(r58S)
	for _, c := range []struct {
		from, to int // where the reverse read begins and the forward read ends
		told     bool
	}{{200, end, true}, {210, 280, true}, {240, end - 5, true}, {200, end + 12, false}, {185, end, false}, {100, 600, false}} {
		f, r := template[:min(c.to, len(template))], template[c.from:]
		for _, other := range []bool{false, true} {
			if other { // the work is done on the strand whose letters come first
				f, r = align.ReverseComplement(r), align.ReverseComplement(f)
			}
			contig := assemble(t,
				usable("f", seqqc.Forward, f, even(len(f), 40)),
				usable("r", seqqc.Reverse, align.ReverseComplement(r), even(len(r), 40)))
			require.Equal(t, c.told, slices.Contains(contig.Flags, seqqc.TwoPart))
			require.Len(t, contig.Sequence, len(template))
			require.Equal(t, c.told, len(contig.Notes) == 1, "%v %q", c, contig.Notes)
		}
	}
}

// Variable sites of a specimen, one or two in a hundred, are disagreements
// and not another template.
func TestVariableSitesHoldTogether(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 7))
	for range 8 {
		template := randomBases(rng, 600)
		fb, fq := noisy(rng, template[:500])
		rb, rq := noisy(rng, mutate(rng, template, 0.012)[100:])
		c := assemble(t,
			usable("f.ab1", seqqc.Forward, fb, fq),
			usable("r.ab1", seqqc.Reverse, align.ReverseComplement(rb), reversed(rq)))
		require.NotContains(t, c.Flags, seqqc.StrandsDisagree)
		require.Len(t, c.Reads, 2)
	}
}

// A read that ran through to the far primer leaves no room for a gap.
func TestReadThroughIsNoTwoPart(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 7))
	reads := pairOf(rng, randomBases(rng, 1500), 600, 900)
	reads[0].Primers = []seqqc.PrimerSite{{
		Primer: "ITS4", Reverse: true, Cut: true,
		At: seqqc.Interval{Start: reads[0].Kept.End, End: reads[0].Kept.End + 20},
	}}
	c := assemble(t, reads...)
	require.Contains(t, c.Flags, seqqc.StrandsDisagree)
	require.Contains(t, c.Notes[0], "and should")
}

func TestShortSecondPartIsLeftOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 7))
	c := assemble(t, pairOf(rng, randomBases(rng, 1500), 600, 1400)...)
	require.Equal(t, []seqqc.Flag{seqqc.OneStrandOnly}, c.Flags)
	require.Contains(t, c.Notes[0], "too short for a second part")
}

// Reads without a known direction that do not meet may be the two ends of a
// long sequence, but not where both hold the same place.
func TestUnknownDirectionsThatDoNotMeet(t *testing.T) {
	rng := rand.New(rand.NewPCG(16, 7))
	place := randomBases(rng, 20)
	for _, c := range []struct {
		middle []byte
		flags  []seqqc.Flag
	}{
		{nil, []seqqc.Flag{seqqc.OneStrandOnly}},
		{place, []seqqc.Flag{seqqc.OneStrandOnly, seqqc.StrandsDisagree}},
	} {
		f := slices.Concat(randomBases(rng, 250), c.middle, randomBases(rng, 150))
		r := slices.Concat(randomBases(rng, 150), c.middle, randomBases(rng, 250))
		for _, other := range [][]byte{r, align.ReverseComplement(r)} {
			contig := assemble(t,
				usable("1.ab1", seqqc.UnknownDirection, f, even(len(f), 40)),
				usable("2.ab1", seqqc.UnknownDirection, other, even(len(r), 40)))
			require.Equal(t, c.flags, contig.Flags)
			require.Contains(t, contig.Notes[0], "left out: 2.ab1")
		}
		// A wrong direction in a file name makes no two parts of it either.
		contig := assemble(t,
			usable("1.ab1", seqqc.Forward, f, even(len(f), 40)),
			usable("2.ab1", seqqc.Reverse, r, even(len(r), 40)))
		require.Equal(t, len(c.middle) > 0, slices.Contains(contig.Flags, seqqc.StrandsDisagree))
	}
}

func TestReadsWithoutQualities(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 7))
	template := randomBases(rng, 600)
	f := usable("f.fasta", seqqc.Forward, template[:450], nil)
	r := usable("r.fasta", seqqc.Reverse, align.ReverseComplement(template[200:]), nil)
	c := assemble(t, f, r)
	require.Equal(t, string(template), c.Sequence)
	require.Equal(t, even(600, 13), c.Quals)
	require.Contains(t, c.Flags, seqqc.QualityMissing)
	require.NotContains(t, c.Flags, seqqc.LowQuality, "nothing tells how good it is")

	r.Trace.Quals = even(400, 25)
	c = assemble(t, f, r)
	require.Equal(t, string(template), c.Sequence)
	require.Equal(t, byte(13), c.Quals[100])
	require.Equal(t, byte(25), c.Quals[300])
	require.Contains(t, c.Flags, seqqc.QualityMissing)
}

// Estimated qualities are weighed as they are, and the contig says so.
func TestReadsWithEstimatedQualities(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 7))
	template := randomBases(rng, 600)
	f := usable("f.ab1", seqqc.Forward, template[:450], even(450, 20))
	f.Flags = []seqqc.Flag{seqqc.QualityEstimated}
	r := usable("r.ab1", seqqc.Reverse, align.ReverseComplement(template[200:]), even(400, 30))
	c := assemble(t, f, r)
	require.Equal(t, string(template), c.Sequence)
	require.Equal(t, byte(20), c.Quals[100])
	require.Equal(t, []seqqc.Flag{seqqc.QualityEstimated}, c.Flags)
	require.NotContains(t, assemble(t, r).Flags, seqqc.QualityEstimated)
}

func TestOrderOfReadsDoesNotMatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 7))
	for i := range 6 {
		template := randomBases(rng, 500)
		reads := pairOf(rng, template, 350, 150)
		b, q := noisy(rng, template[100:400])
		reads = append(reads, usable("third", seqqc.UnknownDirection, b, q))
		want := assemble(t, reads...)
		for range 3 {
			rng.Shuffle(3, func(x, y int) { reads[x], reads[y] = reads[y], reads[x] })
			require.Equal(t, want, assemble(t, reads...), i)
		}
	}
}

// The other strand of every read, stated directions kept, gives the other
// strand of the contig; the same reads with forward and reverse exchanged
// give it too.
func TestOtherStrand(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 7))
	for i := range 16 {
		template := randomBases(rng, 1300)
		end, start := 350, 150
		if i%4 == 0 {
			end, start = 400, 800 // two parts
		}
		reads := pairOf(rng, template[:900+i], end, start)
		want := assemble(t, reads...)
		var swapped, strands []*seqqc.Read
		for _, r := range reads {
			s := *r
			s.Direction = -r.Direction
			swapped = append(swapped, &s)
			o := usable(r.File, r.Direction, align.ReverseComplement(r.Trace.Bases), reversed(r.Trace.Quals))
			strands = append(strands, o)
		}
		got := [2]*seqqc.Contig{assemble(t, swapped...), assemble(t, strands...)}
		for _, c := range got {
			require.Equal(t, string(align.ReverseComplement(want.Bases)), c.Sequence)
			require.Equal(t, reversed(want.Quals), c.Quals)
			require.InDelta(t, want.PredictedErrors, c.PredictedErrors, 1e-9)
			require.Equal(t, want.Flags, c.Flags)
			require.Len(t, c.Disagreements, len(want.Disagreements))
			for k, d := range want.Disagreements {
				o := c.Disagreements[len(c.Disagreements)-1-k]
				at := len(want.Bases) - 1 - d.At
				if d.Code == "-" {
					at++
				}
				require.Equal(t, at, o.At)
				require.Equal(t, d.Quality, o.Quality)
			}
		}
	}
}

// A third read without error that agrees never lowers the quality of a
// position it covers.
func TestAgreeingReadNeverLowersQuality(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 7))
	for range 10 {
		template := randomBases(rng, 500)
		reads := pairOf(rng, template, 350, 150)
		before := assemble(t, reads...)
		if before.Ambiguous > 0 {
			continue
		}
		after := assemble(t, append(reads, usable("third", seqqc.Forward, slices.Clone(before.Bases), even(len(before.Bases), 60)))...)
		require.Equal(t, before.Sequence, after.Sequence)
		for i := range before.Quals {
			require.GreaterOrEqual(t, after.Quals[i], before.Quals[i])
		}
	}
}

// Two reads that bear one another out are better than one longer read, and the
// other contig can be had too.
func TestAlternatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 2))
	reads := pairOf(rng, randomBases(rng, 500), 400, 150)
	fb, fq := noisy(rng, randomBases(rng, 900))
	long := usable("x-LONG.ab1", seqqc.Forward, fb, fq)
	all, err := Alternatives(append([]*seqqc.Read{long}, reads...), Defaults())
	require.NoError(t, err)
	require.Len(t, all, 2)
	require.Len(t, all[0].Reads, 2)
	require.Equal(t, all[0], assemble(t, append(reads, long)...))
	require.Equal(t, "x-LONG.ab1", all[1].Reads[0].File)
	require.Contains(t, all[0].Notes[0], "x-LONG.ab1")
	require.Contains(t, all[1].Notes[0], "x-ITS1F.ab1 and x-ITS4.ab1")
	for _, c := range all {
		require.Contains(t, c.Flags, seqqc.StrandsDisagree)
	}

	// A part of an earlier contig has none of its own.
	far, err := Alternatives(pairOf(rng, randomBases(rng, 900), 300, 600), Defaults())
	require.NoError(t, err)
	require.Len(t, far, 1)
}

// Reads of products that end in the 5.8S are laid in the order of their
// primers, whatever their directions; what is no part stays out.
func TestPlacesOfPrimers(t *testing.T) {
	rng := rand.New(rand.NewPCG(18, 7))
	for _, c := range []struct {
		first, second string
		apart         bool
	}{
		{"ITS1-F", "ITS4", true}, {"ITS1", "ITS3", true}, {"ITS2", "ITS3", true}, {"ITS2", "fITS7", true},
		{"ITS2", "gITS7", true}, {"ITS2", "fITS9", true}, {"ITS2", "ITS4", true}, {"ITS5", "ITS2", true},
		{"ITS3", "ITS4-B", true}, {"ITS1-F", "ITS5", false}, {"ITS4", "ITS4-B", false}, {"ITS3", "fITS7", false},
		{"LR0R", "ITS1-F", false},
	} {
		left, right := randomBases(rng, 300), randomBases(rng, 300)
		of := func(file, primer string, bases []byte) *seqqc.Read {
			p, ok := seqqc.PrimerByName(primer)
			require.True(t, ok)
			if p.Direction == seqqc.Reverse {
				bases = align.ReverseComplement(bases)
			}
			r := usable(file, p.Direction, bases, even(len(bases), 40))
			r.Primer = primer
			return r
		}
		for _, files := range [][2]string{{"1", "2"}, {"2", "1"}} {
			contig := assemble(t, of(files[0], c.first, left), of(files[1], c.second, right))
			require.Equal(t, c.apart, slices.Contains(contig.Flags, seqqc.TwoPart), "%s %s", c.first, c.second)
			require.Equal(t, !c.apart, slices.Contains(contig.Flags, seqqc.StrandsDisagree), "%s %s", c.first, c.second)
			if c.apart {
				require.Equal(t, string(left)+strings.Repeat("N", PartGap)+string(right), contig.Sequence)
			}
		}
	}
}
