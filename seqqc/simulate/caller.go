package simulate

import "slices"

// call is one base as called.
type call struct {
	base    byte
	quality byte
	at      int // sample
}

// The dynamic programme of callBases: what a doubled or halved spacing costs,
// in units of the evidence of one clear peak.
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
	level := levels(channels)
	spacing := spacings(channels, level)
	if spacing == nil {
		return nil
	}
	e := evidence(channels, spacing, level)
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
	return nameCalls(channels, spacing, at)
}

// spacings estimates the distance of peaks at each sample: the median distance
// of neighbouring maxima of more than half the height of those around, over the whole read and then in stretches of
// 800 samples, which may leave the whole by a tenth. Nil where there are none.
func spacings(channels [4][]int32, level []float64) []float64 {
	n := len(channels[0])
	type gap struct{ at, length int }
	var gaps []gap
	prev := -1
	for t := 2; t < n-2; t++ {
		for _, ch := range channels {
			if float64(ch[t]) > 0.5*level[t] && ch[t] > ch[t-1] && ch[t] >= ch[t+1] && ch[t] > ch[t-2] && ch[t] >= ch[t+2] && tops(channels, t, ch[t]) {
				if prev >= 0 {
					gaps = append(gaps, gap{t, t - prev})
				}
				prev = t
				break
			}
		}
	}
	if len(gaps) == 0 {
		return nil
	}
	median := func(from, to int) (float64, int) {
		var lengths []int
		for _, g := range gaps {
			if from <= g.at && g.at < to {
				lengths = append(lengths, g.length)
			}
		}
		if len(lengths) == 0 {
			return 0, 0
		}
		slices.Sort(lengths)
		// The mean of the middle half is a median with a fraction.
		mid := lengths[len(lengths)/4 : len(lengths)-len(lengths)/4]
		sum := 0
		for _, l := range mid {
			sum += l
		}
		return float64(sum) / float64(len(mid)), len(lengths)
	}
	whole, _ := median(0, n)
	whole = min(max(whole, 6), 20)
	out := make([]float64, n)
	const stretch = 800
	for from := 0; from < n; from += stretch {
		local, count := median(from, from+stretch)
		if count < 30 {
			local = whole
		}
		local = min(max(local, 0.9*whole), 1.1*whole)
		for t := from; t < min(n, from+stretch); t++ {
			out[t] = local
		}
	}
	return out
}

// tops reports whether no channel is above height at sample t.
func tops(channels [4][]int32, t int, height int32) bool {
	for _, ch := range channels {
		if ch[t] > height {
			return false
		}
	}
	return true
}

// evidence says how much a sample looks like the top of a peak: the sharpest
// channel's 2 y(t) - y(t - h) - y(t + h) at half a spacing h, over twice the
// height of the peaks around.
func evidence(channels [4][]int32, spacing, level []float64) []float64 {
	n := len(spacing)
	e := make([]float64, n)
	for t := range e {
		h := int(spacing[t]/2 + 0.5)
		sharp := int32(0)
		for _, ch := range channels {
			sharp = max(sharp, 2*ch[t]-ch[max(t-h, 0)]-ch[min(t+h, n-1)])
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
