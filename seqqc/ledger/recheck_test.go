package ledger

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

func testContext() (context.Context, context.CancelFunc) {
	return context.WithCancel(context.Background())
}

func TestRecheckTellsOnlyWhatChanged(t *testing.T) {
	l := fresh(t)
	add(t, l, batchOf("a", specimen("A-1", barcode(1, 0)), specimen("A-2", barcode(2, 0)), named(specimen("A-3", barcode(3, 0)), "Russula prima"),
		named(specimen("A-4", barcode(4, 0)), "Russula quarta"), specimen("A-5", barcode(5, 0)), specimen("A-6", barcode(6, 0))))
	again := func(_ context.Context, v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
		switch v.Voucher.Code {
		case "A-1":
			return named(v, "Russula ficticia"), nil
		case "A-3":
			return named(v, "Russula altera"), nil
		case "A-4":
			v.Samples[0].Match.Supported, v.Samples[0].Match.Taxon = refs.NoRank, ""
		case "A-5":
			v.Verdict.Kind = seqqc.Renamed
		case "A-6":
			v.Verdict.Flags = []seqqc.Flag{seqqc.ReferenceDoubtful}
		}
		return v, nil
	}
	r := Recheck{Key: "k", Library: seqqc.LibraryInfo{Name: "new.fasta"}, Now: when, Again: again, Threads: 2}
	changes, err := l.Recheck(t.Context(), r)
	require.NoError(t, err)
	got := map[string]string{}
	for _, c := range changes {
		got[c.Voucher] = c.Text()
		require.NotEqual(t, c.Before, "")
	}
	require.Equal(t, map[string]string{
		"A-1": "newly_named", "A-3": "other_name", "A-4": "no_longer_named", "A-5": "renamed verdict_changed", "A-6": "newly_doubtful",
	}, got)
	require.Equal(t, "agrees: Russula", changes[0].Before)
	require.Equal(t, "agrees: Russula ficticia", changes[0].After)

	// Nothing was kept: the same is told again, and the code is still open.
	require.Contains(t, codesOf(t, l), "A-1=club-2026-01")
	r.Keep = true
	changes, err = l.Recheck(t.Context(), r)
	require.NoError(t, err)
	require.Len(t, changes, 5)
	changes, err = l.Recheck(t.Context(), r)
	require.NoError(t, err)
	require.Empty(t, changes, "what was kept is not told again")
	_, err = l.UpdateCodes(t.Context(), when, nil)
	require.NoError(t, err)
	require.Contains(t, historyOf(t, l, "club-2026-01"), "a reference names its barcodes Russula ficticia")
}

func TestRecheckGoesOnWhereItWasBrokenOff(t *testing.T) {
	l := fresh(t)
	var vouchers []seqqc.VoucherResult
	const n = 3*stride + 20
	for i := range n {
		vouchers = append(vouchers, specimen(fmt.Sprintf("A-%d", i), barcode(uint64(i), 0)))
	}
	_, err := l.Add(t.Context(), batchOf("a", vouchers...), when)
	require.NoError(t, err)
	var calls atomic.Int64
	broken := errors.New("broken off")
	r := Recheck{Key: "k", Now: when, Threads: 2, Again: func(_ context.Context, v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
		if calls.Add(1) > 2*stride+10 {
			return v, broken
		}
		v.Verdict.Kind = seqqc.Conflict
		return v, nil
	}}
	_, err = l.Recheck(t.Context(), r)
	require.ErrorIs(t, err, broken)
	calls.Store(0)
	r.Again = func(_ context.Context, v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
		calls.Add(1)
		v.Verdict.Kind = seqqc.Conflict
		return v, nil
	}
	var first int
	r.Tell = func(done, of int) {
		if first == 0 {
			first = done
		}
		require.Equal(t, n, of)
	}
	changes, err := l.Recheck(t.Context(), r)
	require.NoError(t, err)
	require.Len(t, changes, n)
	require.EqualValues(t, n-2*stride, calls.Load())
	require.Equal(t, 3*stride, first)
}
