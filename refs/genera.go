package refs

import (
	_ "embed"
	"strings"
	"sync"
)

// generaTSV is the built-in genus table; its own header says where it comes
// from and which usage it follows.
//
//go:embed genera.tsv
var generaTSV string

// Habit is the way of life of a genus, in one word.
type Habit string

// The habits of the built-in genus table.
const (
	Mushroom      Habit = "mushroom"       // what a club collects, crusts, cups and dots included
	Mould         Habit = "mould"          // grows on neglected collections and on nearly everything else
	Yeast         Habit = "yeast"          // yeasts, and fungi with a yeast stage found as such
	Fungicolous   Habit = "fungicolous"    // lives on other fungi
	Endophyte     Habit = "endophyte"      // hidden in plants or on their roots
	PlantPathogen Habit = "plant_pathogen" // rusts, smuts, mildews, oomycetes and the like
	Lichen        Habit = "lichen"
	SlimeMould    Habit = "slime_mould"
	Plant         Habit = "plant"
	Alga          Habit = "alga"
)

type builtinGenus struct {
	lineage Lineage
	habit   Habit
}

// builtinGenera is the parsed built-in table by genus. It is a constant that
// Go cannot write as one: nothing changes it.
var builtinGenera = sync.OnceValue(func() map[string]builtinGenus {
	genera := make(map[string]builtinGenus)
	for line := range strings.Lines(generaTSV) {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "genus\t") {
			continue
		}
		f := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		genera[f[0]] = builtinGenus{
			lineage: Lineage{Genus: f[0], Family: f[1], Order: f[2], Class: f[3], Phylum: f[4], Kingdom: f[5]},
			habit:   Habit(f[6]),
		}
	}
	return genera
})

// builtinTaxa is the built-in table by taxon of any rank. A test holds that
// each taxon has one place in it.
var builtinTaxa = sync.OnceValue(func() map[string]Lineage {
	taxa := make(map[string]Lineage)
	for _, b := range builtinGenera() {
		for _, r := range Ranks[:Genus] {
			if name := b.lineage.At(r); name != "" {
				taxa[name] = b.lineage.Upto(r)
			}
		}
	}
	return taxa
})

func isBuiltinGenus(word string) bool {
	_, ok := builtinGenera()[word]
	return ok
}

// widerFamilies gives, for family names that are in use but not in the
// built-in table, the family of the table that holds their genera. From
// memory, as the table.
var widerFamilies = map[string]string{
	"Ramariaceae":        "Gomphaceae",
	"Cantharellaceae":    "Hydnaceae",
	"Clavulinaceae":      "Hydnaceae",
	"Clathraceae":        "Phallaceae",
	"Ganodermataceae":    "Polyporaceae",
	"Pisolithaceae":      "Sclerodermataceae",
	"Calostomataceae":    "Sclerodermataceae",
	"Sphaerobolaceae":    "Geastraceae",
	"Tulostomataceae":    "Agaricaceae",
	"Phaeolaceae":        "Laetiporaceae",
	"Postiaceae":         "Dacryobolaceae",
	"Valsaceae":          "Cytosporaceae",
	"Catathelasmataceae": "Callistosporiaceae",
	"Biannulariaceae":    "Callistosporiaceae",
	"Volvariellaceae":    "Pluteaceae",
	"Leccinaceae":        "Boletaceae",
	"Strobilomycetaceae": "Boletaceae",
	"Xerocomaceae":       "Boletaceae",
	"Octavianiaceae":     "Boletaceae",
	"Melanogastraceae":   "Paxillaceae",
	"Elasmomycetaceae":   "Russulaceae",
	"Cronartiaceae":      "Coleosporiaceae",
	"Gramineae":          "Poaceae",
	"Leguminosae":        "Fabaceae",
	"Compositae":         "Asteraceae", //nolint:misspell // Latin
	"Aureobasidiaceae":   "Saccotheciaceae",
	"Diplocystaceae":     "Diplocystidiaceae",
}
