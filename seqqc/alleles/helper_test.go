package alleles_test

import (
	"math/rand/v2"

	"forayseq/align"
	"forayseq/seqqc"
)

// template is a sequence and its share of the signal.
type template struct {
	seq   string
	share float64
}

// readOf draws the peak evidence of a read of some templates: at each base the
// heights of their bases, give or take spread, over noise of the given mean (as a
// share of the signal). The calls are the highest peaks.
func readOf(rng *rand.Rand, noise, spread float64, templates ...template) *seqqc.Read {
	n := 0
	for _, t := range templates {
		n = max(n, len(t.seq))
	}
	r := &seqqc.Read{File: "made.ab1", Trace: &seqqc.Trace{Format: "ABIF"}, Signal: &seqqc.Signal{Spacing: 12}}
	for i := range n {
		var b seqqc.BaseSignal
		b.At, b.Spacing, b.Before, b.After = 12*i+10, 12, 12, 12
		for c := range b.Heights {
			b.Heights[c] = float32(1000 * noise * rng.ExpFloat64())
		}
		for _, t := range templates {
			if i < len(t.seq) {
				height := 1000 * t.share * (1 + spread*(2*rng.Float64()-1))
				b.Heights[bitOf(t.seq[i])] += float32(height)
			}
		}
		first, second := 0, -1
		for c, h := range b.Heights {
			if h > b.Heights[first] {
				first = c
			}
		}
		for c, h := range b.Heights {
			if c != first && (second < 0 || h > b.Heights[second]) {
				second = c
			}
		}
		b.Primary = seqqc.Peak{Base: "ACGT"[first], Height: b.Heights[first], Shape: seqqc.Summit}
		b.Secondary = seqqc.Peak{Base: "ACGT"[second], Height: b.Heights[second], Shape: seqqc.Summit}
		r.Signal.Bases = append(r.Signal.Bases, b)
		r.Trace.Bases = append(r.Trace.Bases, b.Primary.Base)
		r.Trace.Quals = append(r.Trace.Quals, 40)
	}
	r.Signal.Usable = seqqc.Interval{End: n}
	r.Kept = seqqc.Interval{End: n}
	return r
}

func bitOf(base byte) int {
	for c := range 4 {
		if align.Mask(base) == 1<<c {
			return c
		}
	}
	panic("not a plain base")
}

// random draws n bases.
func random(rng *rand.Rand, n int) string {
	out := make([]byte, n)
	for i := range out {
		out[i] = "ACGT"[rng.IntN(4)]
	}
	return string(out)
}
