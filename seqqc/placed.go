package seqqc

import "slices"

// noBase is the code of a base that is not there.
const noBase = "-"

// Under gives the place of the contig over base at of a read: a position, and
// whether the contig has a base there (where it has none, one would stand before
// the position). ok is false where the read does not lie in the contig there.
//
// The columns of the contig are walked: reads and contig go in step but for the
// gaps that Disagreements name.
func (c *Contig) Under(file string, at int) (pos int, present, ok bool) {
	c.along(file, func(column, read int, inContig, inRead bool) {
		if inRead && read == at {
			pos, present, ok = column, inContig, true
		}
	})
	return pos, present, ok
}

// Over gives the position of a read at the place pos of the contig: of a column
// that the contig has, or, where left is true, of one before it that was left
// out. ok is false where the read has no base there.
func (c *Contig) Over(file string, pos int, left bool) (at int, ok bool) {
	c.along(file, func(column, read int, inContig, inRead bool) {
		if inRead && column == pos && inContig != left {
			at, ok = read, true
		}
	})
	return at, ok
}

// along visits the columns over which a read lies, in contig direction; nothing
// is visited where they cannot be told for sure.
func (c *Contig) along(file string, visit func(column, read int, inContig, inRead bool)) {
	i := slices.IndexFunc(c.Reads, func(p ReadPlacement) bool { return p.File == file })
	if i < 0 {
		return
	}
	p := c.Reads[i]
	gaps := map[int]bool{}      // columns in which the read has no base
	leftOut := map[int][]bool{} // before a position: columns without a base in the contig, true where the read has one
	for _, d := range c.Disagreements {
		for _, call := range d.Calls {
			switch {
			case call.File != file:
			case d.leftOut():
				leftOut[d.At] = append(leftOut[d.At], call.Base != noBase)
			case call.Base == noBase:
				gaps[d.At] = true
			}
		}
	}
	walk := func(visit func(column, read int, inContig, inRead bool)) int {
		n := 0
		at := func() int {
			if p.Complemented {
				return p.Of.End - 1 - n
			}
			return p.Of.Start + n
		}
		step := func(column int, inContig, inRead bool) {
			visit(column, at(), inContig, inRead)
			if inRead {
				n++
			}
		}
		for column := p.On.Start; column <= p.On.End; column++ {
			for _, inRead := range leftOut[column] {
				step(column, false, inRead)
			}
			if column < p.On.End {
				step(column, true, !gaps[column])
			}
		}
		return n
	}
	if walk(func(int, int, bool, bool) {}) == p.Of.Len() {
		walk(visit)
	}
}

// leftOut reports whether the contig has no base in this column.
func (d *Disagreement) leftOut() bool { return d.Code == noBase }
