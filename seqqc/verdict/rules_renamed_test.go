package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// wideRussula is Russula in a table that split Lactarius off it (invented).
func wideRussula() Field {
	f := field("Russula")
	f.Other = map[string]refs.Change{"Lactarius": {Name: "Russula", Accepted: "Lactarius", Kind: refs.Split, Ground: "invented"}}
	return f
}

func groupOf(word string, taxa ...string) Field {
	f := Field{Name: refs.Name{Verbatim: word, Group: word}, Known: true, Records: 3}
	for _, taxon := range taxa {
		_, l := place(taxon)
		f.Members = append(f.Members, l)
	}
	f.Lineage = refs.Lineage{Kingdom: "Fungi"}
	return f
}

// alikeSpecies is a window in which two species reach the threshold.
func alikeSpecies(identity float64) *seqqc.Match {
	return changed(matched("Russula emetica", identity), func(m *seqqc.Match) {
		m.Hits[1] = hit("Russula emetica", identity-0.1)
		m.Hits[1].Name.Epithet, m.Hits[1].Lineage.Species = "silvestris", "Russula silvestris"
	})
}

func nameRows() []row {
	return []row{
		{"renamed", "fires", "a genus in the wide sense", specimen(wideRussula(), offered(matched("Lactarius", 98), "Russula", 90))},
		{"renamed", "fires", "the library has no field genus", specimen(wideRussula(), matched("Lactarius", 98))},
		{"renamed", "silent", "a genus that was never in it", specimen(wideRussula(), offered(matched("Amanita", 98), "Russula", 80))},
		{"renamed", "silent", "the same genus", specimen(wideRussula(), offered(matched("Russula", 98), "Russula", 98))},
		{"renamed", "silent", "no change in the table", conflictCase()},
		{"renamed", "blind", "only the family is supported", specimen(wideRussula(), offered(matched("Lactarius", 90), "Russula", 89))},
		{"renamed", "blind", "no sequence", none()},
		{"species-complex", "fires", "two species at 99.7", specimen(field("Russula emetica"), alikeSpecies(99.8))},
		{"species-complex", "silent", "one species", agreed()},
		{"species-complex", "silent", "two species, but too far", specimen(field("Russula emetica"), alikeSpecies(98))},
		{"species-complex", "blind", "no hit", specimen(field("Russula"), &seqqc.Match{})},
	}
}

// library gives a library of the names, each with a sequence of its own.
func library(names ...string) *refs.Library {
	var records []refs.Record
	for i, n := range names {
		records = append(records, refs.Record{ID: n, Name: refs.ParseName(n), Seq: []byte("ACGTACGTAC")[:5+i%5]})
	}
	lib := refs.NewLibrary(records, nil)
	lib.TakeNames(fieldguide.BuiltinNames())
	return lib
}

