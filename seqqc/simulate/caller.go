package simulate

import "slices"

// call is one base as called.
type call struct {
	base    byte
	quality byte
	at      int // sample
}

// spacingCost weighs the spacing against the evidence, of which one clear peak
// has about 1: a base left out costs 6, one put in between two others 3.
const spacingCost = 6

// callBases finds the bases of a read in its traces (A, C, G, T).
//
// The calls are the chain of samples t_1 < t_2 < ... with the largest
//
//	sum of e(t_i)  -  spacingCost * sum of ((t_i - t_(i-1) - s) / s)^2
//
// where e is the evidence for a peak at a sample (see evidence) and s the
// local spacing of peaks. A peak missed costs a gap of 2s, an extra one two
// gaps of s/2, so the count of bases in a run of equal ones follows from the
// spacing even where its peaks have merged. Time and memory are linear in the
// samples, times the gaps looked at (0.5 s to 1.7 s).
func callBases(channels [4][]int32) []call {
	n := len(channels[0])
	if n == 0 {
		return nil
	}
	e := evidence(channels)
	spacing := spacings(e)
	best := make([]float64, n)
	from := make([]int32, n)
	for t := range best {
		s := spacing[t]
		lo, hi := max(1, int(0.5*s)), int(1.7*s)
		from[t] = -1
		if t > hi {
			best[t] = -1e9
		}
		for d := lo; d <= hi && d <= t; d++ {
			x := (float64(d) - s) / s
			if v := best[t-d] - float64(spacingCost*x*x); v > best[t] || from[t] < 0 && t > hi {
				best[t], from[t] = v, int32(t-d)
			}
		}
		best[t] += e[t]
	}
	last := n - 1
	for t := max(0, n-int(1.2*spacing[n-1])); t < n; t++ {
		if best[t] > best[last] {
			last = t
		}
	}
	var at []int
	for t := int32(last); t >= 0; t = from[t] {
		at = append(at, int(t))
	}
	slices.Reverse(at)
	centre(channels, at)
	return nameCalls(channels, spacing, at)
}

// centre moves each call to the top of its own peak where there is one within
// three samples.
func centre(channels [4][]int32, at []int) {
	const reach = 3
	for k, t := range at {
		top, _ := ranked(channels, t)
		ch := channels[top]
		lo, hi := max(0, t-reach), min(len(ch)-1, t+reach)
		if k > 0 {
			lo = max(lo, at[k-1]+1)
		}
		if k+1 < len(at) {
			hi = min(hi, at[k+1]-1)
		}
		best := t
		for x := lo; x <= hi; x++ {
			if ch[x] > ch[best] {
				best = x
			}
		}
		// The highest sample at the edge of the search is a neighbour's flank.
		if best > lo && best < hi {
			at[k] = best
		}
	}
}

// The distances of peaks that spacings looks for, in samples; instruments
// bring their analysed traces to about 12.
const minSpacing, maxSpacing = 7, 18

// spacings estimates the distance of peaks at each sample: the lag at which
// the evidence is most like itself, over the whole read and then in stretches
// of about 80 bases, which may leave the whole by a tenth.
func spacings(e []float64) []float64 {
	n := len(e)
	// lag gives the best lag within [lo, hi] for samples from..to, its
	// fraction by a parabola through three points.
	lag := func(from, to int, lo, hi float64) float64 {
		alike := func(d int) float64 {
			sum := 0.0
			for t := from; t < min(to, n-d); t++ {
				sum += float64(e[t] * e[t+d])
			}
			return sum
		}
		var like [maxSpacing + 3]float64
		first, last := int(lo), int(hi+0.999)
		top := first
		for d := first - 1; d <= last+1; d++ {
			like[d] = alike(d)
			if d >= first && d <= last && like[d] > like[top] {
				top = d
			}
		}
		at := float64(top)
		if bend := like[top-1] - 2*like[top] + like[top+1]; bend < 0 {
			at += 0.5 * (like[top-1] - like[top+1]) / bend
		}
		return min(max(at, lo), hi)
	}
	whole := lag(0, n, minSpacing, maxSpacing)
	out := make([]float64, n)
	const stretch = 960
	for from := 0; from < n; from += stretch {
		to := from + stretch
		if n-to < stretch/2 {
			to = n
		}
		local := lag(from, to, max(minSpacing, 0.9*whole), min(maxSpacing, 1.1*whole))
		for t := from; t < min(n, to); t++ {
			out[t] = local
		}
		if to == n {
			break
		}
	}
	return out
}

// evidence says how much a sample looks like the top of a peak, from 0 to
// 1.5: the sharpest channel's 2 y(t) - y(t - h) - y(t + h) at half a usual
// spacing h, over twice the height of the peaks around.
func evidence(channels [4][]int32) []float64 {
	const h = 6
	level := levels(channels)
	e := make([]float64, len(level))
	for t := range e {
		sharp := int32(0)
		for _, ch := range channels {
			sharp = max(sharp, 2*ch[t]-ch[max(t-h, 0)]-ch[min(t+h, len(ch)-1)])
		}
		e[t] = min(1.5, float64(sharp)/(2*level[t]))
	}
	return e
}

// levels is the height of peaks around each sample: the mean of the largest
// values of the twelve-sample blocks within nine blocks, at least 1.
func levels(channels [4][]int32) []float64 {
	const block, reach = 12, 9
	n := len(channels[0])
	tops := make([]float64, (n+block-1)/block)
	for t := range n {
		for _, ch := range channels {
			tops[t/block] = max(tops[t/block], float64(ch[t]))
		}
	}
	level := make([]float64, n)
	for t := range level {
		lo, hi := max(0, t/block-reach), min(len(tops), t/block+reach+1)
		sum := 0.0
		for _, v := range tops[lo:hi] {
			sum += v
		}
		level[t] = max(1, sum/float64(hi-lo))
	}
	return level
}
