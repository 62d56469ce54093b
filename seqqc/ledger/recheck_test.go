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
	again := each(func(v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
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
	})
	r := Recheck{Key: "k", Library: seqqc.LibraryInfo{Name: "new.fasta"}, Now: when, Again: again, Threads: 2}
	done, err := l.Recheck(t.Context(), r)
	require.NoError(t, err)
	changes := done.Changes
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

	// Nothing was kept: the same is told again, from what is known, and the code
	// is still open.
	require.Contains(t, codesOf(t, l), "A-1=club-2026-01")
	r.Keep = true
	r.Again = each(func(v seqqc.VoucherResult) (seqqc.VoucherResult, error) { return v, errors.New("asked again") })
	done, err = l.Recheck(t.Context(), r)
	require.NoError(t, err)
	require.Equal(t, Rechecked{changes, 6, 6}, done)
	require.Equal(t, "new.fasta", library(t, l, "A-1"))
	done, err = l.Recheck(t.Context(), r)
	require.NoError(t, err)
	require.Equal(t, Rechecked{nil, 6, 6}, done, "what was kept is not told again")
	_, err = l.UpdateCodes(t.Context(), when, nil)
	require.NoError(t, err)
	require.Contains(t, historyOf(t, l, "club-2026-01"), "a reference names its barcodes Russula ficticia")

	// The same answer is found where all is worked out anew.
	r.Key, r.Again = "another", again
	done, err = l.Recheck(t.Context(), r)
	require.NoError(t, err)
	require.Equal(t, Rechecked{nil, 6, 0}, done)
}

// each makes of a function for one voucher one for several.
func each(again func(seqqc.VoucherResult) (seqqc.VoucherResult, error)) func(context.Context, []seqqc.VoucherResult) ([]seqqc.VoucherResult, error) {
	return func(_ context.Context, list []seqqc.VoucherResult) ([]seqqc.VoucherResult, error) {
		out := make([]seqqc.VoucherResult, len(list))
		for i, v := range list {
			var err error
			if out[i], err = again(v); err != nil {
				return nil, err
			}
		}
		return out, nil
	}
}

func library(t *testing.T, l *Ledger, voucher string) string {
	t.Helper()
	rows, err := l.List(t.Context(), Filter{Voucher: voucher})
	require.NoError(t, err)
	require.Len(t, rows, 1)
	return rows[0].Library
}

// What one recheck keeps, others that ended before no longer answer for; the
// rest they still know. A batch that is added again is looked at again.
func TestKnownAnswersHoldForWhatStands(t *testing.T) {
	l := fresh(t)
	add(t, l, batchOf("a", specimen("A-1", barcode(1, 0)), specimen("A-2", barcode(2, 0)), specimen("A-3", barcode(3, 0))))
	asked := 0
	name := func(code, species string) func(context.Context, []seqqc.VoucherResult) ([]seqqc.VoucherResult, error) {
		return each(func(v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
			if asked++; v.Voucher.Code == code {
				return named(v, species), nil
			}
			return v, nil
		})
	}
	one := Recheck{Key: "one", Now: when, Again: name("A-1", "Russula prima")}
	two := Recheck{Key: "two", Now: when, Again: name("A-2", "Russula altera"), Keep: true}
	done, err := l.Recheck(t.Context(), one)
	require.NoError(t, err)
	require.Len(t, done.Changes, 1)
	_, err = l.Recheck(t.Context(), two)
	require.NoError(t, err)
	asked = 0
	done, err = l.Recheck(t.Context(), one)
	require.NoError(t, err)
	require.Len(t, done.Changes, 1, "A-1 is named, and A-2, which this does not touch, stays")
	require.Equal(t, 2, done.Known)
	require.Equal(t, 1, asked)

	_, err = l.Add(t.Context(), batchOf("a", specimen("A-1", barcode(1, 0)), specimen("A-2", barcode(2, 0)), specimen("A-4", barcode(4, 0))), when)
	require.NoError(t, err)
	done, err = l.Recheck(t.Context(), one)
	require.NoError(t, err)
	require.Equal(t, 0, done.Known)
	require.Equal(t, 3, done.Vouchers)
}

// Vouchers of one barcode are looked at together, each under its own name.
func TestOneBarcodeIsLookedAtOnce(t *testing.T) {
	l := fresh(t)
	var vouchers []seqqc.VoucherResult
	for i := range 2*alikeAtOnce + 10 {
		vouchers = append(vouchers, specimen(fmt.Sprint("A-", i), barcode(uint64(i%2), 0)))
	}
	_, err := l.Add(t.Context(), batchOf("a", vouchers...), when)
	require.NoError(t, err)
	var calls, seen atomic.Int64
	done, err := l.Recheck(t.Context(), Recheck{Key: "k", Now: when, Threads: 2, Again: func(_ context.Context, list []seqqc.VoucherResult) ([]seqqc.VoucherResult, error) {
		calls.Add(1)
		seen.Add(int64(len(list)))
		for i := range list {
			if string(list[i].Samples[0].Contig.Bases) != string(list[0].Samples[0].Contig.Bases) {
				return nil, errors.New("two barcodes")
			}
			list[i] = named(list[i], "Russula "+list[i].Voucher.Code)
		}
		return list, nil
	}})
	require.NoError(t, err)
	require.EqualValues(t, 4, calls.Load())
	require.EqualValues(t, len(vouchers), seen.Load())
	require.Len(t, done.Changes, len(vouchers))
	for i, c := range done.Changes {
		require.Equal(t, fmt.Sprint("A-", i), c.Voucher)
		require.Contains(t, c.After, "Russula "+c.Voucher)
	}
}

