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
		// All members hold what lies further in than any of them may leave out.
		most, _ := s.leastCompared(size.most)
		radius := s.radiusOf(node)
		out := max(size.least-own, size.most-most) + size.ns + radius
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
				done: true, // no more is known of all units
			})
		}
	}
}

// ownReach is reachOf a unit on a strand for the coverage of its own bases,
// which must be possible.
func (s *Scan) ownReach(unit int32, strand uint8) align.Reach {
	bases, n := int(s.index.bases[unit]), int(s.index.lengths[unit])
	c, _ := s.leastCompared(bases)
	if rest := bases - c; bases == n {
		return align.Reach{QStart: rest, QEnd: c}
	}
	s.letters = s.index.appendLetters(s.letters[:0], unit, int(strand))
	return reachOf(s.letters, c)
}
