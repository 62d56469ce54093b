package fieldguide

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
)

// Trait is something to be seen on a fresh specimen.
type Trait string

// The traits, named like the columns of the table and of a voucher sheet.
const (
	Surface    Trait = "spore_surface"   // gills, tubes, spines, ridges, pits, smooth, inside
	Attachment Trait = "gill_attachment" // free, adnexed, notched, adnate, decurrent
	Milk       Trait = "milk"            // yes, no
	Ring       Trait = "ring"            // yes, cobweb, no
	Volva      Trait = "volva"           // sac, patches, no
	Flesh      Trait = "flesh"           // brittle, fleshy, tough, jelly
	Bruising   Trait = "bruising"        // a colour, no
	SporePrint Trait = "spore_print"     // white, yellow, pink, brown, dark, black, green
	GrowsOn    Trait = "grows_on"        // wood, soil, litter, moss, dung, ...
)

// Traits lists the traits in the order of the table.
var Traits = []Trait{Surface, Attachment, Milk, Ring, Volva, Flesh, Bruising, SporePrint, GrowsOn}

const (
	// anyState is a trait that was seen, without more: any state but absent.
	anyState = "yes"
	absent   = "no"
	// between stands between states of which each may be right.
	between = "|"
)

// traitsTSV is the built-in table of traits; its own header says where it comes
// from and what the states mean.
//
//go:embed traits.tsv
var traitsTSV string

// genusTraits is one row of the table.
type genusTraits struct {
	lives  string
	states map[Trait][]string
}

// builtinTraits is the parsed table by genus. Nothing changes it.
var builtinTraits = sync.OnceValue(func() map[string]genusTraits {
	table := map[string]genusTraits{}
	for cells := range rowsOf(traitsTSV) {
		g := genusTraits{lives: cells[1], states: map[Trait][]string{}}
		for i, t := range Traits {
			if cell := cells[2+i]; cell != "" {
				g.states[t] = strings.Split(cell, ",")
			}
		}
		table[cells[0]] = g
	}
	return table
})

// States gives the states of a trait that occur in a genus, none where the
// table says nothing.
func States(genus string, t Trait) []string {
	return slices.Clone(builtinTraits()[genus].states[t])
}

// LivesWithTrees reports whether the table has a genus as one that lives with
// the roots of trees; told is false where it does not say how it lives.
func LivesWithTrees(genus string) (with, told bool) {
	lives := builtinTraits()[genus].lives
	return lives == "trees", lives != ""
}

// Fit says which observations agree with a genus and which do not, each in the
// order of Traits. Both are empty where the table says nothing.
type Fit struct{ For, Against []Trait }

// Compare holds observed states, as Understand gives them, against the table's
// row of a genus.
func Compare(observed map[Trait]string, genus string) Fit {
	var f Fit
	for _, t := range Traits {
		allowed, state := builtinTraits()[genus].states[t], observed[t]
		switch {
		case state == "" || len(allowed) == 0:
		case occurs(state, allowed):
			f.For = append(f.For, t)
		default:
			f.Against = append(f.Against, t)
		}
	}
	return f
}

// occurs reports whether any of the states that were observed may occur.
func occurs(observed string, allowed []string) bool {
	for state := range strings.SplitSeq(observed, between) {
		for _, a := range allowed {
			if a == state || a != absent && state != absent && (a == anyState || state == anyState) {
				return true
			}
		}
	}
	return false
}

// Vocabulary gives the states of a trait that occur in the table, in the order
// of the alphabet, for a hint.
func Vocabulary(t Trait) string {
	var all []string
	for _, g := range builtinTraits() {
		for _, s := range g.states[t] {
			if !slices.Contains(all, s) {
				all = append(all, s)
			}
		}
	}
	slices.Sort(all)
	return strings.Join(all, ", ")
}
