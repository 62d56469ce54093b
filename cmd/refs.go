package cmd

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

var errRefsMissing = errors.New("no reference library")

func newRefs() *cobra.Command {
	c := &cobra.Command{
		Use:   "refs",
		Short: "Look at a reference library",
		Long:  `refs reads a reference FASTA and says what is in it.`,
		Example: `  forayseq demo demo-batch
  forayseq refs info demo-batch/refs.fasta`,
		Args: argsUsage(cobra.NoArgs),
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(newRefsCheck(), newRefsInfo())
	return c
}

func newRefsCheck() *cobra.Command {
	var taxonomy string
	c := &cobra.Command{
		Use:   "check LIB",
		Short: "List what is wrong with a reference FASTA",
		Long: `check reads a reference FASTA, plain or .gz, and lists with its line each record
that cannot be used or is doubtful.

Exit status: 0 every record can be used; 3 some cannot.`,
		Example: `  forayseq demo demo-batch
  forayseq refs check demo-batch/refs.fasta`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	c.Flags().StringVar(&taxonomy, "taxonomy", "", "lineages of genera or records")
	c.RunE = func(c *cobra.Command, args []string) error {
		lib, info, _, err := batch.OpenLibrary(args[0], taxonomy)
		if err != nil {
			return err
		}
		problems := batch.LibraryProblems(info.Name, lib)
		if _, err := fmt.Fprintf(c.OutOrStdout(), "%s: %d records can be used, %d cannot, %d remarks\n",
			info.Name, info.Records, info.Rejected, len(problems)); err != nil {
			return err
		}
		return tellProblems(c.OutOrStdout(), problems)
	}
	return c
}

func newRefsInfo() *cobra.Command {
	var taxonomy string
	c := &cobra.Command{
		Use:   "info LIB",
		Short: "Count the records, genera and species of a reference FASTA",
		Long:  `info prints what a reference FASTA holds, one figure a line.`,
		Example: `  forayseq demo demo-batch
  forayseq refs info demo-batch/refs.fasta`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	c.Flags().StringVar(&taxonomy, "taxonomy", "", "lineages of genera or records")
	c.RunE = func(c *cobra.Command, args []string) error {
		_, info, _, err := batch.OpenLibrary(args[0], taxonomy)
		if err != nil {
			return err
		}
		_, err = fmt.Fprint(c.OutOrStdout(), infoText(info))
		return err
	}
	return c
}

func infoText(info seqqc.LibraryInfo) string {
	var b strings.Builder
	for _, row := range []struct {
		name  string
		value any
	}{
		{"library", info.Name},
		{"sha256", info.SHA256},
		{"records", info.Records},
		{"with a genus", info.Named},
		{"genera", info.Genera},
		{"species", info.Species},
		{"left out", info.Rejected},
	} {
		fmt.Fprintf(&b, "%-13s %v\n", row.name, row.value)
	}
	return b.String()
}
