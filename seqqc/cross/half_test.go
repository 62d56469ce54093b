package cross_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/cross"
)

// fortyGenera makes a voucher of each of forty genera.
func fortyGenera() *world {
	w := byHand(40)
	for g := range 40 {
		w.specimen(w.species(g, 0).genus+" sp.", "", w.species(g, 0))
	}
	return w
}

// The other half of an exchange gave no sequence: it is told as what may be.
func TestExchangeWithASilentVoucher(t *testing.T) {
	w := fortyGenera()
	w.put(3, w.batch.Vouchers[17].Samples[0])
	w.put(17, seqqc.SampleResult{})
	f := compare(t, w.batch)
	got := of(f, seqqc.PatternHalfExchange)
	require.Len(t, got, 1)
	require.Len(t, f.Between, 1)
	require.Equal(t, []string{"X-004", "X-018"}, got[0].Vouchers)
	// One silent voucher, and one label of forty.
	require.InDelta(t, 1.0/40, got[0].Expected, 1e-12)
	require.Equal(t, seqqc.SwapSuspected, got[0].Flag)
	require.Equal(t, "The DNA of X-004 fits the label of X-018, which gave no sequence, so that the two may have been exchanged.", got[0].Reason)
	require.Contains(t, got[0].Evidence[2], "about 0.03 such vouchers")
	require.Contains(t, got[0].Evidence[3], "A wrong field name of X-004 would show the same.")
	require.Contains(t, got[0].NextStep, "have X-018 sequenced again: DNA that fits the label of X-004 (Syngenusad sp.) would prove an exchange")
	require.Equal(t, []seqqc.Flag{seqqc.SwapSuspected}, f.Findings[3][0].Flags)
	require.True(t, f.Findings[3][0].Attention)
	require.Empty(t, f.Findings[17][0].Flags, "nothing speaks against the label of the other")
	require.False(t, f.Findings[17][0].Attention)

	// One with a sequence that nobody can name is as silent.
	w.put(17, seqqc.SampleResult{Contig: w.batch.Vouchers[20].Samples[0].Contig, Match: &seqqc.Match{}})
	got = of(compare(t, w.batch), seqqc.PatternHalfExchange)
	require.Len(t, got, 1)
	require.Contains(t, got[0].Reason, "which gave a sequence that could not be named")

	// Another with the same DNA is named.
	was := w.batch.Vouchers[20].Samples[0]
	w.put(20, w.batch.Vouchers[3].Samples[0])
	got = of(compare(t, w.batch), seqqc.PatternHalfExchange)
	require.Len(t, got, 2)
	require.Contains(t, got[0].Evidence[4], "The DNA of X-021 fits that label as well")
	w.put(20, was)

	// Of two silent ones with such a label it is not told which.
	w.add(w.batch.Vouchers[17].Voucher.FieldID, "")
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternHalfExchange))
}

// Where the label is common, or many are silent, a fit is chance.
func TestHalfExchangesByChance(t *testing.T) {
	w := byHand(4)
	for g := range 40 {
		w.specimen(w.species(g%4, 0).genus+" sp.", "", w.species(g%4, 0))
	}
	w.put(3, w.batch.Vouchers[17].Samples[0])
	for _, v := range []int{16, 17} { // of 39 with a label, a quarter of the DNA's genus: 2 x 1/4
		w.put(v, seqqc.SampleResult{})
	}
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternHalfExchange))

	w = fortyGenera()
	w.put(3, w.batch.Vouchers[17].Samples[0])
	for v := 17; v < 30; v++ {
		w.put(v, seqqc.SampleResult{})
	}
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternHalfExchange))
}

// The only read of one is that of another, which lacks one of its direction.
func TestOnlyReadOfAnother(t *testing.T) {
	w := fortyGenera()
	for v := range w.batch.Vouchers {
		for i, d := range []seqqc.Direction{seqqc.Forward, seqqc.Reverse} {
			if v == 3 && d == seqqc.Forward || v == 17 && d == seqqc.Reverse {
				continue
			}
			file := fmt.Sprintf("%d_%d.ab1", v, i)
			w.batch.Reads = append(w.batch.Reads, &seqqc.Read{File: file, Usable: true, Direction: d})
			w.batch.Vouchers[v].Samples[0].ReadFiles = append(w.batch.Vouchers[v].Samples[0].ReadFiles, file)
		}
	}
	dna := w.batch.Vouchers[17].Samples[0]
	w.batch.Vouchers[3].Samples[0].Contig, w.batch.Vouchers[3].Samples[0].Match = dna.Contig, dna.Match
	f := compare(t, w.batch)
	got := of(f, seqqc.PatternHalfExchange)
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-004", "X-018"}, got[0].Vouchers)
	require.Equal(t, "The read 3_1.ab1 of X-004 fits the label of X-018, which has no usable reverse read, so that it may be filed under the wrong one.", got[0].Reason)
	require.Contains(t, got[0].NextStep, "Compare the file name of 3_1.ab1")
	require.Empty(t, f.Findings[17][0].Flags)

	// Where it has one, nothing is missing.
	w.batch.Reads = append(w.batch.Reads, &seqqc.Read{File: "17_1.ab1", Usable: true, Direction: seqqc.Reverse})
	w.batch.Vouchers[17].Samples[0].ReadFiles = append(w.batch.Vouchers[17].Samples[0].ReadFiles, "17_1.ab1")
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternHalfExchange))
}

// halfExchanged puts the DNA of one voucher under another and takes its own away.
func halfExchanged(silent float64) (scenario, errors) {
	e := usual
	e.silent = silent
	return scenario{"half an exchange", func(w *world) func(cross.Found) bool {
		list := w.rightVouchers(2)
		w.move(list...)
		w.put(list[0], seqqc.SampleResult{})
		w.isClean[list[0]] = true // its label is right
		return func(f cross.Found) bool { return has(w, f, seqqc.PatternHalfExchange, []int{list[1], list[0]}) }
	}}, e
}

// How many are told depends on how rare the genus is and on how many vouchers are
// silent; no clean voucher is asked about, and few are told that are none.
func TestHalfExchangesAreTold(t *testing.T) {
	if testing.Short() {
		t.Skip("a hundred batches and more, compared as those of TestPatternsAreFound")
	}
	const batches = 60
	for _, r := range []struct {
		silent      float64
		least, most int // told rightly, told wrongly
	}{{0, 50, 15}, {0.02, 36, 15}, {0.06, 25, 18}} {
		s, e := halfExchanged(r.silent)
		rng := rand.New(rand.NewPCG(12, 12))
		right, wrong := 0, 0
		for range batches {
			w := newWorld(rng, newKinds(rng, 60), 96, e)
			isFound := s.build(w)
			f := compare(t, w.batch)
			if isFound(f) {
				right++
			}
			wrong += len(of(f, seqqc.PatternHalfExchange))
			require.Zero(t, w.accused(f))
		}
		wrong -= right
		t.Logf("%g %% of the others silent: %d of %d told, and %d that were none", 100*r.silent, right, batches, wrong)
		require.GreaterOrEqual(t, right, r.least)
		require.LessOrEqual(t, wrong, r.most)
	}
}
