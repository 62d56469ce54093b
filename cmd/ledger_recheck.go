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
	"forayseq/seqqc/match"
)

func newLedgerRecheck(path *string) *cobra.Command {
	var lib, taxonomy, names string
	var keep bool
	threads := 0
	settings := batch.DefaultSettings()
	c := &cobra.Command{
		Use:   "recheck --refs NEWLIB | recheck --names NEWNAMES",
		Short: "Look at every stored barcode again with newer references or names",
		Long: `recheck gives every stored barcode the verdict that a newer reference library
gives it, with a newer table of names if one is named, and prints what changed:
newly named, under another name, no longer named, renamed, verdict changed,
newly doubtful, each with before and after.

It can be stopped at any moment and goes on where it was. Asked again with the
same library, names and settings, it answers from what it found; with a newer
library it searches the records that are new or changed alone, wherever that is
enough. With --keep the new verdicts take the place of the old ones in the
ledger; without, it only tells.

With --names alone no sequence is searched: it prints the labels, DNA names and
final names that the table gives another name, and leaves the ledger as it is.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq ledger add demo-batch
  forayseq ledger recheck --refs demo-batch/refs.fasta`,
		Args: argsUsage(cobra.NoArgs),
	}
	c.Flags().StringVar(&lib, "refs", "", "newer reference FASTA, plain or .gz")
	c.Flags().StringVar(&taxonomy, "taxonomy", "", "lineages of genera or records")
	c.Flags().StringVar(&names, "names", "", "changed names, a table as names.csv of a batch")
	c.Flags().BoolVar(&keep, "keep", false, "let the new verdicts take the place of the old ones")
	threadsFlag(c.Flags(), &threads)
	settingFlags(c.Flags(), &settings, "match", "verdict")
	c.RunE = func(c *cobra.Command, _ []string) error {
		switch {
		case lib == "" && names == "":
			return &usageError{errRefsMissing, "name a reference FASTA: --refs NEWLIB, or a table of names alone: --names NEWNAMES"}
		case lib == "" && (keep || taxonomy != ""):
			return &usageError{errors.New("--keep and --taxonomy go with --refs"), "name the reference FASTA as well: verdicts are made anew with one alone"}
		}
		if err := settings.Validate(); err != nil {
			return err
		}
		out := printer{w: c.OutOrStdout()}
		return withLedger(c.Context(), *path, false, func(l *ledger.Ledger) error {
			if lib == "" {
				return recheckNames(c, l, names, &out)
			}
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
			records, found, err := l.Remembered(c.Context())
			if err != nil {
				return err
			}
			memory := match.NewMemory(library, records, found)
			settings := settings
			settings.Match.Memory = memory
			bar := newProgress(c.ErrOrStderr())
			done, err := l.Recheck(c.Context(), ledger.Recheck{
				Key: key, Library: info, Now: time.Now(), Threads: threads, Keep: keep,
				Records: memory.Keys(), Found: memory.Take,
				Again: func(ctx context.Context, alike []seqqc.VoucherResult) ([]seqqc.VoucherResult, error) {
					return batch.AgainAll(ctx, library, alike, settings)
				},
				Tell: func(done, of int) {
					bar.show(batch.Progress{Doing: "looking again", Done: done, Of: of})
				},
			})
			bar.clear()
			if errors.Is(err, context.Canceled) {
				return &outcomeError{exitFailed, "error: stopped before the end; what was looked at is kept\nhint: the same command goes on from there"}
			}
			if err != nil {
				return err
			}
			if err := tellChanges(c, done, &out); err != nil {
				return err
			}
			told := printer{w: c.ErrOrStderr()}
			switch {
			case keep:
				if len(done.Changes) > 0 {
					told.line("the ledger has the new verdicts")
				}
				return errors.Join(told.err, updateCodes(c, l, time.Now(), &told), unread)
			case len(done.Changes) > 0:
				told.line("the ledger still has the old verdicts; with --keep the new ones take their place")
			}
			return errors.Join(told.err, unread)
		})
	}
	return c
}

// recheckNames tells what a table of names alone changes.
func recheckNames(c *cobra.Command, l *ledger.Ledger, path string, out *printer) error {
	names, problems, err := batch.ReadNames(path)
	if err != nil {
		return err
	}
	unread := tellProblems(c.ErrOrStderr(), problems)
	builtin, _, err := batch.ReadNames("")
	if err != nil {
		return err
	}
	done, err := l.Renamed(c.Context(), builtin, names)
	if err != nil {
		return err
	}
	return errors.Join(tellChanges(c, done, out), unread)
}

// tellChanges prints the table of changes, and beside it, for people, how many
// there are.
func tellChanges(c *cobra.Command, done ledger.Rechecked, out *printer) error {
	out.row("batch", "voucher", "field_id", "change", "before", "after")
	for _, ch := range done.Changes {
		out.row(ch.Batch, ch.Voucher, ch.FieldID, ch.Text(), ch.Before, ch.After)
	}
	told := printer{w: c.ErrOrStderr()}
	known := ""
	if done.Known > 0 {
		known = fmt.Sprintf(" (%s known from an earlier recheck)", seqqc.Count(done.Known, "answer"))
	}
	of := seqqc.Count(done.Vouchers, "voucher")
	if len(done.Changes) == 0 {
		told.line("nothing changed among %s%s", of, known)
	} else {
		told.line("%d of %s changed%s", len(done.Changes), of, known)
	}
	return errors.Join(out.err, told.err)
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