// The relation of names to DNA with the built-in table, for labels and
// references of older and newer books. The names are real; common practice, no
// source.
func TestRelationOfChangedNames(t *testing.T) {
	modern := library("Boletus edulis", "Suillellus luridus", "Suillellus queletii", "Neoboletus erythropus", "Russula emetica")
	mixed := library("Boletus edulis", "Boletus luridus", "Suillellus luridus", "Russula emetica")
	old := library("Boletus edulis", "Boletus luridus", "Boletus queletii", "Russula emetica", "Rozites caperatus")
	for _, c := range []struct {
		lib        *refs.Library
		label, dna string
		want       kinship
	}{
		{modern, "Boletus sp.", "Suillellus luridus", otherName},
		{modern, "Boletus sp.", "Suillellus", otherName},
		{modern, "Boletus luridus", "Suillellus luridus", otherName},
		{modern, "Boletus queletii", "Suillellus luridus", otherName}, // the genus; the species differ
		{modern, "Boletus luridus", "Suillellus", otherName},
		{modern, "Boletus pulcherrimus", "Rubroboletus pulcherrimus", otherName},
		{modern, "Boletus ignotus", "Neoboletus erythropus", otherName}, // nothing tells where it stands
		{modern, "Boletus edulis", "Suillellus luridus", apart},         // the library has it as a Boletus
		{modern, "Boletus luridus", "Neoboletus erythropus", apart},     // the table has it elsewhere
		{modern, "Boletus luridus", "Boletus edulis", apart},
		{modern, "Boletus luridus", "Boletus", sameGenus}, // no more is told than the label says
		{modern, "Suillellus luridus", "Boletus edulis", apart},
		{modern, "Suillellus luridus", "Suillellus queletii", sameGenus},
		{modern, "Boletus sp.", "Russula emetica", apart}, // never in it
		{modern, "Boletus luridus", "Russula emetica", apart},
		{mixed, "Boletus luridus", "Suillellus luridus", otherName},
		{mixed, "Suillellus luridus", "Suillellus luridus", sameGenus},
		{old, "Boletus luridus", "Boletus luridus", sameGenus},
		{old, "Boletus luridus", "Boletus edulis", sameGenus},
		{old, "Suillellus luridus", "Boletus luridus", otherName},
		{old, "Suillellus sp.", "Boletus luridus", otherName},
		{old, "Suillellus sp.", "Boletus", otherName},
		{old, "Suillellus sp.", "Russula emetica", apart},
		{old, "Cortinarius caperatus", "Rozites caperatus", otherName},
		{old, "Rozites caperatus", "Rozites caperatus", sameGenus},
		{old, "Rozites sp.", "Cortinarius", otherName},
		{old, "Russula emetica", "Russula emetica", sameGenus},
	} {
		f := fieldOf(c.lib, refs.ParseName(c.label))
		n := refs.ParseName(c.dna)
		d := newTaxon(n.Taxon(), n.Genus, n.Rank, c.lib.Taxonomy.LineageOf(n))
		kin, _ := relate(Case{Field: f}.fieldTaxon(), d)
		require.Equal(t, c.want, kin, "label %s, DNA %s", c.label, c.dna)
		if d.lineage.Genus != refs.ParseName(c.label).Genus {
			require.NotEqual(t, sameGenus, kin, "label %s, DNA %s: two genera never agree", c.label, c.dna)
		}
	}
	// The library's records follow the table where it knows the newer name.
	require.Equal(t, "Suillellus luridus", mixed.Record(1).Lineage.Species)
	require.Len(t, mixed.OfGenus("Suillellus"), 2)
	require.Equal(t, mixed.GenusNumber(1), mixed.GenusNumber(2))
	require.Equal(t, "Boletus luridus", old.Record(1).Lineage.Species)
}

func TestRelationOfGroups(t *testing.T) {
	lib := library("Russula emetica")
	for _, c := range []struct {
		label, dna string
		want       kinship
		at         refs.Rank
	}{
		{"coral fungus", "Ramaria stricta", dnaInside, 0},
		{"coral fungus", "Clavulina", dnaInside, 0},
		{"coral fungus", "Amanita", apart, refs.Family},
		{"coral fungus", "Agaricales", fieldInside, 0},
		{"bolete", "Boletaceae", dnaInside, 0},
		{"bolete", "Suillus luteus", dnaInside, 0},
		{"bolete", "Boletales", fieldInside, 0},
		{"bolete", "Amanita muscaria", apart, refs.Order},
		{"milk-cap", "Lactifluus", dnaInside, 0},
		{"milk-cap", "Russulaceae", fieldInside, 0},
		{"milk-cap", "Russula emetica", apart, refs.Genus},
		{"brittlegill", "Russula emetica", dnaInside, 0}, // never "agrees"
		{"brittlegill", "Lactarius", apart, refs.Genus},
		{"polypore", "Fomitopsis", dnaInside, 0},
		{"puffball", "Scleroderma", dnaInside, 0},
		{"webcap", "Phlegmacium", dnaInside, 0},
	} {
		n := fieldguide.BuiltinGroups().Understand(refs.ParseName(c.label), lib.Taxonomy.Known)
		f := fieldOf(lib, n)
		require.True(t, Case{Field: f}.named(), c.label)
		d := lib.Taxonomy.Resolve(refs.ParseName(c.dna))
		kin, at := relate(Case{Field: f}.fieldTaxon(), newTaxon(d.Taxon(), d.Genus, d.Rank, lib.Taxonomy.LineageOf(d)))
		require.Equal(t, c.want, kin, "label %s, DNA %s", c.label, c.dna)
		require.Equal(t, c.at, at, "label %s, DNA %s", c.label, c.dna)
	}
	n := fieldguide.BuiltinGroups().Understand(refs.ParseName("little brown mushroom"), lib.Taxonomy.Known)
	require.False(t, Case{Field: fieldOf(lib, n)}.named())
}

