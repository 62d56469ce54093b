package refs

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The built-in table is from memory and no outside list is at hand, so it is
// held to itself: one place a taxon, endings as the code of nomenclature asks,
// one habit out of the list, sorted.
func TestBuiltinGenera(t *testing.T) {
	parents := make(map[string]Lineage)
	habits := map[Habit]int{Mushroom: 0, Mould: 0, Yeast: 0, Fungicolous: 0, Endophyte: 0, PlantPathogen: 0, Lichen: 0, SlimeMould: 0, Plant: 0, Alga: 0}
	last, rows := "", 0
	for line := range strings.Lines(generaTSV) {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "genus\t") {
			continue
		}
		rows++
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		require.Len(t, cells, 7, line)
		genus := cells[0]
		require.Less(t, last, genus, "sorted, none twice")
		last = genus
		b := builtinGenera()[genus]
		require.Contains(t, habits, b.habit, genus)
		habits[b.habit]++
		l := b.lineage
		require.NotEmpty(t, l.Kingdom, genus)
		require.NotEmpty(t, l.Phylum, genus)
		require.Equal(t, NormalKingdom(l.Kingdom), l.Kingdom)
		fungi := l.Kingdom == "Fungi"
		for r, ending := range map[Rank]string{Family: "aceae", Order: "ales"} {
			if v := l.At(r); v != "" {
				require.True(t, strings.HasSuffix(v, ending), "%s: %s", genus, v)
			}
		}
		if fungi {
			require.True(t, strings.HasSuffix(l.Phylum, "mycota"), genus)
			require.True(t, l.Class == "" || strings.HasSuffix(l.Class, "mycetes"), genus)
		}
		for _, r := range Ranks[:Family] {
			name := l.At(r)
			if name == "" {
				continue
			}
			if p, seen := parents[name]; seen {
				require.Equal(t, p, l.Upto(r), "%s stands in one place", name)
			}
			parents[name] = l.Upto(r)
		}
		switch b.habit {
		case Plant:
			require.Equal(t, "Plantae", l.Kingdom, genus)
		case SlimeMould:
			require.Equal(t, "Protozoa", l.Kingdom, genus)
		case Mushroom, Mould, Yeast, Fungicolous, Endophyte, Lichen:
			require.True(t, fungi || genus == "Saprolegnia", genus)
		}
	}
	require.Len(t, builtinGenera(), rows)
	require.GreaterOrEqual(t, rows, 600)
	for habit, n := range habits {
		require.Positive(t, n, habit)
	}
	t.Logf("%d genera in %d broader taxa: %v", rows, len(parents), habits)
	for narrow, wide := range widerFamilies {
		require.NotContains(t, parents, narrow)
		require.Contains(t, parents, wide)
	}
}

// Common knowledge of the trade, no source: where well-known genera belong.
func TestBuiltinPlaces(t *testing.T) {
	tax := NewTaxonomy(nil, nil)
	for genus, want := range map[string]string{
		"Amanita":       "Fungi/Basidiomycota/Agaricomycetes/Agaricales/Amanitaceae/Amanita/.",
		"Russula":       "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/.",
		"Lactarius":     "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Lactarius/.",
		"Boletus":       "Fungi/Basidiomycota/Agaricomycetes/Boletales/Boletaceae/Boletus/.",
		"Trametes":      "Fungi/Basidiomycota/Agaricomycetes/Polyporales/Polyporaceae/Trametes/.",
		"Morchella":     "Fungi/Ascomycota/Pezizomycetes/Pezizales/Morchellaceae/Morchella/.",
		"Trichoderma":   "Fungi/Ascomycota/Sordariomycetes/Hypocreales/Hypocreaceae/Trichoderma/.",
		"Penicillium":   "Fungi/Ascomycota/Eurotiomycetes/Eurotiales/Aspergillaceae/Penicillium/.",
		"Saccharomyces": "Fungi/Ascomycota/Saccharomycetes/Saccharomycetales/Saccharomycetaceae/Saccharomyces/.",
		"Physarum":      "Protozoa/Amoebozoa/Myxomycetes/Physarales/Physaraceae/Physarum/.",
		"Quercus":       "Plantae/Tracheophyta/Magnoliopsida/Fagales/Fagaceae/Quercus/.",
		"Pinus":         "Plantae/Tracheophyta/Pinopsida/Pinales/Pinaceae/Pinus/.",
	} {
		l, ok := tax.Lookup(genus)
		require.True(t, ok)
		require.Equal(t, want, lineageText(l))
		require.Equal(t, !strings.HasPrefix(want, "Fungi"), l.OutsideFungi())
		require.True(t, tax.Known(genus))
	}
	require.Equal(t, Mould, tax.Habit("Penicillium"))
	require.Equal(t, Fungicolous, tax.Habit("Hypomyces"))
	require.Equal(t, Yeast, tax.Habit("Rhodotorula"))
	require.Empty(t, tax.Habit("Nowhere"))
	require.False(t, Lineage{}.OutsideFungi(), "an unknown kingdom is not outside")
	require.True(t, Lineage{Kingdom: "Viridiplantae"}.OutsideFungi())
}

