package cmd

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

func newRefsCheck() *cobra.Command {
	var opt batch.AuditOptions
	var only []string
	var quick, all bool
	var clean string
	c := &cobra.Command{
		Use:   "check LIB",
		Short: "Look through a reference FASTA for records that mislead",
		Long: `check reads a reference FASTA, plain or .gz, and lists with its line each record
that cannot be used, or is doubtful:

` + auditWords() + `
A label is doubted where at least four independent nearest records of other
genera agree on one, and the rest of the label's own genus lies much further
away; where fewer are as near as a genus is, where four of another family or
order do. A name may be old rather than wrong, and only its archive can tell. Every
record is compared with all others, itself left out, unless words that they
share show that it stands among its own kind.

--write FILE writes the library without the records that do more harm than good
(all but those listed under genera and species, of which nobody knows which is
wrong), with those on the other strand turned round, and beside it, as
FILE.left-out.tsv, what was left out and why. With --only, records are left out
for these reasons alone.

Exit status: 0 every record could be read; 3 some could not.`,
		Example: `  forayseq demo demo-batch
  forayseq refs check demo-batch/refs.fasta`,
		Args: argsUsage(cobra.ExactArgs(1)),
	}
	opt.Settings = batch.DefaultSettings()
	c.Flags().StringVar(&opt.Taxonomy, "taxonomy", "", "lineages of genera or records")
	c.Flags().StringSliceVar(&only, "only", nil, "checks to make, with commas between (default all)")
	c.Flags().BoolVar(&quick, "quick", false, "leave out labels and chimeras, the checks that take long")
	c.Flags().BoolVar(&all, "all", false, fmt.Sprintf("list all records, not the first %d of a check", listedOfCheck))
	c.Flags().StringVar(&clean, "write", "", "write a cleaned library to this file")
	threadsFlag(c.Flags(), &opt.Threads)
	c.RunE = func(c *cobra.Command, args []string) error {
		opt.Refs = args[0]
		var err error
		if opt.Only, err = batch.ParseAuditChecks(only); err != nil {
			return &usageError{err, "checks are " + checkNames()}
		}
		if quick {
			if len(only) > 0 {
				return &usageError{fmt.Errorf("--quick and --only exclude one another"), "--only " + strings.Join(only, ",") + " alone names the checks"}
			}
			opt.Only = batch.QuickChecks
		}
		bar := newProgress(c.ErrOrStderr())
		opt.Progress = bar.show
		a, err := batch.AuditLibrary(c.Context(), opt)
		bar.clear()
		if err != nil {
			return err
		}
		if err := tellAudit(c.OutOrStdout(), a, all); err != nil {
			return err
		}
		if clean != "" {
			info, err := a.WriteClean(clean, opt.Refs, opt.Taxonomy)
			if err != nil {
				return err
			}
			if _, err := fmt.Fprintf(c.OutOrStdout(), "%s: %s kept, %d of them turned; %d left out, see %s\n",
				info.Path, seqqc.Count(info.Kept, "record"), info.Turned, info.LeftOut, info.List); err != nil {
				return err
			}
		}
		if a.Info.Rejected > 0 {
			return &outcomeError{status: exitUnread}
		}
		return nil
	}
	return c
}

// listedOfCheck is how many records of a check are listed unless all are asked
// for.
const listedOfCheck = 20

// checkMeaning says in a few words what each check finds.
var checkMeaning = map[batch.AuditCheck]string{
	batch.CheckLabels:    "labels that their nearest neighbours contradict",
	batch.CheckChimeras:  "records joined from two genera",
	batch.CheckGenera:    "one sequence, or one 99.6 % alike, under several genera",
	batch.CheckSpecies:   "one sequence under several species",
	batch.CheckCopies:    "name and sequence of an earlier record",
	batch.CheckRegion:    "not ITS, by sequence or header",
	batch.CheckReversed:  "on the other strand",
	batch.CheckShort:     "too short to support a name",
	batch.CheckAmbiguous: "too many bases that are not clear",
	batch.CheckUnnamed:   "without a name that could support one",
}

func auditWords() string {
	var b strings.Builder
	for _, check := range batch.AuditChecks {
		fmt.Fprintf(&b, "  %-10s %s\n", check, checkMeaning[check])
	}
	return b.String()
}

func checkNames() string {
	words := make([]string, len(batch.AuditChecks))
	for i, check := range batch.AuditChecks {
		words[i] = string(check)
	}
	return strings.Join(words, ", ")
}

// tellAudit prints what was found: a count of each check, and the records.
func tellAudit(w io.Writer, a *batch.Audit, all bool) error {
	some := a.Records()
	if _, err := fmt.Fprintf(w, "%s: %s read, %d could not be read; %s about %s, none about %d\n", a.Info.Name, seqqc.Count(a.Info.Records, "record"),
		a.Info.Rejected, seqqc.Count(len(a.Findings), "finding"), seqqc.Count(some, "record"), a.Info.Records-some); err != nil {
		return err
	}
	for _, check := range batch.AuditChecks {
		if n := a.Of(check); n > 0 {
			if _, err := fmt.Fprintf(w, "  %5d  %-10s %s\n", n, check, checkMeaning[check]); err != nil {
				return err
			}
		}
	}
	if a.Searched > 0 {
		if _, err := fmt.Fprintf(w, "Of %s %d had to be compared with all others.\n", seqqc.Count(a.Different, "different sequence"), a.Searched); err != nil {
			return err
		}
	}
	most := listedOfCheck
	if all {
		most = 0
	}
	for _, p := range append(a.Problems, a.Listed(most)...) {
		tellProblem(w, p)
	}
	return nil
}
