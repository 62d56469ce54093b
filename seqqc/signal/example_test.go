package signal_test

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"forayseq/seqqc/signal"
	"forayseq/seqqc/simulate"
)

// A read of two templates, three parts to one, that differ at base 100.
func ExampleMeasure() {
	rng := rand.New(rand.NewPCG(7, 7))
	a := simulate.RandomSequence(rng, 300)
	a[100] = 'C'
	b := slices.Clone(a)
	b[100] = 'T'
	read, truth := simulate.Mixture(rng, []simulate.Template{{Seq: a, Weight: 3}, {Seq: b, Weight: 1}}, simulate.Good())
	s := signal.Measure(read)
	for i, e := range s.Bases {
		if truth.Template[i] == 100 {
			fmt.Printf("%c, and %c at %.1f of its height\n", e.Primary.Base, e.Secondary.Base, e.Ratio)
		}
	}
	// Output:
	// C, and T at 0.3 of its height
}

// A file without qualities: they are estimated from the peaks.
func ExampleQualities() {
	rng := rand.New(rand.NewPCG(8, 8))
	read := simulate.Read(rng, simulate.RandomSequence(rng, 300), simulate.Good())
	read.Quals = nil
	quals := signal.Qualities(read, signal.Measure(read))
	fmt.Println(len(quals) == len(read.Bases), slices.Max(quals))
	// Output:
	// true 30
}

func ExampleDoubts() {
	rng := rand.New(rand.NewPCG(9, 9))
	read := simulate.Read(rng, simulate.RandomSequence(rng, 300), simulate.Good())
	d := signal.Doubts(read, signal.Measure(read))[150]
	fmt.Println(d.Spacing < 2, d.Uncalled3 < 0.5, d.Resolution)
	// Output:
	// true true -10
}
