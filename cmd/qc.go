package cmd

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/report"
)

func newQC() *cobra.Command {
	settings := batch.DefaultSettings()
	c := &cobra.Command{
		Use:   "qc READS...",
		Short: "Say how good reads are, and which stretch of each is worth keeping",
		Long: `qc prints a tab-separated row for each read: its length, the stretch that
trimming keeps, qualities, predicted errors, signal over noise. READS are files,
folders or zip archives; - is one file on standard input.

Exit status: 0 all read; 3 some input could not be read.`,
		Example: `  forayseq demo demo-batch
  forayseq qc demo-batch/reads`,
		Args: argsUsage(cobra.MinimumNArgs(1)),
	}
	settingFlags(c.Flags(), &settings, "trim")
	c.RunE = func(c *cobra.Command, args []string) error {
		reads, problems, err := batch.QC(c.Context(), args, c.InOrStdin(), settings)
		if err != nil {
			return err
		}
		if err := report.WriteTSV(c.OutOrStdout(), report.ReadTable(reads)); err != nil {
			return err
		}
		return tellProblems(c.ErrOrStderr(), problems)
	}
	return c
}

// tellProblems lists problems and gives the exit status they call for.
func tellProblems(w io.Writer, problems []seqqc.Problem) error {
	unread := false
	for _, p := range report.Gathered(problems) {
		unread = tellProblem(w, p) || unread
	}
	if unread {
		return &outcomeError{status: exitUnread}
	}
	return nil
}

// tellProblem prints a problem and reports whether it kept an input out.
func tellProblem(w io.Writer, p seqqc.Problem) bool {
	// Where standard error is gone there is nobody left to tell.
	_, _ = fmt.Fprintln(w, report.SafeText(report.ProblemText(p)))
	return p.Unread
}
