package simulate

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func TestX(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for name, p := range map[string]Params{"good": Good(), "fair": Fair(), "poor": Poor(), "short": Short(), "failed": Failed()} {
		tpl := make([]byte, 700)
		for i := range tpl {
			tpl[i] = "ACGT"[rng.Uint64()>>62]
		}
		tr, truth := Mixture(rng, []Template{{tpl, 1}}, p)
		fmt.Println(name, len(tr.Bases), "missed", truth.Missed)
		for s := 0; s < len(tr.Bases); s += 100 {
			e := 0
			ins := 0
			for i := s; i < min(s+100, len(tr.Bases)); i++ {
				if truth.Error(i, tr.Bases[i], tpl) {
					e++
				}
				if truth.Template[i] < 0 {
					ins++
				}
			}
			fmt.Print(" ", e, "/", ins)
		}
		fmt.Println()
	}
}
func BenchmarkRead(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	tpl := make([]byte, 700)
	for i := range tpl {
		tpl[i] = "ACGT"[rng.Uint64()>>62]
	}
	for b.Loop() {
		Read(rng, tpl, Good())
	}
}
