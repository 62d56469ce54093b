package cross_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/cross"
)

// byHand makes an empty world with genera of which the first has the number 0.
func byHand(genera int) *world {
	rng := rand.New(rand.NewPCG(7, 7))
	w := &world{rng: rng, kinds: newKinds(rng, genera)}
	w.batch.Fits = w.fits
	return w
}

// species gives the k-th species of the g-th genus.
func (w *world) species(g, k int) species {
	genus := fmt.Sprintf("Syngenus%c%c", 'a'+g/26, 'a'+g%26)
	for _, s := range w.kinds.species {
		if s.genus == genus {
			if k == 0 {
				return s
			}
			k--
		}
	}
	// A genus that has fewer gets one more.
	s := w.species(g, 0)
	s.binomial = fmt.Sprintf("%s synextra%d", genus, len(w.kinds.species))
	s.locus = s.locus.Evolve(w.rng, 0.04)
	w.kinds.species = append(w.kinds.species, s)
	return s
}

// specimen adds a voucher with a label and the DNA of a species.
func (w *world) specimen(label, well string, s species) int {
	w.add(label, well)
	w.isClean = append(w.isClean, true)
	w.put(len(w.batch.Vouchers)-1, w.dna(s))
	return len(w.batch.Vouchers) - 1
}

func TestNothingToCompare(t *testing.T) {
	w := byHand(1)
	require.Empty(t, compare(t, w.batch).Between)
	w.add("", "")
	w.add("Syngenusaa sp.", "A01")
	require.Empty(t, compare(t, w.batch).Between)
}

// With forty vouchers of forty genera, three in each of the two families, two
// labels of two fit crosswise by chance once in 37 x 37 cases.
func TestExchangeAmongManyGenera(t *testing.T) {
	w := byHand(40)
	for g := range 40 {
		w.specimen(w.species(g, 0).genus+" sp.", "", w.species(g, 0))
	}
	w.move(3, 17)
	f := compare(t, w.batch)
	require.Len(t, f.Between, 1)
	b := f.Between[0]
	require.Equal(t, seqqc.PatternExchange, b.Pattern)
	require.Equal(t, []string{"X-004", "X-018"}, b.Vouchers)
	require.InDelta(t, 1.0/37/37, b.Expected, 1e-12)
	require.Equal(t, seqqc.SwapSuspected, b.Flag)
	require.Contains(t, b.Evidence[0], `The DNA under X-004 is of Syngenusar syna, and the label of X-018 says "Syngenusar sp."`)
	require.Contains(t, b.Evidence[2], "about 0.0008 exchanges")
	for v, list := range f.Findings {
		require.Equal(t, v == 3 || v == 17, len(list) == 1, v)
	}
	require.Equal(t, []seqqc.Flag{seqqc.SwapSuspected}, f.Findings[3][0].Flags)
	require.True(t, f.Findings[3][0].Attention)
}

// DNA that no label of the batch fits, as of moulds, makes no exchange likelier.
func TestExchangeAmongMoulds(t *testing.T) {
	w := fortyGenera()
	w.move(3, 17)
	moulds := newKinds(w.rng, 50)
	for i := range 10 {
		s := moulds.species[len(moulds.species)-1]
		s.genus, s.family, s.binomial = "Synmould", "Synmouldaceae", fmt.Sprint("Synmould syn", 'a'+i)
		w.specimen(w.species(i+20, 0).genus+" sp.", "", s)
	}
	got := exchanges(compare(t, w.batch))
	require.Len(t, got, 1)
	// As without them, but with ten labels more to be dealt.
	require.Less(t, got[0].Expected, 1.0/37/37)
}

// A ring of three is told in the order in which DNA fits labels, and is far less
// likely than an exchange of two.
func TestRing(t *testing.T) {
	w := byHand(40)
	for g := range 40 {
		w.specimen(w.species(g, 0).binomial, "", w.species(g, 0))
	}
	w.move(1, 2, 3) // the DNA of 1 lies under 2, and so on
	f := compare(t, w.batch)
	require.Len(t, f.Between, 1)
	require.Equal(t, []string{"X-002", "X-004", "X-003"}, f.Between[0].Vouchers)
	// Two rings in three vouchers, each three labels of 37.
	require.InDelta(t, 2.0/37/37/37, f.Between[0].Expected, 1e-12)
}

// In a batch of one genus no label contradicts, and an exchange cannot show.
func TestOneGenusProvesNoExchange(t *testing.T) {
	w := byHand(1)
	for range 40 {
		w.specimen("Syngenusaa sp.", "", w.species(0, 0))
	}
	w.move(3, 17)
	require.Empty(t, compare(t, w.batch).Between)
}

// With twenty vouchers each of two genera any two wrong labels fit crosswise: it
// is told, and that it proves nothing.
func TestTwoGeneraMakeExchangesCheap(t *testing.T) {
	w := byHand(2)
	for i := range 40 {
		w.specimen(w.species(i%2, 0).genus+" sp.", "", w.species(i%2, 0))
	}
	w.move(3, 16)
	f := compare(t, w.batch)
	got := exchanges(f)
	require.Len(t, got, 1)
	require.InDelta(t, 1, got[0].Expected, 1e-12)
	require.Empty(t, got[0].Flag)
	require.Contains(t, got[0].Reason, "proves nothing")
	require.Contains(t, got[0].Evidence[2], "about 1 exchange")
	for _, list := range f.Findings {
		for _, x := range list {
			require.NotContains(t, x.Flags, seqqc.SwapSuspected)
		}
	}
}

func exchanges(f cross.Found) []seqqc.Between {
	var out []seqqc.Between
	for _, b := range f.Between {
		if b.Pattern == seqqc.PatternExchange {
			out = append(out, b)
		}
	}
	return out
}

