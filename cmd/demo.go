package cmd

import (
	"fmt"

	"github.com/spf13/cobra"

	"forayseq/seqqc/demo"
)

func newDemo() *cobra.Command {
	return &cobra.Command{
		Use:   "demo DIR",
		Short: "Write an invented club's batch to try things on",
		Long: `demo writes the batch folder of an invented club: voucher sheet, reads and
references, all of them synthetic, with truth.tsv saying what was built into
each voucher. DIR must be missing or empty.`,
		Example: `  forayseq demo demo-batch
  forayseq run demo-batch`,
		Args: argsUsage(cobra.ExactArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			if err := demo.Write(args[0], demo.Options{}); err != nil {
				return err
			}
			_, err := fmt.Fprintf(c.OutOrStdout(), "wrote a synthetic batch to %s; next: forayseq run %s\n", args[0], args[0])
			return err
		},
	}
}
