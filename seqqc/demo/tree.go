package demo

import (
	"hash/fnv"
	"math/rand/v2"
	"strings"

	"forayseq/seqqc/simulate"
)

// clade is one genus of the invented library.
type clade struct {
	genus, family, order, class, phylum, kingdom string
	species                                      int
	// its1 and its2 start the spacers of this genus afresh with these lengths,
	// instead of descending from the class.
	its1, its2 int
}

// clades are the genera of the library. Lineages are from memory, as those of
// the built-in genus table.
var clades = []clade{
	{"Russula", "Russulaceae", "Russulales", "Agaricomycetes", "Basidiomycota", "Fungi", 4, 0, 0},
	{"Lactarius", "Russulaceae", "Russulales", "Agaricomycetes", "Basidiomycota", "Fungi", 3, 0, 0},
	{"Stereum", "Stereaceae", "Russulales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Amanita", "Amanitaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 4, 0, 0},
	{"Agaricus", "Agaricaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 3, 0, 0},
	{"Lepiota", "Agaricaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Inocybe", "Inocybaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 3, 0, 0},
	{"Cortinarius", "Cortinariaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 4, 0, 0},
	{"Hygrocybe", "Hygrophoraceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 3, 0, 0},
	{"Mycena", "Mycenaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 3, 0, 0},
	{"Tricholoma", "Tricholomataceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Clitocybe", "Clitocybaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Hebeloma", "Hymenogastraceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Galerina", "Hymenogastraceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Entoloma", "Entolomataceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Laccaria", "Hydnangiaceae", "Agaricales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 95, 190},
	{"Boletus", "Boletaceae", "Boletales", "Agaricomycetes", "Basidiomycota", "Fungi", 3, 0, 0},
	{"Leccinum", "Boletaceae", "Boletales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Xerocomellus", "Boletaceae", "Boletales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Suillus", "Suillaceae", "Boletales", "Agaricomycetes", "Basidiomycota", "Fungi", 3, 0, 0},
	{"Cantharellus", "Hydnaceae", "Cantharellales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 610, 720},
	{"Trametes", "Polyporaceae", "Polyporales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Auricularia", "Auriculariaceae", "Auriculariales", "Agaricomycetes", "Basidiomycota", "Fungi", 2, 0, 0},
	{"Morchella", "Morchellaceae", "Pezizales", "Pezizomycetes", "Ascomycota", "Fungi", 2, 0, 0},
	{"Hypomyces", "Hypocreaceae", "Hypocreales", "Sordariomycetes", "Ascomycota", "Fungi", 2, 0, 0},
	{"Trichoderma", "Hypocreaceae", "Hypocreales", "Sordariomycetes", "Ascomycota", "Fungi", 3, 0, 0},
	{"Penicillium", "Aspergillaceae", "Eurotiales", "Eurotiomycetes", "Ascomycota", "Fungi", 3, 0, 0},
	{"Betula", "Betulaceae", "Fagales", "Magnoliopsida", "Tracheophyta", "Plantae", 2, 230, 215},
	{"Pinus", "Pinaceae", "Pinales", "Pinopsida", "Tracheophyta", "Plantae", 2, 260, 220},
	{"Fuligo", "Physaraceae", "Physarales", "Myxomycetes", "Amoebozoa", "Protozoa", 2, 240, 250},
}

// epithets name the species of a genus. They are no Latin and no species of
// any genus bears them.
var epithets = []string{"synprima", "synsecunda", "syntertia", "synquarta"}

// The share of spacer bases that change on the branch to a taxon. Half of the
// distance of two taxa lies on each side: two species of a genus differ by some
// 4 % of their spacers, and so by 3 % of the ITS with its 5.8S.
const (
	orderBranch      = 0.28
	familyBranch     = 0.075
	genusBranch      = 0.045
	speciesBranch    = 0.018
	collectionBranch = 0.0012
)

// world grows the invented tree. Every branch draws from a generator of its
// own, seeded by its name, so that a taxon added changes no other.
type world struct{ seed uint64 }

func (w world) rng(name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name)) // a hash.Hash never fails
	return rand.New(rand.NewPCG(w.seed, h.Sum64()))
}

func cladeOf(genus string) clade {
	for _, c := range clades {
		if c.genus == genus {
			return c
		}
	}
	return clade{genus: genus, family: genus + " family", order: genus + " order", class: "Agaricomycetes"}
}

// order, family, genus and species give the locus at a node of the tree.

func (w world) order(c clade) simulate.Locus {
	rng := w.rng("class " + c.class)
	its1, its2 := 190+int(rng.Uint64()%40), 180+int(rng.Uint64()%40)
	return simulate.NewLocus(rng, its1, its2).Evolve(w.rng("order "+c.order), orderBranch)
}

func (w world) family(c clade) simulate.Locus {
	return w.order(c).Evolve(w.rng("family "+c.family), familyBranch)
}

func (w world) genus(c clade) simulate.Locus {
	rng := w.rng("genus " + c.genus)
	if c.its1 == 0 {
		return w.family(c).Evolve(rng, genusBranch)
	}
	l := simulate.NewLocus(rng, c.its1, c.its2)
	if c.kingdom == "Plantae" {
		l = l.Plant()
	}
	return l
}

// species gives the locus of a binomial; a genus that is not in clades has an
// order of its own.
func (w world) species(binomial string) simulate.Locus {
	genus, _, _ := strings.Cut(binomial, " ")
	return w.genus(cladeOf(genus)).Evolve(w.rng("species "+binomial), speciesBranch)
}

// collection gives the locus of one collection of a species, which may differ
// from the others by a base or two.
func (w world) collection(binomial, code string) simulate.Locus {
	return w.species(binomial).Evolve(w.rng("collection "+binomial+" "+code), collectionBranch)
}
