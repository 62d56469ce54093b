package refs

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Labels that say, in one language or another, that nobody named it.
func TestLabelsWithoutAName(t *testing.T) {
	for _, label := range []string{
		"unbestimmt", "Unbestimmt", "Pilz indet.", "indét.", "indéterminé", "okänd", "Okänd art", "unknown", "?", "onbekend", "inconnu",
		"desconocido", "Champignon indéterminé", "keine Angabe", "sans nom", "ukjent", "Pilz", "Pilz?",
	} {
		n := ParseName(label)
		require.True(t, n.Unnamed, label)
		require.Empty(t, n.Genus, label)
	}
	for label, want := range map[string]Name{
		"unbestimmte Russula": {Genus: "Russula", Rank: Genus, Doubt: DoubtSp},
		"Russula unbestimmt":  {Genus: "Russula", Rank: Genus, Doubt: DoubtSp},
		"Russula indét.":      {Genus: "Russula", Rank: Genus, Doubt: DoubtSp},
		// Provisional names are no epithets.
		"Cortinarius sp. 'IN07'":   {Genus: "Cortinarius", Rank: Genus, Doubt: DoubtSp},
		"Amanita sp-S01":           {Genus: "Amanita", Rank: Genus, Doubt: DoubtSp},
		"Russula 'violeipes-like'": {Genus: "Russula", Rank: Genus, Doubt: DoubtSp},
		// Words of clubs are not misread as taxa.
		"Täublinge": {}, "Röhrlinge": {}, "Lactaire": {}, "Morilles": {}, "Coral fungus": {}, "Polypore": {}, "Bovist": {},
	} {
		want.Verbatim = label
		require.Equal(t, want, ParseName(label), label)
	}
}

func TestRespellEpithet(t *testing.T) {
	var records []Record
	for _, n := range []string{"Russula emetica", "Russula xerampelina", "Russula nana", "Russula persoonii", "Russula fictoides", "Russula fictoidea", "Suillus luteus"} {
		records = append(records, Record{ID: n, Name: ParseName(n), Seq: []byte("ACGT")})
	}
	lib := NewLibrary(records, nil)
	for written, want := range map[string]string{
		"Russula emetica":      "emetica",
		"Russula emeticus":     "emetica", // another gender
		"Russula emmetica":     "emetica", // a letter doubled
		"Russula emytica":      "emytica",
		"Russula persooni":     "persoonii",
		"Russula xeranpelina":  "xerampelina", // one slip in a long word
		"Russula xerampalena":  "xerampalena", // two
		"Russula rana":         "rana",        // too short to tell a slip from a name
		"Russula fictoider":    "fictoider",   // two are that near
		"Russula zzzella":      "zzzella",
		"Russula cyanoxantha":  "cyanoxantha", // in the second list
		"Russula cyanoxanthus": "cyanoxantha",
		"Suillus luteum":       "luteus",
	} {
		n := ParseName(written)
		got := lib.RespellEpithet(n, []string{"cyanoxantha"})
		require.Equal(t, want, got.Epithet, written)
		require.Equal(t, want != n.Epithet, got.Respelt, written)
	}
	require.Equal(t, Name{Genus: "Russula"}, lib.RespellEpithet(Name{Genus: "Russula"}, nil))
}

// No name of a library is respelt: neither its own nor, where it is well
// spelt, one that only a longer list has.
func FuzzRespellEpithet(f *testing.F) {
	lib := NewLibrary([]Record{
		{ID: "a", Name: ParseName("Russula emetica"), Seq: []byte("ACGT")}, {ID: "b", Name: ParseName("Russula xerampelina"), Seq: []byte("ACGT")},
	}, nil)
	for _, s := range []string{"Russula emetica", "Russula emmetica", "Russula 'x'", "Boletus badia", "Russula (", "× y?"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, label string) {
		n := ParseName(label)
		got := lib.RespellEpithet(lib.Taxonomy.Respell(n), nil)
		if !got.Respelt {
			require.Equal(t, n, got)
			return
		}
		require.NotEqual(t, n.Taxon(), got.Taxon())
		again := lib.RespellEpithet(got, nil)
		require.Equal(t, got, again)
		if n.Genus == got.Genus { // it was the epithet
			require.NotContains(t, []string{"emetica", "xerampelina"}, n.Epithet)
		}
	})
}
