package main

import (
	"math/rand/v2"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// truth is what is true of a voucher.
type truth struct {
	scenario string
	verdict  seqqc.VerdictKind
	reason   seqqc.ReasonCode
	// cause is empty where nothing is the matter.
	cause seqqc.CauseCode
	// fieldGenus and dnaGenus are in the names in use, empty where the field name
	// tells no genus or the tube holds no one genus.
	fieldGenus, dnaGenus string
	// clean vouchers have neither a fault nor a doubt.
	clean bool
}

// apart reports whether the DNA is of another genus than the label says.
func (t truth) apart() bool {
	return t.fieldGenus != "" && t.dnaGenus != "" && t.fieldGenus != t.dnaGenus
}

// voucher is one row of the sheet with its tube.
type voucher struct {
	truth
	field string
	kind  seqqc.Kind
	tube  tube
}

// tube is what was sequenced.
type tube struct {
	genus string
	reads []read
}

type read struct {
	primer    string
	templates []simulate.Template
	params    *simulate.Params // nil for called bases
}

// maker draws vouchers.
type maker struct {
	w   *world
	rng *rand.Rand
}

// scenario makes a voucher; number is how many a mixed batch has of it.
type scenario struct {
	name   string
	number int
	make   func(m maker) (voucher, error)
}

// singles are the scenarios that one voucher alone makes.
var singles = []scenario{
	{"clean, species on the label", 8, func(m maker) (voucher, error) { return m.clean(0) }},
	{"clean, genus on the label", 5, func(m maker) (voucher, error) { return m.clean(1) }},
	{"clean, family on the label", 2, func(m maker) (voucher, error) { return m.clean(2) }},
	{"old name on the label", 2, maker.renamed},
	{"slip of the pen", 3, maker.misspelt},
	{"club word that fits", 2, maker.groupFits},
	{"club word that does not fit", 2, maker.groupDiffers},
	{"club word for anything", 1, maker.groupVague},
	{"wrong name, genus of the family", 4, func(m maker) (voucher, error) {
		return m.wrong(func(a, b clade) bool { return a.family == b.family && a.genus != b.genus })
	}},
	{"wrong name, other family", 4, func(m maker) (voucher, error) {
		return m.wrong(func(a, b clade) bool { return a.order == b.order && a.family != b.family })
	}},
	{"wrong name, other order", 4, func(m maker) (voucher, error) { return m.wrong(func(a, b clade) bool { return a.order != b.order }) }},
	{"mould", 4, maker.mould},
	{"fungus on its usual host", 3, func(m maker) (voucher, error) {
		return m.named(m.pick("Russula", "Lactarius", "Boletus", "Suillus"), m.pick("Hypomyces"), seqqc.Overgrowth, seqqc.CauseGrowth)
	}},
	{"host of the fungus on it", 3, func(m maker) (voucher, error) {
		return m.named(m.pick("Hypomyces"), m.pick("Russula", "Lactarius", "Boletus", "Suillus"), seqqc.Conflict, seqqc.CauseHost)
	}},
	{"chimera", 3, maker.chimera},
	{"two templates", 3, maker.mixed},
	{"poor reads", 3, maker.poor},
	{"no reads", 2, maker.silent},
	{"other locus", 3, maker.otherLocus},
	{"mislabelled reference", 4, func(m maker) (voucher, error) {
		v, err := m.right(drawn(m.rng, anyClade), misfiled)
		v.cause = seqqc.CauseReference
		return v, err
	}},
	{"species alike", 3, func(m maker) (voucher, error) {
		v, err := m.right(drawn(m.rng, anyClade), alike[0])
		v.cause = seqqc.CauseAlike
		return v, err
	}},
	{"genus not in the library, far", 2, func(m maker) (voucher, error) { return m.absent(false) }},
	{"genus not in the library, near", 2, func(m maker) (voucher, error) { return m.absent(true) }},
	{"DNA of a genus not in the library", 2, maker.unknown},
	{"plant", 3, func(m maker) (voucher, error) {
		return m.named(drawn(m.rng, anyClade), m.pick("Betula", "Pinus"), seqqc.NonFungal, seqqc.CauseForeignDNA)
	}},
}

func (m maker) pick(genera ...string) clade { return cladeOf(genera[m.rng.IntN(len(genera))]) }

// right is a voucher of a species under its own name.
func (m maker) right(c clade, species string) (voucher, error) {
	t, err := m.tubeOf(c.genus, m.w.specimen(m.rng, c, species))
	return voucher{field: c.genus + " " + c.epithet(species), tube: t,
		truth: truth{verdict: seqqc.Agrees, fieldGenus: c.genus, dnaGenus: c.genus}}, err
}

// clean is a voucher that is what its label says: a species, a genus or a
// family.
func (m maker) clean(ranksUp int) (voucher, error) {
	c := drawn(m.rng, anyClade)
	v, err := m.right(c, ordinary[m.rng.IntN(len(ordinary))])
	v.clean = true
	switch ranksUp {
	case 1:
		v.field = c.genus + " sp."
	case 2:
		v.field, v.verdict, v.fieldGenus = c.family, seqqc.Refines, ""
	}
	return v, err
}

// named is a voucher with a species of one genus on the label and DNA of another.
func (m maker) named(field, dna clade, verdict seqqc.VerdictKind, cause seqqc.CauseCode) (voucher, error) {
	v, err := m.right(dna, ordinary[m.rng.IntN(len(ordinary))])
	v.field, v.fieldGenus, v.verdict, v.cause = field.genus+" "+field.epithet(ordinary[m.rng.IntN(len(ordinary))]), field.genus, verdict, cause
	return v, err
}

// wrong is a voucher whose collector took one genus for another.
func (m maker) wrong(fit func(a, b clade) bool) (voucher, error) {
	hasPartner := func(a clade) bool {
		for _, b := range clades {
			if b.class != growth && b.class != plant && fit(a, b) {
				return true
			}
		}
		return false
	}
	field := drawn(m.rng, hasPartner)
	return m.named(field, drawn(m.rng, func(b clade) bool { return fit(field, b) }), seqqc.Conflict, seqqc.CauseFieldName)
}

func (m maker) mould() (voucher, error) {
	return m.named(drawn(m.rng, anyClade), m.pick("Penicillium", "Aspergillus", "Trichoderma", "Cladosporium"),
		seqqc.Overgrowth, seqqc.CauseGrowth)
}

// oldNames are names of the built-in table of changes, and batchName one of the
// batch's own.
var oldNames = [][2]string{
	{"Coriolus", "Trametes"}, {"Leptonia", "Entoloma"}, {"Nolanea", "Entoloma"}, {"Dermocybe", "Cortinarius"}, {"Rozites", "Cortinarius"},
	{"Naematoloma", "Hypholoma"}, {"Hirneola", "Auricularia"}, {"Boletinus", "Suillus"}, {"Coprinus", "Coprinellus"}, batchName,
}

var batchName = [2]string{"Fictomyces", "Tricholoma"}

func (m maker) renamed() (voucher, error) {
	p := oldNames[m.rng.IntN(len(oldNames))]
	v, err := m.right(cladeOf(p[1]), ordinary[m.rng.IntN(len(ordinary))])
	v.field, v.verdict, v.cause = p[0]+" sp.", seqqc.Renamed, seqqc.CauseRenamed
	return v, err
}

// misspelt doubles a letter within the genus.
func (m maker) misspelt() (voucher, error) {
	v, err := m.clean(1)
	v.clean = false
	g := v.fieldGenus
	at := 2 + m.rng.IntN(len(g)-4)
	v.field = g[:at] + g[at-1:at] + g[at:] + " sp."
	return v, err
}

func (m maker) word(verdict seqqc.VerdictKind, cause seqqc.CauseCode, pairs ...[2]string) (voucher, error) {
	p := pairs[m.rng.IntN(len(pairs))]
	v, err := m.right(cladeOf(p[1]), ordinary[m.rng.IntN(len(ordinary))])
	v.field, v.fieldGenus, v.verdict, v.cause = p[0], "", verdict, cause
	return v, err
}

func (m maker) groupFits() (voucher, error) {
	return m.word(seqqc.Refines, "", [2]string{"bolete", "Leccinum"}, [2]string{"bolete", "Suillus"}, [2]string{"milk-cap", "Lactarius"},
		[2]string{"waxcap", "Hygrocybe"}, [2]string{"coral fungus", "Ramaria"})
}

func (m maker) groupDiffers() (voucher, error) {
	return m.word(seqqc.Conflict, seqqc.CauseFieldName, [2]string{"coral fungus", "Amanita"}, [2]string{"bolete", "Amanita"},
		[2]string{"milk-cap", "Russula"}, [2]string{"waxcap", "Mycena"})
}

func (m maker) groupVague() (voucher, error) {
	return m.word(seqqc.Undetermined, seqqc.CauseLabel, [2]string{"little brown mushroom", "Galerina"}, [2]string{"toadstool", "Inocybe"})
}

// absentKin are genera that the library lacks, each with one of its family that
// it holds.
var absentKin = [][2]string{{"Multifurca", "Russula"}, {"Phaeocollybia", "Hebeloma"}, {"Strobilomyces", "Boletus"}, {"Fomes", "Trametes"}}

// absent is a voucher whose label names a genus of which the library has nothing,
// with the DNA of another genus: of the same family or of another.
func (m maker) absent(near bool) (voucher, error) {
	p := absentKin[m.rng.IntN(len(absentKin))]
	kin := cladeOf(p[1])
	dna := kin
	if !near {
		dna = drawn(m.rng, func(c clade) bool { return c.order != kin.order })
	}
	return m.named(clade{genus: p[0]}, dna, seqqc.Conflict, seqqc.CauseFieldName)
}

// unknown is a voucher of a genus of which the library has nothing, under its own
// name: the DNA tells the family alone.
func (m maker) unknown() (voucher, error) {
	p := absentKin[m.rng.IntN(len(absentKin))]
	l := m.w.family(cladeOf(p[1])).Evolve(m.w.rng("genus "+p[0]), genusBranch).Evolve(m.rng, speciesBranch)
	t, err := m.tubeOf(p[0], l)
	return voucher{field: p[0] + " sp.", tube: t, truth: truth{verdict: seqqc.Consistent, fieldGenus: p[0], dnaGenus: p[0]}}, err
}

func (v voucher) undetermined(reason seqqc.ReasonCode, cause seqqc.CauseCode) voucher {
	v.verdict, v.reason, v.cause, v.clean = seqqc.Undetermined, reason, cause, false
	return v
}
