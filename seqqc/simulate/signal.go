package simulate

import (
	"math"
	"math/rand/v2"

	"forayseq/align"
)

// run is the run of one reaction on the instrument: where a fragment of each
// length passes the detector.
type run struct {
	p    Params
	seed uint64
	// passes gives the sample at which a fragment of n bases passes, before
	// its own jitter; one entry a base recorded.
	passes []float64
	// samples is the length of the trace.
	samples int
	// heaviest is the index of the heaviest template, -1 without any, and at
	// gives for each template the sample of the peak of each recorded base.
	heaviest int
	at       [][]float64
}

// layOut fixes how far the run goes and where each fragment length passes.
func layOut(rng *rand.Rand, templates []Template, p Params) *run {
	r := &run{p: p, seed: rng.Uint64(), heaviest: -1, at: make([][]float64, len(templates))}
	longest, weight := 0, 0.0
	for i, t := range templates {
		longest = max(longest, len(t.Seq))
		if t.Weight > weight {
			r.heaviest, weight = i, t.Weight
		}
	}
	bases := min(longest+p.Overrun, p.MaxBases)
	if p.Signal == 0 || longest == 0 {
		bases = p.MaxBases
	}
	r.passes = make([]float64, bases)
	at := 0.8 * p.Spacing
	for n := range r.passes {
		r.passes[n] = at
		at += float64(p.Spacing * (1 + float64(p.Drift*float64(n)/1000)))
	}
	r.samples = int(at + float64(0.2*p.Spacing))
	return r
}

// early is 1 at the first base and falls to 0 at the end of the poor start.
func (r *run) early(n int) float64 {
	if n >= r.p.Start {
		return 0
	}
	left := 1 - float64(n)/float64(r.p.Start)
	return left * left
}

// width is the standard deviation of the peak of base n.
func (r *run) width(n int) float64 {
	far := float64(n) / r.p.Widening
	w := math.Sqrt(float64(r.p.Width*r.p.Width) + float64(far*far))
	return w * (1 + float64(1.2*r.early(n)))
}

// render draws the four traces.
func (r *run) render(rng *rand.Rand, templates []Template) [4][]int32 {
	var dyes [4][]float64
	for c := range dyes {
		dyes[c] = make([]float64, r.samples)
	}
	r.background(rng, dyes)
	r.blobs(rng, dyes)
	if r.p.Signal > 0 {
		for i, share := range shares(templates) {
			if share > 0 {
				r.at[i] = r.template(dyes, templates[i].Seq, share)
			}
		}
	}
	r.saturate(dyes)
	return r.detect(rng, dyes)
}

// template draws the peaks of one template at its share of the signal.
// Position and height of a peak depend on the fragment alone (its length and
// its last bases), so templates that are still alike give one peak.
// It gives the sample of each peak.
func (r *run) template(dyes [4][]float64, seq []byte, share float64) (peaks []float64) {
	p := r.p
	signal := p.Signal * share
	context := uint64(0)
	slips := unslipped
	wander := 0.0
	run := 0
	for n := range min(len(seq), len(r.passes)) {
		mask := align.Mask(seq[n])
		if run++; n > 0 && seq[n] != seq[n-1] {
			run = 1
		}
		if run > runLimit {
			slips = slips.slip(p.Slip)
			signal *= 1 - p.RunLoss
		}
		context = context<<4 | uint64(mask)
		wander = float64(wanderKept*wander) + float64(r.scatter(n)*bell(mix(context&0xffffff)))
		at := r.passes[n] + wander
		peaks = append(peaks, at)
		// The effect of the bases before on the height is a property of the
		// chemistry and so the same in every read.
		spread := 0.7 * (bell(mix(context&0xfff)) + bell(mix(^r.seed^uint64(n)<<32^context&0xffff)))
		height := signal * max(0.25, 1+float64(p.HeightSpread*spread))
		ways := 0
		for c := range dyes {
			ways += int(mask >> c & 1)
		}
		for c := range dyes {
			if mask>>c&1 == 1 {
				r.peaks(dyes[c], n, at+dyeShift[c], height/float64(ways), slips)
			}
		}
		signal *= 1 - p.Decay
	}
	return peaks
}

// wanderKept is the share of its departure from the even grid that a fragment
// hands on to the next longer one, so that gaps beside one another are nearly
// independent, as in real reads.
const wanderKept = 0.8

// scatter is the standard deviation of what a base adds to that departure;
// gaps then have Jitter at base 150 (its root is that of 2 / (1 + wanderKept)).
func (r *run) scatter(n int) float64 {
	along := max(0.65, 1.16-0.0012*float64(n))
	return r.p.Jitter / 1.0541 * (along + float64(4*r.early(n)))
}

