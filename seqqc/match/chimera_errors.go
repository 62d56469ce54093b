package match

import (
	"math"

	"forayseq/align"
)

// errorLine counts, along a query, the differences of one reference from it:
// before[i] is the number before position i. A gap of any length counts once,
// N never. Positions outside [start, end) were not compared.
type errorLine struct {
	before     []int
	start, end int
}

// newErrorLine reads the alignment of query a and reference b, which must be
// of these two.
func newErrorLine(al align.Alignment, a, b []byte) errorLine {
	at := make([]int, len(a)+1)
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		switch run.Op {
		case align.Pair:
			for range run.Len {
				if align.Mask(a[i])&align.Mask(b[j]) == 0 {
					at[i]++
				}
				i, j = i+1, j+1
			}
		case align.OnlyA:
			if !onlyN(a[i : i+run.Len]) {
				at[i]++
			}
			i += run.Len
		case align.OnlyB:
			if !onlyN(b[j : j+run.Len]) {
				at[i]++
			}
			j += run.Len
		}
	}
	l := errorLine{before: make([]int, len(a)+1), start: al.AStart, end: al.AEnd}
	for i := range a {
		l.before[i+1] = l.before[i] + at[i]
	}
	return l
}

func onlyN(seq []byte) bool {
	for _, c := range seq {
		if align.Mask(c) != align.MaskN {
			return false
		}
	}
	return true
}

// in counts the differences in [start, end).
func (l errorLine) in(start, end int) int { return l.before[end] - l.before[start] }

// all counts all differences.
func (l errorLine) all() int { return l.before[len(l.before)-1] }

// steps counts the positions in which something can differ: those that are not
// N and lie outside the 5.8S, before each position.
func steps(seq []byte, r58s align.Interval) []int {
	before := make([]int, len(seq)+1)
	for i, c := range seq {
		before[i+1] = before[i]
		if align.Mask(c) != align.MaskN && (i < r58s.Start || i >= r58s.End) {
			before[i+1]++
		}
	}
	return before
}

// changePoint gives the place at which the differences of l change their rate
// most, and how much more probable two rates make them than one (natural
// logarithm of the likelihood ratio, binomial on both sides).
func (l errorLine) changePoint(steps []int) (at int, gain float64) {
	if l.end <= l.start {
		return l.start, 0
	}
	fit := func(n, k int) float64 { // log likelihood of k differences in n places
		k = min(k, n)
		if n == 0 || k == 0 || k == n {
			return 0
		}
		p := float64(k) / float64(n)
		return float64(k)*math.Log(p) + float64(n-k)*math.Log(1-p)
	}
	all, errors := steps[l.end]-steps[l.start], l.in(l.start, l.end)
	whole := fit(all, errors)
	at = l.start
	for i := l.start + 1; i < l.end; i++ {
		n, k := steps[i]-steps[l.start], l.in(l.start, i)
		if g := fit(n, k) + fit(all-n, errors-k) - whole; g > gain {
			at, gain = i, g
		}
	}
	return at, gain
}

// crossing gives the least number of differences of a pair of references of
// which left is used before a place and right behind it, and the first and the
// last place that give it.
func crossing(left, right errorLine) (least, first, last int) {
	n := len(left.before) - 1
	least = math.MaxInt
	for i := 0; i <= n; i++ {
		switch d := left.before[i] + right.before[n] - right.before[i]; {
		case d < least:
			least, first, last = d, i, i
		case d == least:
			last = i
		}
	}
	return least, first, last
}
