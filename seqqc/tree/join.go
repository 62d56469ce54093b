// Package tree makes trees of distances: neighbour joining, rooted for drawing
// at the midpoint of the longest way between two leaves.
package tree

import (
	"errors"
	"fmt"
	"math"
)

// ErrDistances means that a table of distances is none.
var ErrDistances = errors.New("no table of distances")

// Tree is an unrooted tree. Nodes 0 to Leaves-1 are the leaves in the order of
// the table it was made from.
type Tree struct {
	Leaves int
	arcs   [][]arc // of every node
}

// arc leads to a neighbour.
type arc struct {
	to     int
	length float64
}

// Join joins neighbours (Saitou & Nei 1987, Molecular Biology and Evolution 4:
// 406-425, DOI 10.1093/oxfordjournals.molbev.a040454). d is a symmetric table of
// distances of at least two leaves, none negative, 0 on the diagonal. The pair
// to join is the one with the least
//
//	Q(i,j) = (n-2) d(i,j) - r(i) - r(j),    r(i) = sum of d(i,k) over k
//
// which orders the pairs as the sum of branch lengths of the paper does (Studier
// & Keppler 1988, Molecular Biology and Evolution 5: 729-731, DOI
// 10.1093/oxfordjournals.molbev.a040527); of equal ones the first. The branches
// are d(i,j)/2 +- (r(i)-r(j)) / (2(n-2)), the new distances (d(i,k) + d(j,k) -
// d(i,j)) / 2. A branch that comes out negative becomes 0 and its neighbour as
// long as the distance of the two (Kuhner & Felsenstein 1994, Molecular Biology
// and Evolution 11: 459-468; from memory). An additive table gives its own tree
// back. Time is O(n^3), memory O(n^2).
//
// The error wraps ErrDistances.
func Join(d [][]float64) (*Tree, error) {
	n := len(d)
	if err := check(d); err != nil {
		return nil, err
	}
	t := &Tree{Leaves: n, arcs: make([][]arc, n, 2*n)}
	dist := make([][]float64, n)
	nodes := make([]int, n) // of the rows
	for i := range d {
		dist[i] = append([]float64(nil), d[i]...)
		nodes[i] = i
	}
	for len(nodes) > 2 {
		i, j, li, lj := closest(dist)
		u := len(t.arcs)
		t.arcs = append(t.arcs, nil)
		t.connect(u, nodes[i], li)
		t.connect(u, nodes[j], lj)
		// The new node takes the row of i, the last row that of j.
		dij := dist[i][j]
		for k := range dist {
			v := (dist[i][k] + dist[j][k] - dij) / 2
			dist[i][k], dist[k][i] = v, v
		}
		dist[i][i] = 0
		nodes[i] = u
		last := len(nodes) - 1
		nodes[j] = nodes[last]
		dist[j] = dist[last]
		for k := range dist {
			dist[k][j] = dist[k][last]
		}
		dist[j][j] = 0
		nodes, dist = nodes[:last], dist[:last]
		for k := range dist {
			dist[k] = dist[k][:last]
		}
	}
	t.connect(nodes[0], nodes[1], max(0, dist[0][1]))
	return t, nil
}

func check(d [][]float64) error {
	if len(d) < 2 {
		return fmt.Errorf("%w: two leaves are needed, and there are %d", ErrDistances, len(d))
	}
	for i, row := range d {
		if len(row) != len(d) {
			return fmt.Errorf("%w: row %d has %d entries of %d", ErrDistances, i, len(row), len(d))
		}
	}
	for i, row := range d {
		for j, v := range row {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 || v != d[j][i] || i == j && v != 0 {
				return fmt.Errorf("%w: %v at row %d, column %d, and %v on the other side", ErrDistances, v, i, j, d[j][i])
			}
		}
	}
	return nil
}

// closest gives the rows to join, i before j, with the lengths of their
// branches. Products are rounded before they are added, so that no machine
// joins otherwise than another.
func closest(d [][]float64) (i, j int, li, lj float64) {
	n := len(d)
	r := make([]float64, n)
	for k, row := range d {
		for _, v := range row {
			r[k] += v
		}
	}
	least := math.Inf(1)
	for a := range n {
		for b := a + 1; b < n; b++ {
			if q := float64(float64(n-2)*d[a][b]) - r[a] - r[b]; q < least {
				least, i, j = q, a, b
			}
		}
	}
	dij := max(0, d[i][j])
	li = dij/2 + (r[i]-r[j])/float64(2*(n-2))
	li = min(dij, max(0, li))
	return i, j, li, dij - li
}

func (t *Tree) connect(a, b int, length float64) {
	t.arcs[a] = append(t.arcs[a], arc{b, length})
	t.arcs[b] = append(t.arcs[b], arc{a, length})
}

// Distances gives the lengths of the ways from a node to all nodes.
func (t *Tree) Distances(from int) []float64 {
	out := make([]float64, len(t.arcs))
	t.walk(from, func(node, parent int, length float64) {
		if parent >= 0 {
			out[node] = out[parent] + length
		}
	})
	return out
}

// walk visits every node, a node after its parent, from being the first.
func (t *Tree) walk(from int, visit func(node, parent int, length float64)) {
	type step struct {
		node, parent int
		length       float64
	}
	for stack := []step{{from, -1, 0}}; len(stack) > 0; {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		visit(s.node, s.parent, s.length)
		for _, a := range t.arcs[s.node] {
			if a.to != s.parent {
				stack = append(stack, step{a.to, s.node, a.length})
			}
		}
	}
}
