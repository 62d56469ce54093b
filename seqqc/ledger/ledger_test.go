package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

var when = time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)

// barcode gives an invented ITS of 600 bases: the same for the same species,
// with changes bases of it replaced.
func barcode(species uint64, changes int) []byte {
	rng := rand.New(rand.NewPCG(species, 1))
	seq := make([]byte, 600)
	for i := range seq {
		seq[i] = "ACGT"[rng.IntN(4)]
	}
	for i := range changes {
		at := 20 + 7*i
		seq[at] = "CGTA"[indexOf(seq[at])]
	}
	return seq
}

func indexOf(b byte) int { return map[byte]int{'A': 0, 'C': 1, 'G': 2, 'T': 3}[b] }

// specimen gives a voucher whose barcode no reference names.
func specimen(code string, seq []byte) seqqc.VoucherResult {
	n := len(seq)
	phred := make([]byte, n)
	for i := range phred {
		phred[i] = 'I'
	}
	return seqqc.VoucherResult{
		Voucher: seqqc.Voucher{
			Code: code, FieldID: "Russula sp.", Field: refs.ParseName("Russula sp."), Kind: seqqc.Specimen,
			Collector: "Fern Placeholder", Date: "2026-09-03", Samples: []seqqc.Sample{{}},
		},
		Samples: []seqqc.SampleResult{{
			Contig: &seqqc.Contig{
				Bases: seq, Quals: make([]byte, n), Sequence: string(seq), Phred33: string(phred),
				Region: seqqc.Region{
					Located: true, ITS1: seqqc.Interval{End: 220}, R58S: seqqc.Interval{Start: 220, End: 378},
					ITS2: seqqc.Interval{Start: 378, End: n}, ITS1Whole: true, ITS2Whole: true,
				},
			},
			Match: &seqqc.Match{
				Supported: refs.Genus, Taxon: "Russula", Lineage: refs.Lineage{Kingdom: "Fungi", Genus: "Russula"},
				Votes: []seqqc.Vote{{Rank: refs.Species, Threshold: 99.6}},
			},
		}},
		Verdict: seqqc.Verdict{Kind: seqqc.Agrees, AgreeRank: refs.Genus},
	}
}

// named gives the voucher with a species that a reference names.
func named(v seqqc.VoucherResult, species string) seqqc.VoucherResult {
	v.Samples = append([]seqqc.SampleResult(nil), v.Samples...)
	m := *v.Samples[0].Match
	m.Supported, m.Taxon, m.Lineage.Species = refs.Species, species, species
	m.Votes = []seqqc.Vote{{Rank: refs.Species, Threshold: 99.6, Taxon: species, Reached: true, Supported: true}}
	v.Samples[0].Match = &m
	return v
}

func batchOf(name string, vouchers ...seqqc.VoucherResult) Batch {
	return Batch{
		Name:   name,
		Result: &seqqc.Result{SchemaVersion: seqqc.SchemaVersion, Program: "forayseq", Library: seqqc.LibraryInfo{Name: "refs.fasta", SHA256: "0"}, Vouchers: vouchers},
	}
}

