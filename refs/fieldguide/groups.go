package fieldguide

import (
	_ "embed"
	"maps"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"forayseq/refs"
)

// groupsTSV is the built-in table of groups; its own header says where it comes
// from.
//
//go:embed groups.tsv
var groupsTSV string

// Group is a word of clubs for fungi that are no taxon.
type Group struct {
	Name string
	// Taxa are genera and broader taxa, with a capital; none where the group
	// means nearly everything.
	Taxa []string
}

// Groups is a table of groups. The zero value and nil know none.
type Groups struct {
	byWord map[string]*Group // by wordKey
}

// everything stands in the table for the taxa of a group that no DNA can
// speak against.
const everything = "-"

// builtinGroups is the parsed table. Nothing changes it.
var builtinGroups = sync.OnceValue(func() *Groups {
	g := &Groups{byWord: map[string]*Group{}}
	for cells := range rowsOf(groupsTSV) {
		group := &Group{Name: cells[0]}
		if cells[2] != everything {
			group.Taxa = strings.Fields(cells[2])
		}
		for word := range strings.SplitSeq(cells[0]+"|"+cells[1], "|") {
			g.byWord[wordKey(word)] = group
		}
	}
	return g
})

// BuiltinGroups gives the built-in table.
func BuiltinGroups() *Groups { return builtinGroups() }

// GroupsWith gives the built-in table with groups put in the place of those
// that have their words.
func GroupsWith(groups []Group) *Groups {
	g := &Groups{byWord: maps.Clone(builtinGroups().byWord)}
	for _, own := range groups {
		g.byWord[wordKey(own.Name)] = &own
	}
	return g
}

// freeWords may stand beside a group and change nothing about which fungi it
// means: how many, how big, of which colour, how sure.
var freeWords = wordSet(`a an the some sort kind type of species sp spp indet undet unidentified unknown undetermined unbestimmt
	unbestimmter cf aff like group
	little small tiny big large giant tall thin thick old young fat
	rot rote gelb gelbe grün grüne braun braune weiß weisse schwarz schwarze blau blaue violett lila
	rouge jaune vert verte brun brune blanc blanche noir noire bleu violette gris grise petit petite grand grande
	scarlet crimson rosy ruby lemon apricot ochre rusty chestnut olive ivory silver silvery azure common
	white whitish black blackish brown brownish red reddish orange yellow yellowish green greenish blue bluish purple violet pink
	grey gray greyish cream golden pale dark bright tan buff lilac
	weiß weiss weißer schwarzer brauner roter gelber grüner kleiner großer`)

// doubtWords say that the identifier was not sure.
var doubtWords = wordSet(`possibly possible probably probable maybe perhaps likely cf aff`)

// headNouns end German names: whatever kind stands before them, they are used for
// the taxa of their group alone ("Birkenröhrling", "Ziegelroter Risspilz").
// nounFirst begin French names in the same way ("Lactaire délicieux"). Nouns that
// are also used for other genera are left out ("Rötelritterling", "Tricholome de
// la Saint-Georges"). Common practice, from memory; written as wordKey has them.
var (
	headNouns = strings.Fields(`rohrling roehrling taubling taeubling milchling reizker schleierling saftling schneckling tintling
		porling bovist wulstling risspilz helmling pfifferling lorchel morchel steinpilz`)
	nounFirst = wordSet("amanite lactaire russule bolet cepe coprin cortinaire mycene morille girolle pezize entolome")
	// otherwise are words after or before which a noun is not the name.
	otherwise = wordSet(`on near with and or not no false mock by under parasite auf bei mit und oder an am unter neben kein keine nicht
		falscher falsche falsches sur avec et ou sous pres faux fausse non pas parasite`)
)

func wordSet(words string) map[string]bool {
	set := map[string]bool{}
	for w := range strings.FieldsSeq(words) {
		set[w] = true
	}
	return set
}

