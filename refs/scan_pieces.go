package refs

import (
	"math/bits"
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
			if plain++; plain == gram {
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

// within gives the pieces between two positions, which must be cuts, on a
// strand.
func (p *pieces) within(v align.Interval, strand int) []int {
	return slices.Concat(p.rows[strand][p.at(v.Start):p.at(v.End)]...)
}

// counters has a number for each cluster of a block, bit by bit: one bit of 64
// numbers a word.
type counters [counterBits][blockWords]uint64

const (
	counterBits = 10
	maxCount    = 1<<counterBits - 1
)

// missing counts the pieces that are not among the words of a cluster, of
// maxCount at most.
func (t *counters) missing(b *gramBlock, rows []int) {
	*t = counters{}
	for _, row := range rows[:min(len(rows), maxCount)] {
		for w, has := range b.row(row) {
			carry := ^has
			for k := 0; carry != 0; k++ {
				t[k][w], carry = t[k][w]^carry, t[k][w]&carry
			}
		}
	}
}

// below gives a bit for each number that is less than n.
func (t *counters) below(n int) (less [blockWords]uint64) {
	for w := range less {
		if n > maxCount {
			less[w] = ^uint64(0)
			continue
		}
		equal := ^uint64(0)
		for k := counterBits - 1; k >= 0; k-- {
			if n>>k&1 == 1 {
				less[w] |= equal &^ t[k][w]
				equal &= t[k][w]
			} else {
				equal &^= t[k][w]
			}
		}
		if n <= 0 {
			less[w] = 0
		}
	}
	return less
}

// at gives number i.
func (t *counters) at(i int) (n int) {
	for k := range counterBits {
		n |= int(t[k][i/64]>>(i%64)&1) << k
	}
	return n
}

// A core is a stretch of the query, of which every overlap that serves a
// purpose holds one at least, but for text views: where it compares as many
// bases as the gate asks what lies between first and last, and else a whole
// spacer, with less than so many bases compared.
type core struct {
	align.Interval
	most    int           // of the query's bases in an overlap
	missing [2][]counters // of its pieces, by strand and block
}

// prepareCores counts what the clusters lack of the query and of its cores.
func (s *Scan) prepareCores(covers bool) {
	x := s.index
	at := []int{s.forward.QStart, s.forward.QEnd, s.lastStart}
	if covers {
		s.cores = append(s.cores, core{Interval: s.covered, most: s.bases})
		at = append(at, s.covered.Start, s.covered.End)
	}
	for _, v := range s.spanning {
		s.cores = append(s.cores, core{Interval: align.Interval{Start: v.QStart, End: v.QEnd}, most: s.fewer})
		at = append(at, v.QStart, v.QEnd)
	}
	if len(s.cores) == 0 {
		return
	}
	s.pieces = cutPieces(s.q.Seq, at)
	s.missing = make([]uint8, len(s.pieces.cuts)-1) // those of what is not counted
	s.kFirst, s.kEnd, s.kLast = s.pieces.at(s.forward.QStart), s.pieces.at(s.forward.QEnd), s.pieces.at(s.lastStart)
	for _, v := range s.spanning {
		s.spanned = append(s.spanned, align.Interval{Start: s.pieces.at(v.QStart), End: s.pieces.at(v.QEnd)})
	}
	// By segment that a forward overlap ends in: the first cut behind which
	// all of the query up to there is in it.
	for k := range s.pieces.cuts[1:] {
		at, _ := slices.BinarySearch(s.pieces.cuts, s.latestStart(s.pieces.cuts[k+1]-1))
		s.starts = append(s.starts, min(at, s.kFirst))
	}
	blocks := blocksOf(x.groups())
	for i := range s.cores {
		c := &s.cores[i]
		for strand := range 2 {
			rows := s.pieces.within(c.Interval, strand)
			c.missing[strand] = make([]counters, blocks)
			for b := range blocks {
				c.missing[strand][b].missing(x.groupBlock(b), rows)
			}
		}
	}
	s.made = make([][2][blockWords]uint64, blocks)
	s.always = make([]uint64, blocks*blockWords)
	for g := range x.groups() {
		if s.unsure(int32(g)) > 0 {
			s.always[g/64] |= 1 << (g % 64)
		}
	}
	s.lacking = make([]int32, x.groups())
	var all counters
	for strand := range 2 {
		rows := s.pieces.within(align.Interval{End: len(s.q.Seq)}, strand)
		for g := range s.lacking {
			if g%blockClusters == 0 {
				all.missing(x.groupBlock(g/blockClusters), rows)
			}
			n := 2*int32(min(all.at(g%blockClusters)+int(x.open[x.clusters()+g]), maxCount)) + int32(strand)
			if strand == 0 || n < s.lacking[g] {
				s.lacking[g] = n
			}
		}
	}
}

// unsure is how many pieces may be missing in a group that cost no errors. An N of
// the query over a gap lies in no piece.
func (s *Scan) unsure(group int32) int {
	node := int32(s.index.clusters()) + group
	return int(s.index.open[node] + s.index.ns[node])
}

// makeViews sets up the views of any, of the groups that may have one of
// ceiling least or more and have none yet.
func (s *Scan) makeViews(least float64) {
	x := s.index
	wanted := make([][2][blockWords]uint64, len(s.made))
	for i := range s.cores {
		c := &s.cores[i]
		// The edits that bring the ceiling below least.
		enough := sort.Search(maxCount+1, func(e int) bool {
			return float64(100*c.most)/float64(max(1, c.most+e)) < least
		})
		for b := range wanted {
			for strand := range wanted[b] {
				may := c.missing[strand][b].below(enough)
				for w := range may {
					wanted[b][strand][w] |= may[w]
					for rest := s.always[b*blockWords+w] &^ wanted[b][strand][w] &^ s.made[b][strand][w]; rest != 0; rest &= rest - 1 {
						at := 64*w + bits.TrailingZeros64(rest)
						if c.missing[strand][b].at(at) < enough+s.unsure(int32(b*blockClusters+at)) {
							wanted[b][strand][w] |= rest & -rest
						}
					}
				}
			}
		}
	}
	for b := range wanted {
		for strand := range wanted[b] {
			for w, may := range wanted[b][strand] {
				first := b*blockClusters + 64*w
				if rest := x.groups() - first; rest < 64 {
					may &= 1<<max(rest, 0) - 1
				}
				may &^= s.made[b][strand][w]
				s.made[b][strand][w] |= may
				for ; may != 0; may &= may - 1 {
					s.makeAny(int32(x.clusters()+first+bits.TrailingZeros64(may)), uint8(strand), 100)
				}
			}
		}
	}
}

// makeAny sets up the view of any of a cluster or group on a strand, of which
// no ceiling is above most. What its words lack is counted when it is needed.
func (s *Scan) makeAny(node int32, strand uint8, most float64) {
	s.views = append(s.views, view{ceiling: most, node: node, words: node, counts: -1, limit: -1, strand: strand, kind: viewAny})
}

// know counts what the words of a view of any lack, and lowers its ceiling by it.
func (s *Scan) know(v *view) {
	v.counts = s.count(v.node, v.strand)
	most := -1.0
	for _, c := range s.outlooks(v) {
		most = max(most, c)
	}
	v.ceiling = min(v.ceiling, most)
}

// split sets up the views of the other kinds that the view of any of a cluster
// stands for.
func (s *Scan) split(v view) {
	most := v.ceiling
	v.done = false
	for kind, c := range s.outlooks(&v) {
		v.kind, v.ceiling = uint8(kind), min(c, most)
		if c >= 0 {
			s.views = append(s.views, v)
		}
	}
}

// count counts the pieces of each segment that are not among the words of a
// cluster or group, and gives where in missing their numbers begin. Those of the
// 64 nodes that share words of the rows are counted together, when first asked
// for.
func (s *Scan) count(node int32, strand uint8) int32 {
	place := s.index.placeOf(node)
	segments := int32(len(s.pieces.rows[strand]))
	if s.counted[strand] == nil {
		s.counted[strand] = make([]int32, len(s.index.words)/gramRows)
	}
	start := &s.counted[strand][place/64]
	if *start == 0 {
		*start = int32(len(s.missing)) + 1
		s.missing = append(s.missing, make([]uint8, 64*segments)...)
		s.countMany(s.index.block(int(place/blockClusters)), int(place%blockClusters/64), strand, s.missing[*start-1:])
	}
	return *start - 1 + place%64*segments
}

// countMany counts those of the 64 nodes of one word in the rows of a block, node
// by node. Eight are counted at a time, one a byte.
func (s *Scan) countMany(b *gramBlock, word int, strand uint8, out []uint8) {
	segments := len(s.pieces.rows[strand])
	for k, rows := range s.pieces.rows[strand] {
		var counts [8]uint64
		for _, row := range rows {
			lacks := ^b.row(row)[word]
			for i := range counts {
				counts[i] += spread[uint8(lacks>>(8*i))]
			}
		}
		for i, of8 := range counts {
			for node := 8 * i; node < 8*(i+1); node++ {
				out[node*segments+k] = uint8(of8)
				of8 >>= 8
			}
		}
	}
}

// spread has for each byte its bits, one a byte.
var spread = func() (t [256]uint64) {
	for b := range t {
		for bit := range 8 {
			t[b] |= uint64(b>>bit&1) << (8 * bit)
		}
	}
	return t
}()

// outlooks gives, by kind, the ceilings that follow from the pieces that a
// view's words lack; below zero where there is no such view.
func (s *Scan) outlooks(v *view) (c [viewInside + 1]float64) {
	p := s.pieces
	segments := len(p.cuts) - 1
	s.sums = append(s.sums[:0], 0) // pieces missing before each cut
	for k, n := range s.missing[v.counts:][:segments] {
		s.sums = append(s.sums, s.sums[k]+int(n))
	}
	sums, open, size := s.sums, int(s.index.open[v.words]), s.extentOf(v.node)
	best := ratio{-1, 1}
	// from sees overlaps that begin behind the cut before one of those up to last,
	// or in it, and end with so many bases before their end and not before the cut to.
	from := func(last, bases, to int) {
		for k := 0; k <= last; k++ {
			most := bases
			if k > 0 {
				most -= s.before[p.cuts[k-1]+1]
			}
			best = best.max(s.ratio(size, most, sums[to]-sums[k]-open, 0))
		}
	}
	from(s.kFirst, s.bases, segments)
	// Overlaps that end before the next cut.
	for k := s.kEnd; k < segments; k++ {
		from(min(k, s.starts[k]), s.before[p.cuts[k+1]-1], k)
	}
	c[viewForward] = best.percent()
	c[viewBack], c[viewInside] = -1, -1
	if len(s.spanning) == 0 {
		return c
	}
	// Overlaps that begin after the cut before.
	best = ratio{-1, 1}
	for k := s.kFirst + 1; k <= s.kLast; k++ {
		most := min(s.fewer, s.bases-s.before[p.cuts[k-1]+1])
		best = best.max(s.ratio(size, most, sums[segments]-sums[k]-open, 0))
	}
	if best.part >= 0 {
		c[viewBack] = best.percent()
	}
	edits := len(s.q.Seq)
	for _, v := range s.spanned {
		edits = min(edits, sums[v.End]-sums[v.Start])
	}
	c[viewInside] = s.ceiling(size, s.fewer, edits-open, s.over(size.least))
	if c[viewInside] > max(c[viewForward], c[viewBack]) {
		edits = s.lackingTiles(v, 0)
		c[viewInside] = min(c[viewInside], s.ceiling(size, s.fewer, edits, 0))
	}
	return c
}
