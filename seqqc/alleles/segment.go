package alleles

import (
	"math"
	"slices"
)

// maxShift is the largest difference in length that is looked for. Longer
// insertions within one ITS exist, but two reads of them are seldom told from
// two unrelated templates.
const maxShift = 30

// State of a column: how the minor template lies to the major one.
//
// In shift s the minor template's base in column c is the major's of column
// c+s: it lacks s bases of the major's, or has -s more. Shift 0 is one
// template, or two that are in step. In apart the two have nothing to do with
// one another.
const (
	apart  = 2*maxShift + 1 // index of the state; shift s is at s+maxShift
	states = apart + 1
)

func stateOf(shift int) int { return shift + maxShift }

// segment is a stretch of columns in one state. The first fresh columns of it
// are those that the shorter template has jumped ahead by: nothing there is
// seen for a second time.
type segment struct {
	start, end int
	state      int
	fresh      int
}

func (s segment) shift() int { return s.state - maxShift }

// The chances of the model, as common practice has them and no source: two
// copies of one genome differ at one site in a hundred, and their alignment
// changes once in 200 bases, to any of the shifts alike.
const (
	siteChance = 0.01
	// linkError is the chance that two columns that should show one base of
	// the molecule do not: a site, or a slip of the base caller.
	linkError = 0.03
)

var changeCost = math.Log(1.0 / 200 / states)

// scores are the logarithms of the likelihood of each column in each state.
type scores struct {
	single []float64 // in step
	apart  []float64
	alone  float64 // of all columns with a single template and no sites
	// shifted[k][c] is that of column c in state k given the column |shift|
	// before it.
	shifted [states][]float64
}

// score works out the scores from the likelihoods under the noise of one
// template and of two. A column's bases are weighed with the other
// column that shows one of them: with shift s > 0 the major base of column c is
// the minor one of column c-s, with s < 0 the minor base of column c is the
// major one of column c+s. What the other column says is taken from it alone,
// so that a column's score does not hang on where the segment began.
func score(one, table []likelihood) *scores {
	n := len(table)
	s := &scores{single: make([]float64, n), apart: make([]float64, n)}
	major := make([][4]float64, n) // what a column alone says of the two bases
	minor := make([][4]float64, n)
	for c := range table {
		same, differ, all := 0.0, 0.0, 0.0
		for k, p := range table[c] {
			all += p
			if k%5 == 0 { // x == y
				same += one[c][k]
			} else {
				differ += one[c][k]
			}
		}
		s.single[c] = math.Log((1-siteChance)*same/4 + siteChance*differ/12)
		s.apart[c] = math.Log(all / 16)
		s.alone += math.Log(same / 4)
		major[c], minor[c] = table[c].major(), table[c].minor()
	}
	for shift := -maxShift; shift <= maxShift; shift++ {
		if shift == 0 {
			s.shifted[stateOf(0)] = s.single
			continue
		}
		d := max(shift, -shift)
		out := make([]float64, n)
		for c := range table {
			if c < d {
				out[c] = s.apart[c]
				continue
			}
			sum := 0.0
			for b := range 4 {
				var row, told float64
				if shift > 0 {
					told = minor[c-d][b]
					row = table[c][4*b] + table[c][4*b+1] + table[c][4*b+2] + table[c][4*b+3]
				} else {
					told = major[c-d][b]
					row = table[c][b] + table[c][4+b] + table[c][8+b] + table[c][12+b]
				}
				sum += row * (told*(1-linkError) + (1-told)*linkError/3)
			}
			out[c] = math.Log(sum / 4)
		}
		s.shifted[stateOf(shift)] = out
	}
	s.shifted[apart] = s.apart
	return s
}

// segments gives the likeliest division of the columns and its score.
//
//	S(c,k) = e(c,k) + max( S(c-1,k), max over j of S(c-1-f,j) + apart(c-f ... c-1) + change )
//
// with f the fresh columns (see segment), e the scores, and apart(...) the sum of the
// scores of those columns as unrelated. A read begins in step, or in another
// state at the cost of a change. A tie goes to the state that lasts.
//
// Time O(columns x maxShift^2), memory O(columns x maxShift).
func (s *scores) segments() (path []segment, total float64) {
	n := len(s.single)
	if n == 0 {
		return nil, 0
	}
	apartSum := make([]float64, n+1)
	for c := range n {
		apartSum[c+1] = apartSum[c] + s.apart[c]
	}
	best := make([][states]float64, n+1) // best[c][k]: the first c columns, the last in state k
	from := make([][states]origin, n+1)
	top := make([]candidate, n+1) // the best of best[c]
	for k := range states {
		best[0][k] = changeCost
	}
	best[0][stateOf(0)] = 0
	top[0] = candidate{0, stateOf(0)}
	for c := 1; c <= n; c++ {
		s.step(c, best, from, top, apartSum)
		top[c] = candidate{best[c][0], 0}
		for k, v := range best[c] {
			if v > top[c].score {
				top[c] = candidate{v, k}
			}
		}
	}
	return trace(from, top[n].state), top[n].score
}

type candidate struct {
	score float64
	state int
}

// origin says which state a column's segment came from, and over how many
// fresh columns.
type origin struct{ state, fresh int16 }

// step fills row c. Every change to a shift of size d may come from any state
// d columns earlier; one that comes from a shift of the same sign may skip
// only the columns that it is longer by.
func (s *scores) step(c int, best [][states]float64, from [][states]origin, top []candidate, apartSum []float64) {
	enter := func(k, fresh int, v float64, j int) {
		if j == k {
			return
		}
		if v += apartSum[c-1] - apartSum[c-1-fresh] + changeCost; v > best[c][k] {
			best[c][k], from[c][k] = v, origin{int16(j), int16(fresh)}
		}
	}
	for k := range states {
		best[c][k], from[c][k] = best[c-1][k], origin{int16(k), 0}
	}
	if c > 1 {
		enter(apart, 0, top[c-1].score, top[c-1].state)
		enter(stateOf(0), 0, top[c-1].score, top[c-1].state)
	}
	for sign := -1; sign <= 1; sign += 2 {
		longer := candidate{math.Inf(-1), apart} // the best of the larger shifts
		for d := maxShift; d > 0; d-- {
			k := stateOf(sign * d)
			if c > 1 && longer.state != apart {
				enter(k, 0, longer.score, longer.state)
			}
			if d < c {
				enter(k, d, top[c-1-d].score, top[c-1-d].state)
			}
			for a := max(1, d-c+2); a < d; a++ {
				j := stateOf(sign * a)
				enter(k, d-a, best[c-1-(d-a)][j], j)
			}
			if v := best[c-1][k]; v > longer.score {
				longer = candidate{v, k}
			}
		}
	}
	for k := range states {
		best[c][k] += s.shifted[k][c-1]
	}
}

// trace follows the path back from the last state.
func trace(from [][states]origin, k int) []segment {
	var path []segment
	for c := len(from) - 1; c > 0; {
		seg := segment{end: c, state: k}
		for c > 0 && int(from[c][k].state) == k {
			c--
		}
		if c > 0 {
			o := from[c][k]
			seg.fresh = int(o.fresh)
			c -= 1 + seg.fresh
			k = int(o.state)
		}
		seg.start = c
		path = append(path, seg)
	}
	slices.Reverse(path)
	return path
}
