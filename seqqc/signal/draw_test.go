package signal

import (
	"math"
	"math/rand/v2"

	"forayseq/seqqc"
)

// drawing is a trace drawn peak by peak, without noise unless it is asked for.
type drawing struct {
	bases   []byte
	at      []int
	samples [4][]float64
	sd      float64
}

const drawSpacing = 12

// draw gives a trace of normal peaks of height 1000 and standard deviation sd,
// one a base.
func draw(bases []byte, sd float64) *drawing {
	d := &drawing{bases: bases, sd: sd}
	for c := range d.samples {
		d.samples[c] = make([]float64, drawSpacing*(len(bases)+2))
	}
	for i, b := range bases {
		d.at = append(d.at, drawSpacing*(i+1))
		d.add(b, float64(d.at[i]), 1000)
	}
	return d
}

func (d *drawing) add(base byte, at, height float64) {
	d.hump(base, at, height, d.sd)
}

func (d *drawing) hump(base byte, at, height, sd float64) {
	y := d.samples[channelOf(base)]
	for t := range y {
		x := (float64(t) - at) / sd
		y[t] += height * math.Exp(-x*x/2)
	}
}

func (d *drawing) trace() *seqqc.Trace {
	t := &seqqc.Trace{Bases: d.bases, Peaks: d.at}
	for c, y := range d.samples {
		for _, v := range y {
			t.Channels[c] = append(t.Channels[c], int32(math.Round(v)))
		}
	}
	return t
}

// shuffled gives n bases in which no two neighbours are equal.
func shuffled(rng *rand.Rand, n int) []byte {
	out := make([]byte, n)
	for i := range out {
		for {
			out[i] = letters[rng.IntN(4)]
			if i == 0 || out[i] != out[i-1] {
				break
			}
		}
	}
	return out
}

// another gives a letter other than those given.
func another(not ...byte) byte {
	for c := range len(letters) {
		used := false
		for _, b := range not {
			used = used || b == letters[c]
		}
		if !used {
			return letters[c]
		}
	}
	return 'N'
}
