package align

import (
	"cmp"
	"slices"
)

//go:generate go run ./gen/affine -out lanes_affine_amd64.s -stubs lanes_affine_stubs_amd64.go -pkg align

// Outline is what Overlap and Count give of a pair of sequences, but for the
// way between the ends: Alignment has no Runs, and in Counts IdenticalStrict,
// GapEvents and Ambiguous are 0.
type Outline struct {
	Alignment Alignment
	Counts    Counts
}

// outline leaves out what an Outline has not.
func outline(al Alignment, c Counts) Outline {
	al.Runs = nil
	c.IdenticalStrict, c.GapEvents, c.Ambiguous = 0, 0, 0
	return Outline{al, c}
}

// Lanes gives the outlines of the best overlap alignments, by Scoring ITS, of
// one sequence a with many. It is not safe for concurrent use.
//
// As many pairs as a vector has 32-bit lanes are worked out side by side, on
// all cells of the recurrence at Aligner, without a way back. Which of the
// columns that lead to a cell with the same value the way back would take
// depends on nothing but the values there: a Pair before OnlyB before OnlyA,
// and the shortest gap. So what Count would find on the way is carried
// forward beside each value, in two words:
//
//	one: start (12 bits), lettersN (9), identical (11)
//	two: inside (12), aN (10), bN (10)
//
// start is the diagonal i - j of the first column, lettersN the columns of N
// of b and another letter of a, identical the identical ones, inside the
// compared columns inside the excluded interval, aN and bN the gap columns of
// an N of a and of b. lettersN, aN and bN are no more than the N of the
// sequences, identical than the letters of a, on any way; maxA, maxB, maxN of
// a and of b hold them within their bits. start and inside stand first, where
// what overflows is lost, and matter on the best way only. With I identical
// columns, s substitutions and g gap columns, its score of at least 0 asks
// 2I >= 3s + 2g, so that inside <= I + s + g <= 2I < 1<<12, and the diagonal
// of the last column is within I of that of the first, which tells start from
// its remainder. All else follows from the score, the number of columns, the
// ends and the N of a.
//
// The columns are fewer than laneK on any way, which is what K must be
// greater than (see Aligner).
type Lanes struct {
	a       []byte
	masks   []uint8
	exclude Interval
	before  []int // letters of a that are not N, before each position
	form    laneForm
	aligner *Aligner

	kinds  int      // of rows
	kind   []uint32 // of each row, as bytes from the start of profile
	tables []int32
	memory []int32
	// Parts of memory, of vectors.
	state, profile, letters, top, bottom []int32
	b                                    []uint8
}

const (
	laneK     = 1 << 13
	laneOpen  = (4+2)*laneK + 1
	laneExt   = 2*laneK + 1
	maxLaneA  = 1<<11 - 1
	maxLaneB  = 1<<12 - 1
	maxLaneAN = 1<<10 - 1
	maxLaneBN = 1<<9 - 1
	// Rows are gone through in blocks, whose state stays in the nearest cache.
	laneRows = 64

	identicalUnit = 1
	lettersNUnit  = 1 << 11
	startUnit     = 1 << 20
	bNUnit        = 1
	aNUnit        = 1 << 10
	insideUnit    = 1 << 20
)

// Words of a cell, each a vector with a value for each lane: H or its
// neighbour, and the gap that goes on in the direction in which the cell is
// handed on, E from column to column, F from block to block.
const (
	laneKey = iota
	laneOne
	laneTwo
	laneGapKey
	laneGapOne
	laneGapTwo
	cellWords
)

// Words of a kind of row, what a column adds by the letter of b: to the value,
// one and two for a Pair, to two for OnlyB and for OnlyA.
const (
	kindPairKey = iota
	kindPairOne
	kindPairTwo
	kindOnlyBTwo
	kindOnlyATwo
	kindWords
)

// laneForm is a way to work out a block of cells: rows x columns of them.
// kinds are the kinds of row, kind the one of each row, letters the masks of b
// by column, tables kindWords by kind and mask, profile room for those of a
// column; state holds the column before the block and then its last, top the
// row above from the column before the block on, bottom its last row likewise.
type laneForm struct {
	width int // 1 where there is none
	block func(rows, columns, kinds int, kind []uint32, letters, tables, profile, state, top, bottom []int32)
}

// NewLanes prepares a, with the interval that Count is to exclude. The error
// wraps ErrLetter.
func NewLanes(a []byte, exclude Interval) (*Lanes, error) {
	form := laneForm{width: 1}
	if forms := laneForms(); len(forms) > 0 {
		form = forms[0]
	}
	return newLanes(a, exclude, form)
}

