package cross_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/cross"
)

// plates makes two plates of 40 vouchers of 40 genera each, down the columns.
func plates() *world {
	w := byHand(40)
	for i := range 80 {
		n := i % 40
		w.specimen(w.species(i%40, 0).genus+" sp.", fmt.Sprintf("%c%d", 'A'+n%8, n/8+1), w.species(i%40, 0))
	}
	return w
}

// shift puts the DNA of each voucher from first to last under the next; the
// first of them has none then.
func (w *world) shift(first, last int) {
	for v := last; v > first; v-- {
		w.put(v, w.batch.Vouchers[v-1].Samples[0])
	}
	w.put(first, seqqc.SampleResult{})
}

// A well that comes again is on the next plate, and only the plate that is
// shifted is told.
func TestShiftOfTheSecondPlate(t *testing.T) {
	w := plates()
	w.shift(40, 79)
	got := of(compare(t, w.batch), seqqc.PatternPlateMoved)
	require.Len(t, got, 1)
	require.Contains(t, got[0].Reason, "if the tubes were shifted forwards by 1 well, counted down the columns (PCR plate 2)")
	require.Len(t, got[0].Vouchers, 39)
	require.Equal(t, "X-042", got[0].Vouchers[0])
	require.Contains(t, got[0].Evidence[0], "Of 39 vouchers")
	require.Contains(t, got[0].Evidence[1], "0 of 40")
	require.Less(t, got[0].Expected, 0.01)
}

// Without wells the order of the sheet is left; a slipped column of names shows
// in it.
func TestSlippedColumnOfNames(t *testing.T) {
	w := plates()
	for v := range w.batch.Vouchers {
		w.batch.Vouchers[v].Samples[0].Sample = seqqc.Sample{}
	}
	w.shift(20, 60)
	got := of(compare(t, w.batch), seqqc.PatternPlateMoved)
	require.Len(t, got, 1)
	require.Contains(t, got[0].Reason, "if the labels slipped up by 1 row (order of the sheet)")
	require.Len(t, got[0].Vouchers, 40)
}

// Where the sheet has no wells, those of the reads count, run by run.
func TestWellsOfReads(t *testing.T) {
	w := plates()
	for v := range w.batch.Vouchers {
		s := &w.batch.Vouchers[v].Samples[0]
		file := fmt.Sprintf("%d.ab1", v)
		w.batch.Reads = append(w.batch.Reads, &seqqc.Read{File: file, Trace: &seqqc.Trace{Well: s.Sample.SeqWell, RunDate: fmt.Sprint("2026-09-0", 1+v/40)}})
		s.ReadFiles = []string{file}
		s.Sample = seqqc.Sample{}
	}
	// The sheet's order is another than that of the wells, so that only the wells
	// tell: plate 1 is turned by 180 degrees, as far as wells are filled.
	rng := rand.New(rand.NewPCG(1, 2))
	order := rng.Perm(40)
	for i, v := range order {
		w.batch.Reads[v].Trace.Well = fmt.Sprintf("%c%d", 'A'+i%8, 4+i/8)
	}
	was := make([]seqqc.SampleResult, 40)
	for v := range was {
		was[v] = w.batch.Vouchers[v].Samples[0]
	}
	for i, v := range order { // columns 4 to 8: turned, they become 5 to 9
		row, col := 7-i%8, 8-i/8
		s := seqqc.SampleResult{}
		if k := (col-3)*8 + row; k >= 0 && k < 40 {
			s = was[order[k]]
		}
		w.put(v, s)
	}
	got := of(compare(t, w.batch), seqqc.PatternPlateMoved)
	require.Len(t, got, 1)
	require.Contains(t, got[0].Reason, "turned by 180 degrees (sequencing plate 1)")
}

// Two genera, row by row, fit after many moves: chance would do it too.
func TestMoveOfTwoGenera(t *testing.T) {
	w := byHand(2)
	rng := rand.New(rand.NewPCG(5, 5))
	for i := range 40 {
		g := rng.IntN(2)
		w.specimen(w.species(g, 0).genus+" sp.", fmt.Sprintf("%c%d", 'A'+i%8, i/8+1), w.species(g, 0))
	}
	for v := 5; v < 10; v++ { // five vouchers named wrongly
		w.put(v, w.dna(w.species(1-int(w.batch.Vouchers[v].Voucher.Field.Genus[9]-'a'), 0)))
	}
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternPlateMoved))
}

// A blank names its sources, the nearest first.
func TestControlWithSources(t *testing.T) {
	w := plates()
	w.put(20, w.batch.Vouchers[3].Samples[0])
	w.batch.Vouchers[20].Voucher.Field = w.batch.Vouchers[3].Voucher.Field
	w.add("", "F1") // the first well of its name is taken: it stands on the second plate
	w.batch.Vouchers[80].Voucher.Kind = seqqc.Blank
	w.batch.Vouchers[80].Samples[0].Sample.PCRWell = "A6" // the next free one of the first plate
	w.put(80, w.batch.Vouchers[3].Samples[0])
	f := compare(t, w.batch)
	got := of(f, seqqc.PatternControl)
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-081", "X-021", "X-004", "X-044"}, got[0].Vouchers)
	require.Contains(t, got[0].Evidence[0], "100 % identical")
	require.Contains(t, got[0].Evidence[0], "stands 7 wells from it")
	require.True(t, f.Findings[80][0].Attention)
	require.False(t, f.Findings[3][0].Attention, "the label fits")
	require.Equal(t, []seqqc.Flag{seqqc.ControlSignal}, f.Findings[3][0].Flags)
}