// Find reads a label as a group, with the doubt that the label adds. It is
// false where the text holds anything besides a word of the table and words
// that change nothing about it ("small brown", "unidentified", "?").
func (g *Groups) Find(label string) (group Group, d refs.Doubt, ok bool) {
	if g == nil {
		return Group{}, 0, false
	}
	if strings.Contains(label, "?") {
		d |= refs.DoubtQuestion
	}
	words := strings.FieldsFunc(strings.ToLower(norm.NFC.String(label)), func(r rune) bool {
		return !unicode.IsLetter(r) && r != '\'' && r != '’'
	})
	for _, w := range words {
		if doubtWords[w] {
			d |= refs.DoubtQuestion
		}
	}
	// The longest phrase first: "false morel" before "morel".
	for n := len(words); n > 0; n-- {
		for at := 0; at+n <= len(words); at++ {
			found := g.lookUp(strings.Join(words[at:at+n], ""))
			if found != nil && onlyFree(words[:at]) && onlyFree(words[at+n:]) {
				return Group{found.Name, slices.Clone(found.Taxa)}, d, true
			}
		}
	}
	if found := g.byNoun(words); found != nil {
		return Group{found.Name, slices.Clone(found.Taxa)}, d, true
	}
	return Group{}, 0, false
}

// byNoun finds a group by the noun of a German or French name of a kind, nil
// where there is none or more than one.
func (g *Groups) byNoun(words []string) *Group {
	var found *Group
	for i, word := range words {
		key := wordKey(word)
		if otherwise[key] {
			return nil
		}
		noun := ""
		if i == 0 && len(words) > 1 && nounFirst[key] {
			noun = key
		}
		for _, head := range headNouns {
			if root := strings.TrimRight(key, "en"); strings.HasSuffix(key, head) || strings.HasSuffix(root, head) {
				noun = head
			}
		}
		switch {
		case noun == "":
		case found != nil:
			return nil
		case i != 0 && i != len(words)-1 && !onlyFree(words[i+1:]):
			return nil
		default:
			found = g.lookUp(noun)
		}
	}
	return found
}

func onlyFree(words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return !freeWords[w] && !doubtWords[w] })
}

// lookUp finds a word as it is, or in the singular.
func (g *Groups) lookUp(word string) *Group {
	key := wordKey(word)
	if found := g.byWord[key]; found != nil {
		return found
	}
	for _, plural := range [][2]string{{"ies", "y"}, {"fungi", "fungus"}, {"es", ""}, {"en", ""}, {"er", ""}, {"e", ""}, {"n", ""}, {"s", ""}} {
		if root, ok := strings.CutSuffix(key, plural[0]); ok {
			if found := g.byWord[root+plural[1]]; found != nil {
				return found
			}
		}
	}
	return nil
}

// wordKey is a word without case, accents, spaces and hyphens.
func wordKey(word string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ReplaceAll(strings.ToLower(word), "ß", "ss")) {
		if unicode.IsLetter(r) {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// Understand takes a name that the rules of names did not understand, or took
// for a taxon that nobody knows, for a group. Other names are given as they
// are.
func (g *Groups) Understand(n refs.Name, known func(taxon string) bool) refs.Name {
	french, _, _ := strings.Cut(n.Verbatim, " ")
	isFrench := nounFirst[wordKey(french)] && !known(n.Genus)
	if n.Several != "" || n.Epithet != "" && !isFrench || n.Genus != "" && known(n.Genus) || n.Higher != "" && !n.Unnamed && known(n.Higher) {
		return n
	}
	group, d, ok := g.Find(n.Verbatim)
	if !ok || n.Unnamed && len(group.Taxa) == 0 {
		return n // "fungus" is no name at all
	}
	return refs.Name{Verbatim: n.Verbatim, Group: group.Name, GroupTaxa: strings.Join(group.Taxa, ", "), Doubt: d}
}