func newLanes(a []byte, exclude Interval, form laneForm) (*Lanes, error) {
	l := &Lanes{a: slices.Clone(a), exclude: exclude, form: form}
	var err error
	if l.masks, err = appendMasks(nil, a, "first"); err != nil {
		return nil, err
	}
	if l.aligner, err = NewAligner(ITS); err != nil {
		return nil, err
	}
	l.before = make([]int, len(a)+1)
	for i, m := range l.masks {
		l.before[i+1] = l.before[i]
		if m != MaskN {
			l.before[i+1]++
		}
	}
	if l.fitsA() {
		l.prepareRows()
	}
	return l, nil
}

// Width is the number of pairs that are worked out side by side; 1 where it
// is one by one, as an Aligner does it.
func (l *Lanes) Width() int {
	if !l.fitsA() {
		return 1
	}
	return l.form.width
}

func (l *Lanes) fitsA() bool {
	m := len(l.a)
	return m > 0 && m <= maxLaneA && m-l.before[m] <= maxLaneAN
}

// Outlines gives the outline of a with each of seqs. It takes about the same
// time for any number up to Width. The errors wrap ErrLetter or ErrTooLong.
func (l *Lanes) Outlines(seqs [][]byte) ([]Outline, error) {
	out := make([]Outline, len(seqs))
	var fit []int // of seqs, by length
	for s, seq := range seqs {
		if l.Width() > 1 && l.fitsB(seq) {
			fit = append(fit, s)
			continue
		}
		al, err := l.aligner.Overlap(l.a, seq)
		if err != nil {
			return nil, err
		}
		c, err := al.Count(l.a, seq, l.exclude)
		if err != nil {
			return nil, err
		}
		out[s] = outline(al, c)
	}
	slices.SortStableFunc(fit, func(x, y int) int { return cmp.Compare(len(seqs[x]), len(seqs[y])) })
	for batch := range slices.Chunk(fit, max(1, l.Width())) {
		if err := l.batch(seqs, batch, out); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (l *Lanes) fitsB(seq []byte) bool {
	if len(seq) == 0 || len(seq) > maxLaneB {
		return false
	}
	ns := 0
	for _, c := range seq {
		if masks[c] == MaskN {
			ns++
		}
	}
	return ns <= maxLaneBN
}

// prepareRows finds the kinds of row and what they add.
func (l *Lanes) prepareRows() {
	inside := func(first, last int) bool { return l.exclude.Start <= first && last < l.exclude.End }
	type rowKind struct {
		mask     uint8
		a, onlyB bool // inside: the letter, a gap column after it
	}
	known := make(map[rowKind]uint32)
	for i, m := range l.masks {
		k := rowKind{m, inside(i, i), inside(i, i+1)}
		n, ok := known[k]
		if !ok {
			n = uint32(len(known))
			known[k] = n
			l.tables = append(l.tables, make([]int32, kindWords*16)...)
			table := l.tables[n*kindWords*16:]
			for y := range int32(16) {
				set := func(word int, value int32) { table[int32(word)*16+y] = value }
				set(kindPairKey, int32(l.aligner.score(m, uint8(y)))*laneK-1)
				compared, identical := m != MaskN && y != int32(MaskN), int32(m)&y != 0
				if compared && identical {
					set(kindPairOne, identicalUnit)
				} else if m != MaskN && y == int32(MaskN) {
					set(kindPairOne, lettersNUnit)
				}
				if compared && k.a {
					set(kindPairTwo, insideUnit)
				}
				switch {
				case y == int32(MaskN):
					set(kindOnlyBTwo, bNUnit)
				case k.onlyB:
					set(kindOnlyBTwo, insideUnit)
				}
				switch {
				case m == MaskN:
					set(kindOnlyATwo, aNUnit)
				case k.a:
					set(kindOnlyATwo, insideUnit)
				}
			}
		}
		l.kind = append(l.kind, n*kindWords*4*uint32(l.form.width))
	}
	l.kinds = len(known)
}

// room makes memory for n columns.
func (l *Lanes) room(n int) {
	w := l.form.width
	sizes := []int{laneRows * cellWords, l.kinds * kindWords, n, (n + 1) * cellWords, (n + 1) * cellWords}
	total := 0
	for _, s := range sizes {
		total += s * w
	}
	if len(l.memory) < total {
		// One piece as large as this begins where a page does, so that no
		// vector lies across two lines of the cache.
		l.memory = make([]int32, total)
	}
	at := 0
	for i, part := range []*[]int32{&l.state, &l.profile, &l.letters, &l.top, &l.bottom} {
		*part = l.memory[at : at+sizes[i]*w]
		at += sizes[i] * w
	}
}

// laneEnd is the best end found in a lane.
type laneEnd struct{ i, j, key, one, two int32 }

// batch works out seqs[s] for each s in lanes, which are ordered by length.
func (l *Lanes) batch(seqs [][]byte, lanes []int, out []Outline) error {
	w, m := l.form.width, len(l.a)
	n := len(seqs[lanes[len(lanes)-1]])
	l.room(n)
	// Lanes without a sequence, and what is beyond the end of one, do not matter.
	for x := range l.letters {
		l.letters[x] = int32(MaskN)
	}
	ends := make([]laneEnd, len(lanes))
	for lane, s := range lanes {
		var err error
		if l.b, err = appendMasks(l.b[:0], seqs[s], "second"); err != nil {
			return err
		}
		for j, y := range l.b {
			l.letters[j*w+lane] = int32(y)
		}
		length := int32(len(seqs[s]))
		ends[lane] = laneEnd{j: length, one: -length * startUnit}
	}
	fill := func(cells []int32, cell, word int, value int32) {
		for lane := range w {
			cells[(cell*cellWords+word)*w+lane] = value
		}
	}
	for j := range n + 1 {
		for word, value := range [cellWords]int32{laneOne: -int32(j) * startUnit, laneGapKey: lost} {
			fill(l.top, j, word, value)
		}
	}
	for first := 0; first < m; first += laneRows {
		rows := min(laneRows, m-first)
		for row := range rows {
			for word, value := range [cellWords]int32{laneOne: int32(first+row+1) * startUnit, laneGapKey: lost} {
				fill(l.state, row, word, value)
			}
		}
		for word, value := range [cellWords]int32{laneOne: int32(first+rows) * startUnit, laneGapKey: lost} {
			fill(l.bottom, 0, word, value)
		}
		done := 0
		for lane, s := range lanes {
			if upto := len(seqs[s]); upto > done {
				l.form.block(rows, upto-done, l.kinds, l.kind[first:], l.letters[done*w:], l.tables, l.profile,
					l.state, l.top[done*cellWords*w:], l.bottom[done*cellWords*w:])
				done = upto
			}
			for row := range rows {
				ends[lane].take(l.state, row, w, lane, first+row+1, done)
			}
		}
		l.top, l.bottom = l.bottom, l.top
	}
	for lane, s := range lanes {
		for j := range len(seqs[s]) + 1 {
			ends[lane].take(l.top, j, w, lane, m, j)
		}
		out[s] = l.decode(ends[lane])
	}
	return nil
}

// take takes cell for the end at (i, j) if it is no worse.
func (e *laneEnd) take(cells []int32, cell, width, lane, i, j int) {
	at := cell*cellWords*width + lane
	if key := cells[at]; key >= e.key {
		*e = laneEnd{int32(i), int32(j), key, cells[at+laneOne*width], cells[at+laneTwo*width]}
	}
}

// decode says what the words at the best end mean.
func (l *Lanes) decode(e laneEnd) Outline {
	score := (int(e.key) + laneK - 1) / laneK
	columns := score*laneK - int(e.key)
	al := Alignment{Score: score, AEnd: int(e.i), BEnd: int(e.j)}
	diagonal := int(e.i - e.j)
	// The sign of 12 bits is extended.
	diagonal -= int((int32(diagonal)*startUnit - e.one&^(startUnit-1)) >> 20)
	al.AStart, al.BStart = max(diagonal, 0), max(-diagonal, 0)

	one, two := uint32(e.one), uint32(e.two)
	onlyA := columns - (al.BEnd - al.BStart) - int(two/aNUnit%(1<<10))
	onlyB := columns - (al.AEnd - al.AStart) - int(two/bNUnit%(1<<10))
	c := Counts{
		Identical: int(one / identicalUnit % (1 << 11)),
		GapBases:  onlyA + onlyB,
		ACompared: l.before[al.AEnd] - l.before[al.AStart] - int(one/lettersNUnit%(1<<9)),
	}
	c.Substitutions = c.ACompared - onlyA - c.Identical
	c.Columns = c.ACompared + onlyB
	c.AOutside = c.Columns - int(two/insideUnit)
	return Outline{al, c}
}
