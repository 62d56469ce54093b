package seqqc

import "forayseq/refs"

// Tree is a tree of vouchers with their nearest references, joined by
// neighbours and rooted at the midpoint. It shows what lies near what, and is
// no phylogeny.
type Tree struct {
	// Taxon of Rank holds the vouchers of the tree by their best hits; empty and
	// refs.NoRank where that is not known.
	Taxon string    `json:"taxon,omitempty"`
	Rank  refs.Rank `json:"rank"`
	// Nodes begin with the root; a parent stands before its children.
	Nodes []TreeNode `json:"nodes"`
	// LeftOut names what could not be put into the tree, with the reason.
	LeftOut []string `json:"left_out,omitempty"`
}

// TreeNode is a node of a Tree. An inner node has neither Voucher nor
// References.
type TreeNode struct {
	// Parent is an index in Nodes, -1 for the root; Length is that of the branch
	// to it, in percent of differing columns.
	Parent int     `json:"parent"`
	Length float64 `json:"length"`
	// Voucher is the code of a voucher, its sample after a slash where it has
	// several; References are records of one name and one sequence.
	Voucher    string   `json:"voucher,omitempty"`
	References []string `json:"references,omitempty"`
	// Name is the field name of the voucher as written, or that on the
	// references.
	Name string `json:"name,omitempty"`
}

// Leaf reports whether the node is a leaf.
func (n TreeNode) Leaf() bool { return n.Voucher != "" || len(n.References) > 0 }
