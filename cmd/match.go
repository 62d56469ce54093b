package cmd

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"

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
		Long: `match compares each sequence of a FASTA (- is standard input; plain or .gz) with
every reference of a library and prints the ranked hits, tab-separated, with
percent identity over the ITS. There may be any number of sequences: rows come
in the order of the input, as soon as they are known. A FASTQ or a chromatogram
is read as well.

For each sequence the nearest hits are listed with the ties of the last and all
of the voting window, as in hits.tsv of a run; with --top N the list ends after
the Nth and its ties. Hits that lack something follow without a rank.

Exit status: 0 all read; 1 could not finish; 2 wrong usage; 3 some input could
not be read.

` + cautions(),
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch
  forayseq match demo-batch/results/contigs.fasta --refs demo-batch/refs.fasta
  forayseq match demo-batch/results/contigs.fasta --refs demo-batch/refs.fasta --top 1`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	c.Flags().StringVar(&opt.Refs, "refs", "", "reference FASTA, plain or .gz (required)")
	c.Flags().StringVar(&opt.Taxonomy, "taxonomy", "", "lineages of genera or records")
	c.Flags().BoolVar(&opt.Settings.Match.Every, "every", false, "align every reference: the same hits, slowly, to check the search")
	threadsFlag(c.Flags(), &opt.Threads)
	settingFlags(c.Flags(), &opt.Settings, "match")
	c.RunE = func(c *cobra.Command, args []string) error {
		if opt.Refs == "" {
			return &usageError{errRefsMissing, "name a reference FASTA: --refs LIB"}
		}
		opt.Queries, opt.Stdin = args[0], c.InOrStdin()
		opt.TopOnly = c.Flags().Changed("top")
		bar := newProgress(c.ErrOrStderr())
		opt.Progress = bar.show
		out := matchPrinter{stdout: c.OutOrStdout(), stderr: c.ErrOrStderr(), bar: bar}
		err := batch.Match(c.Context(), opt, out.tell)
		bar.clear()
		if err == nil {
			err = out.heading()
		}
		switch {
		case errors.Is(err, context.Canceled):
			return &outcomeError{exitFailed, fmt.Sprintf("error: stopped before the end, sequences answered: %d\nhint: the rows printed are whole; run it again with the sequences that are left", out.answered)}
		case err != nil:
			return err
		case out.unread:
			return &outcomeError{status: exitUnread}
		}
		return nil
	}
	return c
}

// matchPrinter prints what becomes of each sequence.
type matchPrinter struct {
	stdout, stderr io.Writer
	bar            *progress
	headed, unread bool
	answered       int
}

func (p *matchPrinter) tell(m batch.Matched) error {
	if m.Problem != nil {
		p.bar.clear()
		p.unread = tellProblem(p.stderr, *m.Problem) || p.unread
		return nil
	}
	if err := p.heading(); err != nil {
		return err
	}
	// All rows of a sequence are one write, so that none is left half written.
	var rows bytes.Buffer
	if err := report.WriteRows(&rows, report.HitTable([]string{m.Query}, []*seqqc.Match{m.Match})); err != nil {
		return err
	}
	if _, err := p.stdout.Write(rows.Bytes()); err != nil {
		return err
	}
	p.answered++
	return nil
}

// heading prints the heading where it has not been.
func (p *matchPrinter) heading() error {
	if p.headed {
		return nil
	}
	p.headed = true
	return report.WriteTSV(p.stdout, report.HitTable(nil, nil))
}
