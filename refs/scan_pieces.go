package refs

import "slices"

// pieces is the query cut into disjoint words of six plain bases. They bound
// the edits of an overlap before any distance is worked out:
//
// Let a stretch of the query lie wholly inside an overlap. An edit is a letter
// of the query replaced or left out, or letters of the record put in between
// two of it; it touches one piece of the stretch at most. A piece that no edit
// touches stands over a window of six letters of the record, each of which
// stands for the base of the piece, or for it among others: the index has the
// piece among the words of the record's cluster. So the overlap has no fewer edits than the
// stretch has pieces that are not words of the cluster, but for those over
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

// maxLacking is the most pieces that Scan.lacking tells apart.
const maxLacking = 1023

// cutPieces cuts seq at the positions given and so that segments are about
// step letters long.
func cutPieces(seq []byte, at []int) *pieces {
	const step = 4 * gram
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

// missing counts, for the clusters of a block, the pieces of each segment that
// are not among their words: out[k][cluster].
func (p *pieces) missing(b *gramBlock, strand int, out [][blockClusters]uint8) {
	for k, rows := range p.rows[strand] {
		// Numbers of four bits for 64 clusters at a time, one word a bit.
		var ones, twos, fours, eights [blockWords]uint64
		for _, row := range rows {
			for w, has := range b.row(row) {
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

// boundByPieces sets up the views of all clusters but those of the kind text,
// with the ceilings that follow from the pieces of the query that they lack.
func (s *Scan) boundByPieces() {
	x, first := s.index, s.forward.QStart
	at := []int{first, s.forward.QEnd, s.lastStart}
	for _, v := range s.spanning {
		at = append(at, v.QStart, v.QEnd)
	}
	p := cutPieces(s.q.Seq, at)
	segments := len(p.cuts) - 1
	kFirst, kEnd, kLast := p.at(first), p.at(s.forward.QEnd), p.at(s.lastStart)
	// By segment that a forward overlap ends in: the first cut behind which
	// all of the query up to there is in it.
	starts := make([]int, segments)
	for k := range starts {
		at, _ := slices.BinarySearch(p.cuts, s.latestStart(p.cuts[k+1]-1))
		starts[k] = min(at, kFirst)
	}
	missing := make([][blockClusters]uint8, segments)
	sums := make([]int, segments+1) // pieces missing before each cut
	s.pieces, s.missing = p, make([]uint8, 2*segments*x.clusters())
	s.lacking = make([]int32, x.clusters())
	s.views = make([]view, 0, 2*x.clusters())
	for from := 0; from < x.clusters(); from += blockClusters {
		for strand := range uint8(2) {
			p.missing(x.block(from/blockClusters), int(strand), missing)
			for i := range min(blockClusters, x.clusters()-from) {
				node := int32(from + i)
				own := s.missing[(2*int(node)+int(strand))*segments:][:segments]
				for k := range missing {
					own[k] = missing[k][i]
					sums[k+1] = sums[k] + int(own[k])
				}
				open, size := int(x.open[node]), s.extentOf(node)
				if all := 2*int32(min(sums[segments]+open, maxLacking)) + int32(strand); strand == 0 || all < s.lacking[node] {
					s.lacking[node] = all
				}
				add := func(kind uint8, ceiling float64) {
					s.views = append(s.views, view{ceiling: ceiling, node: node, cluster: node, limit: -1, strand: strand, kind: kind})
				}

				c := s.ceiling(size, s.bases, sums[segments]-sums[kFirst]-open, 0)
				// Overlaps that end before the next cut.
				for k := kEnd; k < segments; k++ {
					edits := sums[k] - sums[min(k, starts[k])] - open
					c = max(c, s.ceiling(size, s.before[p.cuts[k+1]-1], edits, 0))
				}
				add(viewForward, c)
				if len(s.spanning) == 0 {
					continue
				}
				if s.lastStart > first {
					c = 0
					// Overlaps that begin after the cut before.
					for k := kFirst + 1; k <= kLast; k++ {
						most := min(s.fewer, s.bases-s.before[p.cuts[k-1]+1])
						c = max(c, s.ceiling(size, most, sums[segments]-sums[k]-open, 0))
					}
					add(viewBack, c)
				}
				edits := len(s.q.Seq)
				for _, reach := range s.spanning {
					edits = min(edits, sums[p.at(reach.QEnd)]-sums[p.at(reach.QStart)])
				}
				add(viewInside, s.ceiling(size, s.fewer, edits-open, s.over(size.least)))
			}
		}
	}
}
