// Package cmd is the command line of forayseq: each command turns its flags
// into options, makes one library call and prints what comes back.
package cmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/report"
)

// The exit statuses.
const (
	exitDone     = 0
	exitFailed   = 1 // could not finish
	exitUsage    = 2 // wrong usage
	exitUnread   = 3 // finished, but some input could not be read
	exitVerdicts = 4 // finished, and a verdict named by --fail-on was given
)

// Main runs the command line and gives the exit status.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	status, text := exitDone, ""
	var outcome *outcomeError
	var usage *usageError
	var hinted *batch.HintError
	switch {
	case err == nil:
	case errors.As(err, &outcome):
		status, text = outcome.status, outcome.text
	case errors.As(err, &usage):
		status, text = exitUsage, "error: "+err.Error()+"\nhint: "+usage.hint
	case errors.Is(err, context.Canceled):
		status, text = exitFailed, "error: stopped before the end, nothing was written"
	case errors.As(err, &hinted):
		status, text = exitFailed, "error: "+err.Error()+"\nhint: "+hinted.Hint
	default:
		status, text = exitFailed, "error: "+err.Error()
	}
	if text != "" {
		for line := range strings.Lines(text) {
			// Where standard error is gone there is nobody left to tell.
			_, _ = fmt.Fprintln(stderr, report.SafeText(strings.TrimSuffix(line, "\n")))
		}
	}
	return status
}

// outcomeError ends a command that did its work with a status other than zero.
type outcomeError struct {
	status int
	text   string
}

func (e *outcomeError) Error() string { return e.text }

// usageError is a call that makes no sense.
type usageError struct {
	err  error
	hint string
}

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "forayseq",
		Short: "Check a mushroom club's ITS sequences against the names on the labels",
		Long: `forayseq checks a mushroom club's sequencing results: it reads the
chromatograms, the voucher sheet and a reference FASTA of a batch folder, and
writes for each voucher the sequence, how near it is to the references, whether
that agrees with the name on the label, why not where it does not, and what to
do next.

` + cautions(),
		Version:           batch.Program(),
		SilenceUsage:      true,
		SilenceErrors:     true,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
		Args:              argsUsage(cobra.NoArgs),
		RunE:              func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetVersionTemplate("{{.Version}}\n")
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return &usageError{err, "see '" + c.CommandPath() + " --help'"}
	})
	root.AddCommand(newRun(), newQC(), newMatch(), newRefs(), newNew(), newDemo(), newDeposit(), newReview(), newLedger(), newLetters())
	return root
}

// argsUsage makes a wrong number of arguments a usage error.
func argsUsage(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if err := check(c, args); err != nil {
			return &usageError{err, "see '" + c.CommandPath() + " --help'"}
		}
		return nil
	}
}

func cautions() string { return strings.Join(seqqc.Cautions, "\n") }
