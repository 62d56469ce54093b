package signal

// A stretch of baselineStretch spacings nearly always has a sample without a
// peak in it, and of baselineStretches in a row most do, even where one long
// run of a base covers two or three.
const (
	baselineStretch   = 4
	baselineStretches = 7
	// baselineQuantile of their minima is the baseline: low, so that runs and
	// humps stay above it, but not the lowest, which may be a spike.
	baselineQuantile = 0.25
)

// subtractBaseline takes the local baseline off each channel, drawn straight
// between the middles of stretches, and keeps its median.
func (m *measure) subtractBaseline() {
	n := len(m.y[0])
	size := max(8, int(baselineStretch*m.out.Spacing))
	stretches := (n + size - 1) / size
	lows := make([]float32, stretches)
	base := make([]float32, stretches)
	var near [baselineStretches]float32
	for c, y := range m.y {
		for k := range lows {
			low := y[k*size]
			for _, v := range y[k*size : min(n, (k+1)*size)] {
				low = min(low, v)
			}
			lows[k] = low
		}
		for k := range base {
			lo, hi := max(0, k-baselineStretches/2), min(stretches, k+baselineStretches/2+1)
			base[k] = quantile(append(near[:0], lows[lo:hi]...), baselineQuantile)
		}
		for t := range y {
			x := (float32(t)+0.5)/float32(size) - 0.5
			k := min(max(int(x), 0), stretches-1)
			next := min(k+1, stretches-1)
			part := min(max(x-float32(k), 0), 1)
			y[t] -= base[k] + part*(base[next]-base[k])
		}
		m.out.Baseline[c] = float64(quantile(base, 0.5))
	}
}
