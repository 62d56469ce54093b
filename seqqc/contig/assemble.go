package contig

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// ErrNoRead means that no read of the sample is usable.
var ErrNoRead = errors.New("no usable read")

// Assemble makes the contig of one sample from its trimmed reads, those that
// are Usable; the others are passed over, and of more than p.MaxReads those with
// the fewest bases of Q20. The contig runs forward where the
// direction of a read that is in it is known; else in the direction of the
// read whose file name comes first.
//
// The two layouts with the best overlap are joined first, until none is left
// that joins (see Params for what joins). A read of unknown direction is
// tried both ways. A read that overlaps only against its stated direction is
// turned, and a note says so; so does one where two overlap in the 5.8S only.
//
// What then lies apart:
//
//   - Two layouts that do not meet, and of which one lies before the other by the
//     primers of its reads, make a two_part contig: the first part, PartGap times
//     N, the second part. A read whose primer is not known counts as from an end
//     of the ITS, and one that was kept up to the far primer of its amplicon
//     leaves no room before it. Both parts must hold p.MinPart bases, and they
//     may not share a stretch (then they would overlap).
//   - Else the better layout is used alone, and a note says what was left out.
//     Where the two cannot be ends of one sequence, they disagree and it is
//     flagged strands_disagree. Better is more reads, for those that joined
//     bear one another out, then more bases of Q20 in the consensus, fewer
//     predicted errors, and the file name.
//
// The result does not depend on the order of reads, and the reads' other
// strands with the same directions give its other strand. The error is ErrNoRead,
// or tells of settings or a read that make no sense. Reads are not changed.
func Assemble(reads []*seqqc.Read, p Params) (*seqqc.Contig, error) {
	all, err := Alternatives(reads, p)
	if err != nil {
		return nil, err
	}
	return all[0], nil
}

// Alternatives is Assemble where the caller knows more of the sample than its
// reads tell, such as which stretch of DNA is wanted. It gives the contig of
// each layout that is left, the better first, with notes and flags about the
// others as if it were the one to use. There is at least one; a layout that is
// the second part of an earlier contig has none of its own.
func Alternatives(reads []*seqqc.Read, p Params) ([]*seqqc.Contig, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	var layouts []*layout
	for _, r := range reads {
		if !r.Usable {
			continue
		}
		if err := check(r); err != nil {
			return nil, fmt.Errorf("%s: %w", r.File, err)
		}
		layouts = append(layouts, newLayout(r, p))
	}
	if len(layouts) == 0 {
		return nil, ErrNoRead
	}
	var notes []string
	if more := len(layouts) - p.MaxReads; more > 0 {
		slices.SortStableFunc(layouts, better)
		layouts = layouts[:p.MaxReads]
		notes = append(notes, fmt.Sprintf("left out: %s; the %d with the most good bases were put together", seqqc.Count(more, "more read"), p.MaxReads))
	}
	slices.SortStableFunc(layouts, func(a, b *layout) int {
		return cmp.Or(
			cmp.Compare(a.rows[0].read.File, b.rows[0].read.File),
			bytes.Compare(a.rows[0].bases, b.rows[0].bases),
			bytes.Compare(a.rows[0].quals, b.rows[0].quals))
	})

	// The alignments break ties from left to right, so the work is always done
	// on the same one of the two strands: the one whose sequences come first.
	turned := otherStrandFirst(layouts)
	if turned {
		layouts = turnAll(layouts)
	}
	for i, l := range layouts {
		l.id = i
	}
	j := joiner{p: p, layouts: layouts, cache: map[[2]int]candidate{}, shared: map[[2]int]bool{}, notes: notes}
	if err := j.run(); err != nil {
		return nil, err
	}
	if err := j.compareRest(); err != nil {
		return nil, err
	}
	if turned {
		j.layouts = turnAll(j.layouts)
	}
	return j.contigs(), nil
}

// check holds a read against what the stages before promise.
func check(r *seqqc.Read) error {
	t := r.Trace
	switch {
	case t == nil:
		return errors.New("usable read without a trace")
	case r.Kept.Empty() || r.Kept.Start < 0 || r.Kept.End > len(t.Bases):
		return fmt.Errorf("kept stretch %d-%d of a read of %d bases", r.Kept.Start, r.Kept.End, len(t.Bases))
	case t.HasQuals() && len(t.Quals) != len(t.Bases):
		return fmt.Errorf("%d bases, %d qualities", len(t.Bases), len(t.Quals))
	}
	if i := align.Invalid(t.Bases[r.Kept.Start:r.Kept.End]); i >= 0 {
		at := r.Kept.Start + i
		return fmt.Errorf("position %d: %q is no nucleotide code", at, t.Bases[at])
	}
	return nil
}

