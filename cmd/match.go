package cmd

import (
	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/report"
)

func newMatch() *cobra.Command {
	opt := batch.MatchOptions{Settings: batch.DefaultSettings()}
	c := &cobra.Command{
		Use:   "match FASTA --refs LIB",
		Short: "Rank the references nearest to sequences",
		Long: `match compares each sequence of a FASTA (- is standard input) with every
reference of a library and prints the ranked hits, tab-separated, with percent
identity over the ITS.

Exit status: 0 all read; 3 some input could not be read.

` + cautions(),
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq match demo-batch/results/contigs.fasta --refs demo-batch/refs.fasta`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	c.Flags().StringVar(&opt.Refs, "refs", "", "reference FASTA, plain or .gz (required)")
	c.Flags().StringVar(&opt.Taxonomy, "taxonomy", "", "lineages of genera or records")
	c.Flags().IntVar(&opt.Workers, "workers", 0, "sequences worked on at once (default one a processor)")
	settingFlags(c.Flags(), &opt.Settings, "match")
	c.RunE = func(c *cobra.Command, args []string) error {
		if opt.Refs == "" {
			return &usageError{errRefsMissing, "name a reference FASTA: --refs LIB"}
		}
		opt.Queries, opt.Stdin = args[0], c.InOrStdin()
		bar := newProgress(c.ErrOrStderr())
		opt.Progress = bar.show
		matches, problems, err := batch.Match(c.Context(), opt)
		bar.clear()
		if err != nil {
			return err
		}
		names, found := make([]string, len(matches)), make([]*seqqc.Match, len(matches))
		for i, m := range matches {
			names[i], found[i] = m.Query, m.Match
		}
		if err := report.WriteTSV(c.OutOrStdout(), report.HitTable(names, found)); err != nil {
			return err
		}
		return tellProblems(c.ErrOrStderr(), problems)
	}
	return c
}
