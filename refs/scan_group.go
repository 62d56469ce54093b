package refs

import "forayseq/align"

// A group is a cluster, its middle, with others whose centres are some edits
// away from its own. It stands for all units of its clusters as a cluster does for
// its units: a unit is no further from the centre of the middle than it is from its
// own cluster's, and that from the middle's. Clusters are numbered group by
// group, the middle first.
const (
	// A centre is at most one edit in groupShare letters of it away from the
	// middle's.
	groupShare = 12
	// Middles are found by words of groupLength bases, one in groupSample of
	// those that there are, chosen by their hashes. A word of more than
	// groupMiddles of them tells nothing. As many as groupTries are tried a centre.
	groupLength  = 10
	groupSample  = 8
	groupMiddles = 64
	groupTries   = 4
)

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
