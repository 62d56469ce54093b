package alleles

import (
	"math"
	"slices"
)

// explanation is the likeliest account of a stretch with two templates.
type explanation struct {
	minor float64 // the minor template's share, from 0 to 0.5
	table []likelihood
	path  []segment
	// logOdds is the base-10 logarithm of the likelihood over that of one
	// template without any second peak.
	logOdds float64
}

// tried are the minor shares tried first: a step of 0.8 in the logarithm of
// the ratio, which spread bridges.
var tried = []float64{0.45, 0.27, 0.14}

// explain finds the best account of cols. The share is that of the best of
// those tried, then once more what its own double columns show.
func explain(cols []column) explanation { return explainWith(cols, noiseOfOne) }

// explainMixed is explain where there are two templates all along: columns in
// step have the noise of two as well, and no segment is taken back. Where the
// noise is high, explain takes a stretch of two unlike templates for one.
func explainMixed(cols []column) explanation { return explainWith(cols, noiseOfTwo) }

func explainWith(cols []column, inStep float64) explanation {
	var best explanation
	for _, w := range tried {
		if e := explainAt(cols, w, inStep); best.table == nil || e.logOdds > best.logOdds {
			best = e
		}
	}
	if best.double() == 0 {
		return best
	}
	if w := observedShare(cols, best); w > 0 {
		if e := explainAt(cols, w, inStep); e.logOdds > best.logOdds {
			best = e
		}
	}
	return best
}

func explainAt(cols []column, w, inStep float64) explanation {
	e := explanation{minor: w, table: likelihoods(cols, w, noiseOfTwo)}
	one := e.table
	if inStep != noiseOfTwo {
		one = likelihoods(cols, w, inStep)
	}
	s := score(one, e.table)
	path, total := s.segments()
	if inStep != noiseOfTwo {
		path = s.prune(path)
	}
	e.path = path
	e.logOdds = (total - s.alone) / math.Ln10
	return e
}

// double counts the columns in which the templates are not in step.
func (e explanation) double() int {
	n := 0
	for _, s := range e.path {
		if s.state != stateOf(0) {
			n += s.end - s.start
		}
	}
	return n
}

// divergence is the share of sites at which the two templates differ, of those
// that lie in a shift: the rate that explains the linked columns
// best, found in steps of expectation and new estimate from a start of 2 %
// (Dempster, Laird & Rubin 1977, Journal of the Royal Statistical Society B 39:
// 1-38). It is 0 where too little is linked.
func (e explanation) divergence() float64 {
	toMinor, _ := links(e.path, len(e.table))
	type pair struct{ same, differ float64 }
	var pairs []pair
	for c, m := range toMinor {
		if m == none || m == c {
			continue
		}
		major, minor := e.table[c].major(), e.table[m].minor()
		same := 0.0
		for b := range 4 {
			same += major[b] * minor[b]
		}
		pairs = append(pairs, pair{same, (1 - same) / 3})
	}
	if len(pairs) < leastSegment {
		return 0
	}
	rate := 0.02
	for range 20 {
		sum := 0.0
		for _, p := range pairs {
			if d := rate*p.differ + (1-rate)*p.same; d > 0 {
				sum += rate * p.differ / d
			}
		}
		rate = sum / float64(len(pairs))
	}
	return rate
}

// changes counts the changes from one shift to another. Of two templates of like
// share either may be taken for the major one, so the sign does not count.
func (e explanation) changes() int {
	n := 0
	for i := 1; i < len(e.path); i++ {
		a, b := e.path[i-1], e.path[i]
		if a.state != apart && b.state != apart && max(a.shift(), -a.shift()) != max(b.shift(), -b.shift()) {
			n++
		}
	}
	return n
}

// unlike counts the columns in which the templates have nothing to do with one
// another.
func (e explanation) unlike() int {
	n := 0
	for _, s := range e.path {
		if s.state == apart {
			n += s.end - s.start
		}
	}
	return n
}

// A segment that is not in step stays only where it is leastSegment long and
// gains leastGain (natural logarithm) in all and leastRate a column over
// columns in step: noisy ends gain a little anywhere.
const (
	leastSegment = 15
	leastGain    = 25.0
	leastRate    = 0.3
)

// prune takes back segments with too little to say for them.
func (s *scores) prune(path []segment) []segment {
	var out []segment
	for _, g := range path {
		if g.state != stateOf(0) {
			gain := 0.0
			for c := g.start; c < g.end; c++ {
				k := g.state
				if c < g.start+g.fresh {
					k = apart
				}
				gain += s.shifted[k][c] - s.single[c]
			}
			n := g.end - g.start
			if n < leastSegment || gain < leastGain || gain < leastRate*float64(n) {
				g.state, g.fresh = stateOf(0), 0
			}
		}
		if k := len(out) - 1; k >= 0 && out[k].state == g.state {
			out[k].end = g.end
			continue
		}
		out = append(out, g)
	}
	return out
}

// observedShare is the median part of the minor template in the columns where
// the two differ, 0 where there are too few.
func observedShare(cols []column, e explanation) float64 {
	d := decode(e.table, e.path)
	var parts []float64
	for _, g := range e.path {
		if g.state == stateOf(0) {
			continue
		}
		for c := g.start; c < g.end; c++ {
			x, y := channel(d.major.Bases[c]), channel(d.minor.Bases[c])
			if x != y && !cols[c].blind {
				if sum := cols[c].share[x] + cols[c].share[y]; sum > 0 {
					parts = append(parts, cols[c].share[y]/sum)
				}
			}
		}
	}
	if len(parts) < 8 {
		return 0
	}
	slices.Sort(parts)
	// The major template is the higher one.
	return min(0.5, max(0.02, parts[len(parts)/2]))
}

func channel(base byte) int {
	switch base {
	case 'A':
		return 0
	case 'C':
		return 1
	case 'G':
		return 2
	}
	return 3
}
