package region_test

import (
	"fmt"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/region"
)

// A synthetic contig: invented spacers between the conserved ends.
const contig = "GGAAGTAAAAGTCGTAACAAGGTTTCCGTAGGTGAACCTGCGGAAGGATCATTA" +
	"TTGAGTGCAAGCTTGGTCTACGCTGTAGCTGGCTCTTCGGAGCATGTGCACACCTTGAATCTTTATATCCACCTGTGCACCTTTTGTAG" +
	"AACTTTCAACAACGGATCTCTTGGCTCTCGCATCGATGAAGAACGCAGCGAAATGCGATAAGTAATGTGAATTGCAGAATTCAGTGAATC" +
	"ATCGAATCTTTGAACGCACCTTGCGCTCCTTGGTATTCCGAGGAGCATGCCTGTTTGAGTGTCATT" +
	"AAATCCTCAACCTACAAGTTTTCAGCTTGTTAGGCTTGGATGTGGAGGCTTGCAGGCTCTGCATGAAGTCAGCTCCTCTGAAATGTA" +
	"TTGACCTCAAATCAGGTAGGACTACCCGCTGAACTTAAGCATATCAATAAGCGGAGGA"

func ExampleLocate() {
	other := align.ReverseComplement([]byte(contig))
	r := region.Locate(other)
	fmt.Println(r.Text)
	fmt.Println("complemented:", r.Complemented)
	fmt.Println(r.Lengths)
	fmt.Println("kingdom by the 5.8S:", r.Kingdom)
	// Output:
	// SSU(end)-ITS1-5.8S-ITS2-LSU(start)
	// complemented: true
	// ITS1 89, 5.8S 156, ITS2 87
	// kingdom by the 5.8S: Fungi
}

func ExampleOrient() {
	c := seqqc.Contig{Bases: align.ReverseComplement([]byte(contig[60:]))}
	region.Orient(&c)
	fmt.Println(c.Region.Text)
	fmt.Println(seqqc.JoinFlags(c.Flags))
	fmt.Printf("%s...\n", c.Bases[:12])
	// Output:
	// ITS1(part)-5.8S-ITS2-LSU(start)
	// reverse_complemented;region_incomplete
	// GCAAGCTTGGTC...
}
