package signal

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A second template one base behind the first has a peak beside every peak of
// the first; it is no flank of it, however broad the peaks.
func TestHeightsOfATemplateOneBaseBehind(t *testing.T) {
	const n, minor = 400, 0.4
	bases := shuffled(rand.New(rand.NewPCG(9, 9)), n)
	for _, sd := range []float64{3, 4, 4.5} {
		d := draw(bases, sd)
		for i := 1; i < n; i++ {
			d.add(bases[i-1], float64(d.at[i]), 1000*minor)
		}
		s := Measure(d.trace())
		var parts []float32
		for i := 60; i < n-60; i++ {
			parts = append(parts, s.Bases[i].Heights[channelOf(bases[i-1])]/s.Bases[i].Heights[channelOf(bases[i])])
		}
		slices.Sort(parts)
		require.InDelta(t, minor, parts[len(parts)/2], 0.1, "standard deviation %v", sd)
	}
}
