package cmd

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/ledger"
	"forayseq/seqqc/report"
)

// ledgerName is the file that the ledger commands use where none is named.
const ledgerName = "club.ledger"

func newLedger() *cobra.Command {
	c := &cobra.Command{
		Use:   "ledger",
		Short: "Keep and search what the club found over the years",
		Long: `ledger keeps vouchers, barcodes, verdicts and decisions of all batches in one
file, club.ledger in the current folder or the one named by --ledger. It is an
SQLite database, safe against crashes; several people may use it at once, each
on this computer.

Barcodes that no reference names get the club's own codes, such as
club-2026-07, which last: 'ledger codes' tells what became of each.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq ledger add demo-batch
  forayseq ledger list --verdict conflict`,
		Args: argsUsage(cobra.NoArgs),
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	path := c.PersistentFlags().String("ledger", ledgerName, "the file")
	c.AddCommand(newLedgerAdd(path), newLedgerList(path), newLedgerExport(path), newLedgerRecheck(path), newLedgerCodes(path))
	return c
}

// openLedger opens a ledger, or says what a person can do.
func openLedger(ctx context.Context, path string, create bool) (*ledger.Ledger, error) {
	l, err := ledger.Open(ctx, path, ledger.Options{Create: create})
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &batch.HintError{Err: fmt.Errorf("there is no ledger %s", path), Hint: "name it with --ledger, or make it with 'forayseq ledger add BATCH'"}
	}
	return l, ledgerError(path, err)
}

func ledgerError(path string, err error) error {
	var version *ledger.VersionError
	var hint string
	switch {
	case err == nil:
		return nil
	case errors.Is(err, ledger.ErrDamaged):
		hint = "put a copy in its place, or make it anew: add every batch to another file"
	case errors.Is(err, ledger.ErrNotLedger):
		hint = "name another file with --ledger"
	case errors.Is(err, ledger.ErrBusy):
		hint = "wait until the other program is done, and try again"
	case errors.Is(err, ledger.ErrFull):
		hint = "make room on the disk, and try again"
	case errors.Is(err, ledger.ErrReadOnly):
		hint = "see who may write to " + path + " and to its folder, or copy it to a folder of yours; looking things up takes that as well"
	case errors.Is(err, ledger.ErrDisk):
		hint = "see whether the disk is full, failing, or on a network that is away; on such a network a ledger is not safe"
	case errors.Is(err, ledger.ErrOtherBatch):
		hint = "give this one another name with --name"
	case errors.As(err, &version):
		hint = "use the newer program"
	default:
		return err
	}
	return &batch.HintError{Err: err, Hint: hint}
}

// withLedger opens a ledger for as long as use goes on.
func withLedger(ctx context.Context, path string, create bool, use func(*ledger.Ledger) error) error {
	l, err := openLedger(ctx, path, create)
	if err != nil {
		return err
	}
	return ledgerError(path, errors.Join(use(l), l.Close()))
}

func newLedgerAdd(path *string) *cobra.Command {
	var name string
	c := &cobra.Command{
		Use:   "add BATCH",
		Short: "Add the results of a batch",
		Long: `add puts what the last run of a batch found into the ledger, with the decisions
recorded since. A batch that is there already is brought up to date, so that
adding it twice is adding it once. Once the command has ended the batch is on the
disk; stopped at any moment before, nothing of it is.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq ledger add demo-batch`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	c.Flags().StringVar(&name, "name", "", "name of the batch in the ledger (default that of its folder)")
	c.RunE = func(c *cobra.Command, args []string) error {
		b, err := batchToAdd(args[0], name)
		if err != nil {
			return err
		}
		ctx, out := c.Context(), printer{w: c.OutOrStdout()}
		return withLedger(ctx, *path, true, func(l *ledger.Ledger) error {
			now := time.Now()
			added, err := l.Add(ctx, b, now)
			if err != nil {
				return err
			}
			state := "added"
			switch {
			case added.Unchanged:
				state = "was there already, unchanged"
			case added.Replaced:
				state = "brought up to date"
			}
			out.line("batch %s %s: %s, %s, %s", b.Name, state, seqqc.Count(added.Vouchers, "voucher"),
				seqqc.Count(added.Barcodes, "sequence"), seqqc.Count(added.Decisions, "decision"))
			return updateCodes(c, l, now, &out)
		})
	}
	return c
}

func batchToAdd(dir, name string) (ledger.Batch, error) {
	res, err := readResults(dir)
	if err != nil {
		return ledger.Batch{}, err
	}
	if name == "" {
		abs, err := filepath.Abs(dir)
		if err != nil {
			return ledger.Batch{}, err
		}
		name = filepath.Base(abs)
	}
	b := ledger.Batch{Name: name, Result: res}
	raw, err := os.ReadFile(filepath.Join(dir, batch.DecisionsName))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return b, err
	}
	for line := range strings.Lines(string(raw)) {
		if line = strings.TrimSpace(line); line != "" {
			b.Decisions = append(b.Decisions, line)
		}
	}
	return b, nil
}

