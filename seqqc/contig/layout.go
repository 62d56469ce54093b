package contig

import (
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// row is one read in a layout.
type row struct {
	read *seqqc.Read
	// bases and quals are the kept stretch in the direction of the layout;
	// quals are lower than the read's where its peaks are mixed.
	bases, quals []byte
	// assumed is true where the read has no qualities and quals are made up.
	assumed bool
	// turned is true where bases are the other strand of the read.
	turned bool
	// at gives for each column of the layout the index in bases, none where
	// the read has no base there: a gap between its first and last base, not
	// there at all outside them.
	at []int
}

const none = -1

// layout is a number of reads laid over one another.
type layout struct {
	id   int // the same for both strands
	rows []row
	// fixed is true where the direction of a read is known, and the layout
	// runs forward.
	fixed   bool
	columns []verdict
}

// newLayout lays out one read in forward direction, as far as known.
func newLayout(r *seqqc.Read, p Params) *layout {
	w := row{
		read:  r,
		bases: slices.Clone(r.Trace.Bases[r.Kept.Start:r.Kept.End]),
	}
	if t := r.Trace; t.HasQuals() {
		w.quals = slices.Clone(t.Quals[r.Kept.Start:r.Kept.End])
	} else {
		w.assumed = true
		w.quals = slices.Repeat([]byte{byte(p.AssumedQuality)}, len(w.bases))
	}
	w.doubtMixed()
	for i := range w.bases {
		w.at = append(w.at, i)
	}
	l := &layout{rows: []row{w}, fixed: r.Direction != seqqc.UnknownDirection}
	l.vote(p)
	if r.Direction == seqqc.Reverse {
		l = l.turn()
	}
	return l
}

// turn gives the layout on the other strand.
func (l *layout) turn() *layout {
	out := &layout{id: l.id, fixed: l.fixed, columns: slices.Clone(l.columns)}
	slices.Reverse(out.columns)
	for i, v := range out.columns {
		out.columns[i].mask = complement(v.mask)
	}
	for _, w := range l.rows {
		w.bases = align.ReverseComplement(w.bases)
		w.quals = slices.Clone(w.quals)
		slices.Reverse(w.quals)
		w.turned = !w.turned
		w.at = slices.Clone(w.at)
		slices.Reverse(w.at)
		for c, i := range w.at {
			if i != none {
				w.at[c] = len(w.bases) - 1 - i
			}
		}
		out.rows = append(out.rows, w)
	}
	return out
}

// complement gives the mask of the other strand; a gap stays one.
func complement(mask uint8) uint8 {
	if mask == gapMask {
		return gapMask
	}
	return align.Mask(align.ReverseComplement([]byte{align.Code(mask)})[0])
}

// calls gives what each row says in column c, and the index of the row.
// before[r] must be the number of bases of row r in the columns before c.
func (l *layout) calls(c int, before []int) (calls []call, rows []int) {
	for r, w := range l.rows {
		k := before[r]
		switch {
		case w.at[c] != none:
			calls = append(calls, call{align.Mask(w.bases[k]), w.quals[k], w.assumed})
		case k > 0 && k < len(w.bases):
			calls = append(calls, call{gapMask, min(w.quals[k-1], w.quals[k]), w.assumed})
		default:
			continue
		}
		rows = append(rows, r)
	}
	return calls, rows
}

// each calls f for every column with its calls, their rows, and the number of
// bases of every row before it.
func (l *layout) each(f func(c int, calls []call, rows, before []int)) {
	before := make([]int, len(l.rows))
	for c := range l.rows[0].at {
		calls, rows := l.calls(c, before)
		f(c, calls, rows, before)
		for r, w := range l.rows {
			if w.at[c] != none {
				before[r]++
			}
		}
	}
}

// vote decides every column. The doubt about a base that the consensus leaves
// out has no base to stand at: it lowers the quality of the bases beside the
// place, as it is read there in a read (see call).
func (l *layout) vote(p Params) {
	l.columns = l.columns[:0]
	l.each(func(_ int, calls []call, rows, _ []int) {
		l.columns = append(l.columns, decide(l.pooled(calls, rows), p))
	})
	for pass := range 2 {
		doubt := byte(255)
		for i := range l.columns {
			v := &l.columns[i]
			if pass == 1 {
				v = &l.columns[len(l.columns)-1-i]
			}
			if v.mask == gapMask {
				doubt = min(doubt, v.quality)
			} else {
				v.quality, doubt = min(v.quality, doubt), 255
			}
		}
	}
}

// sequence gives the consensus, and the column of each of its bases.
func (l *layout) sequence() (align.Called, []int) {
	var seq align.Called
	var column []int
	for c, v := range l.columns {
		if v.mask == gapMask {
			continue
		}
		seq.Bases = append(seq.Bases, align.Code(v.mask))
		seq.Quals = append(seq.Quals, v.quality)
		column = append(column, c)
	}
	return seq, column
}

// merge lays b over a as al, an alignment of their consensus sequences, says.
func merge(a, b *layout, al align.Alignment, p Params) *layout {
	_, columnA := a.sequence()
	_, columnB := b.sequence()
	// The columns of the result as pairs of columns of a and b. Columns that a
	// consensus left out stand before its next base.
	var pairs [][2]int
	nextA, nextB := 0, 0
	flushA := func(to int) {
		for ; nextA < to; nextA++ {
			pairs = append(pairs, [2]int{nextA, none})
		}
	}
	flushB := func(to int) {
		for ; nextB < to; nextB++ {
			pairs = append(pairs, [2]int{none, nextB})
		}
	}
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		for range run.Len {
			switch run.Op {
			case align.Pair:
				flushA(columnA[i])
				flushB(columnB[j])
				pairs = append(pairs, [2]int{columnA[i], columnB[j]})
				nextA, nextB = columnA[i]+1, columnB[j]+1
				i, j = i+1, j+1
			case align.OnlyA:
				flushA(columnA[i] + 1)
				i++
			case align.OnlyB:
				flushB(columnB[j] + 1)
				j++
			}
		}
	}
	flushA(len(a.columns))
	flushB(len(b.columns))

	out := &layout{fixed: a.fixed || b.fixed}
	for side, l := range []*layout{a, b} {
		for _, w := range l.rows {
			at := make([]int, len(pairs))
			for c, pair := range pairs {
				at[c] = none
				if pair[side] != none {
					at[c] = w.at[pair[side]]
				}
			}
			w.at = at
			out.rows = append(out.rows, w)
		}
	}
	out.vote(p)
	return out
}