func otherStrandFirst(layouts []*layout) bool {
	for _, l := range layouts {
		w := l.rows[0]
		if c := bytes.Compare(align.ReverseComplement(w.bases), w.bases); c != 0 {
			return c < 0
		}
	}
	return false
}

func turnAll(layouts []*layout) []*layout {
	out := make([]*layout, len(layouts))
	for i, l := range layouts {
		out[i] = l.turn()
	}
	return out
}

// joiner joins layouts until none overlap any more.
type joiner struct {
	p       Params
	layouts []*layout
	cache   map[[2]int]candidate // by the ids of two layouts, in their order
	shared  map[[2]int]bool      // of those left, which share a stretch
	notes   []string
	// in58S is true where two layouts were joined by the 5.8S alone.
	in58S bool
}

// candidate is the better of the allowed ways to lay b over a.
type candidate struct {
	overlap
	b       *layout // as it is laid
	turned  bool    // b was turned to lie over a
	against bool    // against stated directions
}

func (j *joiner) run() error {
	for id := len(j.layouts); len(j.layouts) > 1; id++ {
		first, second := -1, -1
		var best candidate
		for x := range j.layouts {
			for y := x + 1; y < len(j.layouts); y++ {
				c, err := j.candidate(j.layouts[x], j.layouts[y])
				if err != nil {
					return err
				}
				if !c.telling(j.p) || !c.holds(j.p) {
					continue
				}
				// Stated directions first, then the score.
				if first < 0 || best.against && !c.against ||
					best.against == c.against && c.al.Score > best.al.Score {
					first, second, best = x, y, c
				}
			}
		}
		if first < 0 {
			return nil
		}
		if best.against {
			j.notes = append(j.notes, fmt.Sprintf(
				"the direction of %s is doubtful: it overlaps %s only when turned round", names(best.b), names(j.layouts[first])))
		}
		a := j.layouts[first]
		if best.in58S(a, best.b) {
			j.in58S = true
			j.notes = append(j.notes, fmt.Sprintf(
				"%s and %s overlap in the 5.8S only, which unlike fungi have in common: nothing else in them tells that they are of one specimen",
				names(a), names(best.b)))
		}
		joined := merge(a, best.b, best.al, j.p)
		if best.turned && !a.fixed && best.b.fixed {
			joined = joined.turn() // b was right, a had to be turned
		}
		joined.id = id
		j.layouts[first] = joined
		j.layouts = slices.Delete(j.layouts, second, second+1)
	}
	return nil
}

// compareRest looks for what the layouts that did not join have in common, on
// either strand: directions may be unknown or wrong.
func (j *joiner) compareRest() error {
	for x, a := range j.layouts {
		for _, b := range j.layouts[x+1:] {
			c, err := j.candidate(a, b)
			if err != nil {
				return err
			}
			other := c.b.turn()
			turned, err := findOverlap(a, other)
			if err != nil {
				return err
			}
			shared := shareStretch(a, c.b, c.overlap, j.p) || shareStretch(a, other, turned, j.p)
			j.shared[[2]int{a.id, b.id}], j.shared[[2]int{b.id, a.id}] = shared, shared
		}
	}
	return nil
}

// candidate gives the best overlap of a and b: as they lie, and with b turned
// where a direction is free, or where they do not overlap as stated.
func (j *joiner) candidate(a, b *layout) (candidate, error) {
	key := [2]int{a.id, b.id}
	if c, ok := j.cache[key]; ok {
		return c, nil
	}
	straight, err := findOverlap(a, b)
	if err != nil {
		return candidate{}, err
	}
	best := candidate{overlap: straight, b: b}
	stated := a.fixed && b.fixed
	if !stated || !straight.telling(j.p) {
		turnedB := b.turn()
		turned, err := findOverlap(a, turnedB)
		if err != nil {
			return candidate{}, err
		}
		if turned.telling(j.p) && turned.al.Score > straight.al.Score {
			best = candidate{overlap: turned, b: turnedB, turned: true, against: stated}
		}
	}
	j.cache[key] = best
	return best, nil
}

// names lists the files of a layout.
func names(l *layout) string {
	var b []byte
	for i, w := range l.rows {
		switch {
		case i == 0:
		case i == len(l.rows)-1:
			b = append(b, " and "...)
		default:
			b = append(b, ", "...)
		}
		b = append(b, w.read.File...)
	}
	return string(b)
}
