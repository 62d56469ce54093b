package signal

// solveHeights explains each channel as a sum of peaks, one a base, whose
// tops lie at the base's own summit of that channel or, without one, at the
// called position. With q(i) these places and s the outline of a peak, the
// heights h solve
//
//	y(q(i)) = sum over j of h(j) s(q(i) - q(j)),   0 <= h(i) <= y(q(i))
//
// by Gauss-Seidel sweeps with both bounds held at each step. Only a base's
// next neighbours reach it. The upper bound holds because all terms are
// positive; it keeps the sweeps stable where peaks have merged.
func (m *measure) solveHeights() {
	const sweeps, neighbours = 8, 3
	n := len(m.called)
	q := make([]int, n)
	y := make([]float32, n)
	h := make([]float32, n)
	// s[i] holds the shares of neighbours -3..3 at base i.
	s := make([][2*neighbours + 1]float32, n)
	for c := range m.y {
		for i := range n {
			q[i] = m.place(c, i)
			y[i] = max(0, m.y[c][q[i]])
			h[i] = y[i]
		}
		for i := range n {
			for d := -neighbours; d <= neighbours; d++ {
				s[i][neighbours+d] = 0
				if j := i + d; d != 0 && j >= 0 && j < n && q[j] != q[i] {
					s[i][neighbours+d] = m.shapes[j/block].of(q[i] - q[j])
				}
			}
		}
		for range sweeps {
			for i := range n {
				v := y[i]
				for j := max(0, i-neighbours); j <= min(n-1, i+neighbours); j++ {
					v -= h[j] * s[i][neighbours+j-i]
				}
				h[i] = min(max(v, 0), y[i])
			}
		}
		for i := range n {
			m.out.Bases[i].Heights[c] = h[i]
		}
	}
}

// place gives the sample at which channel c is looked at for base i.
func (m *measure) place(c, i int) int {
	if t := m.summits[c][i]; t >= 0 {
		return int(t)
	}
	return m.at[i]
}
