package contig

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

// PartGap is the number of N between the parts of a two-part contig. Their
// true distance is not known; 100 is how the public archives write a gap of
// unknown length (INSDC feature table, assembly_gap; from memory).
const PartGap = 100

// contigs makes the contigs of what the joiner left, the better first.
func (j joiner) contigs() []*seqqc.Contig {
	ranked := slices.Clone(j.layouts)
	slices.SortStableFunc(ranked, better)
	var out []*seqqc.Contig
	used := map[*layout]bool{}
	for i, main := range ranked {
		if used[main] {
			continue
		}
		c, parts := j.finish(main, slices.Delete(slices.Clone(ranked), i, i+1))
		out = append(out, c)
		for _, l := range parts {
			used[l] = true
		}
	}
	return out
}

// finish makes the contig of main, and of a second part where the rest has
// one; used are these two.
func (j joiner) finish(main *layout, rest []*layout) (c *seqqc.Contig, used []*layout) {
	c = &seqqc.Contig{Notes: slices.Clone(j.notes)}
	var flags []seqqc.Flag
	used = []*layout{main}
	if part, ok := j.otherPart(main, rest); ok {
		used = append(used, part)
		rest = slices.DeleteFunc(slices.Clone(rest), func(l *layout) bool { return l == part })
		first, second := main, part
		if precedes(part, main) {
			first, second = part, main
		}
		write(c, first)
		c.Gap = seqqc.Interval{Start: len(c.Bases), End: len(c.Bases) + PartGap}
		c.Bases = append(c.Bases, slices.Repeat([]byte{'N'}, PartGap)...)
		c.Quals = append(c.Quals, make([]byte, PartGap)...)
		write(c, second)
		flags = append(flags, seqqc.TwoPart)
		c.Notes = append(c.Notes, fmt.Sprintf("%s and %s do not meet; the %d N between them stand for an unknown length", names(first), names(second), PartGap))
	} else {
		write(c, main)
		if j.in58S {
			flags = append(flags, seqqc.TwoPart)
		}
		if oneStrand(main) {
			flags = append(flags, seqqc.OneStrandOnly)
		}
	}
	for _, l := range rest {
		why, speaks := j.leftOut(main, l)
		c.Notes = append(c.Notes, why)
		if speaks {
			flags = append(flags, seqqc.StrandsDisagree)
		}
	}
	for _, l := range used {
		for _, w := range l.rows {
			if w.assumed {
				flags = append(flags, seqqc.QualityMissing)
			}
			if slices.Contains(w.read.Flags, seqqc.QualityEstimated) {
				flags = append(flags, seqqc.QualityEstimated)
			}
		}
	}
	// Stand-in qualities predict nothing.
	if !slices.Contains(flags, seqqc.QualityMissing) && c.PredictedErrors > j.p.DoubtErrorRate*float64(len(c.Bases)-c.Gap.Len()) {
		flags = append(flags, seqqc.LowQuality)
	}
	c.Flags = seqqc.MergeFlags(flags)
	c.Sequence = string(c.Bases)
	phred33 := make([]byte, len(c.Quals))
	for i, q := range c.Quals {
		phred33[i] = q + 33
	}
	c.Phred33 = string(phred33)
	return c, used
}

// better orders layouts, the better first.
func better(a, b *layout) int {
	q20A, errorsA := worth(a)
	q20B, errorsB := worth(b)
	return cmp.Or(-cmp.Compare(len(a.rows), len(b.rows)), -cmp.Compare(q20A, q20B), cmp.Compare(errorsA, errorsB),
		strings.Compare(a.rows[0].read.File, b.rows[0].read.File))
}

func worth(l *layout) (q20 int, errors float64) {
	seq, _ := l.sequence()
	for _, q := range seq.Quals {
		if q >= 20 {
			q20++
		}
		errors += align.CallError(q)
	}
	return q20, errors
}

// oneStrand reports whether all reads of a layout are of one strand.
func oneStrand(l *layout) bool {
	for _, w := range l.rows {
		if w.turned != l.rows[0].turned {
			return false
		}
	}
	return true
}

// otherPart gives the best layout that makes a two-part contig with main.
func (j joiner) otherPart(main *layout, rest []*layout) (*layout, bool) {
	for _, l := range rest {
		if apart(l, main) && bases(l) >= j.p.MinPart && bases(main) >= j.p.MinPart && !j.shared[[2]int{main.id, l.id}] {
			return l, true
		}
	}
	return nil, false
}

