package refs

import (
	"cmp"
	"slices"

	"forayseq/align"
)

// A cluster is a unit, its centre, with others that are few edits away from
// it, their radius: from end to end, a code that stands for several bases
// being equal to the same code only. Each unit lies in one cluster.
//
// What a query's distance from the centre says of a member. Let an overlap of
// the query with member x have k edits, as align.Pattern counts them, and let x
// be r edits away from centre c. The way from x to c takes the stretch of x
// under the overlap to a stretch of c with no more than r edits, the beginning of
// x to the beginning of c and the end to the end; a letter of the query that
// may be that of x may be the equal letter of c. So the overlap of the query with
// that stretch of c has k + r edits at most; it uses the same letters of the
// query, begins with c where the other begins with x and ends with c where
// that ends with x. Where a Reach allows it for x, it allows it for c, if it
// leaves the letters of the text free (TStart beyond all, TEnd 0): the
// distance of x is no less than that of c less r.
const (
	// A member is at most one edit in clusterShare letters of the centre away.
	clusterShare = 32
	// Centres are found by their minimizers: of each window of sketchWindow
	// words of sketchLength bases the one of the lowest hash (Roberts et al.
	// 2004, Bioinformatics 20: 3363-3369, DOI 10.1093/bioinformatics/bth408,
	// from memory). A unit that none of them leads to its centre becomes one.
	sketchLength = 14
	sketchWindow = 40
	// At most sketchCentres centres are kept a minimizer, and clusterTries
	// of them tried a unit.
	sketchCentres = 6
	clusterTries  = 3
)

// cluster makes the clusters. The result depends on the order of the library
// only.
func (x *scanIndex) cluster() {
	known := make(map[uint32][]int32) // centres by minimizer
	clusterOf := make([]int32, x.units())
	radius := make([]int32, x.units())
	var centres []int32
	var seq, other []byte
	var sketch []uint32
	votes := make(map[int32]int)
	for u := range int32(x.units()) {
		seq = x.appendLetters(seq[:0], u, 0)
		sketch = minimizers(sketch[:0], seq)
		clear(votes)
		for _, h := range sketch {
			for _, c := range known[h] {
				votes[c]++
			}
		}
		best, found := len(seq)/clusterShare+1, int32(-1)
		if top := mostVoted(votes, clusterTries); len(top) > 0 {
			from, err := align.NewPattern(seq)
			for _, c := range top {
				centre := centres[c]
				if n := int(x.lengths[centre]); err != nil || n-len(seq) >= best || len(seq)-n >= best {
					continue
				}
				other = x.appendLetters(other[:0], centre, 0)
				if d := editsWithin(from, seq, other, best-1); d < best {
					best, found = d, c
				}
			}
		}
		if found >= 0 {
			clusterOf[u], radius[u] = found, int32(best)
			continue
		}
		c := int32(len(centres))
		clusterOf[u], centres = c, append(centres, u)
		for _, h := range sketch {
			if len(known[h]) < sketchCentres {
				known[h] = append(known[h], c)
			}
		}
	}
	groupOf, away := x.group(centres)
	var inOrder []int32
	x.groupStarts, inOrder = gather(groupOf, int(slices.Max(append(groupOf, -1)))+1)
	number := make([]int32, len(centres))
	for n, c := range inOrder {
		number[c] = int32(n)
	}
	for u, c := range clusterOf {
		clusterOf[u] = number[c]
	}
	x.memberStarts, x.members = gather(clusterOf, len(centres))
	x.radii = make([]int32, x.units())
	edits := make([]int32, len(centres)) // from the group's centre to that of the cluster
	for c := range int32(len(centres)) {
		units, radii := x.membersOf(c)
		// The centre is the first unit of its cluster, and stays it.
		slices.SortStableFunc(units[1:], func(a, b int32) int { return cmp.Compare(radius[a], radius[b]) })
		for i, u := range units {
			radii[i] = radius[u]
		}
		edits[c] = away[inOrder[c]]
	}
	x.measureAways(edits)
}

// mostVoted gives the clusters with the most votes, of those with as many the
// first made, at most so many.
func mostVoted(votes map[int32]int, most int) []int32 {
	var top []int32
	for c, n := range votes {
		at, _ := slices.BinarySearchFunc(top, c, func(a, b int32) int {
			return cmp.Or(cmp.Compare(n, votes[a]), cmp.Compare(a, b))
		})
		if at < most {
			top = slices.Insert(top, at, c)
			top = top[:min(len(top), most)]
		}
	}
	return top
}

// minimizers appends the hashes of the minimizers of seq, each once where it
// is that of windows that follow one another. Letters other than A, C, G and T
// are in no word.
func minimizers(dst []uint32, seq []byte) []uint32 {
	const mask = 1<<(2*sketchLength) - 1
	var window [sketchWindow]uint32
	code, plain, words := uint32(0), 0, 0
	least, last := -1, -1 // numbers of the word of the window and of that given last
	for _, c := range seq {
		base, ok := plainBase(c)
		if !ok {
			plain = 0
			continue
		}
		code = (code<<2 | uint32(base)) & mask
		if plain++; plain < sketchLength {
			continue
		}
		// Multiplied by 2^32 divided by the golden ratio; the high bits are mixed.
		h := code * 2654435769
		window[words%sketchWindow] = h ^ h>>15
		words++
		if words < sketchWindow {
			continue
		}
		switch {
		case least < words-sketchWindow:
			least = words - sketchWindow
			for w := least + 1; w < words; w++ {
				if window[w%sketchWindow] < window[least%sketchWindow] {
					least = w
				}
			}
		case window[(words-1)%sketchWindow] < window[least%sketchWindow]:
			least = words - 1
		}
		if least != last {
			dst = append(dst, window[least%sketchWindow])
			last = least
		}
	}
	return dst
}

// editsWithin gives a number of edits in which a, whose pattern is given,
// becomes b, from end to end, letters being equal only to themselves: the
// least, or with letters that stand for several bases perhaps more. It is
// more than limit where it gives that up.
func editsWithin(pattern *align.Pattern, a, b []byte, limit int) int {
	return editsBetween(pattern, a, b, align.Reach{QEnd: len(a), TEnd: len(b)}, limit)
}

// editsBetween is editsWithin for the overlaps of a reach.
func editsBetween(pattern *align.Pattern, a, b []byte, reach align.Reach, limit int) int {
	d := 0 // a column of a letter that stands for several may have cost nothing
	for _, seq := range [][]byte{a, b} {
		for _, c := range seq {
			switch {
			case align.Mask(c) == 0:
				return limit + 1
			case !align.Plain(c):
				d++
			}
		}
	}
	if d > limit {
		return limit + 1
	}
	return d + pattern.Distance(b, reach, limit-d)
}
