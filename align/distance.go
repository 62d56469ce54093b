package align

import (
	"fmt"
	"math/bits"
)

// Reach says over which overlaps of a query of m and a text of n letters the
// least distance is taken. An overlap begins where i letters of the query and
// none of the text lie before it, i <= QStart, or none of the query and j of
// the text, j <= TStart; it ends likewise with all of the text and at least
// QEnd letters of the query used, or all of the query and at least TEnd
// letters of the text. What lies before and after is free. Values below 0
// count as 0, values beyond m or n as m or n.
type Reach struct {
	QStart, QEnd int
	TStart, TEnd int
}

// Pattern is a query prepared for its distances to many texts. It is not safe
// for concurrent use.
//
// The algorithm is that of Myers 1999, J. ACM 46: 395-415, DOI
// 10.1145/316542.316550, in blocks of 64 rows. D(i,j) is the least number of
// edits of an alignment that begins as Reach allows and ends at (i, j):
//
//	D(i,0) = max(0, i-QStart)    D(0,j) = max(0, j-TStart)
//	D(i,j) = min(D(i-1,j-1) + d(q[i-1],t[j-1]), D(i-1,j) + 1, D(i,j-1) + 1)
//
// with d = 0 where the base sets of the two codes intersect (so N is free
// with any letter), else 1. A column of D is held as its vertical differences, which
// are -1, 0 or 1: one bit a row in pv where it is +1, in mv where it is -1. A
// step from column to column takes some fifteen operations for 64 rows.
//
// Cells above limit need not be known exactly (the cut-off of Ukkonen 1985,
// J. Algorithms 6: 132-137, in blocks as in Myers 1999; volume and pages from
// memory). Blocks at the bottom with all cells above limit are left out, and
// taken in again as if every row cost one more than that above it; blocks at
// the top are left out when even the shortest way from them to row QEnd takes
// them above limit. Values of cells that are worked out are never too low, and
// exact on every way of limit or less.
type Pattern struct {
	m      int
	eq     [16][]uint64 // by the mask of a text letter: which rows it matches
	pv, mv []uint64
}

// NewPattern prepares a query. The error wraps ErrLetter.
func NewPattern(q []byte) (*Pattern, error) {
	words := (len(q) + 63) / 64
	p := &Pattern{m: len(q), pv: make([]uint64, words), mv: make([]uint64, words)}
	flat := make([]uint64, 16*words)
	for c := range p.eq {
		p.eq[c] = flat[c*words : (c+1)*words : (c+1)*words]
	}
	for i, letter := range q {
		mask := masks[letter]
		if mask == 0 {
			return nil, fmt.Errorf("%w: %q at position %d", ErrLetter, letter, i)
		}
		for ; mask != 0; mask &= mask - 1 {
			p.eq[mask&-mask][i/64] |= 1 << (i % 64)
		}
	}
	// The rows of a set of bases are those of its bases.
	for c := range p.eq {
		if rest := c & (c - 1); rest != 0 {
			for w := range words {
				p.eq[c][w] = p.eq[rest][w] | p.eq[c&-c][w]
			}
		}
	}
	return p, nil
}

// Distance gives the least number of edits over the overlaps that r allows,
// limit+1 where it is more than limit (at least 0). A text letter that is no
// nucleotide code matches nothing. Time len(q)/64 x len(text) steps at most; no
// memory is taken.
func (p *Pattern) Distance(text []byte, r Reach, limit int) int {
	r = r.clamp(p.m, len(text))
	best, c := p.columns(text, r, limit)
	best = min(best, c.above)
	for w := c.last; w >= c.first && 64*(w+1) >= r.QEnd; w-- {
		if c.score-bits.OnesCount64(p.pv[w]) < best {
			for b, v := 63, c.score; b >= 0 && 64*w+b+1 >= r.QEnd; b-- {
				if 64*w+b < p.m {
					best = min(best, v)
				}
				v += int(p.mv[w]>>b&1) - int(p.pv[w]>>b&1)
			}
		}
		c.score += bits.OnesCount64(p.mv[w]) - bits.OnesCount64(p.pv[w])
	}
	return best
}

