package alleles_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/alleles"
)

func TestLook(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	seq, other, third := random(rng, 400), random(rng, 400), random(rng, 400)
	shorter := seq[:150] + seq[155:]
	site := []byte(seq)
	site[200] = map[byte]byte{'A': 'G', 'G': 'A', 'C': 'T', 'T': 'C'}[site[200]]
	ghost := seq[1:]
	run := seq[:120] + "CAAAAAAAAAAG" + seq[120:]
	slip := seq[:120] + "CAAAAAAAAAG" + seq[120:]
	for name, c := range map[string]struct {
		templates []template
		noise     float64
		kind      seqqc.CopyKind
		flag      seqqc.Flag
	}{
		"clean":                {[]template{{seq, 1}}, 0.02, seqqc.OneCopy, ""},
		"clean under noise":    {[]template{{seq, 1}}, 0.07, seqqc.OneCopy, ""},
		"noise alone":          {[]template{{seq, 0.05}}, 0.3, seqqc.CopiesUntold, ""},
		"a site":               {[]template{{seq, 0.5}, {string(site), 0.5}}, 0.015, seqqc.CopiesInStep, ""},
		"five bases less":      {[]template{{seq, 0.6}, {shorter, 0.4}}, 0.02, seqqc.CopiesShifted, seqqc.IndelHeterozygote},
		"five bases more":      {[]template{{shorter, 0.6}, {seq, 0.4}}, 0.02, seqqc.CopiesShifted, seqqc.IndelHeterozygote},
		"two organisms":        {[]template{{seq, 0.75}, {other, 0.25}}, 0.02, seqqc.CopiesApart, seqqc.MixedTemplate},
		"two of a like share":  {[]template{{seq, 0.5}, {other, 0.5}}, 0.02, seqqc.CopiesApart, seqqc.MixedTemplate},
		"three organisms":      {[]template{{seq, 0.4}, {other, 0.3}, {third, 0.3}}, 0.02, seqqc.ManyCopies, seqqc.MixedTemplate},
		"a faint second":       {[]template{{seq, 0.92}, {other, 0.08}}, 0.01, seqqc.OneCopy, ""},
		"slips behind a run":   {[]template{{run, 0.75}, {slip, 0.25}}, 0.015, seqqc.OneCopy, ""},
		"runs that differ":     {[]template{{run, 0.55}, {slip, 0.45}}, 0.015, seqqc.CopiesShifted, seqqc.IndelHeterozygote},
		"a faint shadow ahead": {[]template{{seq, 0.92}, {ghost, 0.08}}, 0.01, seqqc.OneCopy, ""},
	} {
		t.Run(name, func(t *testing.T) {
			r := readOf(rng, c.noise, 0.3, c.templates...)
			require.NoError(t, alleles.Look(r, alleles.Defaults()))
			require.Equal(t, c.kind, r.Copies.Kind, "%+v", *r.Copies)
			if c.flag == "" {
				require.Empty(t, r.Flags)
				return
			}
			require.Equal(t, []seqqc.Flag{c.flag}, r.Flags)
			require.NotEmpty(t, r.Copies.Why)
		})
	}
}

// What is not a mixture: a dirty start, an end that decays, a hump of dye, a
// stretch cut off at the top.
func TestLookPassesOverOrdinaryFaults(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	seq := random(rng, 400)
	for name, spoil := range map[string]func(i int, b *seqqc.BaseSignal){
		"dirty start": func(i int, b *seqqc.BaseSignal) {
			if i < 50 {
				for c := range b.Heights {
					b.Heights[c] += float32(400 * rng.Float64())
				}
			}
		},
		"noise that grows to the end": func(i int, b *seqqc.BaseSignal) {
			for c := range b.Heights {
				b.Heights[c] += float32(0.4 * float64(i) * rng.ExpFloat64())
			}
		},
		"a hump": func(i int, b *seqqc.BaseSignal) {
			if i >= 60 && i < 66 {
				b.Heights[1], b.Blob = 3000, true
			}
		},
		"cut off": func(i int, b *seqqc.BaseSignal) {
			if i >= 100 && i < 140 {
				b.Heights[2], b.Clipped = b.Heights[2]+500, true
			}
		},
	} {
		r := readOf(rng, 0.015, 0.3, template{seq, 1})
		for i := range r.Signal.Bases {
			spoil(i, &r.Signal.Bases[i])
		}
		require.NoError(t, alleles.Look(r, alleles.Defaults()))
		require.Empty(t, r.Flags, "%s: %+v", name, *r.Copies)
	}
}

func TestLookTellsPlaceSizeAndShare(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	const at, size = 130, 7
	longer := random(rng, 380)
	shorter := longer[:at] + longer[at+size:]
	for _, c := range []struct {
		major, minor string
		shift        int
	}{{longer, shorter, size}, {shorter, longer, -size}} {
		r := readOf(rng, 0.02, 0.3, template{c.major, 0.7}, template{c.minor, 0.3})
		require.NoError(t, alleles.Look(r, alleles.Defaults()))
		require.Len(t, r.Copies.Stretches, 2)
		s := r.Copies.Stretches[1]
		require.Equal(t, c.shift, s.Shift)
		require.Equal(t, size, s.Fresh)
		// The bases beside the place may be alike by chance, so that it slides.
		require.InDelta(t, at, s.At.Start, 3)
		require.InDelta(t, 30, r.Copies.MinorPct, 3)
	}
}