func bases(l *layout) int {
	seq, _ := l.sequence()
	return len(seq.Bases)
}

// clashes gives the overlap of a and b where it is telling and does not hold.
func (j joiner) clashes(a, b *layout) *overlap {
	for _, key := range [][2]int{{a.id, b.id}, {b.id, a.id}} {
		if c, ok := j.cache[key]; ok && c.telling(j.p) && !c.holds(j.p) {
			return &c.overlap
		}
	}
	return nil
}

// leftOut says why l is not in the contig, and whether that speaks against
// the sample.
func (j joiner) leftOut(main, l *layout) (why string, speaks bool) {
	left := "left out: " + names(l)
	clash := j.clashes(main, l)
	switch {
	case clash != nil:
		return fmt.Sprintf("%s; it differs from %s in %d of %d columns of their overlap, where %.1f are expected",
			left, names(main), clash.differ, clash.columns, clash.expected), true
	case j.shared[[2]int{main.id, l.id}]:
		return fmt.Sprintf("%s; it shares a stretch with %s, and the rest does not fit", left, names(main)), true
	case apart(l, main) && min(bases(l), bases(main)) < j.p.MinPart:
		return fmt.Sprintf("%s; it does not meet %s, and with fewer than %d bases is too short for a second part",
			left, names(main), j.p.MinPart), false
	case apart(l, main):
		return fmt.Sprintf("%s; it does not meet %s, and a contig has two parts at most", left, names(main)), false
	case (!main.fixed || !l.fixed) && oneStrand(main) && oneStrand(l) && !readThrough(main) && !readThrough(l):
		return fmt.Sprintf("%s; it does not overlap %s: it may be the other end of a long sequence, but not both directions are known",
			left, names(main)), false
	}
	return fmt.Sprintf("%s; it does not overlap %s, and should", left, names(main)), true
}

// write appends the consensus of l to c, with its placements and
// disagreements, and counts its errors and ambiguities.
func write(c *seqqc.Contig, l *layout) {
	starts := make([]int, len(l.rows))
	ends := make([]int, len(l.rows))
	l.each(func(col int, calls []call, rows, before []int) {
		v := l.columns[col]
		at := len(c.Bases)
		if v.mask != gapMask {
			code := align.Code(v.mask)
			c.Bases = append(c.Bases, code)
			c.Quals = append(c.Quals, v.quality)
			if code != 'N' {
				c.PredictedErrors += align.CallError(v.quality)
			}
			if !align.Plain(code) {
				c.Ambiguous++
			}
		}
		for r, w := range l.rows {
			if w.at[col] == none {
				continue
			}
			if before[r] == 0 {
				starts[r] = at
			}
			ends[r] = len(c.Bases)
		}
		if differ(calls) {
			c.Disagreements = append(c.Disagreements, disagreement(l, at, v, calls, rows, before))
		}
	})
	for r, w := range l.rows {
		c.Reads = append(c.Reads, seqqc.ReadPlacement{
			File: w.read.File,
			On:   seqqc.Interval{Start: starts[r], End: ends[r]}, Of: w.read.Kept,
			Complemented: w.turned,
		})
	}
}

// differ reports whether two calls name different codes; N names none.
func differ(calls []call) bool {
	first := uint8(0)
	for _, c := range calls {
		switch {
		case c.mask == align.MaskN:
		case first == 0:
			first = c.mask
		case c.mask != first:
			return true
		}
	}
	return false
}

func disagreement(l *layout, at int, v verdict, calls []call, rows, before []int) seqqc.Disagreement {
	d := seqqc.Disagreement{At: at, Code: letter(v.mask), Quality: int(v.quality)}
	for i, r := range rows {
		w := l.rows[r]
		k := before[r] // of the base in the row
		if calls[i].mask == gapMask {
			k-- // the base before the gap
		}
		pos := w.read.Kept.Start + k
		if w.turned {
			pos = w.read.Kept.End - 1 - k
		}
		d.Calls = append(d.Calls, seqqc.ReadCall{
			File: w.read.File, At: pos, Base: letter(calls[i].mask), Quality: int(calls[i].quality),
		})
	}
	return d
}

func letter(mask uint8) string {
	if mask == gapMask {
		return "-"
	}
	return string(align.Code(mask))
}
