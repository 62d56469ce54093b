package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"

	"forayseq/seqqc/simulate"
)

// world is the invented DNA of the benchmark and the library that knows it.
type world struct {
	// species are the loci by genus, two species each. Genera differ by at
	// least a tenth in both spacers.
	species [][]simulate.Locus
	library []byte
}

// genera lend their names, and so their places in the table of lineages, to
// invented sequences.
var genera = []string{
	"Russula", "Amanita", "Cortinarius", "Agaricus", "Boletus", "Mycena", "Inocybe", "Hygrocybe",
	"Trametes", "Penicillium", "Trichoderma", "Tricholoma",
}

func newWorld(seed uint64) world {
	rng := rand.New(rand.NewPCG(seed, 1))
	ancestor := simulate.NewLocus(rng, 210, 200)
	var w world
	var library bytes.Buffer
	for _, genus := range genera {
		root := ancestor.Evolve(rng, 0.14)
		var species []simulate.Locus
		for _, epithet := range []string{"synprima", "synsecunda"} {
			l := root.Evolve(rng, 0.025)
			species = append(species, l)
			for k := range 2 {
				fmt.Fprintf(&library, ">%s_%s_%d %s %s synthetic sequence\n%s\n", genus, epithet, k+1, genus, epithet, l.Evolve(rng, 0.001).ITS())
			}
		}
		w.species = append(w.species, species)
	}
	w.library = library.Bytes()
	return w
}

// any draws a specimen of any species, and gives the index of its genus.
func (w world) any(rng *rand.Rand) (simulate.Locus, int) {
	g := rng.IntN(len(w.species))
	return w.species[g][rng.IntN(2)].Evolve(rng, 0.001), g
}

// two draws specimens of two genera.
func (w world) two(rng *rand.Rand) (a, b simulate.Locus, genusA, genusB int) {
	a, genusA = w.any(rng)
	for b, genusB = w.any(rng); genusA == genusB; {
		b, genusB = w.any(rng)
	}
	return a, b, genusA, genusB
}
