package tree

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// square fills a table from its lower triangle.
func square(lower [][]float64) [][]float64 {
	n := len(lower) + 1
	d := make([][]float64, n)
	for i := range d {
		d[i] = make([]float64, n)
	}
	for i, row := range lower {
		for j, v := range row {
			d[i+1][j], d[j][i+1] = v, v
		}
	}
	return d
}

// Saitou & Nei 1987, table 1 (eight OTUs; the figures from memory): the
// distances are those along the tree of the paper's figure, with branches of 5
// and 2 to the first two, which are joined first.
func saitouNei() [][]float64 {
	return square([][]float64{
		{7},
		{8, 5},
		{11, 8, 5},
		{13, 10, 7, 8},
		{16, 13, 10, 11, 5},
		{13, 10, 7, 8, 6, 9},
		{17, 14, 11, 12, 10, 13, 8},
	})
}

func TestSaitouNei(t *testing.T) {
	d := saitouNei()
	i, j, li, lj := closest(d)
	require.Equal(t, []int{0, 1}, []int{i, j})
	require.InDelta(t, 5, li, 1e-9)
	require.InDelta(t, 2, lj, 1e-9)
	tree, err := Join(d)
	require.NoError(t, err)
	requireDistances(t, d, tree)
}

// The five taxa of the textbook example (the figures from memory): a 2, b 3,
// c 4, d 2, e 1 at the tips and 3 and 2 inside.
func TestTextbook(t *testing.T) {
	d := square([][]float64{{5}, {9, 10}, {9, 10, 8}, {8, 9, 7, 3}})
	tree, err := Join(d)
	require.NoError(t, err)
	requireDistances(t, d, tree)
	for leaf, want := range []float64{2, 3, 4, 2, 1} {
		require.Len(t, tree.arcs[leaf], 1)
		require.InDelta(t, want, tree.arcs[leaf][0].length, 1e-9)
	}
	require.Equal(t, []float64{2, 3}, innerLengths(tree))
}

func innerLengths(t *Tree) []float64 {
	var out []float64
	for i, arcs := range t.arcs {
		for _, a := range arcs {
			if i >= t.Leaves && a.to > i {
				out = append(out, math.Round(a.length*1e9)/1e9)
			}
		}
	}
	slices.Sort(out)
	return out
}

func requireDistances(t *testing.T, d [][]float64, tree *Tree) {
	t.Helper()
	for i := range d {
		for j, v := range tree.Distances(i)[:len(d)] {
			require.InDelta(t, d[i][j], v, 1e-9, "%d %d", i, j)
		}
	}
}

// randomTree gives the distances along a random tree of whole lengths, so that
// nothing is rounded, and its splits.
func randomTree(rng *rand.Rand, n int) *Tree {
	t := &Tree{Leaves: n, arcs: make([][]arc, n)}
	length := func() float64 { return float64(1 + rng.IntN(50)) }
	t.connect(0, 1, length())
	for leaf := 2; leaf < n; leaf++ {
		// Hang the leaf on a random branch.
		var ends [][2]int
		for a, arcs := range t.arcs {
			for _, x := range arcs {
				if a < x.to {
					ends = append(ends, [2]int{a, x.to})
				}
			}
		}
		e := ends[rng.IntN(len(ends))]
		u := len(t.arcs)
		t.arcs = append(t.arcs, nil)
		t.part(e[0], e[1])
		t.connect(u, e[0], length())
		t.connect(u, e[1], length())
		t.connect(u, leaf, length())
	}
	return t
}

func table(t *Tree) [][]float64 {
	d := make([][]float64, t.Leaves)
	for i := range d {
		d[i] = t.Distances(i)[:t.Leaves]
	}
	return d
}

// splits gives the sets of leaves that the inner branches part, each as the
// side without leaf 0.
func splits(t *Tree) []string {
	var out []string
	for a, arcs := range t.arcs {
		for _, x := range arcs {
			if a < t.Leaves || x.to < t.Leaves || a > x.to {
				continue
			}
			side := make([]byte, t.Leaves)
			for i := range side {
				side[i] = '.'
			}
			var mark func(node, from int)
			mark = func(node, from int) {
				if node < t.Leaves {
					side[node] = '*'
				}
				for _, y := range t.arcs[node] {
					if y.to != from {
						mark(y.to, node)
					}
				}
			}
			mark(a, x.to)
			if side[0] == '*' {
				for i := range side {
					side[i] = '.' + '*' - side[i]
				}
			}
			out = append(out, string(side))
		}
	}
	slices.Sort(out)
	return out
}

func TestAdditiveTreesAreRecovered(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		want := randomTree(rng, 2+rng.IntN(30))
		d := table(want)
		got, err := Join(d)
		require.NoError(t, err)
		requireDistances(t, d, got)
		require.Equal(t, splits(want), splits(got))
	}
}

