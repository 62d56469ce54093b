package signal

import "forayseq/seqqc"

// findSummits sets for each channel and base the highest local maximum in the
// base's slot. A called base whose own peak the caller placed a little off
// gets the nearest maximum within three quarters of a spacing.
func (m *measure) findSummits() {
	n := len(m.called)
	for c, y := range m.y {
		if m.summits[c] == nil {
			m.summits[c] = make([]int32, n)
		}
		for i := range n {
			lo, hi := m.slot(i)
			m.summits[c][i] = int32(highestSummit(y, lo, hi))
		}
	}
	for i, c := range m.called {
		if c == none || m.summits[c][i] >= 0 {
			continue
		}
		reach := int(0.75 * m.spacing[i])
		t := highestSummit(m.y[c], m.at[i]-reach, m.at[i]+reach+1)
		if t < 0 {
			continue
		}
		j := i + 1
		if t < m.at[i] {
			j = i - 1
		}
		if j < 0 || j >= n || m.called[j] == c {
			continue // that base's own
		}
		m.summits[c][i] = int32(t)
		if m.summits[c][j] == int32(t) {
			m.summits[c][j] = none
		}
	}
}

// highestSummit gives the highest local maximum of y above zero in [lo, hi),
// the middle of a flat one; none where there is none.
func highestSummit(y []float32, lo, hi int) int {
	best := none
	for t := max(lo, 1); t < min(hi, len(y)-1); t++ {
		if y[t] <= 0 || y[t] < y[t-1] || y[t] < y[t+1] || best >= 0 && y[t] <= y[best] {
			continue
		}
		from, to := t, t
		for from > 0 && y[from-1] == y[t] {
			from--
		}
		for to < len(y)-1 && y[to+1] == y[t] {
			to++
		}
		if from == 0 || to == len(y)-1 || y[from-1] > y[t] || y[to+1] > y[t] {
			continue
		}
		if mid := (from + to) / 2; mid >= lo && mid < hi {
			best = mid
		}
	}
	return best
}

// rise gives how far the summit at t stands above the higher of the two dips
// beside it, looking a spacing far.
func rise(y []float32, t, reach int) float32 {
	side := func(step int) float32 {
		low := y[t]
		for k := 1; k <= reach; k++ {
			at := t + k*step
			if at < 0 || at >= len(y) || y[at] > y[t] {
				break
			}
			low = min(low, y[at])
		}
		return low
	}
	return y[t] - max(side(-1), side(1))
}

// Noise is told from the third highest channel at each base: one or two
// templates light up two. Heights of noise scatter about like a skewed bell;
// the second of four channels reaches noiseTimes the median of the third at
// few bases. Less than leastNoise of the usual height of peaks is no peak to
// an eye. Measured; see the tests.
const (
	noiseTimes = 5
	leastNoise = 0.02
)

// third gives the third highest of four.
func third(h [4]float32) float32 {
	lowA, highA := min(h[0], h[1]), max(h[0], h[1])
	lowB, highB := min(h[2], h[3]), max(h[2], h[3])
	return max(min(max(lowA, lowB), min(highA, highB)), min(lowA, lowB))
}

// estimateNoise sets the noise of each base and of each channel.
func (m *measure) estimateNoise() {
	n := len(m.called)
	var quiet [4][]float32
	thirds := make([]float32, n)
	tops := make([]float32, n)
	for i, b := range m.out.Bases {
		tops[i] = max(b.Heights[0], b.Heights[1], b.Heights[2], b.Heights[3])
		thirds[i] = third(b.Heights)
		for c, h := range b.Heights {
			if h <= thirds[i] {
				quiet[c] = append(quiet[c], h)
			}
		}
	}
	scratch := make([]float32, 0, 3*block)
	for from := 0; from < n; from += block {
		lo, hi := max(0, from-block), min(n, from+2*block)
		median := func(v []float32) float32 { return quantile(append(scratch[:0], v[lo:hi]...), 0.5) }
		level := max(noiseTimes*median(thirds), leastNoise*median(tops), 1)
		for i := from; i < min(n, from+block); i++ {
			m.out.Bases[i].Noise = level
		}
	}
	// Half of the absolute values of a bell lie below 0.6745 standard
	// deviations.
	for c := range quiet {
		m.out.Noise[c] = float64(quantile(quiet[c], 0.5)) / 0.6745
	}
}

// leastRise is how far, of its own height, a summit must stand above the dips
// beside it: a ripple on the flank of a large peak does not.
const leastRise = 0.05

// nameAll sets the peaks of each base, and what follows from them.
func (m *measure) nameAll() {
	n := len(m.called)
	for i := range n {
		b := &m.out.Bases[i]
		b.Spacing = m.spacing[i]
		area := m.shapes[i/block].area()
		b.Width = area / 2.5066 // a bell's area is sqrt(2 pi) x its sd
		first, second := none, none
		for c := range 4 {
			switch {
			case b.Heights[c] <= 0:
			case first == none || b.Heights[c] > b.Heights[first]:
				first, second = c, first
			case second == none || b.Heights[c] > b.Heights[second]:
				second = c
			}
		}
		b.Primary, b.Secondary = m.peak(first, i, area), m.peak(second, i, area)
		b.At = b.Primary.At
		if b.Secondary.Shape == seqqc.Summit {
			b.Ratio = b.Secondary.Height / b.Primary.Height
		}
		b.Clipped = m.clippedAt(b.At)
	}
	for i := 1; i < n; i++ {
		gap := float32(m.out.Bases[i].At - m.out.Bases[i-1].At)
		m.out.Bases[i-1].After, m.out.Bases[i].Before = gap, gap
	}
}

// peak describes channel c at base i.
func (m *measure) peak(c, i int, area float32) seqqc.Peak {
	p := seqqc.Peak{At: m.at[i]}
	if c == none {
		return p
	}
	b := m.out.Bases[i]
	p.Base, p.At = letters[c], m.place(c, i)
	p.Height = b.Heights[c]
	p.Area = p.Height * area
	switch {
	case p.Height < b.Noise:
		p.Shape = seqqc.Flat
	case m.summits[c][i] < 0 || rise(m.y[c], p.At, int(b.Spacing)) < leastRise*m.y[c][p.At]:
		p.Shape = seqqc.Shoulder
	default:
		p.Shape = seqqc.Summit
	}
	return p
}
