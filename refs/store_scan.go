package refs

import (
	"slices"

	"forayseq/align"
)

// arrays are all that a scanIndex has, to be written or found.
func (x *scanIndex) arrays() []array {
	return []array{
		arrayOf("unit of record", &x.unitOf), arrayOf("record starts", &x.recordStarts), arrayOf("records of units", &x.records),
		arrayOf("letters", &x.letters), arrayOf("letter starts", &x.letterStarts), arrayOf("lengths", &x.lengths), arrayOf("bases", &x.bases),
		arrayOf("member starts", &x.memberStarts), arrayOf("members", &x.members), arrayOf("radii", &x.radii),
		arrayOf("group starts", &x.groupStarts), arrayOf("group radii", &x.groupRadii), arrayOf("aways", &x.aways),
		arrayOf("first of groups", &x.groupFirst), arrayOf("last of groups", &x.groupLast), arrayOf("first away", &x.awayFirst), arrayOf("last away", &x.awayLast),
		arrayOf("least bases", &x.least), arrayOf("most bases", &x.most), arrayOf("most N", &x.ns), arrayOf("open windows", &x.open),
		arrayOf("tiles", &x.tiles), arrayOf("tile starts", &x.tileStarts), arrayOf("words", &x.words), arrayOf("word counts", &x.wordCounts),
	}
}

// check looks at all by which something else is looked up, as store.check does,
// in the index of so many records.
func (x *scanIndex) check(records int) error {
	units := len(x.lengths)
	switch {
	case len(x.unitOf) != records, len(x.records) != records, len(x.bases) != units, len(x.radii) != units,
		!partition(x.recordStarts, x.records, units, x.unitOf), !starts(x.letterStarts, units, len(x.letters)):
		return damaged("its sequences do not fit one another")
	}
	for u, n := range x.lengths {
		_, err := align.PackedWords(x.letters[x.letterStarts[u]:x.letterStarts[u+1]], int(n))
		if err != nil || x.bases[u] < 0 || x.bases[u] > n {
			return damaged("sequence %d is not whole", u)
		}
	}
	clusters, groups := len(x.memberStarts)-1, len(x.groupStarts)-1
	nodes := clusters + groups
	if clusters < 1 || !partition(x.memberStarts, x.members, clusters, nil) || len(x.members) != units ||
		groups < 1 || !starts(x.groupStarts, groups, clusters) || len(x.groupRadii) != groups || len(x.aways) != clusters ||
		len(x.groupFirst) != groups || len(x.groupLast) != groups || len(x.awayFirst) != clusters || len(x.awayLast) != clusters || len(x.wordCounts) != groups ||
		len(x.least) != nodes || len(x.most) != nodes || len(x.ns) != nodes || len(x.open) != nodes ||
		!starts(x.tileStarts, clusters, len(x.tiles)) || len(x.words) != wordsOf(clusters, groups) {
		return damaged("its clusters do not fit one another")
	}
	for c := range int32(clusters) {
		units, radii := x.membersOf(c)
		centre := x.lengths[units[0]]
		least, most, ns := centre, int32(0), int32(0)
		for _, u := range units {
			least, most, ns = min(least, x.bases[u]), max(most, x.bases[u]), max(ns, x.lengths[u]-x.bases[u])
		}
		if radii[0] != 0 || !slices.IsSorted(radii) || x.aways[c] < radii[len(radii)-1] ||
			x.awayFirst[c] < 0 || x.awayFirst[c] > x.aways[c] || x.awayLast[c] < 0 || x.awayLast[c] > x.aways[c] || x.least[c] != least || x.most[c] != most || x.ns[c] != ns || x.open[c] < 0 ||
			len(x.tilesOf(c)) != int(centre)/gram || slices.ContainsFunc(x.tilesOf(c), func(tile uint16) bool { return tile > noTile }) {
			return damaged("cluster %d is not whole", c)
		}
	}
	for g := range int32(groups) {
		first, end := x.clustersOf(g)
		if first == end {
			return damaged("group %d is empty", g)
		}
		node := int32(clusters) + g
		if x.least[node] != slices.Min(x.least[first:end]) || x.most[node] != slices.Max(x.most[first:end]) ||
			x.ns[node] != slices.Max(x.ns[first:end]) || x.open[node] != slices.Max(x.open[first:end]) || x.groupRadii[g] != slices.Max(x.aways[first:end]) ||
			x.groupFirst[g] != slices.Max(x.awayFirst[first:end]) || x.groupLast[g] != slices.Max(x.awayLast[first:end]) ||
			x.wordCounts[g] < 0 || x.wordCounts[g] > gramRows {
			return damaged("group %d is not whole", g)
		}
	}
	return nil
}

// starts reports whether lists, so many, begin where they can in elements.
func starts(list []int32, lists, elements int) bool {
	return len(list) == lists+1 && list[0] == 0 && int(list[lists]) == elements && slices.IsSorted(list)
}

// partition reports whether lists, so many and none of them empty, hold each of
// the numbers below len(elements) once; if of is not nil, in the list that it
// names.
func partition(begin, elements []int32, lists int, of []int32) bool {
	if !starts(begin, lists, len(elements)) {
		return false
	}
	seen := make([]bool, len(elements))
	for list := range lists {
		if begin[list] == begin[list+1] {
			return false
		}
		for _, e := range elements[begin[list]:begin[list+1]] {
			if e < 0 || int(e) >= len(seen) || seen[e] || of != nil && int(of[e]) != list {
				return false
			}
			seen[e] = true
		}
	}
	return true
}