// Whatever the distances, no branch is negative and every leaf is in the tree
// once; and the midpoint's two farthest leaves lie at the same depth.
func TestAnyDistances(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for round := range 300 {
		n := 2 + rng.IntN(25)
		lower := make([][]float64, n-1)
		for i := range lower {
			for range i + 1 {
				// Every third table is full of ties and zeros.
				v := rng.Float64() * 30
				if round%3 == 0 {
					v = float64(rng.IntN(3))
				}
				lower[i] = append(lower[i], v)
			}
		}
		tree, err := Join(square(lower))
		require.NoError(t, err)
		nodes := tree.Midpoint()
		depth := make([]float64, len(nodes))
		var leaves []int
		for i, node := range nodes {
			require.GreaterOrEqual(t, node.Length, 0.0)
			if i == 0 {
				require.Equal(t, -1, node.Parent)
			} else {
				require.Less(t, node.Parent, i)
				depth[i] = depth[node.Parent] + node.Length
			}
			if node.Leaf >= 0 {
				leaves = append(leaves, node.Leaf)
			}
		}
		slices.Sort(leaves)
		for i, leaf := range leaves {
			require.Equal(t, i, leaf)
		}
		require.Len(t, leaves, n)
		longest := 0.0
		for i := range n {
			longest = max(longest, slices.Max(tree.Distances(i)[:n]))
		}
		deepest := slices.Max(depth)
		require.InDelta(t, longest/2, deepest, 1e-9)
	}
}

func TestNoDistances(t *testing.T) {
	for _, d := range [][][]float64{
		nil, {{0}}, {{0, 1}}, {{0, 1}, {2, 0}}, {{0, -1}, {-1, 0}}, {{1, 1}, {1, 0}},
		{{0, math.NaN()}, {math.NaN(), 0}}, {{0, math.Inf(1)}, {math.Inf(1), 0}},
	} {
		_, err := Join(d)
		require.ErrorIs(t, err, ErrDistances, "%v", d)
	}
}

// Biopython's neighbour joining (Bio.Phylo.TreeConstruction) as an independent
// implementation: the same distances between leaves wherever no branch of it is
// negative and no two pairs tie.
func TestAgainstALibrary(t *testing.T) {
	const python = "/usr/bin/python3" // Debian packages install for this one
	if exec.Command(python, "-c", "import Bio.Phylo.TreeConstruction").Run() != nil {
		t.Skip("python3-biopython is not installed")
	}
	rng := rand.New(rand.NewPCG(5, 6))
	var tables [][][]float64
	for range 40 {
		d := table(randomTree(rng, 4+rng.IntN(12)))
		for i := range d {
			for j := range i {
				d[i][j] += rng.Float64() * 4
				d[j][i] = d[i][j]
			}
		}
		tables = append(tables, d)
	}
	in, err := json.Marshal(tables)
	require.NoError(t, err)
	script := `
import json, sys
from Bio.Phylo.TreeConstruction import DistanceMatrix, DistanceTreeConstructor
out = []
for d in json.load(sys.stdin):
    names = [str(i) for i in range(len(d))]
    tree = DistanceTreeConstructor().nj(DistanceMatrix(names, [d[i][:i + 1] for i in range(len(d))]))
    low = min(c.branch_length or 0 for c in tree.find_clades())
    out.append({"low": low, "d": [[tree.distance(a, b) if a != b else 0 for b in names] for a in names]})
json.dump(out, sys.stdout)
`
	cmd := exec.Command(python, "-c", script)
	cmd.Stdin = strings.NewReader(string(in))
	raw, err := cmd.Output()
	require.NoError(t, err)
	var want []struct {
		Low float64
		D   [][]float64
	}
	require.NoError(t, json.Unmarshal(raw, &want))
	require.Len(t, want, len(tables))
	compared := 0
	for k, d := range tables {
		if want[k].Low < 0 {
			continue
		}
		compared++
		tree, err := Join(d)
		require.NoError(t, err)
		requireDistances(t, want[k].D, tree)
	}
	require.Greater(t, compared, len(tables)/2)
}

func ExampleJoin() {
	d := [][]float64{{0, 5, 9}, {5, 0, 10}, {9, 10, 0}}
	t, err := Join(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, n := range t.Midpoint() {
		fmt.Println(i, n.Parent, n.Length, n.Leaf)
	}
	// Output:
	// 0 -1 0 -1
	// 1 0 5 2
	// 2 0 2 -1
	// 3 2 2 0
	// 4 2 3 1
}

func BenchmarkJoin(b *testing.B) {
	d := table(randomTree(rand.New(rand.NewPCG(7, 8)), 150))
	for b.Loop() {
		t, err := Join(d)
		if err != nil {
			b.Fatal(err)
		}
		t.Midpoint()
	}
}
