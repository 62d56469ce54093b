package draw

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
)

// Tree draws a tree from left to right, a leaf a line; a voucher's leaf has a
// filled mark and bold letters, a reference's an open mark.
func Tree(id string, t *seqqc.Tree) SVG {
	const left, depthRoom, leafHeight, top = 4.0, 118.0, 17.0, 6.0
	n := len(t.Nodes)
	if n == 0 {
		return ""
	}
	depth := make([]float64, n)
	y := make([]float64, n)
	children := make([][]int, n)
	deepest, leaves := 0.0, 0
	for i, node := range t.Nodes {
		if node.Parent >= 0 && node.Parent < i {
			depth[i] = depth[node.Parent] + node.Length
			children[node.Parent] = append(children[node.Parent], i)
		}
		deepest = max(deepest, depth[i])
		if node.Leaf() {
			y[i] = top + leafHeight*(float64(leaves)+.5)
			leaves++
		}
	}
	for i := n - 1; i >= 0; i-- {
		if kids := children[i]; len(kids) > 0 {
			y[i] = (y[kids[0]] + y[kids[len(kids)-1]]) / 2
		}
	}
	foot := top + leafHeight*float64(leaves)
	c := newCanvas(id, "tree", foot+26, treeTitle(t), treeDesc(t))
	scale := depthRoom / max(deepest, 1e-9)
	if deepest == 0 {
		scale = 0
	}
	x := func(i int) float64 { return left + depth[i]*scale }
	for i, node := range t.Nodes {
		if kids := children[i]; len(kids) > 0 {
			c.line("branch", x(i), y[kids[0]], x(i), y[kids[len(kids)-1]])
		}
		if node.Parent >= 0 {
			c.line("branch", x(node.Parent), y[i], x(i), y[i])
		}
	}
	for i, node := range t.Nodes {
		if !node.Leaf() {
			continue
		}
		at := left + depthRoom + 14
		c.line("grid", x(i)+6, y[i], at-4, y[i])
		mark, class, room := "ring", "", 34
		if node.Voucher != "" {
			mark, class, room = "dot", "bold", 28
		}
		c.circle(mark, x(i), y[i], 3.5)
		full := LeafText(node)
		words := shorten(full, room)
		fmt.Fprintf(&c.b, "<g><title>%s</title>", Escape(full))
		c.text(class, at, y[i]+4, words)
		c.b.WriteString("</g>")
	}
	if bar := scaleBar(deepest); bar > 0 {
		c.line("axis", left, foot+10, left+bar*scale, foot+10)
		c.text("small soft", left, foot+22, fmt.Sprintf("%g %% of columns differ", bar))
	}
	return c.svg()
}

// LeafText names a leaf: the voucher with its field name, or the name on the
// references with the first of them.
func LeafText(n seqqc.TreeNode) string {
	if n.Voucher != "" {
		return strings.TrimSpace(n.Voucher + " " + n.Name)
	}
	if len(n.References) == 0 {
		return n.Name
	}
	text := strings.TrimSpace(n.Name + " " + n.References[0])
	if more := len(n.References) - 1; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

// scaleBar gives a round length of at most half the depth.
func scaleBar(deepest float64) float64 {
	bar := 0.0
	for _, v := range []float64{.05, .1, .2, .5, 1, 2, 5, 10, 20} {
		if v <= deepest/2 {
			bar = v
		}
	}
	return bar
}

func treeTitle(t *seqqc.Tree) string {
	if t.Taxon == "" {
		return "Tree of vouchers with their nearest references"
	}
	return "Tree of the vouchers of " + t.Taxon + " with their nearest references"
}

// treeDesc tells the leaves from top to bottom with the distance to the one
// above, along the tree.
func treeDesc(t *seqqc.Tree) string {
	var b strings.Builder
	b.WriteString("Leaves from top to bottom, each with its distance from the one before along the branches")
	last := -1
	for i, n := range t.Nodes {
		if !n.Leaf() {
			continue
		}
		if last < 0 {
			fmt.Fprintf(&b, ": %s", LeafText(n))
		} else {
			fmt.Fprintf(&b, "; %s, %.1f %%", LeafText(n), along(t.Nodes, last, i))
		}
		last = i
	}
	b.WriteString(".")
	return b.String()
}

// along gives the length of the way between two nodes.
func along(nodes []seqqc.TreeNode, a, b int) float64 {
	sum := 0.0
	for a != b {
		if a < b {
			a, b = b, a
		}
		// The later one is no ancestor of the other.
		sum += nodes[a].Length
		a = nodes[a].Parent
		if a < 0 {
			return sum
		}
	}
	return sum
}
