package signal

import "math"

// shape is the outline of a peak of height 1: h[reach+d] at d samples behind
// its summit.
type shape struct {
	h     []float32
	reach int
}

// of gives the height at d samples behind the summit.
func (s *shape) of(d int) float32 {
	if d < -s.reach || d > s.reach {
		return 0
	}
	return s.h[s.reach+d]
}

func (s *shape) area() float32 {
	sum := float32(0)
	for _, v := range s.h {
		sum += v
	}
	return sum
}

// shapePeaks are the fewest clean peaks whose median is an outline.
const shapePeaks = 10

// estimateShapes sets the outline of peaks for each block: at each distance
// from the summit the median of the clean peaks around, relative to their
// summits. Analysed traces have peaks that are not bells: far into a read
// they trail behind. A clean peak is a called summit whose channel was not
// called within two bases, so that its flanks are its own.
func (m *measure) estimateShapes() {
	n := len(m.called)
	strong := m.strongHeights()
	var clean []int // bases
	for i, c := range m.called {
		if c == none || m.summits[c][i] < 0 || m.y[c][m.summits[c][i]] < 0.3*strong[c] {
			continue
		}
		alone := true
		for j := max(0, i-2); j <= min(n-1, i+2); j++ {
			alone = alone && (j == i || m.called[j] != c)
		}
		if alone && !m.clippedAt(int(m.summits[c][i])) {
			clean = append(clean, i)
		}
	}
	whole := m.outline(clean, m.spacing[0], bell(float32(m.out.Spacing)))
	first := 0
	for from := 0; from < n; from += block {
		for first < len(clean) && clean[first] < from-block {
			first++
		}
		last := first
		for last < len(clean) && clean[last] < from+2*block {
			last++
		}
		m.shapes = append(m.shapes, m.outline(clean[first:last], m.spacing[from], whole))
	}
}

// outline gives the median outline of the peaks at the given bases, otherwise
// where there are too few.
func (m *measure) outline(bases []int, spacing float32, otherwise shape) shape {
	if len(bases) < shapePeaks {
		return otherwise
	}
	s := shape{reach: int(2 * spacing)}
	s.h = make([]float32, 2*s.reach+1)
	values := make([]float32, 0, len(bases))
	for d := -s.reach; d <= s.reach; d++ {
		values = values[:0]
		for _, i := range bases {
			y := m.y[m.called[i]]
			top := int(m.summits[m.called[i]][i])
			if t := top + d; t >= 0 && t < len(y) {
				values = append(values, y[t]/y[top])
			}
		}
		s.h[s.reach+d] = min(max(quantile(values, 0.5), 0), 1)
	}
	// A peak falls off on both sides; what rises again is another's.
	s.h[s.reach] = 1
	for d := 1; d <= s.reach; d++ {
		s.h[s.reach+d] = min(s.h[s.reach+d], s.h[s.reach+d-1])
		s.h[s.reach-d] = min(s.h[s.reach-d], s.h[s.reach-d+1])
	}
	s.boundFlanks(max(1, int(spacing/4+0.5)))
	return s
}

// flankTimes is how many times as high as a bell a flank may be: those of the
// open reads are up to twice as high.
const flankTimes = 2

// boundFlanks keeps each flank below flankTimes the bell that falls off as the
// peak does over its first core samples on either side, or below the other flank
// where that is higher. Where a second template one or two bases apart follows
// every peak, the median of the peaks has its peaks too, on one side.
func (s *shape) boundFlanks(core int) {
	fall := math.Log(max(1e-6, float64(s.of(-core)*s.of(core)))) / float64(2*core*core)
	for d := core + 1; d <= s.reach; d++ {
		most := flankTimes * float32(math.Exp(fall*float64(d*d)))
		left, right := s.reach-d, s.reach+d
		s.h[left], s.h[right] = min(s.h[left], max(s.h[right], most)), min(s.h[right], max(s.h[left], most))
	}
}

// bell is the outline used where a read has too few clean peaks: a normal
// curve of 0.3 spacings standard deviation, common practice.
func bell(spacing float32) shape {
	s := shape{reach: int(2 * spacing)}
	for d := -s.reach; d <= s.reach; d++ {
		x := float64(d) / float64(0.3*spacing)
		s.h = append(s.h, float32(math.Exp(-x*x/2)))
	}
	return s
}
