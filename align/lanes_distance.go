package align

import "math/bits"

// TextLanes is how many texts PatternLanes takes at a time.
const TextLanes = 8

// laneStep is the most columns worked out between two looks at which blocks
// are needed, wordLetters the letters of one word of a Packed.
const (
	laneStep    = 32
	wordLetters = 16
)

// LaneText is a text of PatternLanes, in a direction, with the overlaps that
// are looked at.
type LaneText struct {
	Text    Packed
	Reading Reading
	Reach   Reach
	// Longest is the most letters of the query before the ends that Ends is to
	// list; 0 is all.
	Longest int
	// Rise says what beginning later costs: bit (i-1)%64 of word (i-1)/64 is one
	// where an overlap before which i letters of the query lie has one edit more
	// for it than one before which i-1 lie. None has any where it is nil.
	Rise []uint64
	// Budgets are by block of 64 rows of the query, nil for the limit in all. No
	// overlap is looked for that exceeds one; those that do may be given with
	// more edits than they have, or not at all.
	Budgets []Budget
}

// Budget is what is asked of overlaps in a block of rows: the most edits that
// one has at a row of it, from its beginning on, and the most that one has
// which ends there, with all of the text and not all of the query.
type Budget struct{ Way, End int32 }

// PatternLanes is a query prepared for its distances to eight texts at a time,
// one a lane of 64 bits. It gives what Pattern gives, in the same way, and is
// not safe for concurrent use.
//
// All lanes hold the same blocks of rows. Which are needed is looked at every
// laneStep columns at most, so the blocks must hold for so long. Let s be D at
// the lower end of a block, in some column. Rows r above it have D >= s - r. A
// cell of limit or less that lies c columns further comes from one of limit or
// less in this column, at most c rows above it: a way has one diagonal step a
// column at most, and a vertical step from a cell of D <= limit - 1 means that
// the cell below it has D <= limit too. So where s > limit + laneStep no block below
// is needed; and a block is left out where that is so of the block above it,
// and none of its own cells is within the limit. With t at the lower end of the
// block left out and h its rows, the cell k rows below s has at least
// max(s - k, t - (h - k)) >= (s + t - h)/2.
type PatternLanes struct {
	m       int
	form    distanceForm
	profile []uint64            // by block and mask: which rows a letter matches
	pv, mv  [][TextLanes]uint64 // by block
	state   laneState

	// What was found, by lane: see Whole and Ends.
	whole [TextLanes]int
	ends  [TextLanes][]End
}

// laneState is what goes through the columns beside the blocks. The assembly
// knows its layout.
type laneState struct {
	text  [TextLanes]uint64 // the coming letters, the next in the lowest four bits
	top   [TextLanes]uint64 // 1 where D rises by one a column above the first block
	score [TextLanes]int64  // D at the lower end of the last block, or in row m
	best  [TextLanes]int64  // the least score
	skip  [TextLanes]int64  // 0 where score counts for best, else the greatest value
}

// End is an overlap that ends with all of the text: how many letters of the query
// lie before its end, and its edits.
type End struct{ Row, Edits int }

// distanceForm takes lanes through columns (1 to 16) with the blocks first to
// last. In the last block, score follows the row of bit out.
type distanceForm func(l *PatternLanes, first, last, columns, out int)

type namedDistanceForm struct {
	name string
	run  distanceForm
}

// NewPatternLanes prepares a query. The error wraps ErrLetter.
func NewPatternLanes(q []byte) (*PatternLanes, error) {
	p, err := NewPattern(q)
	if err != nil {
		return nil, err
	}
	words := len(p.pv)
	l := &PatternLanes{
		m: len(q), form: distanceForms()[0].run, profile: make([]uint64, 16*words),
		pv: make([][TextLanes]uint64, words), mv: make([][TextLanes]uint64, words),
	}
	for mask, rows := range p.eq {
		for w, eq := range rows {
			l.profile[16*w+mask] = eq
		}
	}
	return l, nil
}

// Whole gives the least number of edits of the overlaps of a lane's text that
// end with all of the query used, limit+1 where it is more than limit.
func (l *PatternLanes) Whole(lane int) int { return l.whole[lane] }

// Ends gives the overlaps of a lane's text that end with all of the text and
// not all of the query, and have no more than limit edits, the longest first,
// but for those that have no fewer edits than a longer one, and for those with
// more letters of the query than LaneText.Longest. The slice holds until the
// next call of Find.
func (l *PatternLanes) Ends(lane int) []End { return l.ends[lane] }

// Distance gives the least number of edits of all overlaps of a lane's text
// that Whole and Ends look at, limit+1 where it is more than limit.
func (l *PatternLanes) Distance(lane int) int {
	best := l.whole[lane]
	if e := l.ends[lane]; len(e) > 0 {
		best = min(best, e[len(e)-1].Edits)
	}
	return best
}

