package cross_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/cross"
)

// A stray in the next well, and one far from its source.
func TestCarryOver(t *testing.T) {
	w := plates()
	w.put(4, w.batch.Vouchers[3].Samples[0])
	f := compare(t, w.batch)
	got := of(f, seqqc.PatternCarryOver)
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-005", "X-004"}, got[0].Vouchers)
	// Of 39 others on this plate one has the DNA, and three stand beside E1: D1,
	// F1 and E2.
	require.InDelta(t, 3.0/39, got[0].Expected, 1e-12)
	require.Empty(t, of(f, seqqc.PatternOneBarcode), "what is explained is not told again")
	require.Equal(t, "Extract and amplify X-005 again, away from X-004.", got[0].NextStep)
	require.Len(t, f.Findings[4], 1)
	require.Equal(t, []seqqc.Flag{seqqc.CarryOver}, f.Findings[4][0].Flags)
	require.True(t, f.Findings[4][0].Attention)
	require.Empty(t, f.Findings[3], "the neighbour's own label fits")

	w = plates()
	w.put(30, w.batch.Vouchers[3].Samples[0])
	f = compare(t, w.batch)
	require.Empty(t, of(f, seqqc.PatternCarryOver))
	got = of(f, seqqc.PatternOneBarcode)
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-031", "X-004", "X-044"}, got[0].Vouchers)
	require.Empty(t, f.Findings[3], "the one whose label fits is not asked about")
	require.Equal(t, []seqqc.Flag{seqqc.SharedBarcode}, f.Findings[30][0].Flags)
}

// A second sequence in the traces that is a neighbour's, with a few bases
// misread, and one that is that of a voucher far away.
func TestCarryOverBelowItsOwn(t *testing.T) {
	w := plates()
	below := func(v, of int) {
		s := w.batch.Vouchers[of].Samples[0]
		c := *s.Contig
		c.Bases = slices.Clone(c.Bases)
		for _, at := range []int{20, 150, len(c.Bases) - 30, len(c.Bases) - 70} {
			c.Bases[at] = "CGTA"[w.rng.IntN(4)]
		}
		w.batch.Vouchers[v].Samples[0].Minor = &seqqc.MinorTemplate{Contig: &c, SharePct: 25, Match: s.Match}
	}
	below(4, 3)
	below(30, 12)
	f := compare(t, w.batch)
	got := of(f, seqqc.PatternCarryOver)
	require.Len(t, got, 1)
	require.Equal(t, []string{"X-005", "X-004"}, got[0].Vouchers)
	require.Equal(t, 25.0, got[0].SharePct)
	// Two second sequences, each that of one other voucher of the plate; E1 has
	// three neighbours along row and column, and G4 four.
	require.InDelta(t, 3.0/39+4.0/39, got[0].Expected, 1e-12)
	require.Equal(t, "The DNA of X-004 seems to have got into its neighbour X-005, as 25 % of the signal.", got[0].Reason)
	require.Contains(t, got[0].Evidence[0], "The second sequence in the traces of X-005 (Syngenusae sp.) is 9")
	require.Contains(t, got[0].NextStep, "Nothing to do for the name of X-005")
	require.Equal(t, []seqqc.Flag{seqqc.CarryOver}, f.Findings[4][0].Flags)
	require.False(t, f.Findings[4][0].Attention, "the name rests on the stronger one")
	require.Empty(t, f.Findings[30])

	// One that fits the voucher's own label came from nowhere else.
	w.batch.Vouchers[4].Voucher.Field = w.batch.Vouchers[3].Voucher.Field
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternCarryOver))
}

// One read of two with the DNA of a neighbour, who has reads of its own.
func TestCarryOverOfARead(t *testing.T) {
	w := plates()
	own, other := w.batch.Vouchers[4].Samples[0], w.batch.Vouchers[3].Samples[0]
	w.batch.Singles = []cross.Single{
		{Voucher: 4, File: "5_f.ab1", Direction: seqqc.Forward, Contig: own.Contig, Match: own.Match},
		{Voucher: 4, File: "5_r.ab1", Direction: seqqc.Reverse, Contig: other.Contig, Match: other.Match},
	}
	f := compare(t, w.batch)
	got := of(f, seqqc.PatternCarryOver)
	require.Len(t, got, 1)
	require.InDelta(t, 3.0/39, got[0].Expected, 1e-12)
	require.Contains(t, got[0].Evidence[0], "The read 5_r.ab1 of X-005 (Syngenusae sp.) is 100 % identical to the DNA of X-004 (Syngenusad sp.), which stands beside it on the PCR plate.")
	require.Equal(t, "Leave the read 5_r.ab1 out, and have X-005 sequenced again from the same PCR product, away from X-004.", got[0].NextStep)
	require.Equal(t, "5_r.ab1", got[0].Read)
	require.Contains(t, f.Findings[4][0].Reason, "The DNA of its read 5_r.ab1 is that of X-004")
	require.True(t, f.Findings[4][0].Attention)

	// Where reads were sequenced beside other vouchers than they were amplified
	// beside, the sequencing plate counts.
	for v := range w.batch.Vouchers {
		s := &w.batch.Vouchers[v].Samples[0].Sample
		s.SeqWell = s.PCRWell
	}
	w.batch.Vouchers[3].Samples[0].Sample.SeqWell, w.batch.Vouchers[30].Samples[0].Sample.SeqWell = "G4", "D1"
	require.Empty(t, of(compare(t, w.batch), seqqc.PatternCarryOver))
	w.batch.Vouchers[3].Samples[0].Sample.SeqWell, w.batch.Vouchers[30].Samples[0].Sample.SeqWell = "D1", "G4"
	w.batch.Vouchers[3].Samples[0].Sample.PCRWell, w.batch.Vouchers[30].Samples[0].Sample.PCRWell = "G4", "D1"
	got = of(compare(t, w.batch), seqqc.PatternCarryOver)
	require.Len(t, got, 1)
	require.Contains(t, got[0].Evidence[0], "beside it on the sequencing plate.")
}