func TestTaxonomyRanks(t *testing.T) {
	tax := NewTaxonomy(nil, nil)
	for name, want := range map[string]Rank{"Fungi": Kingdom, "Basidiomycota": Phylum, "Agaricomycetes": Class, "Russulales": Order, "Russulaceae": Family, "Russula": Genus, "Nowhere": NoRank, "": NoRank} {
		require.Equal(t, want, tax.RankOf(name), name)
	}
	l, _ := tax.Lookup("Russulaceae")
	require.Equal(t, "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/./.", lineageText(l))
	var none *Taxonomy
	require.Equal(t, NoRank, none.RankOf("Russula"))
	require.False(t, none.Known("Russula"))
	require.Empty(t, none.Habit("Russula"))
	require.Equal(t, ParseName("Russula"), none.Resolve(ParseName("Russula")))
}

func table(t *testing.T, text string) *Table {
	t.Helper()
	tab, err := ReadTaxonomy(strings.NewReader(text))
	require.NoError(t, err)
	return tab
}

func TestTaxonomyPrecedence(t *testing.T) {
	headers := []Lineage{
		{Kingdom: "Fungi", Family: "Headeraceae", Genus: "Russula"},
		{Family: "Headeraceae", Genus: "Inventia"},
		{Order: "Headerales", Family: "Headeraceae"},
	}
	tests := []struct {
		what, user string
		headers    []Lineage
		name, want string
	}{
		{"built-in alone", "", nil, "Russula", "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/."},
		{"header over built-in, which fills the rest", "", headers[:1], "Russula", "Fungi/Basidiomycota/Agaricomycetes/Russulales/Headeraceae/Russula/."},
		{"a family brings its own order before the built-in one", "", headers, "Russula", "Fungi/Basidiomycota/Agaricomycetes/Headerales/Headeraceae/Russula/."},
		{"user over header over built-in", "genus\tfamily\nRussula\tUseraceae\n", headers[:1], "Russula", "Fungi/Basidiomycota/Agaricomycetes/Russulales/Useraceae/Russula/."},
		{"user at one rank, header at another", "genus\torder\nRussula\tUserales\n", headers[:1], "Russula", "Fungi/Basidiomycota/Agaricomycetes/Userales/Headeraceae/Russula/."},
		{"user alone for a new genus", "genus\tfamily\torder\nNovum\tRussulaceae\t\n", nil, "Novum", "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Novum/."},
		{"a known family helps an unknown genus", "", []Lineage{{Family: "Boletaceae", Genus: "Inventia"}}, "Inventia", "Fungi/Basidiomycota/Agaricomycetes/Boletales/Boletaceae/Inventia/."},
		{"no value in the user's cell", "genus\tfamily\nRussula\tincertae sedis\n", nil, "Russula", "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/."},
		{"a homonym of another kingdom is another taxon", "", []Lineage{{Kingdom: "Animalia", Family: "Leiognathidae", Genus: "Lactarius"}}, "Lactarius", "Animalia/./././Leiognathidae/Lactarius/."},
		{"user's row for a family", "family\torder\nRussulaceae\tUserales\n", nil, "Russula", "Fungi/Basidiomycota/Agaricomycetes/Userales/Russulaceae/Russula/."},
		{"a genus moved to a known family follows it", "genus\tfamily\nRussula\tBoletaceae\n", nil, "Russula", "Fungi/Basidiomycota/Agaricomycetes/Boletales/Boletaceae/Russula/."},
	}
	for _, tt := range tests {
		var user *Table
		if tt.user != "" {
			user = table(t, tt.user)
		}
		l, _ := NewTaxonomy(user, tt.headers).Lookup(tt.name)
		require.Equal(t, tt.want, lineageText(l), tt.what)
	}
}

