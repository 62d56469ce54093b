package signal

import (
	"forayseq/align"
	"forayseq/seqqc"
)

// Doubt holds the four figures that the quality of a call rests on; each grows
// with the chance that the call is wrong (Ewing & Green 1998, Genome Research
// 8: 186-194, DOI 10.1101/gr.8.3.186; their definitions from memory).
type Doubt struct {
	// Spacing is the largest over the smallest distance of peaks among the
	// seven calls around.
	Spacing float32
	// Uncalled7 and Uncalled3 are the highest uncalled peak over the lowest
	// called one, among the seven calls around and among three.
	Uncalled7, Uncalled3 float32
	// Resolution is the number of calls to the nearest unresolved one, times
	// -1, at least -farResolved. Here a call is unresolved where it is N or its
	// base has no summit of its own or a higher peak beside it. The paper's
	// figure ends at 0, the call itself; ours goes on to the number of other
	// unresolved ones among the seven calls around: of a broad hump, called as
	// a run of one base, nobody can say how many bases it holds.
	Resolution float32
}

const (
	// Bounds of the figures that have none of their own, or a far one.
	mostDoubt   = 10
	farResolved = 10
)

// Doubts gives the figures for each call of t, whose evidence is s.
func Doubts(t *seqqc.Trace, s *seqqc.Signal) []Doubt {
	n := len(s.Bases)
	called := make([]float32, n)
	uncalled := make([]float32, n)
	resolved := make([]bool, n)
	for i, b := range s.Bases {
		mask := align.Mask(t.Bases[i])
		if mask == align.MaskN {
			mask = 0
		}
		for c, h := range b.Heights {
			if mask>>c&1 == 1 {
				called[i] = max(called[i], h)
			} else {
				uncalled[i] = max(uncalled[i], h)
			}
		}
		resolved[i] = called[i] > 0 && b.Primary.Shape == seqqc.Summit && mask>>channelOf(b.Primary.Base)&1 == 1
	}
	out := make([]Doubt, n)
	far := farResolved
	for i := range out {
		far = min(far+1, farResolved)
		if !resolved[i] {
			far = -unresolvedAround(resolved, i)
		}
		out[i].Resolution = float32(-far)
		far = max(far, 0)
	}
	far = farResolved
	for i := n - 1; i >= 0; i-- {
		far = min(far+1, farResolved)
		if !resolved[i] {
			far = 0
		}
		out[i].Resolution = max(out[i].Resolution, float32(-far))
		out[i].Uncalled7 = ratioAround(uncalled, called, i, 3)
		out[i].Uncalled3 = ratioAround(uncalled, called, i, 1)
		out[i].Spacing = spacingAround(s.Bases, i, 3)
	}
	return out
}

// unresolvedAround counts the unresolved calls within three of i, i itself
// left out.
func unresolvedAround(resolved []bool, i int) int {
	n := -1
	for _, ok := range resolved[max(0, i-3):min(len(resolved), i+4)] {
		if !ok {
			n++
		}
	}
	return n
}

// ratioAround gives the largest of over divided by the smallest of under,
// within reach of i.
func ratioAround(over, under []float32, i, reach int) float32 {
	high, low := over[i], under[i]
	for j := max(0, i-reach); j <= min(len(over)-1, i+reach); j++ {
		high, low = max(high, over[j]), min(low, under[j])
	}
	if high >= mostDoubt*low {
		return mostDoubt
	}
	return high / low
}

func spacingAround(bases []seqqc.BaseSignal, i, reach int) float32 {
	lo, hi := max(1, i-reach+1), min(len(bases)-1, i+reach)
	if lo > hi {
		return mostDoubt
	}
	low, high := bases[lo].Before, bases[lo].Before
	for _, b := range bases[lo : hi+1] {
		low, high = min(low, b.Before), max(high, b.Before)
	}
	if high >= mostDoubt*low {
		return mostDoubt
	}
	return high / low
}
