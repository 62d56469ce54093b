package ledger

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// codesOf gives "voucher=code" of all vouchers.
func codesOf(t *testing.T, l *Ledger) string {
	t.Helper()
	rows, err := l.List(t.Context(), Filter{})
	require.NoError(t, err)
	var out []string
	for _, r := range rows {
		out = append(out, r.Voucher+"="+r.Code)
	}
	return strings.Join(out, " ")
}

func add(t *testing.T, l *Ledger, b Batch) []CodeChange {
	t.Helper()
	_, err := l.Add(t.Context(), b, when)
	require.NoError(t, err)
	changes, err := l.UpdateCodes(t.Context(), when, nil)
	require.NoError(t, err)
	return changes
}

func historyOf(t *testing.T, l *Ledger, code string) string {
	t.Helper()
	events, err := l.History(t.Context(), code)
	require.NoError(t, err)
	var out []string
	for _, e := range events {
		require.Equal(t, code, e.Code)
		out = append(out, e.What)
	}
	return strings.Join(out, "; ")
}

func TestCodesGrowMergeSplitAndAreNamed(t *testing.T) {
	l := fresh(t)
	// Two changes of 600 bases are 99.67 %, four are 99.33 %.
	add(t, l, batchOf("a", specimen("A-1", barcode(1, 0)), specimen("A-2", barcode(1, 4)), specimen("A-3", barcode(7, 0))))
	require.Equal(t, "A-1=club-2026-01 A-2=club-2026-02 A-3=club-2026-03", codesOf(t, l))
	require.Empty(t, add(t, l, batchOf("a", specimen("A-1", barcode(1, 0)), specimen("A-2", barcode(1, 4)), specimen("A-3", barcode(7, 0)))))

	// A later batch: one joins the third, and one between the first two merges them.
	add(t, l, batchOf("b", specimen("B-1", barcode(7, 1)), specimen("B-2", barcode(1, 2))))
	require.Equal(t, "A-1=club-2026-01 A-2=club-2026-01 A-3=club-2026-03 B-1=club-2026-03 B-2=club-2026-01", codesOf(t, l))
	require.Equal(t, "given to A-2 (a); merged into club-2026-01: its barcodes are now of one cluster", historyOf(t, l, "club-2026-02"))
	require.Contains(t, historyOf(t, l, "club-2026-03"), "gained B-1 (b)")

	// The one between turns out to be another: the cluster falls apart.
	changes := add(t, l, batchOf("b", specimen("B-1", barcode(7, 1)), specimen("B-2", barcode(50, 0))))
	require.Equal(t, "A-1=club-2026-01 A-2=club-2026-04 A-3=club-2026-03 B-1=club-2026-03 B-2=club-2026-05", codesOf(t, l))
	require.Len(t, changes, 2, "%v", changes)
	require.Contains(t, historyOf(t, l, "club-2026-04"), "split from club-2026-01")

	// A reference names the third.
	add(t, l, batchOf("a", specimen("A-1", barcode(1, 0)), specimen("A-2", barcode(1, 4)), named(specimen("A-3", barcode(7, 0)), "Russula ficticia")))
	add(t, l, batchOf("b", named(specimen("B-1", barcode(7, 1)), "Russula ficticia"), specimen("B-2", barcode(50, 0))))
	require.Contains(t, historyOf(t, l, "club-2026-03"), "a reference names its barcodes Russula ficticia")

	// A new year counts anew, and no code is given twice.
	_, err := l.Add(t.Context(), batchOf("c", specimen("C-1", barcode(60, 0))), when)
	require.NoError(t, err)
	_, err = l.UpdateCodes(t.Context(), when.AddDate(1, 0, 0), nil)
	require.NoError(t, err)
	require.Contains(t, codesOf(t, l), "C-1=club-2027-01")
}

