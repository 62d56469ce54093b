package draw_test

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/draw"
)

func ExampleContig() {
	c := &seqqc.Contig{Bases: []byte("ACGT"), Quals: []byte{40, 40, 40, 40}}
	svg := draw.Contig("contig-1", c, nil, func(string) *seqqc.Read { return nil })
	fmt.Println(strings.Contains(string(svg), "4 bases. No place is open."))
	// Output: true
}

func ExampleIdentity() {
	svg := draw.Identity("identity-1", draw.Scale{
		Limits: []draw.Limit{{Name: "genus", Pct: 94.3}, {Name: "species", Pct: 99.6}},
		Hits:   []draw.Limit{{Name: "best hit", Pct: 99.999}},
	})
	fmt.Println(strings.Contains(string(svg), "best hit 99.99 %"))
	// Output: true
}

func ExampleTree() {
	svg := draw.Tree("tree-1", &seqqc.Tree{Nodes: []seqqc.TreeNode{
		{Parent: -1}, {Parent: 0, Length: 1, Voucher: "QM-1", Name: "Russula"}, {Parent: 0, Length: 1, Name: "Lactarius", References: []string{"SYN1"}},
	}})
	fmt.Println(strings.Contains(string(svg), "QM-1 Russula; Lactarius SYN1, 2.0 %."))
	// Output: true
}

func ExampleKey() {
	fmt.Println(strings.Count(string(draw.Key("key")), "<path"))
	// Output: 4
}

func ExampleEscape() {
	fmt.Println(draw.Escape("<b>\x00"))
	fmt.Println(draw.Clean("a\tb\u202e"))
	fmt.Println(draw.WellName(7, 11), draw.LeafText(seqqc.TreeNode{Voucher: "QM-1", Name: "Russula"}))
	// Output:
	// &lt;b&gt;?
	// a b?
	// H12 QM-1 Russula
}