// dyeShift is what is left of the mobility of each dye, in samples: the median
// over the good ones of 26 real reads (see the package comment).
var dyeShift = [4]float64{0, -0.15, 0.1, 0}

// peaks draws the peak of the fragments that end at base n: one, unless
// molecules have slipped.
func (r *run) peaks(dye []float64, n int, at, height float64, slips slippage) {
	for k, share := range slips {
		if m := n + k - maxSlip; share > 0 && m >= 0 && m < len(r.passes) {
			addPeak(dye, at+r.passes[m]-r.passes[n], r.width(n), height*share)
		}
	}
}

// background draws the false peaks: in each channel at each base, and more of
// them at the start.
func (r *run) background(rng *rand.Rand, dyes [4][]float64) {
	level := r.p.Signal * r.p.Background
	for n := range r.passes {
		here := level * (1 + float64(6*r.early(n)))
		for c := range dyes {
			at := r.passes[n] + float64((uniform(rng)-0.5)*r.p.Spacing)
			addPeak(dyes[c], at, r.width(n), here*spike(rng))
		}
		level *= (1 - r.p.Decay) * (1 + math.Ln2/300)
	}
}

// blobs draws the humps of unspent dye: several on the poor start, and a
// smaller one somewhat later.
func (r *run) blobs(rng *rand.Rand, dyes [4][]float64) {
	height := r.p.Signal * r.p.Blobs
	if hump := r.p.Signal * r.p.Hump; hump > 0 {
		addPeak(dyes[rng.Uint64()>>62], r.p.Spacing*(60+float64(30*uniform(rng))), 2*r.p.Spacing, hump)
	}
	if height == 0 {
		return
	}
	start := float64(r.p.Start) * r.p.Spacing
	for c := range dyes {
		for range 3 {
			u := uniform(rng)
			at := u * u // most of the dye runs first
			addPeak(dyes[c], start*0.6*at, r.p.Spacing*(0.7+float64(0.8*uniform(rng))), height*(1-float64(0.6*at))*uniform(rng))
		}
	}
	late := dyes[rng.Uint64()>>62]
	addPeak(late, start*(1.5+uniform(rng)), r.p.Spacing*(1+uniform(rng)), 0.15*height*uniform(rng))
}

// saturate cuts the channels off at the height the detector can tell.
func (r *run) saturate(dyes [4][]float64) {
	limit := r.p.Saturation
	if limit <= 0 {
		return
	}
	for t := range r.samples {
		var over [4]float64
		for c := range dyes {
			over[c] = max(0, dyes[c][t]-limit)
		}
		for c := range dyes {
			dyes[c][t] = min(limit, dyes[c][t]+float64((over[(c+1)&3]+over[(c+3)&3])/12))
		}
	}
}

// detect adds crosstalk and the noise floor and rounds to whole units; the
// baseline has been subtracted, so nothing is below zero.
func (r *run) detect(rng *rand.Rand, dyes [4][]float64) [4][]int32 {
	var out [4][]int32
	n := r.samples
	white := make([]float64, n+4)
	for c := range dyes {
		for i := range white {
			white[i] = normal(rng)
		}
		out[c] = make([]int32, n)
		left, right := dyes[(c+3)&3], dyes[(c+1)&3]
		for i := range n {
			// Noise of an analysed trace is smooth: a triangle of five
			// samples, its weights 1 2 3 2 1 of norm sqrt(19).
			w := white[i : i+5]
			smooth := (w[0] + w[4] + float64(2*(w[1]+w[3])) + float64(3*w[2])) / 4.358898943540674
			v := dyes[c][i] + float64(r.p.Crosstalk*(left[i]+right[i])) + float64(r.p.Noise*smooth)
			if v > 0 {
				out[c][i] = int32(v + 0.5)
			}
		}
	}
	return out
}

// addPeak adds a bell of the given centre, standard deviation and height:
// (1 - x^2/16)^8 for x = distance / sd below 4, which is exp(-x^2/2) but for
// its thin ends, and comes without an exponential.
func addPeak(trace []float64, centre, sd, height float64) {
	reach := 4 * sd
	lo, hi := max(0, int(centre-float64(reach))+1), min(len(trace)-1, int(centre+float64(reach)))
	inv := 1 / reach
	for i := lo; i <= hi; i++ {
		u := (float64(i) - centre) * inv
		v := 1 - float64(u*u)
		if v <= 0 {
			continue
		}
		v *= v
		v *= v
		v *= v
		trace[i] += float64(height * v)
	}
}
