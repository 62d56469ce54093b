package align

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// plainDistance fills the table of the recurrence at Pattern.
func plainDistance(q, text []byte, r Reach) int {
	whole, column := plainEnds(q, text, r)
	return min(whole, slices.Min(column))
}

// plainEnds gives what Ends gives without a limit.
func plainEnds(q, text []byte, r Reach) (whole int, column []int) {
	m, n := len(q), len(text)
	clamp := func(v, top int) int { return max(0, min(v, top)) }
	r = Reach{clamp(r.QStart, m), clamp(r.QEnd, m), clamp(r.TStart, n), clamp(r.TEnd, n)}
	d := make([][]int, m+1)
	whole, column = 1<<30, slices.Repeat([]int{1 << 30}, m+1)
	for i := range d {
		d[i] = make([]int, n+1)
		for j := range d[i] {
			switch {
			case j == 0:
				d[i][j] = max(0, i-r.QStart)
			case i == 0:
				d[i][j] = max(0, j-r.TStart)
			default:
				cost := 0
				if Mask(q[i-1])&Mask(text[j-1]) == 0 {
					cost = 1
				}
				d[i][j] = min(d[i-1][j-1]+cost, d[i-1][j]+1, d[i][j-1]+1)
			}
			if i == m && j >= r.TEnd {
				whole = min(whole, d[i][j])
			}
			if j == n && i >= r.QEnd {
				column[i] = d[i][j]
			}
		}
	}
	column[m] = min(column[m], whole)
	return min(whole, column[m]), column
}

func randomReach(r *rand.Rand, m, n int) Reach {
	switch r.IntN(4) {
	case 0: // four fifths of the query
		return Reach{QStart: m / 5, QEnd: m - m/5, TStart: n}
	case 1: // four fifths of the text
		return Reach{QStart: m, TStart: n / 5, TEnd: n - n/5}
	case 2: // one stretch of the query
		i := r.IntN(m + 1)
		return Reach{QStart: i, QEnd: i + r.IntN(m-i+1), TStart: n}
	}
	return Reach{r.IntN(m+3) - 1, r.IntN(m+3) - 1, r.IntN(n+3) - 1, r.IntN(n+3) - 1}
}

func TestDistanceEqualsPlainTable(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for trial := range trials(1200) {
		size := []int{10, 70, 140, 300}[trial%4]
		q, text := randomPair(r, size)
		p, err := NewPattern(q)
		require.NoError(t, err)
		for range 3 {
			reach := randomReach(r, len(q), len(text))
			want := plainDistance(q, text, reach)
			got := p.Distance(text, reach, len(q)+len(text))
			require.Equal(t, want, got, "%s %s %+v", q, text, reach)
			for _, limit := range []int{want - 1, want, want + 1, r.IntN(20), r.IntN(len(q) + 1)} {
				if limit < 0 {
					continue
				}
				require.Equal(t, min(want, limit+1), p.Distance(text, reach, limit), "%s %s %+v limit %d", q, text, reach, limit)
				wantWhole, wantColumn := plainEnds(q, text, reach)
				for i, v := range wantColumn {
					wantColumn[i] = min(v, limit+1)
				}
				whole, column := p.Ends(text, reach, limit, nil)
				require.Equal(t, min(wantWhole, limit+1), whole, "%s %s %+v limit %d", q, text, reach, limit)
				require.Equal(t, wantColumn, column, "%s %s %+v limit %d", q, text, reach, limit)
			}
		}
	}
}

// A letter of the text that is no code matches nothing; one of the query is
// an error.
func TestDistanceLetters(t *testing.T) {
	p, err := NewPattern([]byte("ACNT"))
	require.NoError(t, err)
	whole := Reach{QStart: 0, QEnd: 4, TStart: 0, TEnd: 4}
	require.Equal(t, 0, p.Distance([]byte("ACGT"), whole, 9))
	require.Equal(t, 1, p.Distance([]byte("AC-T"), whole, 9))
	_, err = NewPattern([]byte("AC-T"))
	require.ErrorIs(t, err, ErrLetter)
	require.ErrorContains(t, err, "position 2")
}

// The distance bounds the errors of every alignment of the same reach, so
// those of the best-scoring one.
func TestDistanceBoundsAlignmentErrors(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	tight := 0
	for range 1000 {
		a, b := randomPair(r, 150)
		al, err := Overlap(a, b, ITS)
		require.NoError(t, err)
		errors := 0
		i, j := al.AStart, al.BStart
		for _, run := range al.Runs {
			for range run.Len {
				if run.Op != Pair || Mask(a[i])&Mask(b[j]) == 0 {
					errors++
				}
				if run.Op != OnlyB {
					i++
				}
				if run.Op != OnlyA {
					j++
				}
			}
		}
		p, err := NewPattern(a)
		require.NoError(t, err)
		d := p.Distance(b, Reach{QStart: al.AStart, QEnd: al.AEnd, TStart: al.BStart, TEnd: al.BEnd}, len(a)+len(b))
		require.LessOrEqual(t, d, errors)
		if d == errors {
			tight++
		}
	}
	require.Greater(t, tight, 400, "the bound is seldom met")
}

func FuzzDistance(f *testing.F) {
	f.Add([]byte("ACGTACGTNNACGT"), []byte("ACGTRYACGT"), 3, 8, 10, 0, 4)
	f.Fuzz(func(t *testing.T, q, text []byte, qs, qe, ts, te, limit int) {
		q, text = q[:min(len(q), 300)], text[:min(len(text), 300)]
		p, err := NewPattern(q)
		if err != nil {
			require.ErrorIs(t, err, ErrLetter)
			return
		}
		limit = max(0, min(limit, 1000))
		reach := Reach{qs, qe, ts, te}
		require.Equal(t, min(plainDistance(q, text, reach), limit+1), p.Distance(text, reach, limit))
	})
}

func ExamplePattern_Distance() {
	p, err := NewPattern([]byte("ACGTTTGCA"))
	if err != nil {
		fmt.Println(err)
		return
	}
	// At most 2 letters of the query may lie before the overlap, and 2 after.
	text := []byte("GTTAGCACC")
	reach := Reach{QStart: 2, QEnd: 7, TStart: len(text), TEnd: 0}
	fmt.Println(p.Distance(text, reach, 5))
	// Output: 1
}

func BenchmarkDistance(b *testing.B) {
	r := rand.New(rand.NewPCG(6, 1))
	q := randomSeq(r, 700, "ACGT")
	for _, rate := range []float64{0, 0.05, 1} {
		text := mutated(r, q, rate+1e-9, "ACGT")
		if rate == 1 {
			text = randomSeq(r, 700, "ACGT")
		}
		p, err := NewPattern(q)
		require.NoError(b, err)
		reach := Reach{QStart: 140, QEnd: 560, TStart: len(text)}
		for _, limit := range []int{7, 35, 70, 140, 1400} {
			b.Run(fmt.Sprintf("rate=%g/limit=%d", rate, limit), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					p.Distance(text, reach, limit)
				}
			})
		}
	}
}

func ExamplePattern_Ends() {
	p, err := NewPattern([]byte("ACGTTTGCA"))
	if err != nil {
		fmt.Println(err)
		return
	}
	// Overlaps that begin with the query, and end with all of the text and 5
	// or more letters of the query.
	text := []byte("CCACGTTAG")
	whole, column := p.Ends(text, Reach{QEnd: 5, TStart: len(text), TEnd: len(text)}, 4, nil)
	fmt.Println(whole, column)
	// Output: 3 [5 5 5 5 5 2 2 1 2 3]
}
