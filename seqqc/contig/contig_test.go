package contig

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

func randomBases(rng *rand.Rand, n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = "ACGT"[rng.IntN(4)]
	}
	return b
}

// usable gives a read that is kept whole. The bases are as sequenced: those
// of a reverse read are the other strand.
func usable(file string, d seqqc.Direction, bases, quals []byte) *seqqc.Read {
	return &seqqc.Read{
		File: file, Direction: d, Usable: true,
		Kept:  seqqc.Interval{End: len(bases)},
		Trace: &seqqc.Trace{Bases: bases, Quals: quals},
	}
}

// even gives n qualities of value q.
func even(n int, q byte) []byte { return slices.Repeat([]byte{q}, n) }

// noisy reads a template with qualities drawn between 16 and 45 and errors
// drawn by them: four in five a wrong base, the rest a base left out or added.
// The doubt about a base left out goes to the base before it.
func noisy(rng *rand.Rand, template []byte) (bases, quals []byte) {
	for _, b := range template {
		q := byte(16 + rng.IntN(30))
		if rng.Float64() >= align.CallError(q) {
			bases, quals = append(bases, b), append(quals, q)
			continue
		}
		switch k := rng.IntN(10); {
		case k == 0 && len(quals) > 0:
			last := &quals[len(quals)-1]
			*last = min(*last, q)
		case k == 1:
			bases, quals = append(bases, b, "ACGT"[rng.IntN(4)]), append(quals, q, q)
		default:
			wrong := "ACGT"[rng.IntN(4)]
			for wrong == b {
				wrong = "ACGT"[rng.IntN(4)]
			}
			bases, quals = append(bases, wrong), append(quals, q)
		}
	}
	return bases, quals
}

func reversed(b []byte) []byte {
	b = slices.Clone(b)
	slices.Reverse(b)
	return b
}

// pairOf gives a forward read of the first part of a template and a reverse
// read of its last part, both noisy.
func pairOf(rng *rand.Rand, template []byte, forwardEnd, reverseStart int) []*seqqc.Read {
	fb, fq := noisy(rng, template[:forwardEnd])
	rb, rq := noisy(rng, template[reverseStart:])
	return []*seqqc.Read{
		usable("x-ITS1F.ab1", seqqc.Forward, fb, fq),
		usable("x-ITS4.ab1", seqqc.Reverse, align.ReverseComplement(rb), reversed(rq)),
	}
}

func assemble(t *testing.T, reads ...*seqqc.Read) *seqqc.Contig {
	t.Helper()
	c, err := Assemble(reads, Defaults())
	require.NoError(t, err)
	checkContig(t, c, reads)
	return c
}

// checkContig holds a contig against what its fields promise.
func checkContig(t *testing.T, c *seqqc.Contig, reads []*seqqc.Read) {
	t.Helper()
	require.Len(t, c.Quals, len(c.Bases))
	require.Equal(t, string(c.Bases), c.Sequence)
	require.Equal(t, -1, align.Invalid(c.Bases))
	errors, ambiguous := 0.0, 0
	for i, b := range c.Bases {
		require.Equal(t, c.Quals[i]+33, c.Phred33[i])
		require.LessOrEqual(t, int(c.Quals[i]), Defaults().MaxQuality)
		if b != 'N' {
			errors += align.CallError(c.Quals[i])
		}
		if !align.Plain(b) && (i < c.Gap.Start || i >= c.Gap.End) {
			ambiguous++
		}
	}
	require.InDelta(t, errors, c.PredictedErrors, 1e-9)
	require.Equal(t, ambiguous, c.Ambiguous)

	byFile := map[string]*seqqc.Read{}
	for _, r := range reads {
		byFile[r.File] = r
	}
	placed := map[string]seqqc.ReadPlacement{}
	for _, pl := range c.Reads {
		r := byFile[pl.File]
		require.NotNil(t, r, pl.File)
		require.Equal(t, r.Kept, pl.Of)
		require.GreaterOrEqual(t, pl.On.Start, 0)
		require.LessOrEqual(t, pl.On.End, len(c.Bases))
		placed[pl.File] = pl
	}
	last := 0
	for _, d := range c.Disagreements {
		require.GreaterOrEqual(t, d.At, last)
		last = d.At
		require.LessOrEqual(t, d.At, len(c.Bases))
		if d.Code != "-" {
			require.Equal(t, d.Code, string(c.Bases[d.At]))
			require.Equal(t, d.Quality, int(c.Quals[d.At]))
		}
		said := map[string]bool{}
		for _, call := range d.Calls {
			said[call.Base] = true
			r, pl := byFile[call.File], placed[call.File]
			if call.Base == "-" {
				continue
			}
			got := r.Trace.Bases[call.At : call.At+1]
			if pl.Complemented {
				got = align.ReverseComplement(got)
			}
			require.Equal(t, call.Base, string(got), "%s at %d", call.File, call.At)
			if r.Trace.HasQuals() {
				require.Equal(t, call.Quality, int(r.Trace.Quals[call.At]))
			}
		}
		require.Greater(t, len(said), 1, "a disagreement needs two opinions")
	}
}

