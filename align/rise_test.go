package align

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// What beginning later costs is added to the edits: of each row in which an
// overlap may begin, against the recurrence written out.
func TestRise(t *testing.T) {
	r := rand.New(rand.NewPCG(36, 1))
	ended := 0
	for trial := range 300 {
		q, text := randomPair(r, []int{10, 70, 140, 300}[trial%4])
		if len(q) == 0 {
			continue
		}
		if trial%2 == 0 {
			text = mutate(r, q)
		}
		m, n := len(q), len(text)
		reach := Reach{QStart: r.IntN(m + 1), QEnd: r.IntN(m + 1), TStart: n}
		rise := make([]uint64, (m+63)/64)
		column := make([]int, m+1) // D by row
		for i := 1; i <= m; i++ {
			column[i] = column[i-1]
			if i > reach.QStart || r.IntN(4) == 0 {
				column[i]++
				rise[(i-1)/64] |= 1 << ((i - 1) % 64)
			}
		}
		whole := column[m]
		for _, c := range text {
			diagonal := column[0]
			for i := 1; i <= m; i++ {
				d := diagonal
				if masks[q[i-1]]&masks[c] == 0 {
					d++
				}
				diagonal, column[i] = column[i], min(d, column[i]+1, column[i-1]+1)
			}
			whole = min(whole, column[m])
		}
		l, err := NewPatternLanes(q)
		require.NoError(t, err)
		for _, limit := range []int{m + n, m / 3} {
			var want []End
			least := limit + 1
			for row := m - 1; row >= reach.QEnd; row-- {
				if column[row] < least {
					want = append(want, End{row, column[row]})
					least = column[row]
				}
			}
			ended += len(want)
			for _, form := range distanceForms() {
				l.form = form.run
				l.Find([]LaneText{{Text: Pack(text), Reach: reach, Rise: rise}}, limit)
				require.Equal(t, min(whole, limit+1), l.Whole(0), "%s: trial %d", form.name, trial)
				require.Equal(t, want, append([]End(nil), l.Ends(0)...), "%s: trial %d", form.name, trial)
			}
		}
	}
	require.Greater(t, ended, 1000)
}
