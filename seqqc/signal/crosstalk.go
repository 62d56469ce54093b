package signal

import "slices"

// Crosstalk is told from the summits of one channel beside which the other was
// not called. It shows at all of them, noise and second templates at some only:
// the lower quartile of the other channel's share is crosstalk. From fewer than
// crosstalkPeaks nothing is told, and more than crosstalkMost is none.
const (
	crosstalkQuantile = 0.25
	crosstalkPeaks    = 12
	crosstalkMost     = 0.3
)

// estimateCrosstalk sets out.Crosstalk from the heights of other channels
// under clean summits.
func (m *measure) estimateCrosstalk() {
	strong := m.strongHeights()
	var shares [4][4][]float32
	for i, from := range m.called {
		if from == none || m.summits[from][i] < 0 {
			continue
		}
		t := m.summits[from][i]
		h := m.y[from][t]
		if h < 0.5*strong[from] || m.clippedAt(int(t)) {
			continue
		}
		for to := range 4 {
			if !m.calledNear(i, int8(to)) {
				shares[from][to] = append(shares[from][to], m.y[to][t]/h)
			}
		}
	}
	for from := range shares {
		for to, s := range shares[from] {
			if len(s) >= crosstalkPeaks {
				if share := quantile(s, crosstalkQuantile); share > 0 && share <= crosstalkMost {
					m.out.Crosstalk[from][to] = float64(share)
				}
			}
		}
	}
}

// takeOffCrosstalk solves y = K x for the dyes x at each sample, with
// K[to][from] the crosstalk. It reports whether there was any.
func (m *measure) takeOffCrosstalk() bool {
	// Less than this is below any noise.
	const least = 0.003
	var k [4][4]float64
	any := false
	for from := range k {
		for to := range k {
			k[to][from] = m.out.Crosstalk[from][to]
			any = any || from != to && k[to][from] >= least
		}
	}
	if !any {
		return false
	}
	inv := inverse(k)
	var w [4][4]float32
	for a := range w {
		for b := range w {
			w[a][b] = float32(inv[a][b])
		}
	}
	a, c, g, t := m.y[0], m.y[1], m.y[2], m.y[3]
	for i := range a {
		ya, yc, yg, yt := a[i], c[i], g[i], t[i]
		a[i] = w[0][0]*ya + w[0][1]*yc + w[0][2]*yg + w[0][3]*yt
		c[i] = w[1][0]*ya + w[1][1]*yc + w[1][2]*yg + w[1][3]*yt
		g[i] = w[2][0]*ya + w[2][1]*yc + w[2][2]*yg + w[2][3]*yt
		t[i] = w[3][0]*ya + w[3][1]*yc + w[3][2]*yg + w[3][3]*yt
	}
	return true
}

// inverse gives the inverse of k by Gauss-Jordan elimination. The diagonal
// is 1 and the rest at most crosstalkMost, so that a row sums to less than
// twice the diagonal and no pivot comes near zero.
func inverse(k [4][4]float64) [4][4]float64 {
	var inv [4][4]float64
	for i := range inv {
		inv[i][i] = 1
	}
	for p := range 4 {
		d := 1 / k[p][p]
		for j := range 4 {
			k[p][j] *= d
			inv[p][j] *= d
		}
		for r := range 4 {
			if r == p {
				continue
			}
			f := k[r][p]
			for j := range 4 {
				k[r][j] -= f * k[p][j]
				inv[r][j] -= f * inv[p][j]
			}
		}
	}
	return inv
}

// strongHeights gives the median height of each channel's called summits.
func (m *measure) strongHeights() [4]float32 {
	var heights [4][]float32
	for i, c := range m.called {
		if c != none && m.summits[c][i] >= 0 {
			heights[c] = append(heights[c], m.y[c][m.summits[c][i]])
		}
	}
	var strong [4]float32
	for c := range strong {
		strong[c] = quantile(heights[c], 0.5)
	}
	return strong
}

// calledNear reports whether channel c was called at base i or next to it.
func (m *measure) calledNear(i int, c int8) bool {
	return slices.Contains(m.called[max(0, i-1):min(len(m.called), i+2)], c)
}
