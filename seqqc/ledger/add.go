package ledger

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Batch is what one run found, under the name it has in the ledger.
type Batch struct {
	Name   string
	Result *seqqc.Result
	// Decisions are the lines of the batch's decisions, in their order.
	Decisions []string
}

// Added says what Add did.
type Added struct {
	Vouchers, Barcodes, Decisions int
	// Unchanged is true where the ledger had all of it already; Replaced where
	// it had the batch with other contents.
	Unchanged, Replaced bool
}

// ErrOtherBatch is a batch of the same name of which no voucher is in the one
// that is to be added.
var ErrOtherBatch = errors.New("the ledger has another batch of this name, with other vouchers")

// keptHits is how many hits of a match are kept: a recheck finds them anew.
const keptHits = 3

// Add puts a batch into the ledger, or puts it there again in place of what it
// was: adding one twice is adding it once. Once it has returned without an
// error, the batch is on the disk; whatever happens before, nothing of it is.
func (l *Ledger) Add(ctx context.Context, b Batch, now time.Time) (Added, error) {
	if b.Name == "" {
		return Added{}, errors.New("a batch needs a name")
	}
	rows, sum, err := rowsOf(b)
	if err != nil {
		return Added{}, err
	}
	out := Added{Vouchers: len(rows), Decisions: len(b.Decisions)}
	for _, r := range rows {
		out.Barcodes += len(r.barcodes)
	}
	err = l.within(ctx, func(tx *sql.Tx) error {
		var id int64
		var had string
		err := tx.QueryRowContext(ctx, "SELECT id, content_sha256 FROM batches WHERE name = ?", b.Name).Scan(&id, &had)
		switch {
		case errors.Is(err, sql.ErrNoRows):
		case err != nil:
			return err
		case had == sum:
			out.Unchanged = true
			return nil
		default:
			if err := sameBatch(ctx, tx, id, rows); err != nil {
				return err
			}
			out.Replaced = true
			if _, err := tx.ExecContext(ctx, "DELETE FROM batches WHERE id = ?", id); err != nil {
				return err
			}
		}
		return insert(ctx, tx, b, sum, rows, now)
	})
	return out, err
}

// sameBatch refuses to write over a batch that has nothing in common with the
// new one but its name.
func sameBatch(ctx context.Context, tx *sql.Tx, id int64, rows []voucherRow) error {
	old, err := texts(ctx, tx, "SELECT code FROM vouchers WHERE batch = ?", id)
	if err != nil || len(old) == 0 || len(rows) == 0 {
		return err
	}
	for _, r := range rows {
		if slices.Contains(old, r.code) {
			return nil
		}
	}
	return ErrOtherBatch
}

// texts reads a column of text.
func texts(ctx context.Context, tx *sql.Tx, query string, args ...any) (out []string, err error) {
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, rows.Err()
}

// voucherRow is a voucher as the table has it.
type voucherRow struct {
	code, kind, fieldID, fieldGenus, collector, date        string
	verdict, reasonCode, dnaTaxon, dnaRank, finalName, json string
	barcodes                                                []barcodeRow
}

type barcodeRow struct {
	sample   string
	chosen   bool
	sequence string
	its      seqqc.Interval
	unnamed  bool
}

// rowsOf gives the rows of a batch, and a checksum of all that goes in.
func rowsOf(b Batch) ([]voucherRow, string, error) {
	var all strings.Builder
	var rows []voucherRow
	for i := range b.Result.Vouchers {
		r, err := rowOf(&b.Result.Vouchers[i])
		if err != nil {
			return nil, "", err
		}
		rows = append(rows, r)
		fmt.Fprintln(&all, r.json)
	}
	fmt.Fprintln(&all, b.Result.Library.SHA256, b.Result.Library.Name)
	for _, line := range b.Decisions {
		fmt.Fprintln(&all, line)
	}
	sum := sha256.Sum256([]byte(all.String()))
	return rows, hex.EncodeToString(sum[:]), nil
}