// Two copies that differ in length twice, so that they are in step again.
func TestLookTellsWhereTheyAreInStepAgain(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	seq := random(rng, 450)
	other := seq[:120] + seq[123:300] + "GTA" + seq[300:]
	r := readOf(rng, 0.02, 0.3, template{seq, 0.6}, template{other, 0.4})
	require.NoError(t, alleles.Look(r, alleles.Defaults()))
	require.Equal(t, seqqc.CopiesShifted, r.Copies.Kind)
	var shifts []int
	for _, s := range r.Copies.Stretches {
		shifts = append(shifts, s.Shift)
	}
	require.Equal(t, []int{0, 3, 0}, shifts)
}

func TestLookWithoutSignal(t *testing.T) {
	r := &seqqc.Read{Trace: &seqqc.Trace{Bases: []byte("ACGT")}}
	require.NoError(t, alleles.Look(r, alleles.Defaults()))
	require.Nil(t, r.Copies)
	r.Signal = &seqqc.Signal{Bases: make([]seqqc.BaseSignal, 3)}
	require.ErrorContains(t, alleles.Look(r, alleles.Defaults()), "peak evidence of 3 bases for a read of 4")
	p := alleles.Defaults()
	p.MinMinorPct = 70
	require.ErrorContains(t, alleles.Look(r, p), "must lie between 0 and 50")
}

func TestLookAgain(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	r := readOf(rng, 0.02, 0.3, template{random(rng, 300), 0.7}, template{random(rng, 300), 0.3})
	require.NoError(t, alleles.Look(r, alleles.Defaults()))
	require.Equal(t, seqqc.CopiesApart, r.Copies.Kind)
	alleles.LookAgain(r, seqqc.CopiesShifted)
	require.Equal(t, []seqqc.Flag{seqqc.IndelHeterozygote}, r.Flags)
	alleles.LookAgain(r, seqqc.CopiesApart)
	require.Equal(t, []seqqc.Flag{seqqc.MixedTemplate}, r.Flags)
	r.Copies = nil
	alleles.LookAgain(r, seqqc.CopiesApart)
	require.Nil(t, r.Copies)
}

func ExampleLook() {
	rng := rand.New(rand.NewPCG(1, 1))
	longer := random(rng, 300)
	shorter := longer[:100] + longer[104:]
	read := readOf(rng, 0.02, 0.2, template{longer, 0.6}, template{shorter, 0.4})
	if err := alleles.Look(read, alleles.Defaults()); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(read.Copies.Kind, read.Flags)
	for _, s := range read.Copies.Stretches {
		fmt.Println(s.At, s.Shift)
	}
	// Output:
	// shifted [indel_heterozygote]
	// {0 100} 0
	// {100 300} 4
}

func FuzzLook(f *testing.F) {
	f.Add(uint64(1), []byte("any bytes"), 20)
	f.Add(uint64(2), []byte{0, 255, 0, 255, 7, 7, 7, 7}, 0)
	f.Fuzz(func(t *testing.T, seed uint64, heights []byte, start int) {
		rng := rand.New(rand.NewPCG(seed, 1))
		a := random(rng, 200)
		r := readOf(rng, 0.02, 0.3, template{a, 0.6}, template{a[:80] + a[80+int(seed%9):], 0.4})
		for i, h := range heights {
			b := &r.Signal.Bases[i/4%len(r.Signal.Bases)]
			b.Heights[i%4] = (float32(h) - 20) * 40
			b.Clipped = h == 255
		}
		r.Kept.Start = max(0, min(start, len(r.Trace.Bases)))
		require.NoError(t, alleles.Look(r, alleles.Defaults()))
		c := r.Copies
		at := c.Looked.Start
		for _, s := range c.Stretches {
			require.Equal(t, at, s.At.Start)
			require.Greater(t, s.At.End, s.At.Start)
			at = s.At.End
		}
		if len(c.Stretches) > 0 {
			require.Equal(t, c.Looked.End, at)
		}
		if c.Kind != seqqc.CopiesShifted && c.Kind != seqqc.CopiesApart {
			return
		}
		major, minor, err := alleles.Split(r)
		require.NoError(t, err)
		for _, v := range []*seqqc.Read{major, minor} {
			require.Len(t, v.Trace.Bases, len(r.Trace.Bases))
			for _, base := range v.Trace.Bases[c.Looked.Start:c.Looked.End] {
				require.Contains(t, "ACGT", string(base))
			}
		}
	})
}

// A read of two copies, the dearest to look at.
func BenchmarkLook(b *testing.B) {
	rng := rand.New(rand.NewPCG(9, 1))
	seq := random(rng, 700)
	r := readOf(rng, 0.02, 0.3, template{seq, 0.6}, template{seq[:200] + seq[206:], 0.4})
	for b.Loop() {
		if err := alleles.Look(r, alleles.Defaults()); err != nil {
			b.Fatal(err)
		}
	}
}
