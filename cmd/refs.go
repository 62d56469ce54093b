package cmd

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

var errRefsMissing = errors.New("no reference library")

func newRefs() *cobra.Command {
	c := &cobra.Command{
		Use:   "refs",
		Short: "Look at a reference library, and make it open fast",
		Long:  `refs reads a reference FASTA and says what is in it, or writes its index.`,
		Example: `  forayseq demo demo-batch
  forayseq refs info demo-batch/refs.fasta`,
		Args: argsUsage(cobra.NoArgs),
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(newRefsCheck(), newRefsInfo(), newRefsIndex())
	return c
}

func newRefsInfo() *cobra.Command {
	var taxonomy string
	c := &cobra.Command{
		Use:   "info LIB",
		Short: "Count the records, genera and species of a reference FASTA",
		Long: `info prints what a reference FASTA holds, one figure a line, and whether the
index that 'forayseq refs index' wrote beside it can be used.`,
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
		_, err = fmt.Fprint(c.OutOrStdout(), infoText(info, indexState(args[0], taxonomy)))
		return err
	}
	return c
}

// indexState says whether the cached index of a library can be used.
func indexState(path, taxonomy string) string {
	_, err := batch.OpenIndex(path, taxonomy)
	switch {
	case err == nil:
		return "valid"
	case errors.Is(err, fs.ErrNotExist):
		return "none"
	}
	return "not used: " + err.Error()
}

func newRefsIndex() *cobra.Command {
	var opt batch.IndexOptions
	c := &cobra.Command{
		Use:   "index LIB",
		Short: "Write the index of a reference FASTA, for it to open fast",
		Long: `index reads a reference FASTA, plain or .gz, and writes beside it, as
LIB.forayindex, what it says and what a search in it needs. Whoever names the
library from then on gets the same answers, sooner and with less memory; it
pays from some thousand records. The FASTA stays where it is.

An index that no longer fits its library or lineage table, or is damaged, is
not used, and a line says so; only this command writes it.`,
		Example: `  forayseq demo demo-batch
  forayseq refs index demo-batch/refs.fasta`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	c.Flags().StringVar(&opt.Taxonomy, "taxonomy", "", "lineages of genera or records; the index serves those who name the same")
	c.RunE = func(c *cobra.Command, args []string) error {
		opt.Refs = args[0]
		bar := newProgress(c.ErrOrStderr())
		opt.Progress = bar.show
		start := time.Now()
		info, err := batch.WriteIndex(c.Context(), opt)
		bar.clear()
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(c.OutOrStdout(), "%s: %s, %s, %.1f MB, %.1f s\n",
			info.Path, seqqc.Count(info.Records, "record"), seqqc.Count(info.Unique, "different sequence"), float64(info.Bytes)/1e6, time.Since(start).Seconds())
		return err
	}
	return c
}

func infoText(info seqqc.LibraryInfo, index string) string {
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
		{"index", index},
	} {
		fmt.Fprintf(&b, "%-13s %v\n", row.name, row.value)
	}
	return b.String()
}
