package refs

import (
	"math"
	"slices"
	"sort"

	"forayseq/align"
)

// pieces is the query cut into disjoint words of six plain bases. They bound
// the edits of an overlap before any distance is worked out:
//
// Let a stretch of the query lie wholly inside an overlap. An edit is a letter
// of the query replaced or left out, or letters of the record put in between
// two of it; it touches one piece of the stretch at most. A piece that no edit
// touches stands over a window of six letters of the record, each of which
// stands for the base of the piece, or for it among others: the index has the
// piece among the words of the record. So the overlap has no fewer edits than the
// stretch has pieces that are not words of the record, but for those over
// windows whose words were not entered: as the pieces lie apart so do these
// windows, and there are no more of them than scanIndex.open. On the other strand
// the same holds of the piece reversed and complemented.
type pieces struct {
	// cuts are positions in the query, ascending, from 0 to its length. No
	// piece lies across one. Segment k is that from cuts[k] to cuts[k+1].
	cuts []int
	// rows are the pieces of each segment, by strand.
	rows [2][][]int
}

// maxPieces is the most pieces of a segment: their number fits four bits.
const maxPieces = 15

// cutPieces cuts seq at the positions given and so that segments are about
// step letters long.
func cutPieces(seq []byte, at []int) *pieces {
	const step = 8 * gram
	at = append(slices.Clone(at), 0, len(seq))
	slices.Sort(at)
	at = slices.Compact(at)
	p := &pieces{cuts: at[:1:1]}
	for _, end := range at[1:] {
		from := p.cuts[len(p.cuts)-1]
		for ; end-from > step+gram; from += step {
			p.cuts = append(p.cuts, from+step)
		}
		p.cuts = append(p.cuts, end)
	}
	for k, end := range p.cuts[1:] {
		var forward, complemented []int
		code, other, plain := 0, 0, 0
		for _, c := range seq[p.cuts[k]:end] {
			base, ok := plainBase(c)
			if !ok {
				plain = 0
				continue
			}
			code = (code<<2 | base) & (gramRows - 1)
			other = other>>2 | (3-base)<<(2*(gram-1))
			if plain++; plain == gram && len(forward) < maxPieces {
				forward, complemented = append(forward, code), append(complemented, other)
				plain = 0
			}
		}
		p.rows[0], p.rows[1] = append(p.rows[0], forward), append(p.rows[1], complemented)
	}
	return p
}

// at gives the number of the cut at a position, which must be one.
func (p *pieces) at(position int) int {
	k, _ := slices.BinarySearch(p.cuts, position)
	return k
}

// missing counts, for the records of a block, the pieces of each segment that
// are not among their words: out[k][record].
func (p *pieces) missing(b *gramBlock, strand int, out [][blockRecords]uint8) {
	for k, rows := range p.rows[strand] {
		// Numbers of four bits for 64 records at a time, one word a bit.
		var ones, twos, fours, eights [blockWords]uint64
		for _, row := range rows {
			for w, has := range &b[row] {
				carry := ^has
				ones[w], carry = ones[w]^carry, ones[w]&carry
				twos[w], carry = twos[w]^carry, twos[w]&carry
				fours[w], carry = fours[w]^carry, fours[w]&carry
				eights[w] ^= carry
			}
		}
		for w := range blockWords {
			for i := range 64 {
				out[k][64*w+i] = uint8(ones[w]>>i&1 | twos[w]>>i&1<<1 | fours[w]>>i&1<<2 | eights[w]>>i&1<<3)
			}
		}
	}
}

// latestStart gives the position at which an overlap that covers enough begins
// at the latest where it ends at to: then it has c bases, or a whole spacer. It
// grows with to.
func (s *Scan) latestStart(to int) int {
	// The last position with no more than before[to]-c bases before it; c is fewer + 1.
	latest := sort.Search(len(s.before), func(i int) bool { return s.before[i] > s.before[to]-s.fewer-1 }) - 1
	for _, v := range s.spanning {
		if v.QEnd <= to {
			latest = max(latest, v.QStart)
		}
	}
	return max(latest, 0)
}