func open(t *testing.T, path string) *Ledger {
	t.Helper()
	l, err := Open(t.Context(), path, Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

func fresh(t *testing.T) *Ledger { return open(t, filepath.Join(t.TempDir(), "club.ledger")) }

func ExampleLedger_Add() {
	dir, err := os.MkdirTemp("", "")
	if err != nil {
		panic(err)
	}
	defer func() { _ = os.RemoveAll(dir) }()
	l, err := Open(context.Background(), filepath.Join(dir, "club.ledger"), Options{Create: true})
	if err != nil {
		panic(err)
	}
	defer func() { _ = l.Close() }()
	b := batchOf("2026-autumn", specimen("QM-1", barcode(1, 0)))
	for range 2 {
		added, err := l.Add(context.Background(), b, when)
		fmt.Println(added.Vouchers, added.Unchanged, err)
	}
	// Output:
	// 1 false <nil>
	// 1 true <nil>
}

func TestAddingTwiceIsAddingOnce(t *testing.T) {
	l := fresh(t)
	b := batchOf("a", specimen("QM-1", barcode(1, 0)), specimen("QM-2", barcode(2, 0)))
	b.Decisions = []string{`{"id":"1"}`}
	for i := range 3 {
		added, err := l.Add(t.Context(), b, when.Add(time.Duration(i)*time.Hour))
		require.NoError(t, err)
		require.Equal(t, Added{Vouchers: 2, Barcodes: 2, Decisions: 1, Unchanged: i > 0}, added)
	}
	rows, err := l.List(t.Context(), Filter{})
	require.NoError(t, err)
	require.Len(t, rows, 2)

	b.Result.Vouchers[0].Verdict.Kind = seqqc.Conflict
	added, err := l.Add(t.Context(), b, when)
	require.NoError(t, err)
	require.True(t, added.Replaced)
	rows, err = l.List(t.Context(), Filter{Verdict: seqqc.Conflict})
	require.NoError(t, err)
	require.Len(t, rows, 1)

	_, err = l.Add(t.Context(), batchOf("a", specimen("OTHER-1", barcode(9, 0))), when)
	require.ErrorIs(t, err, ErrOtherBatch)
	rows, err = l.List(t.Context(), Filter{})
	require.NoError(t, err)
	require.Len(t, rows, 2, "nothing was lost")
}

func TestListFilters(t *testing.T) {
	l := fresh(t)
	one, two := specimen("QM-1", barcode(1, 0)), specimen("QM-2", barcode(2, 0))
	one.Voucher.Collector, one.Voucher.FieldID, one.Voucher.Date = "Moss 100%_", "Lactarius sp.", "2025"
	two.Verdict.Kind = seqqc.Conflict
	_, err := l.Add(t.Context(), batchOf("a", one), when)
	require.NoError(t, err)
	_, err = l.Add(t.Context(), batchOf("b", two), when)
	require.NoError(t, err)
	for _, c := range []struct {
		f    Filter
		want string
	}{
		{Filter{}, "QM-1 QM-2 "}, {Filter{Batch: "A"}, "QM-1 "}, {Filter{Voucher: "qm-2"}, "QM-2 "}, {Filter{Collector: "100%_"}, "QM-1 "},
		{Filter{Collector: "1%0"}, ""}, {Filter{Name: "lactarius"}, "QM-1 "}, {Filter{Name: "russula"}, "QM-1 QM-2 "},
		{Filter{Verdict: seqqc.Conflict}, "QM-2 "}, {Filter{From: "2025-06-01"}, "QM-1 QM-2 "}, {Filter{From: "2026"}, "QM-2 "},
		{Filter{To: "2025"}, "QM-1 "}, {Filter{To: "2026-09"}, "QM-1 QM-2 "}, {Filter{From: "2026-09-04"}, ""},
		{Filter{Name: "' OR 1=1 --"}, ""},
	} {
		rows, err := l.List(t.Context(), c.f)
		require.NoError(t, err)
		got := ""
		for _, r := range rows {
			got += r.Voucher + " "
		}
		require.Equal(t, c.want, got, "%+v", c.f)
	}
}

func TestNearestFindsExactAndNear(t *testing.T) {
	l := fresh(t)
	_, err := l.Add(t.Context(), batchOf("a", specimen("QM-1", barcode(1, 0)), specimen("QM-2", barcode(1, 6)), specimen("QM-3", barcode(3, 0))), when)
	require.NoError(t, err)
	all, err := l.Barcodes(t.Context(), "")
	require.NoError(t, err)
	require.Equal(t, 3, all.Len())
	asked := specimen("x", barcode(1, 0)).Samples[0].Contig
	near, err := all.Nearest(t.Context(), asked, 97, 1)
	require.NoError(t, err)
	require.Len(t, near, 2)
	require.Equal(t, "QM-1", near[0].Voucher)
	require.Equal(t, 100.0, near[0].IdentityPct)
	require.Equal(t, "QM-2", near[1].Voucher)
	require.InDelta(t, 99.0, near[1].IdentityPct, 1e-9, "6 of 600 columns differ")
	others, err := l.Barcodes(t.Context(), "a")
	require.NoError(t, err)
	require.Zero(t, others.Len())
	near, err = others.Nearest(t.Context(), asked, 97, 1)
	require.NoError(t, err)
	require.Empty(t, near)
}

// A file of every earlier version is brought up to date with what it holds.
func TestMigratesFromEveryVersion(t *testing.T) {
	for version := range len(migrations) {
		path := filepath.Join(t.TempDir(), "old.ledger")
		db, err := sql.Open("sqlite", path)
		require.NoError(t, err)
		exec := func(query string, args ...any) {
			_, err := db.Exec(query, args...)
			require.NoError(t, err)
		}
		exec(fmt.Sprintf("PRAGMA application_id = %d", applicationID))
		for i := range version {
			exec(migrations[i])
		}
		exec(fmt.Sprintf("PRAGMA user_version = %d", version))
		if version > 0 {
			row, err := rowOf(new(specimen("QM-1", barcode(1, 0))))
			require.NoError(t, err)
			exec("INSERT INTO batches VALUES (1, 'a', '2026-01-01T00:00:00Z', 'refs', '0', 'p', 's')")
			exec("INSERT INTO vouchers (id, batch, place, code, kind, field_id, field_genus, collector, date, verdict, reason_code, dna_taxon, dna_rank, final_name, result) VALUES (1, 1, 0, 'QM-1', 'specimen', 'Russula sp.', 'Russula', 'F', '2026', 'agrees', '', 'Russula', 'genus', '', ?)", row.json)
			exec("INSERT INTO barcodes (id, voucher, sample, chosen, sequence, its_start, its_end, unnamed) VALUES (1, 1, '', 1, ?, 0, 600, 1)", string(barcode(1, 0)))
		}
		require.NoError(t, db.Close())
		l := open(t, path)
		rows, err := l.List(t.Context(), Filter{})
		require.NoError(t, err)
		changes, err := l.UpdateCodes(t.Context(), when, nil)
		require.NoError(t, err)
		if version > 0 {
			require.Len(t, rows, 1)
			require.Len(t, changes, 1, "the barcode of the old file gets its code")
		}
		var now int
		require.NoError(t, l.db.QueryRow("PRAGMA user_version").Scan(&now))
		require.Equal(t, SchemaVersion(), now)
	}
}

func TestWhatIsNoLedgerIsRefused(t *testing.T) {
	dir := t.TempDir()
	_, err := Open(t.Context(), filepath.Join(dir, "missing"), Options{})
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoFileExists(t, filepath.Join(dir, "missing"))
	_, err = Open(t.Context(), dir, Options{Create: true})
	require.ErrorIs(t, err, ErrNotLedger)
	text := filepath.Join(dir, "text")
	require.NoError(t, os.WriteFile(text, []byte("voucher,field_id\nthis is a sheet and no database, which is longer than a header"), 0o644))
	_, err = Open(t.Context(), text, Options{Create: true})
	require.ErrorIs(t, err, ErrNotLedger)
	other := filepath.Join(dir, "other.db")
	db, err := sql.Open("sqlite", other)
	require.NoError(t, err)
	_, err = db.Exec("CREATE TABLE photos (id)")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	before, err := os.ReadFile(other)
	require.NoError(t, err)
	_, err = Open(t.Context(), other, Options{Create: true})
	require.ErrorIs(t, err, ErrNotLedger)
	after, err := os.ReadFile(other)
	require.NoError(t, err)
	require.Equal(t, before, after, "a file that is not ours was written to")
	if _, err := os.Stat(os.DevNull); err == nil {
		_, err = Open(t.Context(), os.DevNull, Options{Create: true})
		require.ErrorIs(t, err, ErrNotLedger)
	}

	cut := filepath.Join(dir, "cut")
	whole := open(t, cut)
	_, err = whole.Add(t.Context(), batchOf("a", specimen("QM-1", barcode(1, 0))), when)
	require.NoError(t, err)
	require.NoError(t, whole.Close())
	require.NoError(t, os.Truncate(cut, 3*4096))
	_, err = Open(t.Context(), cut, Options{})
	require.ErrorIs(t, err, ErrDamaged)
	require.ErrorContains(t, err, cut)

	newer := filepath.Join(dir, "newer")
	l, err := Open(t.Context(), newer, Options{Create: true})
	require.NoError(t, err)
	_, err = l.db.Exec("PRAGMA user_version = 99")
	require.NoError(t, err)
	require.NoError(t, l.Close())
	_, err = Open(t.Context(), newer, Options{})
	var version *VersionError
	require.ErrorAs(t, err, &version)
}

// A full disk, as SQLite meets it: no page more may be written.
func TestFullDiskLosesNothing(t *testing.T) {
	l := fresh(t)
	_, err := l.Add(t.Context(), batchOf("a", specimen("QM-1", barcode(1, 0))), when)
	require.NoError(t, err)
	l.db.SetMaxOpenConns(1) // the limit is of a connection
	var pages int
	require.NoError(t, l.db.QueryRow("PRAGMA page_count").Scan(&pages))
	_, err = l.db.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages+2))
	require.NoError(t, err)
	var many []seqqc.VoucherResult
	for i := range 200 {
		many = append(many, specimen(fmt.Sprintf("B-%d", i), barcode(uint64(i), 0)))
	}
	_, err = l.Add(t.Context(), batchOf("b", many...), when)
	require.ErrorIs(t, err, ErrFull)
	rows, err := l.List(t.Context(), Filter{})
	require.NoError(t, err)
	require.Len(t, rows, 1)
	_, err = l.db.Exec("PRAGMA max_page_count = 1000000")
	require.NoError(t, err)
	_, err = l.Add(t.Context(), batchOf("b", many...), when)
	require.NoError(t, err)
}

func TestAWriterThatWaitsTooLongSaysSo(t *testing.T) {
	path := filepath.Join(t.TempDir(), "club.ledger")
	l := open(t, path)
	other, err := Open(t.Context(), path, Options{Wait: time.Millisecond})
	require.NoError(t, err)
	defer func() { require.NoError(t, other.Close()) }()
	tx, err := l.db.BeginTx(t.Context(), nil)
	require.NoError(t, err)
	_, err = other.Add(t.Context(), batchOf("b", specimen("B-1", barcode(1, 0))), when)
	require.ErrorIs(t, err, ErrBusy)
	require.NoError(t, tx.Rollback())
	_, err = other.Add(t.Context(), batchOf("b", specimen("B-1", barcode(1, 0))), when)
	require.NoError(t, err)
}
