package refs

import "forayseq/align"

// lackingTiles gives what no overlap has fewer edits than that holds all letters
// of the units of a cluster or group but for so many at either end: how many tiles
// of the centre there are not words of the query, less what they may cost
// nothing, and the N of the query that may lie over gaps.
//
// Some overlap of the query with a stretch of the centre, r edits away, has as many edits
// and r more at most, and holds all letters of it but for the same and r more. What
// is said at pieces, with query and record in each other's place, bounds its edits
// by the tiles there that are not words of the query, but for as many as the
// query has windows whose words were not entered.
func (s *Scan) lackingTiles(v *view, out int) int {
	if s.absent == nil {
		s.enterQuery()
	}
	cluster, radius := v.node, s.radiusOf(v.node)
	if !s.isCluster(cluster) {
		cluster, _ = s.index.clustersOf(s.groupOf(v.node))
	}
	out += radius
	n := int(s.index.lengths[s.centreOf(v.node)])
	first, end := (out+gram-1)/gram, max(0, n-out)/gram
	edits := -s.openWindows - radius - s.nsBefore(len(s.q.Seq))
	if tiles := s.index.tilesOf(cluster); first < end {
		for _, tile := range tiles[first:end] {
			edits += int(s.absent[v.strand][tile])
		}
	}
	return edits
}

// enterQuery sets up absent and openWindows.
func (s *Scan) enterQuery() {
	words := new(gramBlock)
	s.openWindows = words.add(s.q.Seq, 0, 1)
	words.add(align.ReverseComplement(s.q.Seq), 0, 2)
	s.absent = new([2][gramRows + 1]uint8)
	for word := range gramRows {
		bits := words.row(word)[0]
		s.absent[0][word], s.absent[1][word] = uint8(^bits&1), uint8(^bits>>1&1)
	}
}

// addTextViews sets up the text views of all clusters, once, with the ceilings
// that follow from the tiles of their centres that the query lacks.
func (s *Scan) addTextViews() {
	if s.hasTextViews || s.q.Every {
		return
	}
	s.hasTextViews = true
	for node := range int32(s.index.clusters()) {
		size := s.extentOf(node)
		own, ok := s.leastCompared(size.least)
		if !ok {
			continue
		}
		// All members hold what lies further in than any of them may leave out.
		out := s.leftOut(size)
		for strand := range uint8(2) {
			v := view{node: node, words: node, limit: -1, strand: strand, kind: viewText}
			v.ceiling = s.ceiling(size, s.fewer, s.lackingTiles(&v, out), s.over(own))
			s.views = append(s.views, v)
		}
	}
}

// leftOut gives how many letters of a unit of extent x an overlap leaves out on
// either side at most that covers enough of its bases, which must be possible.
func (s *Scan) leftOut(x extent) int {
	least, _ := s.leastCompared(x.least)
	most, _ := s.leastCompared(x.most)
	return max(x.least-least, x.most-most) + x.ns
}

// textReach gives the Reach in the centre of a node that holds, as said at
// lackingTiles, all overlaps that cover enough of the bases of any of its units.
func (s *Scan) textReach(node int32, strand uint8) align.Reach {
	centre, size := s.centreOf(node), s.extentOf(node)
	n := int(s.index.lengths[centre])
	r := align.Reach{QStart: len(s.q.Seq)}
	if radius := s.radiusOf(node); radius > 0 || size.ns == 0 {
		out := s.leftOut(size) + radius
		r.TStart, r.TEnd = out, max(0, n-out)
		return r
	}
	c, _ := s.leastCompared(int(s.index.bases[centre]))
	s.letters = s.index.appendLetters(s.letters[:0], centre, int(strand))
	own := reachOf(s.letters, c)
	r.TStart, r.TEnd = own.QStart, own.QEnd
	return r
}
