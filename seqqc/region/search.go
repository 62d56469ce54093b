package region

// hit is a place where a motif was found.
type hit struct {
	motif int // index in patterns
	// start and end are the stretch of the text. A hit that hangs over an end
	// of the text has start < 0 or end > len(text): where the motif would lie.
	start, end int
	edits      int
	bits       float64
	edge       bool // hangs over an end of the text
}

// search finds the first motifs of patterns in text, a slice of base sets: the
// best place of each run of neighbouring ends within the allowed edits, and
// places where the motif hangs over an end of the text.
func search(text []uint8, motifs int) []hit {
	var hits []hit
	for i := range patterns[:motifs] {
		p := &patterns[i]
		hits = p.inside(hits, i, text)
		hits = p.overhang(hits, i, text)
	}
	return hits
}

// inside appends the hits that lie in text whole.
//
// Bit-parallel approximate matching of Myers 1999 (Journal of the ACM 46:
// 395-415, DOI 10.1145/316542.316550) in the form of Hyyro 2003: the column
// of the matrix of Sellers 1980 (Journal of Algorithms 1: 359-373)
//
//	D(i,j) = min(D(i-1,j-1) + [no match], D(i-1,j) + 1, D(i,j-1) + 1), D(0,j) = 0
//
// is kept as the bits of its vertical differences; pv holds +1, mv -1. One
// step a base of text; motifs have at most 64 positions.
func (p *pattern) inside(hits []hit, index int, text []uint8) []hit {
	m, most := len(p.masks), len(p.bits)-1
	last := uint64(1) << (m - 1)
	pv, mv, d := ^uint64(0), uint64(0), m
	best := hit{edits: most + 1}
	for j := 0; j <= len(text); j++ {
		if j < len(text) {
			eq := p.peq[text[j]]
			xv := eq | mv
			xh := (((eq & pv) + pv) ^ pv) | eq
			ph, mh := mv|^(xh|pv), pv&xh
			if ph&last != 0 {
				d++
			} else if mh&last != 0 {
				d--
			}
			ph, mh = ph<<1, mh<<1
			pv, mv = mh|^(xv|ph), ph&xv
		}
		if j < len(text) && d <= most {
			// At equal edits the stretch as long as the motif is the one
			// without gaps.
			if d < best.edits {
				best = hit{motif: index, start: p.startOf(text, j+1, d), end: j + 1, edits: d, bits: p.bits[d]}
			} else if d == best.edits && best.end-best.start != m {
				if s := p.startOf(text, j+1, d); j+1-s == m {
					best.start, best.end = s, j+1
				}
			}
		}
		// A run ends where the edits exceed the limit, or where a motif's
		// length has passed since its best place: a new place begins.
		if best.edits <= most && (j == len(text) || d > most || j+1-best.end >= m) {
			hits = append(hits, best)
			best = hit{edits: most + 1}
		}
	}
	return hits
}

// startOf gives the start of a hit that ends at end with d edits: the one
// nearest to the motif's own length, found by the same recurrence run
// backwards with D(0,j) = j.
func (p *pattern) startOf(text []uint8, end, d int) int {
	m := len(p.masks)
	last := uint64(1) << (m - 1)
	pv, mv, dist := ^uint64(0), uint64(0), m
	start, off := end, m+1
	for j := 1; j <= m+d && j <= end; j++ {
		eq := p.rev[text[end-j]]
		xv := eq | mv
		xh := (((eq & pv) + pv) ^ pv) | eq
		ph, mh := mv|^(xh|pv), pv&xh
		if ph&last != 0 {
			dist++
		} else if mh&last != 0 {
			dist--
		}
		ph, mh = ph<<1|1, mh<<1
		pv, mv = mh|^(xv|ph), ph&xv
		if away := max(j-m, m-j); dist == d && away < off {
			start, off = end-j, away
		}
	}
	return start
}

// leastOverhang is the fewest motif positions a hit over an end of the text
// may rest on: eight plain bases, matched exactly, are 16 bits.
const leastOverhang = 8

// overhang appends the best hit over each end of text, counting mismatches
// only: a gap in so short a flap would be a guess.
func (p *pattern) overhang(hits []hit, index int, text []uint8) []hit {
	m := len(p.masks)
	left, right := hit{}, hit{}
	for n := leastOverhang; n < m && n <= len(text); n++ {
		// The last n positions at the start of the text.
		if b, k := p.flap(p.masks[m-n:], text[:n]); b > left.bits {
			left = hit{motif: index, start: n - m, end: n, edits: k, bits: b, edge: true}
		}
		// The first n positions at its end.
		if b, k := p.flap(p.masks[:n], text[len(text)-n:]); b > right.bits {
			right = hit{motif: index, start: len(text) - n, end: len(text) - n + m, edits: k, bits: b, edge: true}
		}
	}
	for _, h := range []hit{left, right} {
		if h.bits >= leastBits {
			hits = append(hits, h)
		}
	}
	return hits
}

// flap compares part of a motif with as many text bases and gives the
// evidence and the mismatches; no evidence from more than two mismatches.
func (p *pattern) flap(sets, text []uint8) (float64, int) {
	k := 0
	for i, set := range sets {
		if !informative(text[i]) || set&text[i] == 0 {
			if k++; k > 2 {
				return 0, k
			}
		}
	}
	return chanceBits(sets, k), k
}
