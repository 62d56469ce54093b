package simulate

import (
	"errors"
	"fmt"
	"slices"

	"forayseq/seqqc"
)

// Blend adds read b to read a, as if the two templates had been in one tube:
// share of the signal is b's. Both must have traces and peak positions, as
// real reads have.
//
// What passes a detector together are fragments of equal length, so the peaks
// of b are brought under those of a, base for base: the traces of b are
// stretched between its peaks (linearly) until its n-th base from the primer
// stands where a's does. Where the calls of the two begin at different bases,
// as they do, is told from the words their first 150 calls have in common;
// without any they begin together. Before they are added, each read is brought
// to a height of 1,000 by the mean height of its called peaks within 50 calls,
// so that the share holds all along; stretches of less than a tenth of a read's
// usual height are raised tenfold at most. The sum is as long as a, and called
// anew.
//
// In the truth the templates are a's and b's own calls, in this order.
func Blend(a, b *seqqc.Trace, share float64) (*seqqc.Trace, Truth, error) {
	if share < 0 || share > 1 {
		return nil, Truth{}, fmt.Errorf("a share of %v is not between 0 and 1", share)
	}
	for _, t := range []*seqqc.Trace{a, b} {
		if !t.HasChannels() || len(t.Bases) < 2 {
			return nil, Truth{}, errors.New("a read without traces and peak positions cannot be blended")
		}
	}
	offset := sameLength(a.Bases, b.Bases)
	atA, atB := positions(a.Peaks), moved(a.Peaks, len(b.Peaks), offset)
	gainA, gainB := gains(a), gains(b)
	n := len(a.Channels[0])
	var sum [4][]int32
	for c := range sum {
		sum[c] = make([]int32, n)
	}
	k := 0 // the interval of b's peaks that the sample lies in
	for t := range n {
		for k+2 < len(atB) && atB[k+1] <= float64(t) {
			k++
		}
		x := float64(b.Peaks[k]) + float64((float64(t)-atB[k])/(atB[k+1]-atB[k])*float64(b.Peaks[k+1]-b.Peaks[k]))
		for c := range sum {
			v := float64((1-share)*gainA[t]*float64(a.Channels[c][t])) + float64(share*sample(gainB, x)*sample(b.Channels[c], x))
			sum[c][t] = int32(max(0, v) + 0.5)
		}
	}
	out := called(sum)
	templates := []Template{{Seq: a.Bases, Weight: 1 - share}, {Seq: b.Bases, Weight: share}}
	tr := Truth{Shares: shares(templates)}
	at := [][]float64{atA, atB}
	for _, peaks := range at {
		tr.Under = append(tr.Under, tie(out.Peaks, peaks, 7))
	}
	heavy := 0
	if share > 0.5 {
		heavy = 1
	}
	tr.heaviest(heavy, at, len(out.Bases))
	return out, tr, nil
}

func positions(peaks []int) []float64 {
	out := make([]float64, len(peaks))
	for i, p := range peaks {
		out[i] = float64(p)
	}
	return out
}

// moved gives the places of n calls on the grid of peaks, call 0 at peak
// offset; beyond its ends the grid goes on at the mean spacing of its last
// twenty peaks.
func moved(peaks []int, n, offset int) []float64 {
	last := len(peaks) - 1
	reach := min(20, last)
	first := float64(peaks[reach]-peaks[0]) / float64(reach)
	end := float64(peaks[last]-peaks[last-reach]) / float64(reach)
	out := make([]float64, n)
	for i := range out {
		switch k := i + offset; {
		case k < 0:
			out[i] = float64(peaks[0]) + float64(float64(k)*max(1, first))
		case k > last:
			out[i] = float64(peaks[last]) + float64(float64(k-last)*max(1, end))
		default:
			out[i] = float64(peaks[k])
		}
	}
	return out
}

// sameLength gives the call of a that stands for a fragment as long as call 0
// of b: the distance at which most words of eight bases of their first 150
// calls are equal, 0 where fewer than five are.
func sameLength(a, b []byte) int {
	const word, reach = 8, 150
	places := map[string][]int{}
	for i := 0; i+word <= min(reach, len(a)); i++ {
		w := string(a[i : i+word])
		places[w] = append(places[w], i)
	}
	votes := map[int]int{}
	best := 0
	for j := 0; j+word <= min(reach, len(b)); j++ {
		for _, i := range places[string(b[j:j+word])] {
			d := i - j
			votes[d]++
			if votes[d] > votes[best] || votes[d] == votes[best] && d < best {
				best = d
			}
		}
	}
	if votes[best] < 5 {
		return 0
	}
	return best
}

// gains gives for each sample what brings the called peaks around it to a
// height of 1,000.
func gains(t *seqqc.Trace) []float64 {
	heights := make([]float64, len(t.Peaks))
	for i, p := range t.Peaks {
		for _, ch := range t.Channels {
			heights[i] = max(heights[i], float64(ch[p]))
		}
	}
	usual := slices.Sorted(slices.Values(heights))[len(heights)/2]
	const reach = 50
	out := make([]float64, len(t.Channels[0]))
	k := 0
	for s := range out {
		for k+1 < len(t.Peaks) && t.Peaks[k+1] <= s {
			k++
		}
		near := heights[max(0, k-reach):min(len(heights), k+reach+1)]
		mean := 0.0
		for _, h := range near {
			mean += h / float64(len(near))
		}
		out[s] = 1000 / max(1, mean, usual/10)
	}
	return out
}

// sample gives a trace between its samples, linearly; zero outside it.
func sample[T int32 | float64](trace []T, x float64) float64 {
	i := int(x)
	if x < 0 || i+1 >= len(trace) {
		return 0
	}
	f := x - float64(i)
	return float64(float64(trace[i])*(1-f)) + float64(float64(trace[i+1])*f)
}