func TestSplitName(t *testing.T) {
	w := byHand(3)
	a, b := w.species(0, 0), w.species(0, 1)
	for range 3 {
		w.specimen(a.binomial, "", a)
	}
	w.specimen(a.binomial, "", b)
	got := of(compare(t, w.batch), seqqc.PatternSplitName)
	require.Len(t, got, 1)
	require.Len(t, got[0].Vouchers, 4)
	require.Contains(t, got[0].Reason, a.binomial+" hold 2 barcodes")
	require.Contains(t, got[0].Evidence[1], "X-004")

	// A doubtful name claims no one species.
	w.batch.Vouchers[3].Voucher.Field.Doubt = 1
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternSplitName))
}

// The pairs found are those that aligning all with all gives: whole and broken
// sequences, unclear bases, other strands.
func TestBarcodesAreThoseOfAllAlignments(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 11))
	found, near := 0, 0
	for range 6 {
		w := &world{rng: rng, kinds: newKinds(rng, 3)}
		w.batch.Fits = w.fits
		base := w.kinds.species[0]
		const n = 14
		for i := range n {
			s := base
			s.locus = base.locus.Evolve(rng, 0.012*rng.Float64()) // across the threshold
			w.specimen(fmt.Sprintf("Syngenusz%c sp.", 'a'+i), "", s)
			c := w.batch.Vouchers[i].Samples[0].Contig
			switch i % 5 {
			case 1: // the end is lacking
				cut := rng.IntN(len(c.Bases) - c.Region.R58S.End)
				c.Bases = c.Bases[:len(c.Bases)-cut]
				c.Region.ITS2.End, c.Region.ITS2Whole = len(c.Bases), cut == 0
			case 2: // unclear bases
				c.Bases = slices.Clone(c.Bases)
				for range 20 {
					c.Bases[rng.IntN(len(c.Bases))] = "NRY"[rng.IntN(3)]
				}
			case 3: // nothing was located, and the strand is the other
				c.Bases = align.ReverseComplement(c.Bases)
				c.Region = seqqc.Region{}
			}
		}
		want := map[[2]string]bool{}
		for i := range n {
			for j := range i {
				if sameByAlignment(t, w.batch.Vouchers[j].Samples[0].Contig, w.batch.Vouchers[i].Samples[0].Contig) {
					want[[2]string{w.code(j), w.code(i)}] = true
				}
			}
		}
		got := map[[2]string]bool{}
		for _, b := range cross.SamePairs(t, w.batch) {
			got[b] = true
		}
		require.Equal(t, want, got)
		found += len(want)
		near += n * (n - 1) / 2
	}
	t.Logf("%d of %d pairs are one barcode", found, near)
	require.Greater(t, found, 40)
	require.Less(t, found, near-100)
}

// sameByAlignment aligns two contigs on every strand that may be.
func sameByAlignment(t *testing.T, a, b *seqqc.Contig) bool {
	t.Helper()
	best, count := -1, align.Counts{}
	var passes bool
	p := cross.Defaults()
	for _, other := range []bool{false, true} {
		y, regions := b.Bases, b.Region
		if other {
			if a.Region.Located && b.Region.Located {
				continue
			}
			y = align.ReverseComplement(y)
			regions = turnedRegion(regions, len(y))
		}
		al, err := align.Overlap(a.Bases, y, align.ITS)
		require.NoError(t, err)
		if al.Score <= best {
			continue
		}
		best = al.Score
		r58s := align.Interval(a.Region.R58S)
		count, err = al.Count(a.Bases, y, r58s)
		require.NoError(t, err)
		passes = count.AOutside >= p.Gate.MinOutside &&
			(covered(a.Region, al.AStart, al.AEnd, count.ACompared, a.Bases) ||
				covered(regions, al.BStart, al.BEnd, count.Columns-(count.ACompared-count.Identical-count.Substitutions), y))
	}
	return passes && count.IdentityPct() >= p.SamePct && count.StrictPct() >= p.SamePct
}

func turnedRegion(r seqqc.Region, n int) seqqc.Region {
	turn := func(v seqqc.Interval) seqqc.Interval { return seqqc.Interval{Start: n - v.End, End: n - v.Start} }
	r.ITS1, r.ITS2 = turn(r.ITS1), turn(r.ITS2)
	return r
}

func covered(r seqqc.Region, start, end, compared int, bases []byte) bool {
	plain := 0
	for _, b := range bases {
		if b != 'N' {
			plain++
		}
	}
	within := func(v seqqc.Interval) bool { return start <= v.Start && v.End <= end }
	return compared*100 >= 80*plain || r.ITS1Whole && within(r.ITS1) || r.ITS2Whole && within(r.ITS2)
}

// A label above genus that its DNA contradicts shares a barcode like any other.
func TestSharedBarcodeUnderABroadLabel(t *testing.T) {
	w := plates()
	genus := w.batch.Vouchers[30].Voucher.Field.Genus
	for _, s := range w.kinds.species {
		if s.genus == genus {
			w.batch.Vouchers[30].Voucher.Field = name(s.family)
			break
		}
	}
	w.put(30, w.batch.Vouchers[3].Samples[0])
	got := of(compare(t, w.batch), seqqc.PatternOneBarcode)
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-031", "X-004", "X-044"}, got[0].Vouchers)
	require.Equal(t, "X-031 holds the barcode of X-004 and X-044, the only ones whose label is known to fit it.", got[0].Reason)
}
