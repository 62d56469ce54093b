package main

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"strings"

	"forayseq/seqqc/simulate"
)

// clade is a genus of the invented library. Sequences are invented; the names
// lend their places in the built-in table of lineages.
type clade struct{ genus, family, order, class string }

// clades hold no two genera of which the one was split off the other, so that no
// wrong name among them is a name change.
var clades = []clade{
	{"Russula", "Russulaceae", "Russulales", mushroom},
	{"Lactarius", "Russulaceae", "Russulales", mushroom},
	{"Stereum", "Stereaceae", "Russulales", mushroom},
	{"Lentinellus", "Auriscalpiaceae", "Russulales", mushroom},
	{"Amanita", "Amanitaceae", "Agaricales", mushroom},
	{"Agaricus", "Agaricaceae", "Agaricales", mushroom},
	{"Lepiota", "Agaricaceae", "Agaricales", mushroom},
	{"Inocybe", "Inocybaceae", "Agaricales", mushroom},
	{"Crepidotus", "Crepidotaceae", "Agaricales", mushroom},
	{"Cortinarius", "Cortinariaceae", "Agaricales", mushroom},
	{"Hygrocybe", "Hygrophoraceae", "Agaricales", mushroom},
	{"Hygrophorus", "Hygrophoraceae", "Agaricales", mushroom},
	{"Mycena", "Mycenaceae", "Agaricales", mushroom},
	{"Panellus", "Mycenaceae", "Agaricales", mushroom},
	{"Tricholoma", "Tricholomataceae", "Agaricales", mushroom},
	{"Hebeloma", "Hymenogastraceae", "Agaricales", mushroom},
	{"Galerina", "Hymenogastraceae", "Agaricales", mushroom},
	{"Gymnopilus", "Hymenogastraceae", "Agaricales", mushroom},
	{"Entoloma", "Entolomataceae", "Agaricales", mushroom},
	{"Clitopilus", "Entolomataceae", "Agaricales", mushroom},
	{"Pholiota", "Strophariaceae", "Agaricales", mushroom},
	{"Stropharia", "Strophariaceae", "Agaricales", mushroom},
	{"Hypholoma", "Strophariaceae", "Agaricales", mushroom},
	{"Psathyrella", "Psathyrellaceae", "Agaricales", mushroom},
	{"Coprinellus", "Psathyrellaceae", "Agaricales", mushroom},
	{"Boletus", "Boletaceae", "Boletales", mushroom},
	{"Leccinum", "Boletaceae", "Boletales", mushroom},
	{"Tylopilus", "Boletaceae", "Boletales", mushroom},
	{"Suillus", "Suillaceae", "Boletales", mushroom},
	{"Trametes", "Polyporaceae", "Polyporales", mushroom},
	{"Ganoderma", "Polyporaceae", "Polyporales", mushroom},
	{"Auricularia", "Auriculariaceae", "Auriculariales", mushroom},
	{"Exidia", "Auriculariaceae", "Auriculariales", mushroom},
	{"Ramaria", "Gomphaceae", "Gomphales", mushroom},
	{"Gomphus", "Gomphaceae", "Gomphales", mushroom},
	{"Morchella", "Morchellaceae", "Pezizales", cup},
	{"Verpa", "Morchellaceae", "Pezizales", cup},
	{"Helvella", "Helvellaceae", "Pezizales", cup},
	{"Hypomyces", "Hypocreaceae", "Hypocreales", growth},
	{"Trichoderma", "Hypocreaceae", "Hypocreales", growth},
	{"Penicillium", "Aspergillaceae", "Eurotiales", growth},
	{"Aspergillus", "Aspergillaceae", "Eurotiales", growth},
	{"Cladosporium", "Cladosporiaceae", "Cladosporiales", growth},
	{"Betula", "Betulaceae", "Fagales", plant},
	{"Pinus", "Pinaceae", "Pinales", plant},
}

// The ancestors that orders start from.
const (
	mushroom = "Agaricomycetes"
	cup      = "Pezizomycetes"
	growth   = "moulds"
	plant    = "plants"
)

// The share of spacer bases that change on the branch to a taxon: species of a
// genus come to lie between the thresholds of species and genus, genera of a
// family between those of genus and family (Vu et al. 2019, Studies in Mycology
// 92: 135-154). The test of the library holds this.
const (
	orderBranch      = 0.28
	familyBranch     = 0.075
	genusBranch      = 0.045
	speciesBranch    = 0.018
	alikeBranch      = 0.0004
	collectionBranch = 0.0015
)

