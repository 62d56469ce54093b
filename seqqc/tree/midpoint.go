package tree

import (
	"cmp"
	"slices"
)

// Node is a node of a rooted tree.
type Node struct {
	// Parent is the index of the parent, -1 for the root; Length that of the
	// branch to it.
	Parent int
	Length float64
	// Leaf is the row of the table of distances, -1 for an inner node.
	Leaf int
}

// Midpoint roots a tree in the middle of the longest way between two leaves
// (Farris 1972, The American Naturalist 106: 645-668; from memory): a place to
// draw it from, and no claim about which branch is the oldest. The root comes
// first and every parent before its children; of the children of a node the
// one with fewer leaves comes first, then the one with the first leaf.
func (t *Tree) Midpoint() []Node {
	rooted := &Tree{Leaves: t.Leaves, arcs: make([][]arc, len(t.arcs))}
	for i := range t.arcs {
		rooted.arcs[i] = slices.Clone(t.arcs[i])
	}
	return rooted.order(rooted.insertRoot())
}

// insertRoot gives the node that is the middle, a new one where it lies on a
// branch.
func (t *Tree) insertRoot() int {
	a, b, longest := 0, 1, -1.0
	for i := range t.Leaves {
		for j, v := range t.Distances(i)[:t.Leaves] {
			if j > i && v > longest {
				a, b, longest = i, j, v
			}
		}
	}
	fromA := t.Distances(a)
	way := t.way(a, b)
	for k, node := range way[1:] {
		if fromA[node] < longest/2 {
			continue
		}
		before := way[k]
		if fromA[node] == longest/2 && node >= t.Leaves {
			return node
		}
		root := len(t.arcs)
		t.arcs = append(t.arcs, nil)
		t.part(before, node)
		t.connect(root, before, longest/2-fromA[before])
		t.connect(root, node, fromA[node]-longest/2)
		return root
	}
	return way[0]
}

// part takes the branch between two nodes away.
func (t *Tree) part(a, b int) {
	t.arcs[a] = slices.DeleteFunc(t.arcs[a], func(x arc) bool { return x.to == b })
	t.arcs[b] = slices.DeleteFunc(t.arcs[b], func(x arc) bool { return x.to == a })
}

// way gives the nodes from a to b, both included.
func (t *Tree) way(a, b int) []int {
	parents := make([]int, len(t.arcs))
	t.walk(b, func(node, parent int, _ float64) { parents[node] = parent })
	var out []int
	for node := a; node >= 0; node = parents[node] {
		out = append(out, node)
	}
	return out
}

// order lists the nodes below root.
func (t *Tree) order(root int) []Node {
	type below struct{ leaves, first int }
	parents := make([]int, len(t.arcs))
	lengths := make([]float64, len(t.arcs))
	sizes := make([]below, len(t.arcs))
	var visited []int
	t.walk(root, func(node, parent int, length float64) {
		parents[node], lengths[node] = parent, length
		sizes[node] = below{0, len(t.arcs)}
		if node < t.Leaves {
			sizes[node] = below{1, node}
		}
		visited = append(visited, node)
	})
	for _, node := range slices.Backward(visited) {
		if p := parents[node]; p >= 0 {
			sizes[p].leaves += sizes[node].leaves
			sizes[p].first = min(sizes[p].first, sizes[node].first)
		}
	}
	var out []Node
	var list func(node, parent int)
	list = func(node, parent int) {
		leaf := -1
		if node < t.Leaves {
			leaf = node
		}
		at := len(out)
		out = append(out, Node{parent, lengths[node], leaf})
		var children []int
		for _, a := range t.arcs[node] {
			if a.to != parents[node] {
				children = append(children, a.to)
			}
		}
		slices.SortFunc(children, func(a, b int) int {
			return cmp.Or(cmp.Compare(sizes[a].leaves, sizes[b].leaves), cmp.Compare(sizes[a].first, sizes[b].first))
		})
		for _, c := range children {
			list(c, at)
		}
	}
	list(root, -1)
	return out
}
