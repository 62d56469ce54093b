package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
)

func main() {
	if err := run(context.Background(), os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

// run measures the phenomena that the arguments ask for and writes the tables.
func run(ctx context.Context, args []string, out io.Writer) error {
	flags := flag.NewFlagSet("benchmark", flag.ContinueOnError)
	number := flags.Int("number", 40, "samples of a row")
	clean := flags.Int("clean", 500, "samples of a row without any phenomenon, of two reads each")
	only := flags.String("only", "", "measure only the rows whose phenomenon contains this word")
	seed := flags.Uint64("seed", 1, "seed")
	if err := flags.Parse(args); err != nil {
		return err
	}
	w := newWorld(*seed)
	cases := simulated(w, *number, *clean)
	others, err := realCases(os.Getenv("FORAYSEQ_OPEN_DATA"), *number)
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintln(out, strings.Join(columns, "\t")); err != nil {
		return err
	}
	for i, c := range append(cases, others...) {
		if !strings.Contains(c.phenomenon, *only) {
			continue
		}
		rows, err := measure(ctx, w, c, *seed+uint64(i)<<8)
		if err != nil {
			return fmt.Errorf("%s %s: %w", c.phenomenon, c.level, err)
		}
		if _, err := fmt.Fprintln(out, strings.Join(rows, "\n")); err != nil {
			return err
		}
	}
	if *only == "" || strings.Contains("estimated quality", *only) {
		return estimated(out, *number, *seed)
	}
	return nil
}
