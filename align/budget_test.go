package align

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// plainBudgets are the tightest budgets that all overlaps of limit or less
// keep to, by the edits of all cells from the beginning and to the end.
func plainBudgets(q, text []byte, r Reach, limit int) []Budget {
	m, n := len(q), len(text)
	r = r.clamp(m, n)
	grid := func() [][]int {
		g := make([][]int, m+1)
		for i := range g {
			g[i] = make([]int, n+1)
		}
		return g
	}
	cost := func(i, j int) int {
		if masks[q[i]]&masks[text[j]] != 0 {
			return 0
		}
		return 1
	}
	from, to := grid(), grid()
	for i := range m + 1 {
		for j := range n + 1 {
			switch {
			case j == 0:
				from[i][j] = max(0, i-r.QStart)
			case i == 0:
				from[i][j] = max(0, j-r.TStart)
			default:
				from[i][j] = min(from[i-1][j-1]+cost(i-1, j-1), from[i-1][j]+1, from[i][j-1]+1)
			}
		}
	}
	for i := m; i >= 0; i-- {
		for j := n; j >= 0; j-- {
			best := 1 << 30
			if i == m && j >= r.TEnd || j == n && i >= r.QEnd {
				best = 0
			}
			if i < m {
				best = min(best, to[i+1][j]+1)
			}
			if j < n {
				best = min(best, to[i][j+1]+1)
			}
			if i < m && j < n {
				best = min(best, to[i+1][j+1]+cost(i, j))
			}
			to[i][j] = best
		}
	}
	out := make([]Budget, (m+63)/64)
	for w := range out {
		out[w] = Budget{-1000, -1000}
		for i := 64*w + 1; i <= min(m, 64*(w+1)); i++ {
			for j := range n + 1 {
				if from[i][j]+to[i][j] <= limit {
					out[w].Way = max(out[w].Way, int32(from[i][j]))
				}
			}
			if i >= r.QEnd && from[i][n] <= limit {
				out[w].End = max(out[w].End, int32(from[i][n]))
			}
		}
	}
	return out
}

// Budgets that all overlaps of the limit or less keep to change nothing.
func TestBudgetsLeaveWhatIsLookedFor(t *testing.T) {
	r := rand.New(rand.NewPCG(35, 1))
	found := 0
	for trial := range 300 {
		q, _ := randomPair(r, []int{10, 70, 140, 300}[trial%4])
		if len(q) == 0 {
			continue
		}
		l, err := NewPatternLanes(q)
		require.NoError(t, err)
		limit := r.IntN(len(q)/3 + 1)
		var texts []LaneText
		var budgets [][]Budget
		for range 1 + r.IntN(TextLanes) {
			text := mutate(r, q)
			reach := Reach{QStart: r.IntN(len(q) + 1), QEnd: r.IntN(len(q) + 1)}
			if r.IntN(2) == 0 {
				reach.TStart = len(text)
			}
			if r.IntN(3) == 0 {
				reach.TEnd = len(text)
			}
			texts = append(texts, LaneText{Text: Pack(text), Reach: reach})
			budgets = append(budgets, plainBudgets(q, text, reach, limit))
		}
		for _, form := range distanceForms() {
			l.form = form.run
			for lane := range texts {
				texts[lane].Budgets = nil
			}
			l.Find(texts, limit)
			var whole []int
			var ends [][]End
			for lane := range texts {
				whole, ends = append(whole, l.Whole(lane)), append(ends, append([]End{}, l.Ends(lane)...))
				texts[lane].Budgets = budgets[lane]
				found += len(l.Ends(lane))
			}
			l.Find(texts, limit)
			for lane := range texts {
				require.Equal(t, whole[lane], l.Whole(lane), "%s: lane %d of trial %d", form.name, lane, trial)
				require.Equal(t, ends[lane], append([]End{}, l.Ends(lane)...), "%s: lane %d of trial %d", form.name, lane, trial)
			}
		}
	}
	require.Greater(t, found, 1000)
}

// mutate gives a stretch of q with changes.
func mutate(r *rand.Rand, q []byte) []byte {
	from := r.IntN(len(q))
	var out []byte
	for _, c := range q[from : from+r.IntN(len(q)-from+1)] {
		switch r.IntN(12) {
		case 0:
			out = append(out, "ACGT"[r.IntN(4)])
		case 1:
		case 2:
			out = append(out, c, "ACGT"[r.IntN(4)])
		default:
			out = append(out, c)
		}
	}
	return out
}
