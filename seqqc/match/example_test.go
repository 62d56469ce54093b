package match_test

import (
	"context"
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// Three synthetic references and a sequence that differs from the first in one
// base.
func ExampleMatch() {
	const its = "TTGAACGCATCAGTTGACCTAGGACTTACGGATTCCAGTACGTTAGCAAGTCCTGATCGGATACCTTGACGATTCAGGCATTACGGTCAAGTCTGAACCGT" +
		"GATTACCAGGCTTAACGTGACCATTGGACTCAGTTACGGCATAACCTGTCGATTGCAAGGTCATTCAGGACCTAGTTCGACATGGCTTAACGTCCAGATTG"
	library := ">SYN1 Russula emetica\n" + its + "\n" +
		">SYN2 Russula emetica\n" + strings.Replace(its, "GGACTT", "GGTCTT", 1) + "\n" +
		">SYN3 Lactarius deliciosus\n" + strings.NewReplacer("GGAC", "GCTC", "AACG", "ATGG", "CATT", "CGGT").Replace(its) + "\n"
	lib, err := refs.Read(strings.NewReader(library), refs.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	contig := &seqqc.Contig{Bases: []byte(strings.Replace(its, "CCATTGG", "CCATAGG", 1))}
	m, err := match.Match(context.Background(), lib, contig, refs.ParseName("Lactarius sp."), match.Defaults())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, h := range m.Hits {
		fmt.Printf("%d %s %s %.2f %%\n", h.Rank, h.Reference, h.Name.Taxon(), h.IdentityPct)
	}
	fmt.Println("supported:", m.Supported, m.Taxon)
	fmt.Printf("nearest Lactarius: %.2f %%\n", m.Field.Genus.IdentityPct)
	// Output:
	// 1 SYN1 Russula emetica 99.50 %
	// 2 SYN2 Russula emetica 99.01 %
	// 3 SYN3 Lactarius deliciosus 90.59 %
	// supported: genus Russula
	// nearest Lactarius: 90.59 %
}

func ExampleParams_Window() {
	p := match.Defaults()
	fmt.Println(p.Window(99.8), p.Window(94))
	// Output: 0.5 1.5
}