// updateCodes brings the club codes up to date and tells what happened to them.
func updateCodes(c *cobra.Command, l *ledger.Ledger, now time.Time, out *printer) error {
	bar := newProgress(c.ErrOrStderr())
	changes, err := l.UpdateCodes(c.Context(), now, func(done, of int) {
		bar.show(batch.Progress{Doing: "comparing barcodes", Done: done, Of: of})
	})
	bar.clear()
	if err != nil {
		return err
	}
	for _, change := range changes {
		out.line("%s %s", change.Code, change.What)
	}
	return out.err
}

func newLedgerCodes(path *string) *cobra.Command {
	return &cobra.Command{
		Use:   "codes [CODE]",
		Short: "Tell what became of the club's codes",
		Long: `codes prints the history of a club code, or of all: which vouchers it was given
to, what it gained, and whether it was merged, split or named.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq ledger add demo-batch
  forayseq ledger codes`,
		Args: argsUsage(cobra.MaximumNArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			code := strings.Join(args, "")
			return withLedger(c.Context(), *path, false, func(l *ledger.Ledger) error {
				events, err := l.History(c.Context(), code)
				if err != nil {
					return err
				}
				if len(events) == 0 && code != "" {
					return &batch.HintError{Err: fmt.Errorf("there is no code %s", code), Hint: "'forayseq ledger codes' lists all"}
				}
				out := printer{w: c.OutOrStdout()}
				out.row("code", "when", "what")
				for _, e := range events {
					out.row(e.Code, e.At, e.What)
				}
				return out.err
			})
		},
	}
}

func newLedgerExport(path *string) *cobra.Command {
	return &cobra.Command{
		Use:   "export",
		Short: "Print all that the ledger holds, one voucher a line, as JSON",
		Long: `export prints one JSON object a line: the batch, and all that is known of the
voucher as in results.json. It is for other programs, and for keeping a copy that
can be read without this one.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq ledger add demo-batch
  forayseq ledger export`,
		Args: argsUsage(cobra.NoArgs),
		RunE: func(c *cobra.Command, _ []string) error {
			enc := json.NewEncoder(c.OutOrStdout())
			return withLedger(c.Context(), *path, false, func(l *ledger.Ledger) error {
				return l.Each(c.Context(), func(name string, v *seqqc.VoucherResult) error {
					return enc.Encode(struct {
						Batch string `json:"batch"`
						*seqqc.VoucherResult
					}{name, v})
				})
			})
		},
	}
}

// askLedger gives a run what a ledger knows of earlier batches: the barcodes of
// one species with a contig, those of the batch itself left out.
func askLedger(ctx context.Context, path, dir string, s batch.Settings) (func(context.Context, *seqqc.Contig) ([]seqqc.Earlier, error), error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	var known *ledger.Barcodes
	err = withLedger(ctx, path, false, func(l *ledger.Ledger) error {
		known, err = l.Barcodes(ctx, filepath.Base(abs))
		return err
	})
	if err != nil {
		return nil, err
	}
	floor := s.Match.Thresholds.Species
	return func(ctx context.Context, c *seqqc.Contig) ([]seqqc.Earlier, error) {
		near, err := known.Nearest(ctx, c, floor, 1)
		var out []seqqc.Earlier
		for _, n := range near {
			if n.IdentityPct >= floor {
				out = append(out, seqqc.Earlier{
					Batch: n.Batch, Voucher: n.Voucher, FieldID: n.FieldID, DNATaxon: n.DNATaxon, Date: n.Date, Code: n.Code, IdentityPct: n.IdentityPct,
				})
			}
		}
		return out, err
	}, nil
}

// safeCells makes text fit for a table that a spreadsheet may open.
func safeCells(cells []string) string {
	safe := make([]string, len(cells))
	for i, cell := range cells {
		safe[i] = report.SafeCell(cell)
	}
	return strings.Join(safe, "\t")
}
