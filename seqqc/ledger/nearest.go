package ledger

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// gate is what a barcode must compare to be near another: that of the default
// evidence gate of a match.
var gate = refs.Gate{MinCoveragePct: 80, MinOutside: 150}

// Barcode is a stored sequence with whose it is.
type Barcode struct {
	id       int64
	Batch    string
	Voucher  string
	Sample   string
	FieldID  string
	Date     string
	Verdict  seqqc.VerdictKind
	DNATaxon string
	// Code is the club's code, empty where it has none.
	Code   string
	Contig *seqqc.Contig
}

// Near is a stored barcode near a sequence.
type Near struct {
	Barcode
	// IdentityPct is as in a match, over the ITS; CoveragePct of the sequence
	// asked about.
	IdentityPct, CoveragePct float64
}

// Barcodes are the stored barcodes in memory, ready to be searched. They can
// be asked by several at once.
type Barcodes struct {
	list []Barcode
	lib  *refs.Library // record i is list[i]; nil where there are none
}

const barcodeColumns = `SELECT b.id, batches.name, v.code, b.sample, v.field_id, v.date, v.verdict, v.dna_taxon, coalesce(m.code, ''), v.result
	FROM barcodes b JOIN vouchers v ON v.id = b.voucher JOIN batches ON batches.id = v.batch
	LEFT JOIN club_members m ON m.batch = batches.name AND m.voucher = v.code AND m.sample = b.sample `

// Barcodes reads the barcodes on which verdicts rest, those of every batch but
// the one named.
func (l *Ledger) Barcodes(ctx context.Context, except string) (*Barcodes, error) {
	return l.barcodes(ctx, "WHERE b.chosen = 1 AND batches.name <> ? ORDER BY b.id", except)
}

func (l *Ledger) barcodes(ctx context.Context, where string, args ...any) (out *Barcodes, err error) {
	rows, err := l.db.QueryContext(ctx, barcodeColumns+where, args...)
	if err != nil {
		return nil, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	out = &Barcodes{}
	for rows.Next() {
		b, err := scanBarcode(rows)
		if err != nil {
			return nil, err
		}
		if b.Contig != nil {
			out.list = append(out.list, b)
		}
	}
	if err := rows.Err(); err != nil {
		return nil, plain(err)
	}
	return out, out.index()
}

func scanBarcode(rows *sql.Rows) (b Barcode, err error) {
	var result string
	if err := rows.Scan(&b.id, &b.Batch, &b.Voucher, &b.Sample, &b.FieldID, &b.Date, &b.Verdict, &b.DNATaxon, &b.Code, &result); err != nil {
		return b, plain(err)
	}
	v, err := stored(result)
	if err != nil {
		return b, fmt.Errorf("batch %s, voucher %s: %w", b.Batch, b.Voucher, err)
	}
	for i := range v.Samples {
		if v.Samples[i].Sample.ID == b.Sample {
			b.Contig = v.Samples[i].Contig
		}
	}
	return b, nil
}

// stored reads a voucher's result back.
func stored(text string) (*seqqc.VoucherResult, error) {
	var v seqqc.VoucherResult
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		return nil, err
	}
	return &v, v.Restore()
}

// index makes the barcodes a library whose records have the barcodes' order.
func (b *Barcodes) index() error {
	if len(b.list) == 0 {
		return nil
	}
	var fasta strings.Builder
	for i, c := range b.list {
		span := c.Contig.Region.ITS(len(c.Contig.Bases))
		fmt.Fprintf(&fasta, ">%d\n%s\n", i, c.Contig.Bases[span.Start:span.End])
	}
	lib, err := refs.Read(strings.NewReader(fasta.String()), refs.ReadOptions{})
	if err != nil {
		return err
	}
	if lib.Len() != len(b.list) {
		return fmt.Errorf("%d of %d stored barcodes cannot be searched", len(b.list)-lib.Len(), len(b.list))
	}
	b.lib = lib
	return nil
}

// Len gives the number of barcodes.
func (b *Barcodes) Len() int { return len(b.list) }

// Nearest gives the barcodes with an identity of floor or more, at least n of
// them (with ties) where there are as many, ranked as in a match. A floor above
// 100 finds none. The error is that of ctx, or of a contig that is no sequence.
func (b *Barcodes) Nearest(ctx context.Context, c *seqqc.Contig, floor float64, n int) ([]Near, error) {
	if b.lib == nil {
		return nil, nil
	}
	scan, err := refs.NewScan(ctx, b.lib, c.Query(c.Region.ITS(len(c.Bases))), gate)
	if err != nil {
		return nil, err
	}
	found, err := scan.BestFrom(floor, n, func(best float64) float64 { return max(0, best-floor) }, nil)
	if err != nil {
		return nil, err
	}
	var out []Near
	for _, f := range found {
		if f.Pass {
			out = append(out, Near{b.list[f.Record], f.IdentityPct, f.CoveragePct})
		}
	}
	return out, nil
}
