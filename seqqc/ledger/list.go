package ledger

import (
	"context"
	"database/sql"
	"errors"
	"strings"

	"forayseq/seqqc"
)

// Row is one voucher as a list shows it.
type Row struct {
	Batch, Voucher, FieldID, Collector, Date string
	Verdict                                  seqqc.VerdictKind
	ReasonCode                               seqqc.ReasonCode
	DNATaxon, DNARank                        string
	FinalName                                string
	// Code is the club's code of its barcode, empty where it has none.
	Code string
	// Barcodes counts its sequences.
	Barcodes int
	// Library is the one that its verdict comes from.
	Library string
}

// Filter says which vouchers to list; what is empty does not matter. Texts are
// compared without regard to the case of A to Z.
type Filter struct {
	Batch, Voucher, Collector string
	Verdict                   seqqc.VerdictKind
	// Name is part of the field name, of the DNA's taxon or of the final name.
	Name string
	Code string
	// From and To bound the date, both included; a date known to the month or
	// the year is in where a part of it is.
	From, To string
}

// List gives the vouchers that pass a filter, by batch in the order in which
// batches were first added, then in sheet order.
func (l *Ledger) List(ctx context.Context, f Filter) ([]Row, error) {
	where, args := []string{"1"}, []any{}
	add := func(condition string, values ...any) {
		where = append(where, condition)
		args = append(args, values...)
	}
	for _, equal := range []struct{ column, value string }{
		{"batches.name", f.Batch}, {"v.code", f.Voucher}, {"v.verdict", string(f.Verdict)}, {"m.code", f.Code},
	} {
		if equal.value != "" {
			add(equal.column+" = ? COLLATE NOCASE", equal.value)
		}
	}
	if f.Collector != "" {
		add(`v.collector LIKE ? ESCAPE '\'`, part(f.Collector))
	}
	if f.Name != "" {
		add(`(v.field_id LIKE ? ESCAPE '\' OR v.dna_taxon LIKE ? ESCAPE '\' OR v.final_name LIKE ? ESCAPE '\')`, part(f.Name), part(f.Name), part(f.Name))
	}
	if f.From != "" {
		// "2026" is before "2026-05": what is less precise is in where it begins so.
		add("v.date <> '' AND (v.date >= ? OR substr(?, 1, length(v.date)) = v.date)", f.From, f.From)
	}
	if f.To != "" {
		add("v.date <> '' AND (v.date <= ? OR substr(v.date, 1, length(?)) = ?)", f.To, f.To, f.To)
	}
	return l.rows(ctx, "WHERE "+strings.Join(where, " AND "), args...)
}

// part makes a pattern of LIKE that finds a text anywhere.
func part(s string) string {
	return "%" + strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`).Replace(s) + "%"
}

func (l *Ledger) rows(ctx context.Context, where string, args ...any) (out []Row, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT batches.name, v.code, v.field_id, v.collector, v.date, v.verdict, v.reason_code,
		v.dna_taxon, v.dna_rank, v.final_name, coalesce(m.code, ''), (SELECT count(*) FROM barcodes WHERE voucher = v.id),
		CASE v.library WHEN '' THEN batches.library ELSE v.library END
		FROM vouchers v JOIN batches ON batches.id = v.batch
		LEFT JOIN barcodes b ON b.voucher = v.id AND b.chosen = 1
		LEFT JOIN club_members m ON m.batch = batches.name AND m.voucher = v.code AND m.sample = b.sample
		`+where+` ORDER BY batches.id, v.place`, args...)
	if err != nil {
		return nil, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var r Row
		if err := rows.Scan(&r.Batch, &r.Voucher, &r.FieldID, &r.Collector, &r.Date, &r.Verdict, &r.ReasonCode,
			&r.DNATaxon, &r.DNARank, &r.FinalName, &r.Code, &r.Barcodes, &r.Library); err != nil {
			return nil, plain(err)
		}
		out = append(out, r)
	}
	return out, plain(rows.Err())
}

// BatchInfo is a batch as the ledger has it.
type BatchInfo struct {
	Name, Added, Library, LibrarySHA256, Program string
	Vouchers                                     int
}

// Batches lists the batches in the order in which they were added.
func (l *Ledger) Batches(ctx context.Context) (out []BatchInfo, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT name, added, library, library_sha256, program,
		(SELECT count(*) FROM vouchers WHERE batch = batches.id) FROM batches ORDER BY id`)
	if err != nil {
		return nil, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var b BatchInfo
		if err := rows.Scan(&b.Name, &b.Added, &b.Library, &b.LibrarySHA256, &b.Program, &b.Vouchers); err != nil {
			return nil, plain(err)
		}
		out = append(out, b)
	}
	return out, plain(rows.Err())
}

// Event is a line of a club code's history.
type Event struct{ Code, At, What string }

// History gives what happened to a club code, or to all where it is empty,
// oldest first.
func (l *Ledger) History(ctx context.Context, code string) (out []Event, err error) {
	rows, err := l.db.QueryContext(ctx, "SELECT code, at, what FROM club_history WHERE ? = '' OR code = ? ORDER BY id", code, code)
	if err != nil {
		return nil, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var e Event
		if err := rows.Scan(&e.Code, &e.At, &e.What); err != nil {
			return nil, plain(err)
		}
		out = append(out, e)
	}
	return out, plain(rows.Err())
}

// Each visits the result of every voucher, by batch and in sheet order, for an
// export. visit must not use the ledger.
func (l *Ledger) Each(ctx context.Context, visit func(batch string, v *seqqc.VoucherResult) error) (err error) {
	rows, err := l.db.QueryContext(ctx, "SELECT batches.name, v.result FROM vouchers v JOIN batches ON batches.id = v.batch ORDER BY batches.id, v.place")
	if err != nil {
		return plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var batch string
		var text sql.RawBytes
		if err := rows.Scan(&batch, &text); err != nil {
			return plain(err)
		}
		v, err := stored(string(text))
		if err != nil {
			return err
		}
		if err := visit(batch, v); err != nil {
			return err
		}
	}
	return plain(rows.Err())
}
