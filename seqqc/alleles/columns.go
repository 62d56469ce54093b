package alleles

import (
	"math"
	"slices"

	"forayseq/seqqc"
)

// column is the evidence of one called base: the share of each channel (A, C,
// G, T) in the sum of the four heights, zero where there is no signal.
type column struct {
	share [4]float64
	noise float64 // the usual share of a channel that no template is in
	// level is the sum of the four heights.
	level float64
	blind bool // clipped, on a hump of dye, or without signal: says nothing
}

// likelihood holds, for one share of the minor template, the probability
// density of a column's shares given the base of the major (x) and of the minor
// template (y): at 4x + y.
type likelihood [16]float64

// The model of a column's shares f, given the bases x and y of the two
// templates. A channel of neither holds noise,
//
//	n(f) = (1 - stray) exp(-f/v)/v + stray,
//
// with v the local noise, and stray the chance of a false peak of any height.
// Where x and y differ, the minor one's part r = f(y) / (f(x) + f(y)) varies
// about the minor share w as the heights of peaks vary,
//
//	h(r) = (1 - stray) N(logit r; logit w, spread) / (r (1-r)) + stray.
//
// Peak heights of one dye vary by a factor of about 1.3 with the bases before
// (the simulator's and the open reads' spread), so the logarithm of the ratio
// of two by about 0.4; the rest of spread is for ratios that drift along a
// read.
const (
	stray  = 0.02
	spread = 0.5
	// leastNoise and mostNoise bound v: below, a silent channel would speak
	// too loudly; above, nothing can be told from noise.
	leastNoise, mostNoise = 0.012, 0.15
	tail                  = 0.1
	// noiseReach is the number of bases to either side that the noise is
	// averaged over.
	noiseReach = 25
)

// columnsOf turns the peak evidence of a stretch of a read into columns.
func columnsOf(s *seqqc.Signal, at seqqc.Interval) []column {
	out := make([]column, at.Len())
	third := make([]float64, len(out))
	for i := range out {
		b := &s.Bases[at.Start+i]
		sum := 0.0
		for _, h := range b.Heights {
			sum += max(0, float64(h))
		}
		c := &out[i]
		c.level = sum
		c.blind = b.Clipped || b.Blob || !(sum > 0)
		if !(sum > 0) {
			continue
		}
		for k, h := range b.Heights {
			c.share[k] = max(0, float64(h)) / sum
		}
		f := c.share
		order(&f)
		third[i] = f[2]
	}
	// The third highest channel is noise whether one or two templates are
	// there: of three channels of exponential noise the middle one's upper
	// quartile is 1.1 times their mean, of two the higher one's twice.
	var near []float64
	for i := range out {
		near = near[:0]
		for k := max(0, i-noiseReach); k < min(len(out), i+noiseReach+1); k++ {
			if !out[k].blind {
				near = append(near, third[k])
			}
		}
		v := leastNoise
		if len(near) > 0 {
			slices.Sort(near)
			v = near[len(near)*3/4]
		}
		out[i].noise = min(mostNoise, max(leastNoise, v))
	}
	return out
}

// order sorts four shares, the largest first.
func order(f *[4]float64) {
	for i := 1; i < 4; i++ {
		for k := i; k > 0 && f[k] > f[k-1]; k-- {
			f[k], f[k-1] = f[k-1], f[k]
		}
	}
}

// The noise measured from third peaks is an upper quartile: with one template
// about the mean of a channel, with two about twice that.
const noiseOfOne, noiseOfTwo = 1.0, 0.55

// likelihoods gives the table of every column for minor share w. A column that
// says nothing has the same value everywhere.
func likelihoods(cols []column, w, noisiness float64) []likelihood {
	out := make([]likelihood, len(cols))
	centre := math.Log(w / (1 - w))
	for i, c := range cols {
		if c.blind {
			for k := range out[i] {
				out[i][k] = 1
			}
			continue
		}
		var noise [4]float64
		v := max(leastNoise, noisiness*c.noise)
		all := 1.0
		for k, f := range c.share {
			noise[k] = (1-stray-tail)*math.Exp(-f/v)/v + tail*math.Exp(-f/(3*v))/(3*v) + stray
			all *= noise[k]
		}
		for x := range 4 {
			for y := range 4 {
				if x == y {
					out[i][4*x+y] = all / noise[x]
					continue
				}
				h := stray
				if fx, fy := c.share[x], c.share[y]; fx > 0 && fy > 0 {
					r := fy / (fx + fy)
					z := (math.Log(fy/fx) - centre) / spread
					h += (1 - stray) * math.Exp(-z*z/2) / (spread * math.Sqrt(2*math.Pi) * r * (1 - r))
				}
				out[i][4*x+y] = h * all / (noise[x] * noise[y])
			}
		}
	}
	return out
}

// major and minor are what a column alone says of the base of each template.
func (l likelihood) major() (p [4]float64) {
	for k, v := range l {
		p[k/4] += v
	}
	return normal(p)
}

func (l likelihood) minor() (p [4]float64) {
	for k, v := range l {
		p[k%4] += v
	}
	return normal(p)
}

func normal(p [4]float64) [4]float64 {
	sum := p[0] + p[1] + p[2] + p[3]
	for b := range p {
		p[b] /= sum
	}
	return p
}
