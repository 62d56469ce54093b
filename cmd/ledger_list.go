package cmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/ledger"
	"forayseq/seqqc/report"
)

func newLedgerList(path *string) *cobra.Command {
	var f ledger.Filter
	var verdict, near string
	within := 97.0
	c := &cobra.Command{
		Use:   "list",
		Short: "List vouchers, or find the barcodes near a sequence",
		Long: `list prints a table of the vouchers that pass all the filters given. With --near
it prints, for each sequence of a FASTA (- is standard input), the stored barcodes
that are equal or near to it, nearest first; the filters then choose among those.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq ledger add demo-batch
  forayseq ledger list --name Russula
  forayseq ledger list --near demo-batch/results/contigs.fasta --within 99`,
		Args: argsUsage(cobra.NoArgs),
	}
	fl := c.Flags()
	fl.StringVar(&f.Batch, "batch", "", "name of a batch")
	fl.StringVar(&f.Voucher, "voucher", "", "code of a voucher")
	fl.StringVar(&f.Collector, "collector", "", "part of a collector's name")
	fl.StringVar(&verdict, "verdict", "", "a verdict")
	fl.StringVar(&f.Name, "name", "", "part of the field name, of the DNA's name or of the final name")
	fl.StringVar(&f.Code, "code", "", "a club code")
	fl.StringVar(&f.From, "from", "", "collected on or after YYYY, YYYY-MM or YYYY-MM-DD")
	fl.StringVar(&f.To, "to", "", "collected on or before it")
	fl.StringVar(&near, "near", "", "a FASTA of sequences to look for")
	fl.Float64Var(&within, "within", within, "with --near: least percent identity")
	c.RunE = func(c *cobra.Command, _ []string) error {
		if f.Verdict = seqqc.VerdictKind(strings.ToLower(verdict)); verdict != "" {
			if err := knownVerdicts("--verdict", []string{string(f.Verdict)}); err != nil {
				return err
			}
		}
		for _, date := range []string{f.From, f.To} {
			if date != "" && !knownDate(date) {
				return &usageError{fmt.Errorf("%q is no date that is understood", date), "write YYYY, YYYY-MM or YYYY-MM-DD"}
			}
		}
		if !(within > 0 && within <= 100) {
			return &usageError{fmt.Errorf("--within: %g is no percent identity", within), "97 finds what may be of one species"}
		}
		return withLedger(c.Context(), *path, false, func(l *ledger.Ledger) error {
			rows, err := l.List(c.Context(), f)
			if err != nil {
				return err
			}
			out := printer{w: c.OutOrStdout()}
			if near != "" {
				return listNear(c, l, rows, near, within, &out)
			}
			out.row("batch", "voucher", "field_id", "verdict", "reason_code", "dna_taxon", "dna_rank", "final_name", "club_code", "collector", "date", "library")
			for _, r := range rows {
				out.row(r.Batch, r.Voucher, r.FieldID, string(r.Verdict), string(r.ReasonCode), r.DNATaxon, r.DNARank, r.FinalName, r.Code, r.Collector, r.Date, r.Library)
			}
			if len(rows) == 0 {
				told := printer{w: c.ErrOrStderr()}
				told.line("no voucher of the ledger passes these filters")
				return errors.Join(out.err, told.err)
			}
			return out.err
		})
	}
	return c
}

func listNear(c *cobra.Command, l *ledger.Ledger, rows []ledger.Row, near string, within float64, out *printer) error {
	sequences, problems, err := readSequences(c.InOrStdin(), near)
	if err != nil {
		return err
	}
	known, err := l.Barcodes(c.Context(), "")
	if err != nil {
		return err
	}
	out.row("query", "batch", "voucher", "field_id", "identity_pct", "coverage_pct", "verdict", "dna_taxon", "club_code", "date")
	any := false
	for _, s := range sequences {
		found, err := nearOf(c.Context(), known, s.Contig, within)
		if err != nil {
			return fmt.Errorf("%s: %w", s.Name, err)
		}
		for _, n := range found {
			if !slices.ContainsFunc(rows, func(r ledger.Row) bool { return r.Batch == n.Batch && r.Voucher == n.Voucher }) {
				continue
			}
			any = true
			out.row(s.Name, n.Batch, n.Voucher, n.FieldID, seqqc.Percent(n.IdentityPct), seqqc.Percent(n.CoveragePct), string(n.Verdict), n.DNATaxon, n.Code, n.Date)
		}
	}
	if !any && out.err == nil {
		told := printer{w: c.ErrOrStderr()}
		told.line("no stored barcode is as near (%g %%) and passes the filters", within)
		out.err = told.err
	}
	if out.err != nil || len(problems) == 0 {
		return out.err
	}
	if err := tellProblems(c.ErrOrStderr(), problems); err != nil {
		return err
	}
	return &outcomeError{status: exitUnread}
}

func nearOf(ctx context.Context, known *ledger.Barcodes, c *seqqc.Contig, within float64) ([]ledger.Near, error) {
	found, err := known.Nearest(ctx, c, within, 1)
	return slices.DeleteFunc(found, func(n ledger.Near) bool { return n.IdentityPct < within }), err
}

func readSequences(stdin io.Reader, path string) ([]batch.Named, []seqqc.Problem, error) {
	if path == "-" {
		return batch.Sequences(stdin, path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, &batch.HintError{Err: err, Hint: "name a file of sequences, or - for standard input"}
	}
	sequences, problems, err := batch.Sequences(f, path)
	return sequences, problems, errors.Join(err, f.Close())
}

func knownDate(s string) bool {
	return slices.ContainsFunc([]string{"2006", "2006-01", time.DateOnly}, func(form string) bool {
		_, err := time.Parse(form, s)
		return err == nil
	})
}

// printer prints lines and rows until the first error.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, report.SafeText(fmt.Sprintf(format, args...)))
	}
}

// row prints cells with tabs between, made safe for spreadsheets.
func (p *printer) row(cells ...string) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, safeCells(cells))
	}
}