// laneRun is one call of Find.
type laneRun struct {
	texts       []LaneText // with reaches inside the sequences
	limit       int
	alive       [TextLanes]int // the lanes still at work
	count       int
	first, last int
	column      int
}

// budget gives that of a lane in a block.
func (r *laneRun) budget(lane, w int) int64 {
	if b := r.texts[lane].Budgets; b != nil {
		return int64(b[w].Way)
	}
	return int64(r.limit)
}

// Find works out the edits of up to eight texts (TextLanes), up to limit (at
// least 0). What it found is given by Whole, Ends and Distance. Texts of like
// length take the least time.
func (l *PatternLanes) Find(texts []LaneText, limit int) {
	var own [TextLanes]LaneText
	r := laneRun{texts: own[:len(texts)], limit: limit}
	copy(r.texts, texts)
	for lane := range r.texts {
		t := &r.texts[lane]
		t.Reach = t.Reach.clamp(l.m, t.Text.n)
		l.ends[lane] = l.ends[lane][:0]
		l.state.best[lane] = int64(limit + 1)
		if l.m == 0 {
			l.whole[lane] = min(limit+1, max(0, t.Reach.TEnd-t.Reach.TStart))
			continue
		}
		r.alive[r.count] = lane
		r.count++
	}
	if l.m == 0 {
		return
	}
	l.begin(&r)
	l.fit(&r)
	for l.finish(&r); r.count > 0; l.finish(&r) {
		l.fit(&r)
		l.advance(&r)
	}
}

// begin sets up column 0.
func (l *PatternLanes) begin(r *laneRun) {
	for w := range l.pv {
		for lane, t := range r.texts {
			l.pv[w][lane] = ^uint64(0) << min(64, max(0, t.Reach.QStart-64*w))
			if t.Rise != nil {
				l.pv[w][lane] |= t.Rise[w]
			}
			l.mv[w][lane] = 0
		}
	}
	for lane, t := range r.texts {
		l.state.score[lane] = l.across(0, lane)
		if t.Reach.TEnd == 0 {
			without := int64(0) // of the text
			for w := range l.pv {
				without += l.across(w, lane)
			}
			l.state.best[lane] = min(l.state.best[lane], without)
		}
	}
}

// lowest gives the last row of a block.
func (l *PatternLanes) lowest(w int) int { return min(l.m, 64*(w+1)) }

// rows gives the bits of the rows of a block.
func (l *PatternLanes) rows(w int) uint64 {
	return ^uint64(0) >> (64*(w+1) - l.lowest(w))
}

// across gives how much D rises over the rows of a block.
func (l *PatternLanes) across(w, lane int) int64 {
	rows := l.rows(w)
	return int64(bits.OnesCount64(l.pv[w][lane]&rows) - bits.OnesCount64(l.mv[w][lane]&rows))
}

// fit makes the blocks those that are needed for the next columns.
func (l *PatternLanes) fit(r *laneRun) {
	for r.last > r.first && l.lacksUse(r) {
		for _, lane := range r.alive[:r.count] {
			l.state.score[lane] -= l.across(r.last, lane)
		}
		r.last--
	}
	for r.last < len(l.pv)-1 {
		needed := false
		for _, lane := range r.alive[:r.count] {
			needed = needed || l.state.score[lane] <= r.budget(lane, r.last)+laneStep ||
				r.column == 0 && r.texts[lane].Reach.QStart > l.lowest(r.last) // begins below
		}
		if !needed {
			break
		}
		r.last++
		for lane := range r.texts {
			if r.column > 0 { // else they are as begin has them
				l.pv[r.last][lane], l.mv[r.last][lane] = ^uint64(0), 0
			}
			l.state.score[lane] += l.across(r.last, lane)
		}
	}
	for r.first < r.last {
		for _, lane := range r.alive[:r.count] {
			t := &r.texts[lane]
			if 64*(r.first+1)+r.limit >= t.Reach.QEnd-(t.Text.n-r.column) {
				return
			}
		}
		r.first++
	}
}

// lacksUse reports whether the last block can be left out.
func (l *PatternLanes) lacksUse(r *laneRun) bool {
	h := int64(l.lowest(r.last) - l.lowest(r.last-1))
	for _, lane := range r.alive[:r.count] {
		t, budget := l.state.score[lane], r.budget(lane, r.last)
		if t <= budget {
			return false
		}
		s := t - l.across(r.last, lane)
		if s <= r.budget(lane, r.last-1)+laneStep || s+t <= 2*budget+h {
			return false
		}
	}
	return true
}

