package cmd

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/deposit"
	"forayseq/seqqc/occurrence"
	"forayseq/seqqc/outfile"
	"forayseq/seqqc/report"
)

// The entries of a deposit folder beside the archive's own.
const (
	depositName     = "deposit"
	occurrencesName = "occurrences.zip"
)

func newDeposit() *cobra.Command {
	p := occurrence.Params{Deposit: deposit.Defaults()}
	var out, check string
	c := &cobra.Command{
		Use:   "deposit BATCH | deposit --check FILE",
		Short: "Make the files for a public archive of what passed",
		Long: `deposit takes the results of a run and puts into BATCH/deposit (or --out DIR)

  sequences.fsa         the sequences, with source modifiers in their titles
  source_modifiers.tsv  the same modifiers as a table
  features.tbl          where ITS1, 5.8S and ITS2 lie
  left_out.tsv          the vouchers that stay, each with the rule and what to do
  occurrences.zip       a Darwin Core archive of the specimens, for biodiversity
                        databases
  checklist.txt         what to see to before it is handed in

Names are no more precise than DNA, label and review allow. What is undetermined,
a conflict that nobody reviewed, a chimera, mixed, short, ambiguous, or without
date or place stays, unless a reviewer decided to submit it.

With --check a FASTA is held against the archives' rules and nothing is written.

The place of a sensitive find is told roughly: mark it in a column "sensitive" of
the sheet, or name its taxon with --sensitive.

Exit status: 0 finished; 1 could not finish; 2 wrong usage; 4 the check found
faults in the sequences.

` + cautions(),
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq deposit demo-batch
  forayseq deposit --check demo-batch/deposit/sequences.fsa`,
		Args: argsUsage(cobra.MaximumNArgs(1)),
	}
	f := c.Flags()
	f.StringVar(&out, "out", "", "folder to write (default deposit in BATCH)")
	f.StringVar(&check, "check", "", "hold this FASTA against the archives' rules")
	f.StringVar(&p.Deposit.Institution, "institution", "", "code put before the vouchers where the sheet names none")
	f.StringSliceVar(&p.Deposit.Sensitive, "sensitive", nil, "families, genera or species whose places are told roughly, with commas between")
	f.Float64Var(&p.Deposit.SensitiveDegrees, "sensitive-degrees", p.Deposit.SensitiveDegrees, "what their coordinates are rounded to")
	f.StringVar(&p.Title, "title", "", "title of the data set in occurrences.zip")
	f.StringVar(&p.Holder, "holder", "", "who holds the rights in it")
	f.StringVar(&p.License, "license", "", "its licence: "+strings.Join(slices.Sorted(maps.Keys(occurrence.Licenses)), ", "))
	c.RunE = func(c *cobra.Command, args []string) error {
		switch {
		case check != "" && len(args) > 0:
			return &usageError{errors.New("--check looks at a file, and a batch was named too"), "leave one of them out"}
		case check != "":
			return checkFile(c.OutOrStdout(), check)
		case len(args) == 0:
			return &usageError{errors.New("no batch was named"), "see 'forayseq deposit --help'"}
		case occurrence.Licenses[p.License] == "" && p.License != "":
			return &usageError{fmt.Errorf("--license: %q is not known", p.License), "see 'forayseq deposit --help'"}
		case !(p.Deposit.SensitiveDegrees > 0 && p.Deposit.SensitiveDegrees <= 10):
			return &usageError{fmt.Errorf("--sensitive-degrees: %g is not above 0 and at most 10", p.Deposit.SensitiveDegrees), "0.1 is about 11 km"}
		}
		if out == "" {
			out = filepath.Join(args[0], depositName)
		}
		return makeDeposit(c.OutOrStdout(), args[0], out, p)
	}
	return c
}

func makeDeposit(w io.Writer, dir, out string, p occurrence.Params) error {
	if err := batch.RefuseOverlap(dir, out); err != nil {
		return err
	}
	res, err := readResults(dir)
	if err != nil {
		return err
	}
	p.Deposit.Today = time.Now()
	d := deposit.Prepare(res, p.Deposit)
	a := occurrence.New(res, d, p)
	files := []outfile.File{{Name: occurrencesName, Write: a.Write}}
	for _, name := range deposit.Files() {
		files = append(files, outfile.File{Name: name, Write: func(w io.Writer) error { return d.WriteFile(name, w) }})
	}
	if err := outfile.WriteAll(out, files); err != nil {
		return writeError(out, err)
	}
	lines := []string{fmt.Sprintf("going to the archive: %d of %s; staying: %d", len(d.Entries), seqqc.Count(len(res.Vouchers), "voucher"), len(d.LeftOut))}
	for _, e := range d.Entries {
		lines = append(lines, fmt.Sprintf("  %s  %s, %s", e.SeqID, e.Modifiers[0].Value, seqqc.Count(len(e.Bases), "base")))
	}
	for _, l := range d.LeftOut {
		why := l.Reasons[0].What
		if n := len(l.Reasons) - 1; n > 0 {
			why += fmt.Sprintf(" (and %s)", seqqc.Count(n, "more reason"))
		}
		lines = append(lines, fmt.Sprintf("  %s  stays: %s", l.Voucher, why))
	}
	lines = append(lines, fmt.Sprintf("%s for biodiversity databases, %d with DNA", seqqc.Count(a.Records, "specimen"), a.Sequences))
	if a.WithoutInstitution > 0 {
		lines = append(lines, fmt.Sprintf("  %d of them without an institution's code: give --institution, or their ids may be another club's too", a.WithoutInstitution))
	}
	lines = append(lines, "", "files in "+out+"; read checklist.txt first")
	for _, line := range lines {
		if _, err := fmt.Fprintln(w, report.SafeText(line)); err != nil {
			return err
		}
	}
	if len(d.Entries) == 0 {
		return nil
	}
	return checkFile(w, filepath.Join(out, deposit.FASTAName))
}

// checkFile prints what the archives would refuse in a FASTA.
func checkFile(w io.Writer, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return &batch.HintError{Err: err, Hint: "name a FASTA with source modifiers in its titles"}
	}
	found, err := deposit.Check(f, time.Now())
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	for _, fault := range found.Faults {
		if _, err := fmt.Fprintln(w, report.SafeText(fault.String())); err != nil {
			return err
		}
	}
	if n := len(found.Faults); n > 0 {
		return &outcomeError{status: exitVerdicts, text: fmt.Sprintf("%s: %s in %s", path, seqqc.Count(n, "fault"), seqqc.Count(found.Sequences, "sequence"))}
	}
	_, err = fmt.Fprintf(w, "%s: %s, no faults\n", report.SafeText(path), seqqc.Count(found.Sequences, "sequence"))
	return err
}
