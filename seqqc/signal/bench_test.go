package signal

import (
	"math/rand/v2"
	"testing"

	"forayseq/seqqc/simulate"
)

func BenchmarkMeasure(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	p := simulate.Good()
	p.MaxBases = 1200
	t := simulate.Read(rng, simulate.RandomSequence(rng, 1200), p)
	b.ReportMetric(float64(len(t.Bases)), "bases")
	for b.Loop() {
		if s := Measure(t); s.Usable.Len() < 100 {
			b.Fatal("no usable stretch")
		}
	}
}
