package signal

import (
	"slices"

	"forayseq/seqqc"
)

// Measure works out the peak evidence of t, which it does not change. It
// gives nil where t has no bases or no channels. A trace that cannot be used
// (no peak positions, no signal) gives bases without any evidence, and Notes
// say why. Time and memory are linear in the samples.
func Measure(t *seqqc.Trace) *seqqc.Signal {
	if t == nil || len(t.Bases) == 0 || len(t.Channels[0]) == 0 {
		return nil
	}
	s := &seqqc.Signal{Bases: make([]seqqc.BaseSignal, len(t.Bases))}
	for c := range s.Crosstalk {
		s.Crosstalk[c][c] = 1
	}
	m, ok := newMeasure(t, s)
	if !ok {
		return s
	}
	m.subtractBaseline()
	m.findClipped(t)
	m.findSummits()
	m.estimateCrosstalk()
	if m.takeOffCrosstalk() {
		m.findSummits()
	}
	m.estimateShapes()
	m.solveHeights()
	m.estimateNoise()
	m.nameAll()
	m.findUsable()
	m.findBlobs()
	m.findLoss()
	return s
}

// measure is the state of one Measure.
type measure struct {
	out *seqqc.Signal
	// called is the channel of each base's letter, none for N and other
	// codes; at the sample of each base, as the caller gave it.
	called []int8
	at     []int
	// y are the channels: above the baseline, later less crosstalk.
	y [4][]float32
	// spacing is the usual distance of bases around each base.
	spacing []float32
	// summits gives for each channel and base the sample of its local maximum
	// within the base's slot, -1 where there is none.
	summits [4][]int32
	// shapes are the outlines of peaks, one for each block of bases.
	shapes []shape
}

const none = -1

// block is the number of bases that share one estimate of spacing, shape and
// noise; the estimate looks at one more block on either side.
const block = 30

// newMeasure checks t and lays out what the steps need. It reports false, and
// notes why, where there is nothing to measure.
func newMeasure(t *seqqc.Trace, s *seqqc.Signal) (*measure, bool) {
	m := &measure{out: s}
	note := func(what string) { s.Notes = append(s.Notes, what) }
	n := len(t.Channels[0])
	for _, ch := range t.Channels {
		n = min(n, len(ch))
	}
	flat := 0
	for _, ch := range t.Channels {
		if len(ch[:n]) == 0 || slices.Min(ch[:n]) == slices.Max(ch[:n]) {
			flat++
		}
	}
	switch {
	case len(t.Peaks) != len(t.Bases):
		note("without peak positions the peaks were not looked at")
		return nil, false
	case n < len(t.Bases):
		note("the traces are shorter than the sequence, so that its peaks were not looked at")
		return nil, false
	case flat == 4:
		note("the traces show no signal at all")
		return nil, false
	case flat > 0:
		note("a channel is constant, as if its dye had not been recorded")
	}
	if slices.ContainsFunc(t.Channels[:], func(ch []int32) bool { return len(ch) > n }) {
		note("the four traces differ in length; they were used to the end of the shortest")
	}
	m.called = make([]int8, len(t.Bases))
	m.at = make([]int, len(t.Bases))
	moved := false
	last := 0
	for i, b := range t.Bases {
		m.called[i] = channelOf(b)
		p := min(max(t.Peaks[i], last), n-1)
		moved = moved || p != t.Peaks[i]
		m.at[i], last = p, p
	}
	if moved {
		note("peak positions run backwards or off the trace; they were moved to the nearest possible place")
	}
	m.estimateSpacing()
	for c := range m.y {
		m.y[c] = make([]float32, n)
		for i, v := range t.Channels[c][:n] {
			m.y[c][i] = float32(v)
		}
	}
	return m, true
}

const letters = "ACGT"

// channelOf gives the channel of a letter, none for any other code.
func channelOf(b byte) int8 {
	for c := range len(letters) {
		if letters[c] == b {
			return int8(c)
		}
	}
	return none
}

// minSpacing keeps a garbled list of positions from a spacing of zero.
const minSpacing = 3

// estimateSpacing sets the usual distance of bases: the median around each
// block, and of the whole.
func (m *measure) estimateSpacing() {
	n := len(m.at)
	gaps := make([]float32, 0, n)
	for i := 1; i < n; i++ {
		gaps = append(gaps, float32(m.at[i]-m.at[i-1]))
	}
	m.spacing = make([]float32, n)
	whole := max(minSpacing, quantile(slices.Clone(gaps), 0.5))
	m.out.Spacing = float64(whole)
	scratch := make([]float32, 0, 3*block)
	for from := 0; from < n; from += block {
		lo, hi := max(0, from-block), min(len(gaps), from+2*block)
		local := whole
		if lo < hi {
			local = max(minSpacing, quantile(append(scratch[:0], gaps[lo:hi]...), 0.5))
		}
		// Where calls pile up or are missing the whole tells better.
		local = min(max(local, 0.6*whole), 1.6*whole)
		for i := from; i < min(n, from+block); i++ {
			m.spacing[i] = local
		}
	}
}

// slot gives the samples [lo, hi) nearer to base i than to its neighbours,
// and within a spacing of it.
func (m *measure) slot(i int) (lo, hi int) {
	reach := int(m.spacing[i])
	lo, hi = m.at[i]-reach, m.at[i]+reach+1
	if i > 0 {
		lo = max(lo, (m.at[i-1]+m.at[i]+1)/2)
	}
	if i+1 < len(m.at) {
		hi = min(hi, (m.at[i]+m.at[i+1]+1)/2)
	}
	return max(lo, 0), min(hi, len(m.y[0]))
}

// quantile gives the value below which a share q of the values lie, 0 for
// none; it reorders them.
func quantile(v []float32, q float64) float32 {
	if len(v) == 0 {
		return 0
	}
	k := int(q * float64(len(v)-1))
	lo, hi := 0, len(v)-1
	for lo < hi { // Hoare's selection
		pivot := v[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return v[k]
		}
	}
	return v[k]
}