func rowOf(v *seqqc.VoucherResult) (voucherRow, error) {
	short := *v
	short.Samples = slices.Clone(v.Samples)
	for i := range short.Samples {
		s := &short.Samples[i]
		s.Match = shortened(s.Match)
		if s.Minor != nil {
			minor := *s.Minor
			minor.Match = shortened(minor.Match)
			s.Minor = &minor
		}
	}
	data, err := json.Marshal(short)
	if err != nil {
		return voucherRow{}, fmt.Errorf("voucher %s: %w", v.Voucher.Code, err)
	}
	r := voucherRow{
		code: v.Voucher.Code, kind: string(v.Voucher.Kind), fieldID: v.Voucher.FieldID, fieldGenus: v.Voucher.Field.Genus,
		collector: v.Voucher.Collector, date: v.Voucher.Date,
		verdict: string(v.Verdict.Kind), reasonCode: string(v.Verdict.ReasonCode), json: string(data),
	}
	if s := v.ChosenSample(); s != nil && s.Match != nil {
		r.dnaTaxon, r.dnaRank = s.Match.Taxon, s.Match.Supported.String()
	}
	if v.Reviewed != nil {
		r.finalName = v.Reviewed.FinalName
	}
	for i := range v.Samples {
		s := &v.Samples[i]
		if s.Contig == nil || len(s.Contig.Bases) == 0 {
			continue
		}
		r.barcodes = append(r.barcodes, barcodeRow{
			sample: s.Sample.ID, chosen: i == v.Chosen, sequence: string(s.Contig.Bases),
			its: s.Contig.Region.ITS(len(s.Contig.Bases)), unnamed: i == v.Chosen && unnamed(v),
		})
	}
	return r, nil
}

func shortened(m *seqqc.Match) *seqqc.Match {
	if m == nil {
		return nil
	}
	short := *m
	short.Hits = m.Hits[:min(len(m.Hits), keptHits)]
	short.InWindow = min(m.InWindow, keptHits)
	short.Apart = nil
	return &short
}

// unnamed reports whether a voucher's barcode is good, of a fungus, the
// specimen's own as far as can be told, and near no named reference: it is
// what a club code is for.
func unnamed(v *seqqc.VoucherResult) bool {
	s := v.ChosenSample()
	if s == nil || s.Contig == nil || s.Match == nil || v.Voucher.Kind == seqqc.Blank || v.Voucher.Kind == seqqc.Positive {
		return false
	}
	if !s.Contig.Region.Located || !s.Contig.Gap.Empty() || s.Match.Lineage.OutsideFungi() {
		return false
	}
	for _, f := range []seqqc.Flag{seqqc.ChimeraSuspected, seqqc.MixedTemplate, seqqc.Short, seqqc.RegionIncomplete, seqqc.LowQuality} {
		if slices.Contains(v.Verdict.Flags, f) {
			return false
		}
	}
	switch v.Verdict.Kind {
	case seqqc.Overgrowth, seqqc.NonFungal:
		return false
	case seqqc.Undetermined:
		switch v.Verdict.ReasonCode {
		case seqqc.NoSequence, seqqc.PoorSequence, seqqc.NotITS, seqqc.SamplesDisagree, seqqc.Control:
			return false
		}
	}
	for _, vote := range s.Match.Votes {
		if vote.Rank == refs.Species && vote.Reached && !s.Match.Unnamed {
			return false
		}
	}
	return true
}

func insert(ctx context.Context, tx *sql.Tx, b Batch, sum string, rows []voucherRow, now time.Time) error {
	done, err := tx.ExecContext(ctx, "INSERT INTO batches (name, added, library, library_sha256, program, content_sha256) VALUES (?, ?, ?, ?, ?, ?)",
		b.Name, now.UTC().Format(time.RFC3339), b.Result.Library.Name, b.Result.Library.SHA256, b.Result.Program, sum)
	if err != nil {
		return err
	}
	batch, err := done.LastInsertId()
	if err != nil {
		return err
	}
	vouchers, err := tx.PrepareContext(ctx, `INSERT INTO vouchers (batch, place, code, kind, field_id, field_genus, collector, date,
		verdict, reason_code, dna_taxon, dna_rank, final_name, result) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`)
	if err != nil {
		return err
	}
	barcodes, err := tx.PrepareContext(ctx, "INSERT INTO barcodes (voucher, sample, chosen, sequence, its_start, its_end, unnamed) VALUES (?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return err
	}
	for i, r := range rows {
		done, err := vouchers.ExecContext(ctx, batch, i, r.code, r.kind, r.fieldID, r.fieldGenus, r.collector, r.date,
			r.verdict, r.reasonCode, r.dnaTaxon, r.dnaRank, r.finalName, r.json)
		if err != nil {
			return fmt.Errorf("voucher %s: %w", r.code, err)
		}
		voucher, err := done.LastInsertId()
		if err != nil {
			return err
		}
		for _, c := range r.barcodes {
			if _, err := barcodes.ExecContext(ctx, voucher, c.sample, c.chosen, c.sequence, c.its.Start, c.its.End, c.unnamed); err != nil {
				return fmt.Errorf("voucher %s: %w", r.code, err)
			}
		}
	}
	for i, line := range b.Decisions {
		if _, err := tx.ExecContext(ctx, "INSERT INTO decisions (batch, place, line) VALUES (?, ?, ?)", batch, i, line); err != nil {
			return err
		}
	}
	return nil
}