// advance goes on to the next column at which a text ends, a start or an end
// comes into or out of reach, or blocks are to be looked at.
func (l *PatternLanes) advance(r *laneRun) {
	s := &l.state
	whole := r.last == len(l.pv)-1
	columns := laneStep - r.column%laneStep
	for _, lane := range r.alive[:r.count] {
		t := &r.texts[lane]
		columns = min(columns, t.Text.n-r.column)
		s.top[lane], s.skip[lane] = 1, 1<<63-1
		if r.first == 0 && r.column < t.Reach.TStart {
			s.top[lane] = 0
			columns = min(columns, t.Reach.TStart-r.column)
		}
		if r.column+1 >= t.Reach.TEnd {
			if whole {
				s.skip[lane] = 0
			}
		} else {
			columns = min(columns, t.Reach.TEnd-1-r.column)
		}
	}
	out := 63
	if whole {
		out = (l.m - 1) % 64
	}
	for end := r.column + columns; r.column < end; {
		at := r.column % wordLetters
		if at == 0 {
			for _, lane := range r.alive[:r.count] {
				t := &r.texts[lane]
				s.text[lane] = t.Text.letters(r.column, t.Reading)
			}
		}
		columns := min(wordLetters-at, end-r.column)
		l.form(l, r.first, r.last, columns, out)
		r.column += columns
	}
}

// finish takes out the lanes whose texts are at their end, and those of which
// no cell is within the limit.
func (l *PatternLanes) finish(r *laneRun) {
	left := 0
	for _, lane := range r.alive[:r.count] {
		switch t := &r.texts[lane]; {
		case r.column == t.Text.n:
			l.read(r, lane)
		case l.isPast(r, lane):
			l.whole[lane] = int(l.state.best[lane])
			l.addTop(lane, r, r.limit+1)
		default:
			r.alive[left] = lane
			left++
		}
	}
	r.count = left
}

// isPast reports whether all cells of a lane's column are above the limit.
func (l *PatternLanes) isPast(r *laneRun, lane int) bool {
	if r.first == 0 && r.column-r.texts[lane].Reach.TStart <= r.limit {
		return false
	}
	t := l.state.score[lane]
	for w := r.last; w >= r.first; w-- {
		s := t - l.across(w, lane)
		if h := int64(l.lowest(w) - 64*w); s+t <= 2*r.budget(lane, w)+h {
			return false
		}
		t = s
	}
	return true
}

// read takes from the last column of a text where overlaps end.
func (l *PatternLanes) read(r *laneRun, lane int) {
	reach := r.texts[lane].Reach
	best, v := int(l.state.best[lane]), int(l.state.score[lane])
	if r.last == len(l.pv)-1 {
		best = min(best, v)
	}
	l.whole[lane] = best
	longest := l.m - 1
	if n := r.texts[lane].Longest; n > 0 {
		longest = min(longest, n)
	}
	least := r.limit + 1 // edits that are too many for what is left
	for w := r.last; w >= r.first && l.lowest(w) >= reach.QEnd; w-- {
		pv, mv := l.pv[w][lane], l.mv[w][lane]
		few := least
		if b := r.texts[lane].Budgets; b != nil {
			few = min(few, int(b[w].End)+1)
		}
		if v-bits.OnesCount64(pv&l.rows(w)) >= few {
			v -= int(l.across(w, lane))
			continue
		}
		for row := l.lowest(w); row > 64*w && row >= reach.QEnd; row-- {
			if row%8 == 0 {
				// Of the eight rows down from here none has less than this.
				b := row - 8 - 64*w
				rise, fall := bits.OnesCount8(uint8(pv>>b)), bits.OnesCount8(uint8(mv>>b))
				if v-rise >= few {
					v += fall - rise
					row -= 7
					continue
				}
			}
			if v < few && row <= longest {
				l.ends[lane] = append(l.ends[lane], End{row, v})
				least, few = v, v
			}
			b := row - 1 - 64*w
			v += int(mv>>b&1) - int(pv>>b&1)
		}
	}
	l.addTop(lane, r, least)
}

// addTop adds the overlap without letters of the query if it has fewer than
// least edits.
func (l *PatternLanes) addTop(lane int, r *laneRun, least int) {
	t := &r.texts[lane]
	if v := max(0, t.Text.n-t.Reach.TStart); t.Reach.QEnd == 0 && v < least {
		l.ends[lane] = append(l.ends[lane], End{0, v})
	}
}

// columnsGo is the form written in Go.
func columnsGo(l *PatternLanes, first, last, columns, out int) {
	s := &l.state
	for lane := range TextLanes {
		for range columns {
			mask := int(s.text[lane] & 15)
			s.text[lane] >>= 4
			hp, hm := s.top[lane], uint64(0)
			for w := first; w <= last; w++ {
				e, pv, mv := l.profile[16*w+mask], l.pv[w][lane], l.mv[w][lane]
				xv := e | mv
				e |= hm
				xh := (e&pv + pv) ^ pv | e
				ph := mv | ^(xh | pv)
				mh := pv & xh
				if w == last {
					s.score[lane] += int64(ph>>out&1) - int64(mh>>out&1)
				}
				ph, hp = ph<<1|hp, ph>>63
				mh, hm = mh<<1|hm, mh>>63
				l.pv[w][lane] = mh | ^(xv | ph)
				l.mv[w][lane] = ph & xv
			}
			s.best[lane] = min(s.best[lane], s.score[lane]|s.skip[lane])
		}
	}
}
