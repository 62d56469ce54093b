package refs

import (
	"encoding/binary"
	"slices"

	"forayseq/align"
)

// scanIndex is what all Scans of a library share. It knows a library as units,
// its different sequences, in the order in which they first appear, as
// clusters of units that are nearly alike (see cluster), and as groups of these
// (see group).
//
// All of it is slices of whole numbers, so that it can be kept in a file as it
// is. A list of lists is kept as one slice and the starts of the lists in it,
// with the end of the last.
type scanIndex struct {
	unitOf       []int32 // by record
	recordStarts []int32 // of the units, in records
	records      []int32 // ascending within a unit

	letters      []uint64 // of the units: see align.Packed
	letterStarts []int32  // of the units, in letters
	lengths      []int32  // by unit
	bases        []int32  // by unit: letters that are not N

	memberStarts []int32 // of the clusters, in members
	members      []int32 // units; of each cluster the centre first
	radii        []int32 // of members: no fewer than the edits from the centre
	groupStarts  []int32 // of the groups, in clusters
	aways        []int32 // by cluster: no fewer than the edits from its group's centre to any of its units
	awayFirst    []int32 // as aways, to the first letters of any of its units: see endLetters
	awayLast     []int32 // and to the last
	groupRadii   []int32 // by group: no fewer than the edits from the centre to any unit
	groupFirst   []int32 // and as awayFirst
	groupLast    []int32 // and as awayLast
	// By node, clusters first and then groups.
	least, most []int32 // the least and the greatest of bases
	ns          []int32 // the greatest number of N
	open        []int32 // the greatest of gramBlock.add
	tiles       []uint16
	tileStarts  []int32  // of the clusters, in tiles: see tilesOf
	wordCounts  []int32  // by group: how many words it has
	words       []uint64 // blocks of clusters, then blocks of groups: see gramBlock
}

// scanIndexOf gives the index of a library, made when first asked for.
func (l *Library) scanIndexOf() *scanIndex {
	l.scanOnce.Do(func() { l.scanIndex = newScanIndex(l.Len(), l.seqOf) })
	return l.scanIndex
}

// newScanIndex makes the index of n records with the sequences that seq gives.
func newScanIndex(n int, seq func(record int) []byte) *scanIndex {
	x := &scanIndex{unitOf: make([]int32, n), letterStarts: []int32{0}}
	known := make(map[string]int32, n)
	var key []byte
	for r := range n {
		p := align.Pack(seq(r))
		key = binary.LittleEndian.AppendUint32(key[:0], uint32(p.Len()))
		for _, w := range p.Words() {
			key = binary.LittleEndian.AppendUint64(key, w)
		}
		u, ok := known[string(key)]
		if !ok {
			u = int32(len(known))
			known[string(key)] = u
			x.letters = append(x.letters, p.Words()...)
			x.letterStarts = append(x.letterStarts, int32(len(x.letters)))
			x.lengths = append(x.lengths, int32(p.Len()))
			x.bases = append(x.bases, int32(countBases(seq(r))))
		}
		x.unitOf[r] = u
	}
	x.recordStarts, x.records = gather(x.unitOf, len(known))
	x.cluster()
	x.enterWords()
	return x
}

// gather gives, for list numbers by element, the elements of each list.
func gather(of []int32, lists int) (starts, elements []int32) {
	starts = make([]int32, lists+1)
	for _, list := range of {
		starts[list+1]++
	}
	for i := range lists {
		starts[i+1] += starts[i]
	}
	elements = make([]int32, len(of))
	next := slices.Clone(starts)
	for i, list := range of {
		elements[next[list]] = int32(i)
		next[list]++
	}
	return starts, elements
}

func (x *scanIndex) units() int    { return len(x.lengths) }
func (x *scanIndex) clusters() int { return len(x.memberStarts) - 1 }
func (x *scanIndex) groups() int   { return len(x.groupStarts) - 1 }

// recordsOf gives the records of a unit.
func (x *scanIndex) recordsOf(unit int32) []int32 {
	return x.records[x.recordStarts[unit]:x.recordStarts[unit+1]]
}

// membersOf gives the units of a cluster with their radii.
func (x *scanIndex) membersOf(cluster int32) (units, radii []int32) {
	from, to := x.memberStarts[cluster], x.memberStarts[cluster+1]
	return x.members[from:to], x.radii[from:to]
}

// clustersOf gives the first cluster of a group and that behind its last.
func (x *scanIndex) clustersOf(group int32) (first, end int32) {
	return x.groupStarts[group], x.groupStarts[group+1]
}

// radius gives the greatest radius of a cluster.
func (x *scanIndex) radius(cluster int32) int32 {
	_, radii := x.membersOf(cluster)
	return radii[len(radii)-1]
}

// packed gives the sequence of a unit.
func (x *scanIndex) packed(unit int32) align.Packed {
	p, err := align.PackedWords(x.letters[x.letterStarts[unit]:x.letterStarts[unit+1]], int(x.lengths[unit]))
	if err != nil {
		panic("refs: " + err.Error())
	}
	return p
}

// appendLetters appends the sequence of a unit on strand 0, its own, or 1.
func (x *scanIndex) appendLetters(dst []byte, unit int32, strand int) []byte {
	if strand == 0 {
		return x.packed(unit).AppendLetters(dst)
	}
	return align.AppendReverseComplement(dst, x.packed(unit).AppendLetters(nil))
}