func TestAssemblePair(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	template := randomBases(rng, 600)
	f := slices.Clone(template[:450])
	r := align.ReverseComplement(template[200:])
	fq, rq := even(450, 40), even(400, 30)
	// Template 300 is read as another base by the weak forward call; template
	// 350 is left out by the reverse read; 420 is split.
	swap := map[byte]byte{'A': 'C', 'C': 'A', 'G': 'T', 'T': 'G'}
	f[300], fq[300] = swap[f[300]], 8
	f[420], fq[420] = swap[f[420]], 30
	k := 599 - 350
	r, rq = slices.Delete(r, k, k+1), slices.Delete(rq, k, k+1)
	rq[k-1], rq[k] = 12, 15

	c := assemble(t, usable("f.ab1", seqqc.Forward, f, fq), usable("r.ab1", seqqc.Reverse, r, rq))
	require.Empty(t, c.Flags)
	require.Empty(t, c.Notes)
	require.Len(t, c.Bases, 600)
	want := slices.Clone(template)
	want[420] = align.Code(align.Mask(template[420]) | align.Mask(f[420]))
	require.Equal(t, string(want), c.Sequence)
	require.Len(t, c.Disagreements, 3)
	require.Equal(t, 300, c.Disagreements[0].At)
	require.Equal(t, []seqqc.ReadCall{
		{File: "f.ab1", At: 300, Base: string(f[300]), Quality: 8},
		{File: "r.ab1", At: 599 - 1 - 300, Base: string(template[300]), Quality: 30},
	}, c.Disagreements[0].Calls)
	require.Equal(t, "-", c.Disagreements[1].Calls[1].Base)
	require.Equal(t, 12, c.Disagreements[1].Calls[1].Quality)
	require.Equal(t, 420, c.Disagreements[2].At)
	require.Equal(t, []seqqc.ReadPlacement{
		{File: "f.ab1", On: seqqc.Interval{Start: 0, End: 450}, Of: seqqc.Interval{Start: 0, End: 450}},
		{File: "r.ab1", On: seqqc.Interval{Start: 200, End: 600}, Of: seqqc.Interval{Start: 0, End: 399}, Complemented: true},
	}, c.Reads)
	// 40 and 30 agree: e = 1e-4 * 1e-3 / 3, Q74.8, capped.
	require.Equal(t, 50, int(c.Quals[210]))
	require.Equal(t, 40, int(c.Quals[100]))
	require.Equal(t, 30, int(c.Quals[500]))
}

func TestAssembleOneRead(t *testing.T) {
	c := assemble(t, usable("r.ab1", seqqc.Reverse, []byte("AACRNT"), []byte{10, 20, 3, 20, 0, 62}))
	require.Equal(t, "ANYGTT", c.Sequence)
	require.Equal(t, []byte{50, 0, 20, 3, 20, 10}, c.Quals)
	require.Equal(t, []seqqc.Flag{seqqc.OneStrandOnly, seqqc.LowQuality}, c.Flags)
	require.Equal(t, 2, c.Ambiguous)
	require.Empty(t, c.Disagreements)
}

func TestAssembleKeepsToTheKeptStretch(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	template := randomBases(rng, 300)
	junk := randomBases(rng, 40)
	f := usable("f", seqqc.Forward, slices.Concat(junk, template[:200], junk), even(280, 40))
	f.Kept = seqqc.Interval{Start: 40, End: 240}
	r := usable("r", seqqc.Reverse, slices.Concat(junk, align.ReverseComplement(template[100:]), junk), even(280, 40))
	r.Kept = seqqc.Interval{Start: 40, End: 240}
	c := assemble(t, f, r)
	require.Equal(t, string(template), c.Sequence)
	require.Equal(t, seqqc.Interval{Start: 40, End: 240}, c.Reads[1].Of)
}

