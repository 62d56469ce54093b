package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
)

func main() {
	if err := run(context.Background(), os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

// run measures and writes the tables.
func run(ctx context.Context, args []string, out io.Writer) error {
	flags := flag.NewFlagSet("verdicts", flag.ContinueOnError)
	vouchers := flags.Int("vouchers", 1000, "least number of vouchers on mixed and moved plates")
	clean := flags.Int("clean", 1000, "least number of vouchers on plates of clean ones")
	seed := flags.Uint64("seed", 1, "seed")
	published := flags.Int("real", 0, "number of published sequences to test under right and wrong names")
	each := flags.Bool("each", false, "list the vouchers whose verdict or first cause is not the true one")
	if err := flags.Parse(args); err != nil {
		return err
	}
	folder := os.Getenv("FORAYSEQ_OPEN_DATA")
	if *published > 0 && folder == "" {
		return errors.New("FORAYSEQ_OPEN_DATA names no folder of open data to take published sequences from")
	}
	w := newWorld(*seed)
	all, err := simulated(ctx, w, *vouchers, *clean)
	if err != nil {
		return err
	}
	m := measured(all)
	if m.labels, err = auditLabels(ctx, w.library, w.ids(), w.wrong, w.genusOf); err != nil {
		return err
	}
	if err := m.write(out); err != nil {
		return err
	}
	if *published > 0 {
		strata, l, err := measureReal(ctx, folder, *published, *seed)
		if err != nil {
			return err
		}
		if err := writeReal(out, strata, l); err != nil {
			return err
		}
	}
	if !*each {
		return nil
	}
	return listMisses(out, all)
}

// listMisses lists the vouchers whose verdict or first cause is not the true one.
func listMisses(out io.Writer, all []outcome) error {
	_, err := fmt.Fprintf(out, "\nvoucher\tscenario\tfield name\ttrue verdict\tgiven\ttrue cause\tcauses\treason\n")
	for _, o := range all {
		if o.asExpected() && amongFirst(o.verdict, o.cause, 1) {
			continue
		}
		causes := ""
		for _, c := range o.verdict.Causes {
			causes += fmt.Sprintf("%s %g; ", c.Code, c.Weight)
		}
		if _, err := fmt.Fprintf(out, "%s\t%s\t%s\t%s\t%s %s\t%s\t%s\t%s\n", o.code, o.scenario, o.field, o.truth.verdict,
			o.verdict.Kind, o.verdict.ReasonCode, o.cause, causes, o.verdict.Reason); err != nil {
			return err
		}
	}
	return err
}

// simulated runs as many plates as hold the numbers asked for. One in eleven of
// those with faults is a moved one.
func simulated(ctx context.Context, w *world, vouchers, clean int) ([]outcome, error) {
	var all []outcome
	faulty := (vouchers + wells - 1) / wells
	plates := faulty + (clean+wells-1)/wells
	for i := range plates {
		m := maker{w, rand.New(rand.NewPCG(w.seed, uint64(i)))}
		make := mixedPlate
		switch {
		case i >= faulty:
			make = cleanPlate
		case i%11 == 10:
			make = func(m maker) ([]voucher, error) { return movedPlate(m, i%22 == 21) }
		}
		plate, err := make(m)
		if err != nil {
			return nil, err
		}
		some, err := judge(ctx, m, plate)
		if err != nil {
			return nil, fmt.Errorf("plate %d: %w", i+1, err)
		}
		for k := range some {
			some[k].code = fmt.Sprintf("%d/%s", i+1, some[k].code)
		}
		all = append(all, some...)
	}
	return all, nil
}
