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
	start   float64 // 1 at the first call, falling to 0 at the 60th
}

// features measures the peaks around each call: spacing and uncalled over
// called height, after Ewing & Green 1998 (Genome Research 8: 186-194,
// DOI 10.1101/gr.8.3.186), and how near the start it is, where the spacing has
// not settled.
func features(channels [4][]int32, spacing []float64, at []int) []feature {
	n := len(channels[0])
	ratio := make([]float64, len(at))
	noise := make([]float64, len(at))
	gap := make([]float64, len(at))
	heights := make([]float64, len(at))
	for k, t := range at {
		top, second := ranked(channels, t)
		height := max(1, float64(channels[top][t]))
		heights[k] = height
		ratio[k] = float64(second) / height
		h := int(spacing[t]/2 + 0.5)
		noise[k] = min(2, float64(quietest(channels, max(0, t-h), min(n, t+h+1)))/height)
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
		f.start = max(0, 1-float64(k)/60)
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
			f.spacing = max(f.spacing, gap[j])
		}
		f.wide /= float64(hi - lo)
		f.noise /= float64(hi - lo)
	}
	return out
}

// qualityOf gives the Phred value for the doubt of a call, between knots one
// unit of doubt apart. Knots are the observed errors of the calls of a bin of
// doubt in 2,500 simulated reads around the presets, one in fifty of them
// failed; the package comment shows how they hold on others.
func qualityOf(f feature) byte {
	knots := [...]float64{66, 51, 35.5, 25.3, 17.8, 13, 9.7, 7.2, 5.1, 3.5, 2.5, 2}
	doubt := f.doubt()
	i := int(doubt)
	if i >= len(knots)-1 {
		return byte(knots[len(knots)-1])
	}
	return byte(min(maxQuality, knots[i]+float64((doubt-float64(i))*(knots[i+1]-knots[i]))) + 0.5)
}

// doubt is the weighted sum of the features: weights of a logistic fit to such
// reads, rounded by hand, but for the start, which was set by hand.
func (f feature) doubt() float64 {
	return float64(3.3*f.here) + float64(2.7*f.near) + float64(3.3*f.wide) +
		float64(6*f.noise) + float64(3*max(0, f.spacing-0.15)) + float64(20*f.faint) + float64(2*f.start)
}

// A call of lower quality than nBelow is written as N; the best has maxQuality.
const nBelow, maxQuality = 5, 62