func TestAssembleUnknownDirections(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	template := randomBases(rng, 600)
	for i, d := range [][2]seqqc.Direction{
		{seqqc.UnknownDirection, seqqc.UnknownDirection},
		{seqqc.UnknownDirection, seqqc.Reverse},
		{seqqc.Forward, seqqc.UnknownDirection},
		{seqqc.Forward, seqqc.Forward}, // the second is labelled wrongly
	} {
		reads := pairOf(rng, template, 420, 200)
		reads[0].File, reads[1].File = "1.ab1", "2.ab1"
		reads[0].Direction, reads[1].Direction = d[0], d[1]
		c := assemble(t, reads...)
		require.Empty(t, c.Flags, i)
		require.Less(t, distance(t, template, c.Bases), 6, i)
		if i == 3 {
			require.Len(t, c.Notes, 1)
			require.Contains(t, c.Notes[0], "doubtful")
		} else {
			require.Empty(t, c.Notes)
		}
		// The first file gives the direction where none is known.
		if i == 0 {
			reads[0].File, reads[1].File = "2.ab1", "1.ab1"
			turned := assemble(t, reads...)
			require.Less(t, distance(t, align.ReverseComplement(template), turned.Bases), 6)
		}
	}
}

// distance counts the differences of two sequences: an overlap alignment and
// what stands out at its ends.
func distance(t *testing.T, a, b []byte) int {
	t.Helper()
	al, err := align.OverlapQuality(
		align.Called{Bases: a, Quals: even(len(a), 40)}, align.Called{Bases: b, Quals: even(len(b), 40)})
	require.NoError(t, err)
	d := al.AStart + al.BStart + len(a) - al.AEnd + len(b) - al.BEnd
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		switch run.Op {
		case align.Pair:
			for k := range run.Len {
				if align.Mask(a[i+k])&align.Mask(b[j+k]) == 0 {
					d++
				}
			}
			i, j = i+run.Len, j+run.Len
		case align.OnlyA:
			d, i = d+run.Len, i+run.Len
		case align.OnlyB:
			d, j = d+run.Len, j+run.Len
		}
	}
	return d
}

func TestAssembleManyReads(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	template := randomBases(rng, 900)
	var reads []*seqqc.Read
	for i, v := range [][2]int{{0, 400}, {20, 380}, {300, 620}, {550, 900}, {520, 880}} {
		b, q := noisy(rng, template[v[0]:v[1]])
		d := seqqc.Forward
		if i%2 == 1 {
			b, q, d = align.ReverseComplement(b), reversed(q), seqqc.Reverse
		}
		reads = append(reads, usable(fmt.Sprintf("%d.ab1", i), d, b, q))
	}
	reads = append(reads, &seqqc.Read{File: "poor.ab1"})
	c := assemble(t, reads...)
	require.Len(t, c.Reads, 5)
	require.Empty(t, c.Flags)
	require.Less(t, distance(t, template, c.Bases), 8)
}

// A file of many records may be tied to one voucher by mistake.
func TestAssembleTooManyReads(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	template := randomBases(rng, 120)
	reads := []*seqqc.Read{usable("0 poor", seqqc.Forward, template, even(120, 15))}
	p := Defaults()
	p.MaxReads = 4
	for i := range p.MaxReads + 2 {
		reads = append(reads, usable(fmt.Sprint(i+1), seqqc.Forward, template, even(120, 30)))
	}
	c, err := Assemble(reads, p)
	require.NoError(t, err)
	require.Len(t, c.Reads, p.MaxReads)
	require.Equal(t, "1", c.Reads[0].File, "the poor one is not among the best")
	require.Equal(t, []string{"left out: 3 more reads; the 4 with the most good bases were put together"}, c.Notes)
}

func TestAssembleErrors(t *testing.T) {
	_, err := Assemble(nil, Defaults())
	require.ErrorIs(t, err, ErrNoRead)
	_, err = Assemble([]*seqqc.Read{{File: "a"}}, Defaults())
	require.ErrorIs(t, err, ErrNoRead)
	_, err = Assemble(nil, Params{})
	require.ErrorContains(t, err, "largest number of reads")
	bad := usable("lab/a.ab1", seqqc.Forward, []byte("ACG*T"), even(5, 30))
	_, err = Assemble([]*seqqc.Read{bad}, Defaults())
	require.ErrorContains(t, err, "lab/a.ab1: position 3: '*'")
	bad.Kept.End = 9
	_, err = Assemble([]*seqqc.Read{bad}, Defaults())
	require.ErrorContains(t, err, "kept stretch 0-9 of a read of 5 bases")
	bad.Kept.End, bad.Trace.Quals = 3, even(4, 30)
	_, err = Assemble([]*seqqc.Read{bad}, Defaults())
	require.ErrorContains(t, err, "5 bases, 4 qualities")
	nan := Defaults()
	nan.SplitBelow = math.NaN()
	require.Error(t, nan.Validate())
}
