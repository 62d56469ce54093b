package simulate

import "slices"

const letters = "ACGT"

// nameCalls gives each called sample its base, the highest channel, and its
// quality.
func nameCalls(channels [4][]int32, spacing []float64, at []int) []call {
	calls := make([]call, len(at))
	for k, t := range at {
		top, _ := ranked(channels, t)
		calls[k] = call{base: letters[top], at: t}
	}
	for k, f := range features(channels, spacing, at) {
		calls[k].quality = qualityOf(f)
		if calls[k].quality < nBelow {
			calls[k].base = 'N'
		}
	}
	return calls
}

// ranked gives the highest channel at a sample and the height of the second.
func ranked(channels [4][]int32, t int) (top int, second int32) {
	for c := 1; c < 4; c++ {
		if channels[c][t] > channels[top][t] {
			top = c
		}
	}
	for c := range channels {
		if c != top {
			second = max(second, channels[c][t])
		}
	}
	return top, second
}

// quietest gives the lowest of the four channels' maxima within samples
// [lo, hi). The call and its two neighbours light up three channels at most,
// so it is noise.
func quietest(channels [4][]int32, lo, hi int) int32 {
	return min(slices.Max(channels[0][lo:hi]), slices.Max(channels[1][lo:hi]),
		slices.Max(channels[2][lo:hi]), slices.Max(channels[3][lo:hi]))
}

// feature holds the figures that the quality of a call rests on.
type feature struct {
	here    float64 // second channel over called channel, at this call
	near    float64 // the largest such ratio within 1 call
	wide    float64 // the mean of it within 3 calls
	spacing float64 // largest departure of a gap within 3 calls, in spacings
	noise   float64 // mean of the quietest channel (see quietest) over the called, within 3 calls
	faint   float64 // 1 - 4 x mean height within 1 call over the read's median height, at least 0
	merged  float64 // mean height half a spacing away over height at the call, within 3 calls
}

// features measures the peaks around each call, after Ewing & Green 1998
// (Genome Research 8: 186-194, DOI 10.1101/gr.8.3.186): spacing, uncalled over
// called height, and how far neighbouring peaks have merged.
func features(channels [4][]int32, spacing []float64, at []int) []feature {
	n := len(channels[0])
	ratio := make([]float64, len(at))
	noise := make([]float64, len(at))
	merged := make([]float64, len(at))
	gap := make([]float64, len(at))
	heights := make([]float64, len(at))
	for k, t := range at {
		top, second := ranked(channels, t)
		height := max(1, float64(channels[top][t]))
		heights[k] = height
		ratio[k] = float64(second) / height
		h := int(spacing[t]/2 + 0.5)
		noise[k] = min(2, float64(quietest(channels, max(0, t-h), min(n, t+h+1)))/height)
		sides := float64(channels[top][max(0, t-h)] + channels[top][min(n-1, t+h)])
		merged[k] = min(2, sides/(2*height))
		if k > 0 {
			gap[k] = float64(t-at[k-1])/spacing[t] - 1
			gap[k] = max(gap[k], -gap[k])
		}
	}
	out := make([]feature, len(at))
	if len(at) == 0 {
		return out
	}
	usual := slices.Sorted(slices.Values(heights))[len(heights)/2]
	for k := range out {
		f := &out[k]
		f.here = ratio[k]
		near := heights[max(0, k-1):min(len(at), k+2)]
		sum := 0.0
		for _, h := range near {
			sum += h
		}
		f.faint = max(0, 1-4*sum/(float64(len(near))*usual))
		lo, hi := max(0, k-3), min(len(at), k+4)
		for j := lo; j < hi; j++ {
			if j >= k-1 && j <= k+1 {
				f.near = max(f.near, ratio[j])
			}
			f.wide += ratio[j]
			f.noise += noise[j]
			f.merged += merged[j]
			f.spacing = max(f.spacing, gap[j])
		}
		f.wide /= float64(hi - lo)
		f.noise /= float64(hi - lo)
		f.merged /= float64(hi - lo)
	}
	return out
}

// qualityOf gives the Phred value for the doubt of a call, the weighted sum of
// its features, between knots one unit of doubt apart. Weights (a logistic
// fit, rounded by hand) and knots (the observed error of the calls of a bin of
// doubt) come from 1,000 simulated reads around the presets, one in fifty of
// them failed; the package comment shows how they hold on others.
func qualityOf(f feature) byte {
	doubt := float64(3.5*f.here) + float64(3*f.near) + float64(4*f.wide) +
		float64(4*f.noise) + float64(20*max(0, f.noise-0.25)) +
		float64(10*f.spacing) + float64(2*f.merged) + float64(10*f.faint)
	knots := [...]float64{62, 60, 54, 47, 38, 30, 22.5, 17, 12, 9, 6.5, 5, 3.7, 2.9, 2.3, 2}
	i := int(doubt)
	if i >= len(knots)-1 {
		return byte(knots[len(knots)-1])
	}
	return byte(knots[i] + float64((doubt-float64(i))*(knots[i+1]-knots[i])) + 0.5)
}

// A call of lower quality than this is written as N.
const nBelow = 5
