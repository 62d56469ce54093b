package refs

import (
	"slices"

	"forayseq/align"
)

// A group is a cluster, its middle, with others whose centres are some edits
// away from its own. It stands for all units of its clusters as a cluster does for
// its units: a unit is no further from the centre of the middle than it is from its
// own cluster's, and that from the middle's. Clusters are numbered group by
// group, the middle first.
const (
	// A centre is at most one edit in groupShare letters of it away from the
	// middle's.
	groupShare = 14
	// Middles are found by words of groupLength bases, one in groupSample of
	// those that there are, chosen by their hashes. A word of more than
	// groupMiddles of them tells nothing. As many as groupTries are tried a centre.
	groupLength  = 10
	groupSample  = 8
	groupMiddles = 64
	groupTries   = 4
)

// endLetters is how many letters the ends of a record have of which it is known
// how far they are from those of its group's centre: of an overlap that uses no
// more than these at the beginning or end of a unit, there is one with the centre that
// has no more than these edits more. For what leads from them to the
// beginning, or end, of the centre leads from any shorter end to it, too.
const endLetters = 320

// measureAways finds the edits from the centres of the groups to the units of the
// clusters, all letters being at most edits[c] and the cluster's radius away.
func (x *scanIndex) measureAways(edits []int32) {
	x.aways, x.awayFirst, x.awayLast = make([]int32, x.clusters()), make([]int32, x.clusters()), make([]int32, x.clusters())
	x.groupRadii, x.groupFirst, x.groupLast = make([]int32, x.groups()), make([]int32, x.groups()), make([]int32, x.groups())
	var seq, centre []byte
	for g := range x.groupRadii {
		first, end := x.clustersOf(int32(g))
		middle := x.members[x.memberStarts[first]]
		centre = x.appendLetters(centre[:0], middle, 0)
		for c := first; c < end; c++ {
			x.aways[c] = edits[c] + x.radius(c)
			units, radii := x.membersOf(c)
			for i, u := range units {
				if u == middle {
					continue
				}
				seq = x.appendLetters(seq[:0], u, 0)
				limit := int(edits[c] + radii[i])
				x.awayFirst[c] = max(x.awayFirst[c], int32(beginningEdits(seq, centre, limit)))
				slices.Reverse(seq)
				slices.Reverse(centre)
				x.awayLast[c] = max(x.awayLast[c], int32(beginningEdits(seq, centre, limit)))
				slices.Reverse(centre)
			}
		}
		x.groupRadii[g] = slices.Max(x.aways[first:end])
		x.groupFirst[g], x.groupLast[g] = slices.Max(x.awayFirst[first:end]), slices.Max(x.awayLast[first:end])
	}
}

// beginningEdits gives the edits, not more than limit, in which the first endLetters
// of seq become a beginning of other, which is known to be so for a number of
// edits of limit; letters are equal only to themselves.
func beginningEdits(seq, other []byte, limit int) int {
	seq = seq[:min(endLetters, len(seq))]
	other = other[:min(len(seq)+limit, len(other))]
	pattern, err := align.NewPattern(seq)
	if err != nil {
		return limit
	}
	return min(limit, editsBetween(pattern, seq, other, align.Reach{QEnd: len(seq), TEnd: 0}, limit))
}

// group gives for each of the centres its group, and the edits from the group's
// centre.
func (x *scanIndex) group(centres []int32) (groupOf, away []int32) {
	groupOf, away = make([]int32, len(centres)), make([]int32, len(centres))
	known := make(map[uint32][]int32) // groups by word
	var middles []int32
	var seq, other []byte
	var words []uint32
	votes := make(map[int32]int)
	for i, u := range centres {
		seq = x.appendLetters(seq[:0], u, 0)
		words = sampledWords(words[:0], seq)
		clear(votes)
		for _, w := range words {
			if len(known[w]) < groupMiddles {
				for _, g := range known[w] {
					votes[g]++
				}
			}
		}
		best, found := len(seq)/groupShare+1, int32(-1)
		if top := mostVoted(votes, groupTries); len(top) > 0 {
			from, err := align.NewPattern(seq)
			for _, g := range top {
				middle := middles[g]
				if n := int(x.lengths[middle]); err != nil || n-len(seq) >= best || len(seq)-n >= best {
					continue
				}
				other = x.appendLetters(other[:0], middle, 0)
				if d := editsWithin(from, seq, other, best-1); d < best {
					best, found = d, g
				}
			}
		}
		if found >= 0 {
			groupOf[i], away[i] = found, int32(best)
			continue
		}
		g := int32(len(middles))
		groupOf[i], middles = g, append(middles, u)
		for _, w := range words {
			if len(known[w]) < groupMiddles {
				known[w] = append(known[w], g)
			}
		}
	}
	return groupOf, away
}

// sampledWords appends the words of seq by which middles are found. Letters
// other than A, C, G and T are in no word.
func sampledWords(dst []uint32, seq []byte) []uint32 {
	code, plain := uint32(0), 0
	for _, c := range seq {
		base, ok := plainBase(c)
		if !ok {
			plain = 0
			continue
		}
		code = (code<<2 | uint32(base)) & (1<<(2*groupLength) - 1)
		if plain++; plain >= groupLength && code*2654435769>>16%groupSample == 0 {
			dst = append(dst, code)
		}
	}
	return dst
}
