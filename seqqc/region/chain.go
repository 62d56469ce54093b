package region

import (
	"math"
	"slices"
)

// The evidence asked for, in bits; see chanceBits.
const (
	// falseRate is the number of chains expected by chance per sequence of
	// random bases, both strands together; the bound is loose, and the tests
	// measure fewer.
	falseRate = 1e-4
	// leastGain is what a hit must add to its neighbours of the same gene
	// after paying for the choice of place: one chance hit in 16 at most. A wrong hit
	// there lies within the slack and moves a border by a few bases at most.
	leastGain = 4
	// leastGene is what the hits of one gene must add to those of another
	// across a spacer: one chance hit in 1,024. A wrong hit there would
	// invent a border.
	leastGene = 10
)

// Limits of a spacer's length. The longest known ITS1 and ITS2 of mushrooms
// (Cantharellus and kin) stay below 1,500 (from memory); the short ones of
// yeasts lie above 50.
const (
	shortestSpacer = 20
	longestSpacer  = 3000
)

// reach is farther than any two linked hits start apart, gaps not counted.
const reach = 2*longestSpacer + len58S + 4000

// chain is a set of hits in the order of the repeat whose distances fit.
type chain struct {
	hits []hit
	bits float64
}

// needed gives the evidence at which a chain in a text of n bases counts: a
// chain may begin with any of the motifs at any place of either strand.
func needed(n, motifs int) float64 {
	return math.Log2(2*float64(max(n, 1))*float64(motifs)) - math.Log2(falseRate)
}

// bestChain gives the chain of the first motifs of patterns with the most
// evidence, empty where none reaches what is needed. Of equal ones the first in the text is taken.
//
//	best(j) = bits(j) + max(0, max over i before j of best(i) - cost(i,j))
//
// where cost is the log2 of the number of places at which j would have fitted
// behind i. Quadratic in the hits within reach, of which there are some tens.
func bestChain(text []uint8, motifs int) chain {
	hits := search(text, motifs)
	slices.SortStableFunc(hits, func(a, b hit) int {
		if a.start != b.start {
			return a.start - b.start
		}
		return a.motif - b.motif
	})
	blanks := blanksBefore(text)
	best := make([]float64, len(hits))
	from := make([]int, len(hits))
	top := -1
	for j := range hits {
		best[j], from[j] = hits[j].bits, -1
		for i := j - 1; i >= 0; i-- {
			if d := hits[j].start - hits[i].start; d > reach && d-blanksIn(blanks, hits[i].start, hits[j].start) > reach {
				break
			}
			cost, ok := linkCost(hits[i], hits[j], blanks)
			if !ok {
				continue
			}
			if sameGene(hits[i], hits[j]) {
				first := from[i] < 0 || !sameGene(hits[from[i]], hits[i])
				if hits[j].bits < cost+leastGain || first && hits[i].bits < cost+leastGain {
					continue
				}
			}
			if b := best[i] + hits[j].bits - cost; b > best[j] {
				best[j], from[j] = b, i
			}
		}
		if top < 0 || best[j] > best[top] {
			top = j
		}
	}
	var c chain
	for j := top; j >= 0; j = from[j] {
		c.hits = append(c.hits, hits[j])
	}
	slices.Reverse(c.hits)
	c = c.trusted(blanks)
	if c.bits < needed(len(text), motifs) {
		return chain{}
	}
	return c
}

// trusted drops the genes whose own hits do not carry the cost of a spacer.
func (c chain) trusted(blanks []int) chain {
	type run struct {
		hits       []hit
		bits, cost float64 // cost is what the link before it paid
	}
	var runs []run
	for k, h := range c.hits {
		cost := 0.0
		if k > 0 {
			cost, _ = linkCost(c.hits[k-1], h, blanks)
		}
		if k == 0 || !sameGene(c.hits[k-1], h) {
			runs = append(runs, run{bits: h.bits, cost: cost})
		} else {
			runs[len(runs)-1].bits += h.bits - cost
		}
		last := &runs[len(runs)-1]
		last.hits = append(last.hits, h)
	}
	strongest := 0
	for k := range runs {
		if runs[k].bits > runs[strongest].bits {
			strongest = k
		}
	}
	var out chain
	for k, r := range runs {
		// Left of the strongest gene a run pays for the link behind it.
		cost := r.cost
		if k < strongest {
			cost = runs[k+1].cost
		}
		if k == strongest {
			cost = 0
		} else if r.bits < cost+leastGene {
			continue
		}
		out.hits = append(out.hits, r.hits...)
		out.bits += r.bits - cost
	}
	return out
}

// holds reports whether the chain has a hit in a gene.
func (c chain) holds(g gene) bool {
	return slices.ContainsFunc(c.hits, func(h hit) bool { return patterns[h.motif].gene == g })
}

func sameGene(a, b hit) bool { return patterns[a.motif].gene == patterns[b.motif].gene }

// linkCost gives the log2 of the number of places where b could lie behind a,
// and whether it lies at one of them. A run of unknown length between them
// (GapRun) may stand for any number of bases.
func linkCost(a, b hit, blanks []int) (float64, bool) {
	p, q := &patterns[a.motif], &patterns[b.motif]
	if q.gene < p.gene || b.start < a.start {
		return 0, false
	}
	var low, high int // bounds of b.start - a.end
	if p.gene == q.gene {
		expected := q.at - (p.at + len(p.masks))
		if expected < -len(p.masks)/2 || q.at <= p.at {
			return 0, false
		}
		slack := 3 + max(expected, 0)/12 + p.slack + q.slack
		low, high = expected-slack, expected+slack
		// Authors who cut columns out of their alignments cut them out of the
		// 5.8S too: a shorter way is possible, and more to choose from.
		if p.gene == r58s && b.start >= a.end && b.start-a.end < low {
			low = 0
		}
	} else {
		// Bases of a's gene behind a, and of b's gene before b.
		around := q.at - (p.at + len(p.masks))
		shortest, longest := shortestSpacer, longestSpacer
		if p.gene == r58s {
			around -= len58S
		}
		if p.gene == ssu && q.gene == lsu {
			// Two spacers, and the 5.8S unseen between them.
			shortest, longest = 2*shortestSpacer+len58S, 2*longestSpacer+len58S
		}
		slack := p.slack + q.slack
		low, high = around+shortest-slack, around+longest+slack
	}
	d := b.start - a.end
	n := len(blanks) - 1
	if between := blanksIn(blanks, a.end, b.start); between > 0 {
		low, high = 0, max(high, 0)+between
	}
	if d < low || d > high {
		return 0, false
	}
	places := high - low + 1
	if a.edge || b.edge {
		// A hit over an end of the text has one place for each overhang.
		places = min(places, len(p.masks)+len(q.masks))
	}
	return math.Log2(float64(min(places, n+1))), true
}

// blanksIn counts the bases of gaps in [start, end), cut to the text.
func blanksIn(blanks []int, start, end int) int {
	n := len(blanks) - 1
	return blanks[min(max(end, 0), n)] - blanks[min(max(start, 0), n)]
}
