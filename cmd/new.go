package cmd

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"forayseq/seqqc/batch"
	"forayseq/seqqc/sheet"
)

func newNew() *cobra.Command {
	return &cobra.Command{
		Use:   "new BATCH",
		Short: "Make an empty batch folder with a template sheet",
		Long: `new makes a batch folder: vouchers.csv with every column and one commented
example, and a reads folder for the chromatograms. A reference FASTA goes beside
them as refs.fasta. BATCH must be missing or empty.`,
		Example: `  forayseq new autumn-foray`,
		Args:    argsUsage(cobra.ExactArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			if err := makeBatch(args[0]); err != nil {
				return err
			}
			_, err := fmt.Fprintf(c.OutOrStdout(), `made %[1]s
next: fill in %[2]s, put the chromatograms (or the laboratory's zip) into %[3]s
and your reference FASTA at %[4]s, then: forayseq run %[1]s
`, args[0], filepath.Join(args[0], batch.SheetName), filepath.Join(args[0], batch.ReadsName), filepath.Join(args[0], batch.RefsName))
			return err
		},
	}
}

func makeBatch(dir string) error {
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return &batch.HintError{
			Err:  fmt.Errorf("%s is not empty", dir),
			Hint: "name a folder that does not exist yet",
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, batch.ReadsName), 0o755); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, batch.SheetName), sheet.Template(), 0o644)
}