// Species of one genus: rarer among more species, and no exchange of genera.
func TestExchangeWithinAGenus(t *testing.T) {
	w := byHand(1)
	for k := range 12 {
		w.specimen(w.species(0, k).binomial, "", w.species(0, k))
	}
	w.move(2, 5)
	f := compare(t, w.batch)
	got := exchanges(f)
	require.Len(t, got, 1)
	require.InDelta(t, 1.0/11/11, got[0].Expected, 1e-12)
	require.Contains(t, got[0].Evidence[3], "of the genus Syngenusaa")

	w = byHand(1)
	for k := range 12 {
		w.specimen(w.species(0, k%2).binomial, "", w.species(0, k%2))
	}
	w.move(2, 5)
	got = exchanges(compare(t, w.batch))
	require.Len(t, got, 1)
	require.Empty(t, got[0].Flag, "of two species any two wrong labels fit crosswise")
}

// Where a third voucher would do as well, it is named.
func TestAmbiguousExchange(t *testing.T) {
	w := byHand(40)
	for g := range 40 {
		w.specimen(w.species(g, 0).genus+" sp.", "", w.species(g, 0))
	}
	w.move(3, 17)
	w.specimen(w.species(17, 0).genus+" sp.", "", w.species(3, 0)) // another of the same kind as 18
	got := exchanges(compare(t, w.batch))
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-004", "X-018"}, got[0].Vouchers)
	require.Contains(t, got[0].Evidence[len(got[0].Evidence)-1], "X-041 would stand in it as well")
}

// Labels above genus take part where the DNA lies in them or outside.
func TestExchangeOfBroadLabels(t *testing.T) {
	w := byHand(40)
	for g := range 40 {
		label := w.species(g, 0).genus + " sp."
		if g == 3 || g == 17 {
			label = w.species(g, 0).family
		}
		w.specimen(label, "", w.species(g, 0))
	}
	w.move(3, 17)
	require.Len(t, of(compare(t, w.batch), seqqc.PatternExchange), 1)

	w.move(3, 17) // back
	w.move(3, 18) // both of the family that one label names
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternExchange))
}

// The second sample of a voucher can be the one that went astray.
func TestExchangeOfASecondSample(t *testing.T) {
	w := byHand(40)
	for g := range 40 {
		w.specimen(w.species(g, 0).genus+" sp.", "", w.species(g, 0))
	}
	x := &w.batch.Vouchers[3]
	x.Voucher.Samples = append(x.Voucher.Samples, seqqc.Sample{ID: "2"})
	x.Samples = append(x.Samples, w.batch.Vouchers[17].Samples[0])
	w.put(17, w.batch.Vouchers[3].Samples[0])
	got := exchanges(compare(t, w.batch))
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-004", "X-018"}, got[0].Vouchers)
}

// A read whose owner lacks one of its direction.
func TestReadOfAnother(t *testing.T) {
	w := byHand(40)
	for g := range 40 {
		v := w.specimen(w.species(g, 0).genus+" sp.", "", w.species(g, 0))
		for i, d := range []seqqc.Direction{seqqc.Forward, seqqc.Reverse} {
			if v == 17 && d == seqqc.Reverse {
				continue
			}
			file := fmt.Sprintf("%d_%d.ab1", v, i)
			w.batch.Reads = append(w.batch.Reads, &seqqc.Read{File: file, Usable: true, Direction: d})
			w.batch.Vouchers[v].Samples[0].ReadFiles = append(w.batch.Vouchers[v].Samples[0].ReadFiles, file)
		}
	}
	own, other := w.batch.Vouchers[3].Samples[0], w.batch.Vouchers[17].Samples[0]
	w.batch.Singles = []cross.Single{
		{Voucher: 3, File: "3_0.ab1", Direction: seqqc.Forward, Contig: own.Contig, Match: own.Match},
		{Voucher: 3, File: "3_1.ab1", Direction: seqqc.Reverse, Contig: other.Contig, Match: other.Match},
	}
	got := of(compare(t, w.batch), seqqc.PatternReadCrossed)
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-004", "X-018"}, got[0].Vouchers)
	require.InDelta(t, 1.0/40, got[0].Expected, 1e-12)

	// A read that nobody lacks has no owner.
	w.batch.Vouchers[17].Samples[0].ReadFiles = append(w.batch.Vouchers[17].Samples[0].ReadFiles, "17_1.ab1")
	w.batch.Reads = append(w.batch.Reads, &seqqc.Read{File: "17_1.ab1", Usable: true, Direction: seqqc.Reverse})
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternReadCrossed))
}

func TestParams(t *testing.T) {
	require.NoError(t, cross.Defaults().Validate())
	bad := cross.Defaults()
	bad.SamePct = 90
	require.ErrorContains(t, bad.Validate(), "identity of one barcode")
	_, err := cross.Compare(t.Context(), cross.Batch{}, bad)
	require.Error(t, err)
}

// The same batch gives the same result each time.
func TestIsDetermined(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	w := newWorld(rng, newKinds(rng, 20), 96, errors{genus: 0.2, species: 0.2})
	require.Equal(t, compare(t, w.batch), compare(t, w.batch))
}

func ExampleCompare() {
	w := byHand(40)
	for g := range 40 {
		w.specimen(w.species(g, 0).binomial, "", w.species(g, 0))
	}
	w.move(0, 39)
	found, err := cross.Compare(context.Background(), w.batch, cross.Defaults())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range found.Between {
		fmt.Println(b.Pattern, b.Vouchers)
		fmt.Println(b.Reason)
	}
	// Output:
	// exchange [X-001 X-040]
	// The DNA of X-001 and X-040 fits their labels crosswise, and chance would give about 0.0008 such exchanges in this batch.
}
