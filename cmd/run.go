package cmd

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/report"
)

func newRun() *cobra.Command {
	var opt batch.Options
	var out, memory string
	var failOn []string
	c := &cobra.Command{
		Use:   "run BATCH",
		Short: "Give every voucher of a batch its verdict",
		Long: `run reads a batch folder and writes its results folder. In BATCH it looks for

  vouchers.csv   the sheet (also .tsv or .xlsx)
  reads/         the chromatograms, at any depth, zipped or not
  refs.fasta     the reference library, plain or .gz (or --refs FILE)
  reads.csv      optional: which file belongs to which voucher
  taxonomy.tsv   optional: lineages
  names.csv      optional: name,accepted - names that changed, over the built-in table
  groups.csv     optional: group,taxon - words such as 'coral fungus', and what they mean
  forayseq.yaml  optional: settings, named like the flags below

and into BATCH/results (or --out DIR) it puts verdicts.tsv, hits.tsv, reads.tsv,
contigs.fasta, contigs.fastq, problems.tsv, results.json, report.html to look at
in a browser or to print, and next_plate.tsv and next_plate.txt with what to send
back to the laboratory.

Exit status: 0 finished; 1 could not finish; 2 wrong usage; 3 finished, but some
input could not be read; 4 finished with a verdict named by --fail-on.

` + cautions(),
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	opt.Settings = batch.DefaultSettings()
	c.Flags().StringVar(&opt.Refs, "refs", "", "reference FASTA, plain or .gz (default refs.fasta in BATCH)")
	c.Flags().StringVar(&opt.Taxonomy, "taxonomy", "", "lineages (default taxonomy.tsv in BATCH, where there is one)")
	c.Flags().StringVar(&opt.Names, "names", "", "changed names (default names.csv in BATCH, where there is one)")
	c.Flags().StringVar(&memory, "ledger", "", "ledger of earlier batches to compare the barcodes with")
	c.Flags().StringVar(&out, "out", "", "results folder (default results in BATCH)")
	c.Flags().StringSliceVar(&failOn, "fail-on", nil, "verdicts that end the command with status 4, with commas between")
	threadsFlag(c.Flags(), &opt.Threads)
	settingFlags(c.Flags(), &opt.Settings, "trim", "contig", "match", "verdict")
	c.RunE = func(c *cobra.Command, args []string) error {
		opt.Dir = args[0]
		for i, name := range failOn {
			failOn[i] = strings.ToLower(strings.TrimSpace(name))
		}
		if err := knownVerdicts("--fail-on", failOn); err != nil {
			return err
		}
		if out == "" {
			out = filepath.Join(opt.Dir, batch.ResultsName)
		}
		if err := batch.RefuseOverlap(opt.Dir, out); err != nil {
			return err
		}
		if err := settingsFile(&opt.Settings, opt.Dir, c.Flags()); err != nil {
			return err
		}
		if memory != "" {
			var err error
			if opt.Earlier, err = askLedger(c.Context(), memory, opt.Dir, opt.Settings); err != nil {
				return err
			}
		}
		bar := newProgress(c.ErrOrStderr())
		opt.Progress = bar.show
		res, err := batch.Run(c.Context(), opt)
		bar.clear()
		if err != nil {
			return err
		}
		m := report.New(res)
		if err := report.Write(out, m); err != nil {
			return err
		}
		if err := report.WriteSummary(c.OutOrStdout(), m); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(c.OutOrStdout(), "\nresults in %s\n", out); err != nil {
			return err
		}
		return runOutcome(m, failOn)
	}
	return c
}

// knownVerdicts refuses a flag that names what is no verdict.
func knownVerdicts(flag string, names []string) error {
	for _, name := range names {
		if !slices.Contains(seqqc.VerdictKinds, seqqc.VerdictKind(name)) {
			words := make([]string, len(seqqc.VerdictKinds))
			for i, k := range seqqc.VerdictKinds {
				words[i] = string(k)
			}
			return &usageError{fmt.Errorf("%s: %q is no verdict", flag, name), "verdicts are " + strings.Join(words, ", ")}
		}
	}
	return nil
}

// runOutcome tells a finished run's exit status. A verdict asked for by
// --fail-on outweighs an unread input: whoever asked wants to hear of it.
func runOutcome(m *report.Model, failOn []string) error {
	for _, c := range m.Counts {
		if c.Vouchers > 0 && slices.Contains(failOn, string(c.Verdict)) {
			return &outcomeError{status: exitVerdicts}
		}
	}
	if len(m.Unread) > 0 {
		return &outcomeError{status: exitUnread}
	}
	return nil
}
