package simulate_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"

	"forayseq/seqqc"
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

func ExampleLengthened() {
	rng := rand.New(rand.NewPCG(5, 4))
	short := []byte("ACGTTGCATTTTGCA")
	long, indel, err := simulate.Lengthened(rng, short, 9, 1)
	fmt.Println(string(long), indel.At, indel.Size, indel.Same, err)
	// Output:
	// ACGTTGCATTTTTGCA 9 1 {8 13} <nil>
}

func ExampleSubstituted() {
	rng := rand.New(rand.NewPCG(5, 5))
	allele, at, err := simulate.Substituted(rng, []byte("AAAAAAAAAA"), 2, seqqc.Interval{Start: 2, End: 8})
	fmt.Println(string(allele), at, err)
	// Output:
	// AAAGAATAAA [3 6] <nil>
}

func ExampleChimera() {
	a := simulate.NewLocus(rand.New(rand.NewPCG(6, 6)), 60, 60)
	b := a.Evolve(rand.New(rand.NewPCG(7, 7)), 0.15)
	// ITS1 of a, all behind it of b.
	seq, err := simulate.Chimera(a.Seq(), b.Seq(), len(a.SSU)+len(a.ITS1))
	fmt.Println(bytes.HasPrefix(seq, slices.Concat(a.SSU, a.ITS1)), bytes.Contains(seq, b.ITS2), bytes.Contains(seq, a.ITS2), err)
	// Output: true true false <nil>
}

func ExampleBlend() {
	rng := rand.New(rand.NewPCG(8, 8))
	locus := simulate.NewLocus(rng, 200, 210)
	mushroom, _, _ := simulate.Amplicon(locus.Seq(), "ITS1-F", "ITS4")
	mould, _, _ := simulate.Amplicon(locus.Evolve(rng, 0.3).Seq(), "ITS1-F", "ITS4")
	a, b := simulate.Read(rng, mushroom, simulate.Good()), simulate.Read(rng, mould, simulate.Good())
	both, truth, err := simulate.Blend(a, b, 0.4)
	fmt.Println(len(both.Channels[0]) == len(a.Channels[0]), truth.Shares, err)
	// Output: true [0.6 0.4] <nil>
}

func ExampleRecall() {
	rng := rand.New(rand.NewPCG(9, 9))
	read := simulate.Read(rng, simulate.RandomSequence(rng, 200), simulate.Good())
	again := simulate.Recall(&seqqc.Trace{Channels: read.Channels})
	fmt.Println(string(again.Bases) == string(read.Bases))
	// Output: true
}