// The species of a genus: ordinary ones, two that ITS does not part, and one of
// which a record bears a wrong name.
var (
	ordinary = []string{"prima", "secunda", "tertia"}
	alike    = []string{"alba", "nigra"}
)

const (
	misfiled       = "errata"
	misfiledRights = 5 // records of it under the right name
)

// epithet makes the word of a species its epithet, which no other genus has.
func (c clade) epithet(species string) string {
	return "syn" + strings.ToLower(c.genus[:5]) + species
}

// world grows the invented tree. Each branch draws from a generator of its own,
// seeded by its name.
type world struct {
	seed uint64
	// library is FASTA; wrong are the ids of its mislabelled records, right are
	// the genera of all by their ids.
	library []byte
	records int
	wrong   map[string]bool
	right   map[string]string
}

func newWorld(seed uint64) *world {
	w := &world{seed: seed, wrong: map[string]bool{}, right: map[string]string{}}
	w.fillLibrary()
	return w
}

func (w *world) rng(name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name)) // a hash.Hash never fails
	return rand.New(rand.NewPCG(w.seed, h.Sum64()))
}

func (w *world) family(c clade) simulate.Locus {
	l := simulate.NewLocus(w.rng("class "+c.class), 205, 200)
	if c.class == plant {
		l = l.Plant()
	}
	return l.Evolve(w.rng("order "+c.order), orderBranch).Evolve(w.rng("family "+c.family), familyBranch)
}

func (w *world) genus(c clade) simulate.Locus {
	return w.family(c).Evolve(w.rng("genus "+c.genus), genusBranch)
}

func (w *world) species(c clade, species string) simulate.Locus {
	rng := w.rng(c.genus + " " + species)
	if slices.Contains(alike, species) {
		return w.genus(c).Evolve(w.rng("pair "+c.genus), speciesBranch).Evolve(rng, alikeBranch)
	}
	return w.genus(c).Evolve(rng, speciesBranch)
}

// specimen is one collection of a species.
func (w *world) specimen(rng *rand.Rand, c clade, species string) simulate.Locus {
	return w.species(c, species).Evolve(rng, collectionBranch)
}

// fillLibrary writes the records. Those of a species differ from one another, as
// identical ones of one name have one vote.
func (w *world) fillLibrary() {
	var out bytes.Buffer
	for i, c := range clades {
		rng := w.rng("records " + c.genus)
		seen := map[string]bool{}
		add := func(of clade, species, dna string) (id string) {
			its := w.specimen(rng, c, dna).ITS()
			for seen[string(its)] {
				its = w.specimen(rng, c, dna).ITS()
			}
			seen[string(its)] = true
			w.records++
			id = recordID(w.records)
			w.right[id] = c.genus
			fmt.Fprintf(&out, ">%s %s %s synthetic sequence\n%s\n", id, of.genus, of.epithet(species), its)
			return id
		}
		for _, s := range ordinary {
			for range 3 {
				add(c, s, s)
			}
		}
		for _, s := range alike {
			for range 2 {
				add(c, s, s)
			}
		}
		for range misfiledRights {
			add(c, misfiled, misfiled)
		}
		// The wrong name is of another family.
		w.wrong[add(clades[(i+7)%len(clades)], ordinary[0], misfiled)] = true
	}
	w.library = out.Bytes()
}

func (w *world) genusOf(id string) string { return w.right[id] }

func recordID(n int) string { return fmt.Sprintf("SYN%04d", n) }

// ids gives the ids of all records.
func (w *world) ids() (ids []string) {
	for i := range w.records {
		ids = append(ids, recordID(i+1))
	}
	return ids
}

func cladeOf(genus string) clade {
	for _, c := range clades {
		if c.genus == genus {
			return c
		}
	}
	panic("no clade " + genus) // a name in one of the tables of this package
}

// drawn gives a genus of mushrooms for which fit holds.
func drawn(rng *rand.Rand, fit func(clade) bool) clade {
	var some []clade
	for _, c := range clades {
		if c.class != growth && c.class != plant && fit(c) {
			some = append(some, c)
		}
	}
	return some[rng.IntN(len(some))]
}

func anyClade(clade) bool { return true }
