package main

import (
	"fmt"
	"io"
	"math/rand/v2"

	"forayseq/align"
	"forayseq/seqqc/signal"
	"forayseq/seqqc/simulate"
)

// estimated writes what the qualities estimated for reads without any are
// worth: errors predicted and seen by bin of quality.
func estimated(out io.Writer, number int, seed uint64) error {
	if _, err := fmt.Fprintln(out, "\nestimated quality\tnoise\tcalls\terrors predicted\terrors seen"); err != nil {
		return err
	}
	for _, z := range []noise{{"clean", simulate.Good()}, {"ordinary", simulate.Fair()}, {"noisy", simulate.Poor()}} {
		rng := rand.New(rand.NewPCG(seed, 3))
		edges := []byte{0, 5, 10, 15, 20, 25, 30, 40, 100}
		type bin struct {
			calls, seen int
			predicted   float64
		}
		bins := make([]bin, len(edges)-1)
		for range number {
			template := simulate.RandomSequence(rng, 700)
			t, truth := simulate.Mixture(rng, []simulate.Template{{Seq: template, Weight: 1}}, z.p)
			t.Quals = nil
			for i, q := range signal.Qualities(t, signal.Measure(t)) {
				if t.Bases[i] == 'N' {
					continue
				}
				for k := range bins {
					if edges[k] <= q && q < edges[k+1] {
						bins[k].calls++
						bins[k].predicted += align.CallError(q)
						bins[k].seen += count(truth.Error(i, t.Bases[i], template))
					}
				}
			}
		}
		for k, b := range bins {
			if _, err := fmt.Fprintf(out, "Q%d-%d\t%s\t%d\t%.1f\t%d\n", edges[k], edges[k+1]-1, z.name, b.calls, b.predicted, b.seen); err != nil {
				return err
			}
		}
	}
	return nil
}
