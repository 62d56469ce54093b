package refs

import "strings"

// kingdomNames maps words that stand for a kingdom, in lower case, to the name
// used here. The kingdoms are those of Ruggiero et al. 2015 (PLoS ONE 10:
// e0119248, DOI 10.1371/journal.pone.0119248), which put slime moulds in
// Protozoa and the fungus-like oomycetes in Chromista; groups that other
// systems treat as kingdoms are read as the kingdom that holds them.
var kingdomNames = map[string]string{
	"fungi": "Fungi", "mycota": "Fungi", "eumycota": "Fungi",
	"plantae": "Plantae", "viridiplantae": "Plantae", "archaeplastida": "Plantae", "metaphyta": "Plantae", "embryophyta": "Plantae", "chloroplastida": "Plantae",
	"animalia": "Animalia", "metazoa": "Animalia",
	"protozoa": "Protozoa", "amoebozoa": "Protozoa", "mycetozoa": "Protozoa", "eumycetozoa": "Protozoa",
	"chromista": "Chromista", "stramenopila": "Chromista", "stramenopiles": "Chromista", "straminipila": "Chromista", "heterokonta": "Chromista",
	"alveolata": "Chromista", "rhizaria": "Chromista", "sar": "Chromista",
	"bacteria": "Bacteria", "eubacteria": "Bacteria", "archaea": "Archaea", "archaebacteria": "Archaea",
}

// NormalKingdom gives the kingdom's name as used here ("Viridiplantae" is
// Plantae, "Amoebozoa" is Protozoa); other words come back unchanged.
func NormalKingdom(name string) string {
	if k, ok := kingdomNames[strings.ToLower(name)]; ok {
		return k
	}
	return name
}

// OutsideFungi reports whether the kingdom of l is known and is not Fungi.
func (l Lineage) OutsideFungi() bool {
	return l.Kingdom != "" && NormalKingdom(l.Kingdom) != "Fungi"
}

// noValueWords are the words that fill a cell of a lineage without naming a
// taxon, wherever they stand in it ("Fungi_fam_Incertae_sedis",
// "unclassified_Russulales", "Russula_sp").
var noValueWords = wordSet(`
	unclassified unidentified unknown undetermined unassigned unnamed uncultured
	uncultivated environmental incertae sedis incertae_sedis sp spp sp. spp. gen
	fam ord cls phy kgd na n/a nan none null nil no_value ambiguous metagenome
	insertae unresolved undef undefined other unspecified`)

// RankValue cleans the value of a rank: underscores become spaces, a kingdom
// gets its usual name, and what is no value ("unclassified", "Incertae sedis",
// "Russula_sp") becomes empty. A species is the binomial; genus completes a
// bare epithet and may be empty.
func RankValue(r Rank, value, genus string) string {
	words := strings.FieldsFunc(value, func(c rune) bool { return c == '_' || c == ' ' || c == '\t' || c == '"' || c == '\'' })
	for _, w := range words {
		if noValueWords[strings.ToLower(w)] {
			return ""
		}
	}
	if len(words) == 0 || !hasLetter(words[0]) || noValueWords[strings.ToLower(strings.Join(words, "_"))] {
		return ""
	}
	switch r {
	case Species:
		n := ParseName(strings.Join(words, " "))
		if n.Genus == "" && genus != "" {
			n = ParseName(genus + " " + strings.Join(words, " "))
		}
		if !n.CertainSpecies() {
			return ""
		}
		return n.Binomial()
	case Genus:
		// "Russula_1" is Russula; a code or a broader taxon in this place is
		// no genus.
		word := titleCase(foldLetters.Replace(words[0]))
		if _, _, higher := higherName(word); higher && !isBuiltinGenus(word) || !isLetters(strings.ToLower(word)) {
			return ""
		}
		return word
	case Kingdom:
		return NormalKingdom(titleCase(strings.Join(words, " ")))
	}
	// A value of several words is kept whole: "GS11 clade" is no Latin name,
	// but where two lineages have it they agree.
	return titleCase(strings.Join(words, " "))
}

func hasLetter(s string) bool {
	for _, c := range s {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= 0x80 {
			return true
		}
	}
	return false
}

// titleCase makes a plain lower-case or upper-case word a taxon name: first
// letter upper, the others lower. A word with digits is a code and stays.
func titleCase(s string) string {
	if s == "" || strings.ContainsAny(s, "0123456789") {
		return s
	}
	lower := strings.ToLower(s)
	if lower[0] >= 'a' && lower[0] <= 'z' {
		return string(lower[0]-'a'+'A') + lower[1:]
	}
	return lower
}

func wordSet(words string) map[string]bool {
	set := make(map[string]bool)
	for w := range strings.FieldsSeq(words) {
		set[w] = true
	}
	return set
}