// boundByPieces lowers the ceilings of all records by the pieces that they
// lack.
func (s *Scan) boundByPieces(lastStart int) {
	first, m := s.forward.QStart, len(s.q.Seq)
	at := []int{first, s.forward.QEnd, lastStart}
	for _, v := range s.spanning {
		at = append(at, v.QStart, v.QEnd)
	}
	p := cutPieces(s.q.Seq, at)
	segments := len(p.cuts) - 1
	if segments == 0 {
		return
	}
	kFirst, kEnd, kLast := p.at(first), p.at(s.forward.QEnd), p.at(lastStart)
	// By segment that a forward overlap ends in: the first cut behind which
	// all of the query up to there is in it.
	starts := make([]int, segments)
	for k := range starts {
		at, _ := slices.BinarySearch(p.cuts, s.latestStart(p.cuts[k+1]-1))
		starts[k] = min(at, kFirst)
	}
	missing := make([][blockRecords]uint8, segments)
	sums := make([]int, segments+1) // pieces missing before each cut
	for b := range s.index.blocks {
		for strand := range 2 {
			p.missing(&s.index.blocks[b], strand, missing)
			for i := range min(blockRecords, len(s.states)-b*blockRecords) {
				r := b*blockRecords + i
				for k := range missing {
					sums[k+1] = sums[k] + int(missing[k][i])
				}
				open := int(s.index.open[r])
				s.states[r].lacking = min(s.states[r].lacking, uint16(min(sums[segments]+open, math.MaxUint16)))
				views := s.states[r].views[strand*viewKinds:][:viewKinds]
				if v := &views[viewForward]; !v.done {
					c := s.ceiling(r, s.bases, sums[segments]-sums[kFirst]-open, 0)
					// Overlaps that end before the next cut.
					for k := kEnd; k < segments; k++ {
						edits := sums[k] - sums[min(k, starts[k])] - open
						c = max(c, s.ceiling(r, s.before[p.cuts[k+1]-1], edits, 0))
					}
					v.ceiling = min(v.ceiling, c)
				}
				if v := &views[viewBack]; !v.done {
					c := 0.0
					// Overlaps that begin after the cut before.
					for k := kFirst + 1; k <= kLast; k++ {
						most := min(s.fewer, s.bases-s.before[p.cuts[k-1]+1])
						c = max(c, s.ceiling(r, most, sums[segments]-sums[k]-open, 0))
					}
					v.ceiling = min(v.ceiling, c)
				}
				if v := &views[viewInside]; !v.done {
					edits := m
					for _, reach := range s.spanning {
						edits = min(edits, sums[p.at(reach.QEnd)]-sums[p.at(reach.QStart)])
					}
					v.ceiling = min(v.ceiling, s.ceiling(r, s.fewer, edits-open, 0))
				}
			}
		}
	}
}

// boundText bounds a text view of which nothing is known by the words that the
// query lacks: what is said at pieces, with the query and the record in each
// other's place. It is false where that says nothing.
func (s *Scan) boundText(r, from int) bool {
	strand, v := from/viewKinds, &s.states[r].views[from]
	if from%viewKinds != viewText || v.limit >= 0 {
		return false
	}
	if s.words == nil {
		s.words = new(gramBlock)
		s.open = s.words.add(s.q.Seq, 0, 1)
		s.words.add(align.ReverseComplement(s.q.Seq), 0, 2)
	}
	own, seq := s.ownReach(r, strand), s.lib.Records[r].Seq
	lo, hi := own.QStart, own.QEnd
	if strand == 1 {
		lo, hi = len(seq)-hi, len(seq)-lo
	}
	edits, code, plain := -s.open, 0, 0
	for i := lo; i < hi; i++ {
		base, ok := plainBase(seq[i])
		if !ok {
			plain = 0
			continue
		}
		code = (code<<2 | base) & (gramRows - 1)
		if plain++; plain >= gram && s.words[code][0]>>strand&1 == 0 {
			edits++
			plain = 0
		}
	}
	if edits <= 0 {
		return false
	}
	v.limit = edits - 1
	v.ceiling = min(v.ceiling, s.ceiling(r, s.fewer, edits, 0))
	return true
}

// fewSeeds is the number of seeds where records are aligned one by one.
const fewSeeds = 4

// seed aligns the records, of those for which keep is true, that lack the
// fewest pieces, as many as are aligned side by side. They are the likely
// best: with their identities known the search has a floor from the beginning.
// They affect its speed, never its result.
func (s *Scan) seed(keep func(record int) bool) error {
	most := s.lanes.Width()
	if most == 1 {
		most = fewSeeds
	}
	var seeds []int // by lacking, then library order
	for r := range s.states {
		if len(seeds) == most && s.states[r].lacking >= s.states[seeds[most-1]].lacking || keep != nil && !keep(r) {
			continue
		}
		if c, _ := s.highest(r, forBest); c <= 0 {
			continue
		}
		at, _ := slices.BinarySearchFunc(seeds, s.states[r].lacking, func(seed int, lacking uint16) int {
			if s.states[seed].lacking <= lacking {
				return -1
			}
			return 1
		})
		seeds = slices.Insert(seeds, at, r)
		seeds = seeds[:min(len(seeds), most)]
	}
	seeds = slices.DeleteFunc(seeds, func(r int) bool { return s.found[r] != nil })
	_, err := s.alignAll(seeds)
	return err
}
