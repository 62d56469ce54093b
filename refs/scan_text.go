package refs

import "forayseq/align"

// addTextViews sets up the text views of all clusters, once, with the ceilings
// that follow from the tiles of their centres that the query lacks.
//
// Let an overlap of the query with a member have k edits and hold the stretch
// from lo to hi of it. Then some overlap of the query with a stretch of the
// centre, r edits away, has k + r at most and holds that from lo + r to
// hi - r. What is said at pieces, with query and record in each other's
// place, bounds its edits by the tiles there that are not words of the query, but
// for as many as the query has windows whose words were not entered.
func (s *Scan) addTextViews() {
	if s.hasTextViews || s.q.Every {
		return
	}
	s.hasTextViews = true
	words := new(gramBlock)
	open := words.add(s.q.Seq, 0, 1)
	words.add(align.ReverseComplement(s.q.Seq), 0, 2)
	var lacks [gramRows + 1][2]uint8
	for word := range gramRows {
		bits := words.row(word)[0]
		lacks[word] = [2]uint8{uint8(^bits & 1), uint8(^bits >> 1 & 1)}
	}
	for node := range int32(s.index.clusters()) {
		size := s.extentOf(node)
		own, ok := s.leastCompared(size.least)
		if !ok {
			continue
		}
		radius := s.radiusOf(node)
		out := s.leftOut(size) + radius
		tiles := s.index.tilesOf(node)
		n := int(s.index.lengths[s.centreOf(node)])
		var edits [2]int
		for k := (out + gram - 1) / gram; k < len(tiles) && (k+1)*gram <= n-out; k++ {
			l := &lacks[tiles[k]]
			edits[0] += int(l[0])
			edits[1] += int(l[1])
		}
		for strand := range uint8(2) {
			s.views = append(s.views, view{
				ceiling: s.ceiling(size, s.fewer, edits[strand]-open-radius, s.over(own)),
				node:    node, words: node, limit: -1, strand: strand, kind: viewText,
			})
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
// addTextViews, all overlaps that cover enough of the bases of any of its units.
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