// What should have no code: named, mixed, short of evidence, no fungus.
func TestOnlyGoodUnnamedBarcodesGetCodes(t *testing.T) {
	l := fresh(t)
	mixed, control, mould := specimen("M", barcode(1, 0)), specimen("C", barcode(2, 0)), specimen("O", barcode(3, 0))
	mixed.Verdict.Flags = []seqqc.Flag{seqqc.MixedTemplate}
	control.Voucher.Kind = seqqc.Positive
	mould.Verdict.Kind = seqqc.Overgrowth
	add(t, l, batchOf("a", mixed, control, mould, named(specimen("N", barcode(4, 0)), "Russula x"), specimen("U", barcode(5, 0))))
	require.Equal(t, "M= C= O= N= U=club-2026-01", codesOf(t, l))
}

// Codes do not depend on the order in which batches come, but for their
// numbers: the same barcodes share a code.
func TestClustersDoNotDependOnTheOrder(t *testing.T) {
	partition := func(order []int) map[string]bool {
		l := fresh(t)
		for _, i := range order {
			var vouchers []seqqc.VoucherResult
			for j := range 4 {
				vouchers = append(vouchers, specimen(fmt.Sprintf("%d-%d", i, j), barcode(uint64(j), (i*2+j)%5)))
			}
			add(t, l, batchOf(fmt.Sprint(i), vouchers...))
		}
		rows, err := l.List(t.Context(), Filter{})
		require.NoError(t, err)
		together := map[string]bool{}
		for _, a := range rows {
			for _, b := range rows {
				if a.Code == b.Code {
					require.NotEmpty(t, a.Code)
					together[a.Voucher+" "+b.Voucher] = true
				}
			}
		}
		return together
	}
	require.Equal(t, partition([]int{0, 1, 2, 3}), partition([]int{3, 1, 0, 2}))
}

func BenchmarkAdd10000(b *testing.B) {
	var vouchers []seqqc.VoucherResult
	for i := range 10000 {
		v := specimen(fmt.Sprintf("QM-%05d", i), barcode(uint64(i/4), i%3))
		if i%10 != 0 {
			v = named(v, "Russula ficticia")
		}
		vouchers = append(vouchers, v)
	}
	for b.Loop() {
		l, err := Open(b.Context(), b.TempDir()+"/club.ledger", Options{Create: true})
		if err != nil {
			b.Fatal(err)
		}
		start := time.Now()
		if _, err := l.Add(b.Context(), batchOf("a", vouchers...), when); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(time.Since(start).Seconds(), "s-adding")
		if _, err := l.UpdateCodes(b.Context(), when, nil); err != nil {
			b.Fatal(err)
		}
		if err := l.Close(); err != nil {
			b.Fatal(err)
		}
	}
}

// What another process adds while neighbours are worked out is compared, too,
// before codes are given.
func TestCodesOfWhatIsAddedMeanwhile(t *testing.T) {
	l := fresh(t)
	_, err := l.Add(t.Context(), batchOf("a", specimen("A-1", barcode(1, 0))), when)
	require.NoError(t, err)
	added := false
	changes, err := l.UpdateCodes(t.Context(), when, func(int, int) {
		if !added {
			added = true
			_, err := l.Add(t.Context(), batchOf("b", specimen("B-1", barcode(1, 0))), when)
			require.NoError(t, err)
		}
	})
	require.NoError(t, err)
	require.Equal(t, []CodeChange{{"club-2026-01", "given to A-1 (a), B-1 (b)"}}, changes)
}

// However the additions of many meet, the same barcode has one code in the end.
func TestManyAddTheSameBarcodeAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "club.ledger")
	const many = 12
	failed := make(chan error, many)
	for i := range many {
		go func() {
			failed <- func() error {
				l, err := Open(t.Context(), path, Options{Create: true})
				if err != nil {
					return err
				}
				_, err = l.Add(t.Context(), batchOf(fmt.Sprint("n", i), specimen("A-1", barcode(1, 0))), when)
				if err == nil {
					_, err = l.UpdateCodes(t.Context(), when, nil)
				}
				return errors.Join(err, l.Close())
			}()
		}()
	}
	for range many {
		require.NoError(t, <-failed)
	}
	rows, err := open(t, path).List(t.Context(), Filter{})
	require.NoError(t, err)
	require.Len(t, rows, many)
	for _, r := range rows {
		require.Equal(t, "club-2026-01", r.Code, r.Batch)
	}
}