// Ends gives the distances by where overlaps end: in whole that of those which
// end with all of the query used, and in column[i], i from 0 to len(q), that
// of those which end with i letters of the query and all of the text used,
// each limit+1 where it is more than limit or not allowed by r. Column is
// made from buffer where that is large enough.
func (p *Pattern) Ends(text []byte, r Reach, limit int, buffer []int) (whole int, column []int) {
	r = r.clamp(p.m, len(text))
	whole, c := p.columns(text, r, limit)
	column = buffer[:0]
	for range p.m + 1 {
		column = append(column, limit+1)
	}
	for w := c.last; w >= c.first && 64*(w+1) >= r.QEnd; w-- {
		for b := 63; b >= 0 && 64*w+b+1 >= r.QEnd; b-- {
			if row := 64*w + b + 1; row <= p.m {
				column[row] = min(limit+1, c.score)
			}
			c.score += int(p.mv[w]>>b&1) - int(p.pv[w]>>b&1)
		}
	}
	if r.QEnd == 0 {
		column[0] = min(limit+1, c.above)
	}
	column[p.m] = min(column[p.m], whole)
	return min(whole, column[p.m]), column
}

func (r Reach) clamp(m, n int) Reach {
	return Reach{
		QStart: min(max(r.QStart, 0), m), QEnd: min(max(r.QEnd, 0), m),
		TStart: min(max(r.TStart, 0), n), TEnd: min(max(r.TEnd, 0), n),
	}
}

// columnState is the last column of a calculation: blocks first to last are
// known, score is D at the lower end of the last, above D of row 0 where
// overlaps may end there.
type columnState struct{ first, last, score, above int }

// columns goes through all columns. It gives the least D of row m over the
// columns at which overlaps may end, limit+1 where it is more, and the last
// column; no block of it where all is above limit.
func (p *Pattern) columns(text []byte, r Reach, limit int) (int, columnState) {
	m, n := p.m, len(text)
	best := limit + 1
	none := columnState{first: 0, last: -1, above: limit + 1}
	if r.QEnd == 0 {
		none.above = min(limit+1, max(0, n-r.TStart))
	}
	if r.TEnd == 0 {
		best = min(best, max(0, m-r.QStart))
	}
	words := len(p.pv)
	if words == 0 {
		return min(best, max(0, r.TEnd-r.TStart)), none
	}
	for w := range p.pv {
		// Rows 64w+1 to 64w+64; differences are 0 down to row QStart.
		p.pv[w], p.mv[w] = ^uint64(0)<<min(64, max(0, r.QStart-64*w)), 0
	}
	first, last := 0, min(words, max(1, (r.QStart+limit+63)/64))-1
	// score is D at the lower end of block last, row 64(last+1).
	score := max(0, 64*(last+1)-r.QStart)
	below := ^uint64(0) << ((m-1)%64 + 1) // rows of the last block below m

	for j := 1; j <= n; j++ {
		eq := p.eq[masks[text[j-1]]]
		var hp, hm uint64
		if first > 0 || j > r.TStart {
			hp = 1
		}
		hp, hm = p.advance(eq, first, last, hp, hm)
		was := score
		score += int(hp) - int(hm)
		if last+1 < words && was <= limit && (eq[last+1]&1 != 0 || hm != 0) {
			last++
			p.pv[last], p.mv[last] = ^uint64(0), 0
			hp, hm = p.advance(eq, last, last, hp, hm)
			score = was + 64 + int(hp) - int(hm)
		} else {
			for last >= first && score >= limit+64 {
				score -= bits.OnesCount64(p.pv[last]) - bits.OnesCount64(p.mv[last])
				last--
			}
		}
		for first <= last && 64*(first+1)+limit < r.QEnd-(n-j) {
			first++
		}
		if first > last {
			if first > 0 || j-r.TStart > limit {
				return best, none
			}
			// Row 0 itself is within the limit.
			last = 0
			score += bits.OnesCount64(p.pv[0]) - bits.OnesCount64(p.mv[0])
		}
		if last == words-1 && j >= r.TEnd {
			best = min(best, score-bits.OnesCount64(p.pv[last]&below)+bits.OnesCount64(p.mv[last]&below))
		}
	}
	return best, columnState{first, last, score, none.above}
}

// advance brings blocks first to last to the next column. hp and hm are one
// where D of the row above them rises and falls from column to column; those
// of their last row are given back.
func (p *Pattern) advance(eq []uint64, first, last int, hp, hm uint64) (uint64, uint64) {
	if first > last {
		return hp, hm
	}
	pvs := p.pv[first : last+1]
	mvs, eq := p.mv[first:][:len(pvs)], eq[first:][:len(pvs)]
	for w, e := range eq {
		pv, mv := pvs[w], mvs[w]
		xv := e | mv
		e |= hm
		xh := (e&pv + pv) ^ pv | e
		ph := mv | ^(xh | pv)
		mh := pv & xh
		hpOut, hmOut := ph>>63, mh>>63
		ph = ph<<1 | hp
		mh = mh<<1 | hm
		pvs[w] = mh | ^(xv | ph)
		mvs[w] = ph & xv
		hp, hm = hpOut, hmOut
	}
	return hp, hm
}
