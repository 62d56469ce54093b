package cmd

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/ledger"
)

func newLedgerRecheck(path *string) *cobra.Command {
	var lib, taxonomy, names string
	var keep bool
	threads := 0
	settings := batch.DefaultSettings()
	c := &cobra.Command{
		Use:   "recheck --refs NEWLIB",
		Short: "Look at every stored barcode again with newer references",
		Long: `recheck gives every stored barcode the verdict that a newer reference library
gives it, or a newer table of names, and prints what changed: newly named, under another name, no longer
named, renamed, verdict changed, newly doubtful, each with before and after.

It can be stopped and started again, and goes on where it was. With --keep the new
verdicts take the place of the old ones in the ledger; without, it only tells.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq ledger add demo-batch
  forayseq ledger recheck --refs demo-batch/refs.fasta`,
		Args: argsUsage(cobra.NoArgs),
	}
	c.Flags().StringVar(&lib, "refs", "", "reference FASTA, plain or .gz (required)")
	c.Flags().StringVar(&taxonomy, "taxonomy", "", "lineages of genera or records")
	c.Flags().StringVar(&names, "names", "", "changed names, a table as names.csv of a batch")
	c.Flags().BoolVar(&keep, "keep", false, "let the new verdicts take the place of the old ones")
	threadsFlag(c.Flags(), &threads)
	settingFlags(c.Flags(), &settings, "match", "verdict")
	c.RunE = func(c *cobra.Command, _ []string) error {
		if lib == "" {
			return &usageError{errRefsMissing, "name a reference FASTA: --refs NEWLIB"}
		}
		if err := settings.Validate(); err != nil {
			return err
		}
		ctx, out := c.Context(), printer{w: c.OutOrStdout()}
		return withLedger(ctx, *path, false, func(l *ledger.Ledger) error {
			library, info, _, err := batch.OpenLibrary(lib, taxonomy)
			if err != nil {
				return err
			}
			var problems []seqqc.Problem
			if names != "" {
				if problems, err = batch.TakeNames(library, names); err != nil {
					return err
				}
			}
			unread := tellProblems(c.ErrOrStderr(), problems)
			key, err := recheckKey(info, settings, taxonomy, names)
			if err != nil {
				return err
			}
			if threads == 0 {
				threads = runtime.GOMAXPROCS(0)
			}
			bar := newProgress(c.ErrOrStderr())
			changes, err := l.Recheck(ctx, ledger.Recheck{
				Key: key, Library: info, Now: time.Now(), Threads: threads, Keep: keep,
				Again: func(ctx context.Context, v seqqc.VoucherResult) (seqqc.VoucherResult, error) {
					return batch.Again(ctx, library, v, settings)
				},
				Tell: func(done, of int) {
					bar.show(batch.Progress{Doing: "looking again", Done: done, Of: of})
				},
			})
			bar.clear()
			if err != nil {
				return err
			}
			out.row("batch", "voucher", "field_id", "change", "before", "after")
			for _, ch := range changes {
				out.row(ch.Batch, ch.Voucher, ch.FieldID, ch.Text(), ch.Before, ch.After)
			}
			if out.err != nil || !keep {
				return errors.Join(out.err, unread)
			}
			return errors.Join(updateCodes(c, l, time.Now(), &printer{w: c.ErrOrStderr()}), unread)
		})
	}
	return c
}

// recheckKey stands for all that the outcome of a recheck depends on; files are
// those beside the library, empty where there is none.
func recheckKey(info seqqc.LibraryInfo, s batch.Settings, files ...string) (string, error) {
	var all strings.Builder
	fmt.Fprintln(&all, batch.Program(), info.SHA256)
	for i, path := range files {
		if path == "" {
			continue
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(&all, "%d %x\n", i, sha256.Sum256(raw))
	}
	for _, e := range s.Entries() {
		fmt.Fprintln(&all, e.Name, e.String())
	}
	return fmt.Sprintf("%x", sha256.Sum256([]byte(all.String()))), nil
}