func TestRenamedWords(t *testing.T) {
	lib := library("Boletus edulis", "Suillellus luridus")
	c := specimen(fieldOf(lib, refs.ParseName("Boletus sp.")), matched("Lactarius", 99))
	m := c.match()
	m.Supported, m.Taxon, m.Lineage = refs.Species, "Suillellus luridus", refs.Lineage{Family: "Boletaceae", Genus: "Suillellus", Species: "Suillellus luridus"}
	v := Judge(c, Defaults())
	require.Equal(t, seqqc.Renamed, v.Kind)
	require.False(t, v.Attention)
	require.Contains(t, v.Reason, "Boletus in its wide sense holds Suillellus")
	require.Contains(t, v.Reason, "the label was right by books that take it so")
	require.Contains(t, v.NextStep, "current name index")

	c.Field = fieldOf(lib, refs.ParseName("Boletus luridus"))
	v = Judge(c, Defaults())
	require.Equal(t, seqqc.Renamed, v.Kind)
	require.Contains(t, v.Reason, "Boletus luridus is called Suillellus luridus today")
	require.Contains(t, v.Reason, "right when its book was printed")

	c.Field = fieldOf(lib, refs.ParseName("Boletus queletii"))
	v = Judge(c, Defaults())
	require.Equal(t, seqqc.Renamed, v.Kind)
	require.True(t, v.Attention)
	require.Contains(t, v.Flags, seqqc.SpeciesDiffers)
	require.Contains(t, v.NextStep, "description of Suillellus luridus")
}

func TestGroupWords(t *testing.T) {
	c := specimen(groupOf("red cap", "Russula", "Amanitaceae"), matched("Russula emetica", 99.8))
	v := Judge(c, Defaults())
	require.Equal(t, seqqc.Refines, v.Kind)
	require.Contains(t, v.Reason, "narrows the field name red cap down to Russula emetica")
	c = specimen(groupOf("red cap", "Russula", "Amanitaceae"), matched("Lactarius", 99))
	v = Judge(c, Defaults())
	require.Equal(t, seqqc.Conflict, v.Kind)
	require.Equal(t, refs.Genus, v.PartsAt)
	c = specimen(groupOf("red cap", "Russula", "Amanitaceae"), matched("Lactarius", 90))
	v = Judge(c, Defaults())
	require.Equal(t, seqqc.Consistent, v.Kind)
	require.Contains(t, v.Reason, "some of what is called red cap lies in it")
	c.Field = Field{Name: refs.Name{Verbatim: "LBM", Group: "mushroom"}}
	v = Judge(c, Defaults())
	require.Equal(t, seqqc.Undetermined, v.Kind)
	require.Equal(t, seqqc.FieldNameUnknown, v.ReasonCode)
	require.Contains(t, v.Reason, "cannot be tested")
}

func TestSpeciesAlike(t *testing.T) {
	own := field("Russula emetica")
	own.Name.Epithet, own.Lineage.Species = "silvestris", "Russula silvestris"
	c := specimen(own, offered(alikeSpecies(99.8), "Russula", 99.8))
	c.match().Field.Species = &c.match().Hits[1]
	v := Judge(c, Defaults())
	require.Equal(t, seqqc.Agrees, v.Kind)
	require.False(t, v.Attention)
	require.NotContains(t, v.Flags, seqqc.SpeciesDiffers)
	require.Contains(t, v.Flags, seqqc.SpeciesComplex)
	require.Contains(t, v.Reason, "does not part Russula emetica and Russula silvestris")
	require.Contains(t, v.Reason, "the field name may be right")

	v = Judge(specimen(field("Russula"), offered(alikeSpecies(98.5), "Russula", 98.5)), Defaults())
	require.Contains(t, v.Reason, "the species is not settled (99.6 % are needed), near are Russula emetica and Russula silvestris")

	// One gap of 60 bases says nothing about what the library has.
	gap := offered(matched("Russula emetica", 96), "Russula", 96)
	gap.Hits[0].GapEvents, gap.Hits[0].GapBases = 1, 60
	v = Judge(specimen(field("Russula"), gap), Defaults())
	require.Contains(t, v.Reason, "its species stays open, because the nearest reference differs by 1 gap of 60 bases")
	require.NotContains(t, v.Reason, "no reference of its species")
	require.Equal(t, "Russula a, b, c, d, e and 2 more", speciesWords([]string{"Russula a", "b", "c", "d", "e", "f", "g"}))
}

// A word of clubs has no records: the taxa that it means have, or have not.
func TestGroupsWithoutRecords(t *testing.T) {
	for label, want := range map[string]string{
		"milk-cap":     "the library has no record of Lactarius, Lactifluus and Multifurca",
		"brittlegill":  "the library has 1 record of Russula",
		"coral fungus": "the library has no record of Gomphales, Clavariaceae, Hydnaceae, Clavulina and ",
		"Suillaceae":   "the library has no record of Suillaceae",
	} {
		lib := library("Russula emetica")
		n := fieldguide.BuiltinGroups().Understand(refs.ParseName(label), lib.Taxonomy.Known)
		require.Contains(t, offers(Case{Field: fieldOf(lib, n), Samples: []seqqc.SampleResult{{Match: &seqqc.Match{}}}}), want)
	}
}