func TestNamesAloneTellRenames(t *testing.T) {
	l := fresh(t)
	apart := named(specimen("A-1", barcode(1, 0)), "Lactarius altus")
	apart.Voucher.Field, apart.Verdict.Kind = refs.ParseName("Russula prima"), seqqc.Conflict
	final := specimen("A-2", barcode(2, 0))
	final.Reviewed = &seqqc.Reviewed{FinalName: "Russula prima"}
	known := named(specimen("A-3", barcode(3, 0)), "Lactarius primus")
	known.Voucher.Field, known.Verdict.Kind = refs.ParseName("Russula prima"), seqqc.Renamed
	add(t, l, batchOf("a", apart, final, known, specimen("A-4", barcode(4, 0))))
	before := refs.NewNames([]refs.Change{{Name: "Russula", Accepted: "Russula"}})
	now := refs.NewNames([]refs.Change{{Name: "Russula prima", Accepted: "Lactarius primus", Kind: refs.Moved}})
	done, err := l.Renamed(t.Context(), before, now)
	require.NoError(t, err)
	require.Equal(t, Rechecked{Vouchers: 4, Changes: []Change{
		{"a", "A-1", "Russula sp.", []string{"renamed"}, "conflict: label Russula prima", "label Lactarius primus; label and DNA are of one genus by these names"},
		{"a", "A-2", "Russula sp.", []string{"renamed"}, "agrees: final name Russula prima", "final name Lactarius primus"},
	}}, done)
	done, err = l.Renamed(t.Context(), now, now)
	require.NoError(t, err)
	require.Empty(t, done.Changes)
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
	r := Recheck{Key: "k", Now: when, Threads: 2, Again: each(func(v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
		if calls.Add(1) > 2*stride+10 {
			return v, broken
		}
		v.Verdict.Kind = seqqc.Conflict
		return v, nil
	})}
	_, err = l.Recheck(t.Context(), r)
	require.ErrorIs(t, err, broken)
	calls.Store(0)
	r.Again = each(func(v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
		calls.Add(1)
		v.Verdict.Kind = seqqc.Conflict
		return v, nil
	})
	var first int
	r.Tell = func(done, of int) {
		if first == 0 {
			first = done
		}
		require.Equal(t, n, of)
	}
	done, err := l.Recheck(t.Context(), r)
	require.NoError(t, err)
	require.Len(t, done.Changes, n)
	require.Equal(t, 2*stride, done.Known)
	require.EqualValues(t, n-2*stride, calls.Load())
	require.Equal(t, 3*stride, first)
}

// What searches found is there for the next recheck, that of the one that made
// most of them, also where it was broken off.
func TestSearchesAreRemembered(t *testing.T) {
	l := fresh(t)
	add(t, l, batchOf("a", specimen("A-1", barcode(1, 0)), specimen("A-2", barcode(2, 0)), specimen("A-3", barcode(3, 0))))
	records, found, err := l.Remembered(t.Context())
	require.NoError(t, err)
	require.Empty(t, records)
	require.Empty(t, found)
	answer := func(n int) map[refs.SearchKey]refs.Answer {
		out := map[refs.SearchKey]refs.Answer{}
		for i := range n {
			out[refs.SearchKey{byte(i)}] = refs.Answer{Level: 99.5 - float64(i), End: 101, Identity: 99.5, Coverage: 98, Score: -3, Records: []uint64{1 << 63, uint64(n)}}
		}
		return out
	}
	recheck := func(key string, records []uint64, searches int, fail error) {
		r := Recheck{Key: key, Now: when, Records: records, Found: func() map[refs.SearchKey]refs.Answer { return answer(searches) },
			Again: each(func(v seqqc.VoucherResult) (seqqc.VoucherResult, error) { return v, fail })}
		_, err := l.Recheck(t.Context(), r)
		require.ErrorIs(t, err, fail)
	}
	for _, c := range []struct {
		key      string
		records  []uint64
		searches int
		fail     error
		want     int
		of       []uint64
	}{
		{"one", []uint64{1, 2}, 3, nil, 3, []uint64{1, 2}},
		{"two", []uint64{1, 2, 3}, 3, nil, 3, []uint64{1, 2, 3}},
		{"three", []uint64{5}, 1, nil, 3, []uint64{1, 2, 3}},
		{"four", []uint64{6}, 9, errors.New("broken off"), 3, []uint64{1, 2, 3}},
		{"four", []uint64{6}, 9, nil, 9, []uint64{6}},
		{"four", []uint64{6}, 0, nil, 9, []uint64{6}},
	} {
		recheck(c.key, c.records, c.searches, c.fail)
		records, found, err := l.Remembered(t.Context())
		require.NoError(t, err)
		require.Equal(t, answer(c.want), found, c.key)
		require.Equal(t, c.of, records, c.key)
	}
}