func TestTaxonomyMajority(t *testing.T) {
	a := Lineage{Order: "Aales", Family: "Aaceae", Genus: "Inventia"}
	b := Lineage{Order: "Bales", Family: "Baceae", Genus: "Inventia"}
	tax := NewTaxonomy(nil, []Lineage{b, a, a})
	l, _ := tax.Lookup("Inventia")
	require.Equal(t, "./././Aales/Aaceae/Inventia/.", lineageText(l))
	require.Len(t, tax.problems, 1, "one contradiction, told once and not again for the order")
	require.Equal(t, Problem{Line: 1, What: "genus Inventia stands in more than one family: Aaceae (2 records), Baceae (1 record); Aaceae is used",
		Hint: "mend the headers, or say which is right in a taxonomy table"}, tax.problems[0])

	// A tie goes to the alphabet, or to the built-in table.
	l, _ = NewTaxonomy(nil, []Lineage{b, a}).Lookup("Inventia")
	require.Equal(t, "Aaceae", l.Family)
	l, _ = NewTaxonomy(nil, []Lineage{{Family: "Aaceae", Genus: "Russula"}, {Family: "Russulaceae", Genus: "Russula"}}).Lookup("Russula")
	require.Equal(t, "Russulaceae", l.Family)

	// A family in two orders is told of the family, not of its genera.
	tax = NewTaxonomy(nil, []Lineage{{Order: "Aales", Family: "Aaceae", Genus: "Inventia"}, {Order: "Bales", Family: "Aaceae", Genus: "Inventia"}})
	require.Len(t, tax.problems, 1)
	require.Contains(t, tax.problems[0].What, "family Aaceae stands in more than one order")

	// What the user has decided is no problem any more.
	tax = NewTaxonomy(table(t, "genus\tfamily\nInventia\tBaceae\n"), []Lineage{b, a, a})
	require.Empty(t, tax.problems)
	l, _ = tax.Lookup("Inventia")
	require.Equal(t, "Baceae", l.Family)
	require.Equal(t, "Bales", l.Order)
}

func TestResolve(t *testing.T) {
	tax := NewTaxonomy(nil, []Lineage{
		{Kingdom: "Fungi", Order: "Oddorder", Family: "Oddfamily", Genus: "Brown"},
		{Kingdom: "Fungi", Phylum: "Zoomycotina"},
	})
	tests := []struct{ written, want string }{
		{"Russula emetica", "Russula emetica"},
		{"Russula", "Russula"},
		{"Nyctalisella parasitica", "Nyctalisella parasitica"}, // unknown, and left alone
		{"Lepista", "Lepista"},                                 // a valid genus is never corrected
		{"Lepiota", "Lepiota"},
		{"brown", "Brown"}, // a genus of the library, however odd
		{"brown sp.", "Brown sp"},
		{"Oddfamily", "Oddfamily <family>"},
		{"oddorder", "Oddorder <order>"},
		{"Zoomycotina", "Zoomycotina <phylum>"},
		{"Russulaceae", "Russulaceae <family>"},
		{"Cantharellaceae", "Hydnaceae <family>"},
		{"Nowheraceae", "Nowheraceae <family>"},
		{"coral fungus", "-"},
		{"Russula or Lactarius", "several: Russula, Lactarius"},
		{"Russula, Brown", "several: Russula, Brown"}, // the second is known to the library alone
		{"R. emetica", "abbreviated"},
		{"Fungi sp.", "Fungi <kingdom> unnamed"},
		{"", "-"},
	}
	for _, tt := range tests {
		n := tax.Resolve(ParseName(tt.written))
		require.Equal(t, tt.want, brief(n), tt.written)
		checkName(t, n)
	}
	// A library that uses the narrow family keeps it.
	narrow := NewTaxonomy(nil, []Lineage{{Family: "Cantharellaceae", Genus: "Cantharellus"}})
	require.Equal(t, "Cantharellaceae", narrow.Resolve(ParseName("Cantharellaceae")).Higher)
}

func TestLineageOf(t *testing.T) {
	tax := NewTaxonomy(nil, nil)
	for written, want := range map[string]string{
		"Russula emetica":     "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/Russula emetica",
		"Russula cf. emetica": "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/.",
		"Russula sp.":         "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/.",
		"Russulaceae":         "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/./.",
		"Inventia nova":       "./././././Inventia/Inventia nova",
		"Nowheraceae":         "././././Nowheraceae/./.",
		"Fungi sp.":           "Fungi/./././././.",
		"coral fungus":        "././././././.",
	} {
		require.Equal(t, want, lineageText(tax.LineageOf(ParseName(written))), written)
	}
}

func BenchmarkNewTaxonomy(b *testing.B) {
	for b.Loop() {
		NewTaxonomy(nil, nil)
	}
}
