package simulate_test

import (
	"fmt"
	"math/rand/v2"

	"forayseq/seqqc/simulate"
)

func ExampleRead() {
	rng := rand.New(rand.NewPCG(1, 1))
	template := simulate.RandomSequence(rng, 300)
	read := simulate.Read(rng, template, simulate.Good())
	fmt.Println(string(template[100:120]))
	fmt.Println(string(read.Bases[100:120]))
	// Output:
	// CCATACCCTTCGAGTAGGAC
	// CCATACCCTTCGAGTAGGAC
}

func ExampleMixture() {
	rng := rand.New(rand.NewPCG(2, 2))
	locus := simulate.NewLocus(rng, 200, 210)
	relative := locus.Evolve(rng, 0.02)
	forward, _, err := simulate.Amplicon(locus.Seq(), "ITS1-F", "ITS4")
	if err != nil {
		fmt.Println(err)
		return
	}
	other, _, err := simulate.Amplicon(relative.Seq(), "ITS1-F", "ITS4")
	if err != nil {
		fmt.Println(err)
		return
	}
	read, truth := simulate.Mixture(rng, []simulate.Template{{Seq: forward, Weight: 0.8}, {Seq: other, Weight: 0.2}}, simulate.Good())
	wrong := 0
	for i, base := range read.Bases[100:400] {
		if truth.Error(100+i, base, forward) {
			wrong++
		}
	}
	fmt.Println(wrong, "of 300 calls are not those of the main template")
	// Output:
	// 0 of 300 calls are not those of the main template
}

func ExampleAmplicon() {
	locus := simulate.NewLocus(rand.New(rand.NewPCG(3, 3)), 180, 190)
	forward, reverse, err := simulate.Amplicon(locus.Seq(), "ITS1-F", "ITS4")
	fmt.Println(string(forward[:20]), string(reverse[:20]), err)
	// Output:
	// AAGTCGTAACAAGGTTTCCG TTAAGTTCAGCGGGTAGTCC <nil>
}
