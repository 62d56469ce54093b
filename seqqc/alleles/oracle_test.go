package alleles

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// drawTable draws n columns of any likelihoods.
func drawTable(rng *rand.Rand, n int) []likelihood {
	out := make([]likelihood, n)
	for c := range out {
		for k := range out[c] {
			out[c][k] = math.Pow(rng.Float64(), 6)
		}
	}
	return out
}

// The bases that decode reads out, and their qualities, are those of the sum
// over every assignment of bases to both templates.
func TestDecodeIsTheSumOverAllAssignments(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	const n = 4
	for _, path := range [][]segment{
		{{start: 0, end: n, state: stateOf(1), fresh: 1}},
		{{start: 0, end: n, state: stateOf(-1), fresh: 1}},
		{{start: 0, end: n, state: stateOf(2), fresh: 2}},
		{{start: 0, end: 1, state: stateOf(0)}, {start: 1, end: n, state: stateOf(-1), fresh: 1}},
		{{start: 0, end: n, state: apart}},
		{{start: 0, end: 2, state: stateOf(1), fresh: 1}, {start: 2, end: n, state: stateOf(0)}},
	} {
		table := drawTable(rng, n)
		toMinor, _ := links(path, n)
		var major, minor [n][4]float64
		all := 0.0
		var x, y [n]int
		for code := range 1 << (4 * n) {
			p := 1.0
			for c := range n {
				x[c], y[c] = code>>(4*c)&3, code>>(4*c+2)&3
				p *= table[c][4*x[c]+y[c]]
			}
			for c, m := range toMinor {
				switch {
				case m == none:
				case m == c && x[c] == y[c]:
					p *= 1 - siteChance
				case m == c:
					p *= siteChance / 3
				case x[c] == y[m]:
					p *= 1 - linkError
				default:
					p *= linkError / 3
				}
			}
			all += p
			for c := range n {
				major[c][x[c]] += p
				minor[c][y[c]] += p
			}
		}
		d := decode(table, path)
		for c := range n {
			base, quality := pick(major[c], all)
			require.Equal(t, base, d.major.Bases[c])
			require.InDelta(t, quality, d.major.Quals[c], 1)
			base, quality = pick(minor[c], all)
			require.Equal(t, base, d.minor.Bases[c])
			require.InDelta(t, quality, d.minor.Quals[c], 1)
		}
	}
}

// The score of a path is that of its segments, added up by themselves.
func TestPathHasTheScoreThatIsGiven(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	for range 20 {
		n := 20 + rng.IntN(60)
		table := drawTable(rng, n)
		// Some stretches of a clear shift, so that paths have several segments.
		d := 1 + rng.IntN(5)
		for c := n / 3; c < n; c++ {
			x, y := c*c/7%4, (c+d)*(c+d)/7%4
			table[c][4*x+y] += 5
		}
		s := score(table, table)
		path, total := s.segments()
		sum := 0.0
		at := 0
		for i, g := range path {
			require.Equal(t, at, g.start)
			at = g.end
			if i > 0 || g.state != stateOf(0) {
				sum += changeCost
			}
			for c := g.start; c < g.end; c++ {
				if c < g.start+g.fresh {
					sum += s.apart[c]
				} else {
					sum += s.shifted[g.state][c]
				}
			}
		}
		require.Equal(t, n, at)
		require.InDelta(t, total, sum, 1e-6)
		// No path of one segment is better.
		for k := range states {
			one := 0.0
			if k != stateOf(0) {
				one = changeCost
			}
			for c := range n {
				one += s.shifted[k][c]
			}
			require.GreaterOrEqual(t, total, one-1e-9)
		}
	}
}

// Densities must add up to one over the heights they are about.
func TestDensitiesOfOneColumn(t *testing.T) {
	const steps = 20000
	for _, w := range []float64{0.5, 0.3, 0.15} {
		sum := 0.0
		for i := range steps {
			r := (float64(i) + 0.5) / steps
			c := column{share: [4]float64{1 - r, r}, noise: 0.03}
			l := likelihoods([]column{c}, w, 1)[0]
			// At 4x+y for x = A and y = C the noise channels are at zero height:
			// their factor is the same all along.
			empty := column{share: [4]float64{0.5, 0.5}, noise: 0.03}
			norm := likelihoods([]column{empty}, 0.5, 1)[0][1] / (stray + (1-stray)/(spread*math.Sqrt(2*math.Pi)*0.25))
			sum += l[1] / norm / steps
		}
		require.InDelta(t, 1, sum, 0.01)
	}
}
