package fieldguide

import (
	"slices"
	"strings"
	"unicode"
)

// words takes what people write in a sheet to the states of the table, for each
// trait. A phrase goes before the words in it. The name of the thing itself
// ("latex") is anyState, so that "no latex" is absent. Common practice, no
// source.
var words = map[Trait]map[string]string{
	Surface: {
		"gills": "gills", "gill": "gills", "lamellae": "gills", "lamellate": "gills", "gilled": "gills", "lamella": "gills",
		"tubes": "tubes", "tube": "tubes", "pores": "tubes", "pore": "tubes", "poroid": "tubes", "tubular": "tubes",
		"spines": "spines", "spine": "spines", "teeth": "spines", "tooth": "spines", "hydnoid": "spines", "needles": "spines",
		"ridges": "ridges", "ridge": "ridges", "folds": "ridges", "veins": "ridges", "false gills": "ridges", "wrinkles": "ridges",
		"pits": "pits", "pitted": "pits", "honeycomb": "pits",
		"smooth": "smooth", "coral": "smooth", "coralloid": "smooth", "branches": "smooth", "cup": "smooth", "cups": "smooth", "clubs": "smooth", "club": "smooth",
		"inside": "inside", "internal": "inside", "enclosed": "inside", "gasteroid": "inside", "gleba": "inside",
		"puffball": "inside", "truffle": "inside",
	},
	Attachment: {
		"free":    "free",
		"adnexed": "adnexed", "narrowly attached": "adnexed", "almost free": "adnexed", "nearly free": "adnexed", "narrowly adnate": "adnexed",
		"notched": "notched", "emarginate": "notched", "sinuate": "notched", "notch": "notched",
		"adnate": "adnate", "attached": "adnate", "broadly attached": "adnate", "broadly adnate": "adnate",
		"decurrent": "decurrent", "running down": "decurrent", "subdecurrent": "adnate" + between + "decurrent",
	},
	Milk: {"milk": anyState, "latex": anyState, "milky": anyState, "juice": anyState},
	Ring: {
		"ring": anyState, "annulus": anyState, "skirt": anyState, "ringed": anyState,
		"cortina": "cobweb", "cobweb": "cobweb", "cobwebby": "cobweb", "arachnoid": "cobweb",
		"ring zone": "cobweb" + between + anyState, "annular zone": "cobweb" + between + anyState, "zone": "cobweb" + between + anyState,
	},
	Volva: {
		"volva": anyState,
		"sac":   "sac", "sack": "sac", "sheath": "sac", "bag": "sac", "cup": "sac", "saccate": "sac",
		"patches": "patches", "scales": "patches", "warts": "patches", "belts": "patches", "rings": "patches", "crumbs": "patches",
	},
	Flesh: {
		"brittle": "brittle", "crumbling": "brittle", "crumbly": "brittle", "crumbles": "brittle", "chalky": "brittle", "fragile": "brittle",
		"fibrous": "fleshy", "fleshy": "fleshy", "soft": "fleshy", "firm": "fleshy", "spongy": "fleshy",
		"tough": "tough", "leathery": "tough", "corky": "tough", "woody": "tough", "hard": "tough", "rubbery": "tough" + between + "jelly",
		"jelly": "jelly", "gelatinous": "jelly", "jellylike": "jelly",
	},
	Bruising: {
		"blue": "blue", "bluing": "blue", "blueing": "blue", "blues": "blue", "bluish": "blue",
		"red": "red", "reddening": "red", "reddens": "red", "pink": "red", "pinkish": "red", "reddish": "red", "orange": "red" + between + "yellow",
		"black": "black", "blackening": "black", "blackens": "black", "grey": "black", "gray": "black", "greying": "black",
		"brown": "brown", "browning": "brown", "browns": "brown", "brownish": "brown",
		"yellow": "yellow", "yellowing": "yellow", "yellows": "yellow", "yellowish": "yellow",
		"green": "green", "greening": "green", "greenish": "green",
		"bruises": anyState, "bruising": anyState, "change": anyState, "changes": anyState, "stains": anyState, "unchanging": absent, "unchanged": absent,
	},
	SporePrint: {
		"white": "white", "whitish": "white", "cream": "white", "creamy": "white", "pale cream": "white", "buff": "white" + between + "yellow",
		"yellow": "yellow", "yellowish": "yellow", "ochre": "yellow", "ochraceous": "yellow", "pale yellow": "white" + between + "yellow",
		"pink": "pink", "pinkish": "pink", "salmon": "pink", "flesh": "pink", "rosy": "pink",
		"brown": "brown", "rusty": "brown", "rust": "brown", "cinnamon": "brown", "tobacco": "brown", "olive": "brown",
		"ochre brown": "brown", "yellow brown": "brown", "yellowish brown": "brown", "olive brown": "brown", "pale brown": "brown",
		"rusty brown": "brown", "orange brown": "brown", "reddish brown": "brown", "pinkish brown": "pink" + between + "brown",
		"dark": "dark", "dark brown": "dark" + between + "brown", "purple brown": "dark", "purplish brown": "dark", "chocolate": "dark", "chocolate brown": "dark", "violet brown": "dark",
		"purple black": "dark" + between + "black", "blackish brown": "dark" + between + "black", "brown black": "dark" + between + "black", "purple": "dark",
		"black": "black", "blackish": "black", "green": "green", "greenish": "green",
	},
	GrowsOn: {
		"wood": "wood", "log": "wood", "logs": "wood", "stump": "wood", "stumps": "wood", "trunk": "wood", "branch": "wood", "branches": "wood",
		"twig": "wood", "twigs": "wood", "bark": "wood", "tree": "wood", "lignicolous": "wood", "lignicole": "wood", "deadwood": "wood", "timber": "wood",
		"woodchips": "wood" + between + "litter", "chips": "wood" + between + "litter", "mulch": "wood" + between + "litter", "sawdust": "wood",
		"wood chips": "wood" + between + "litter", "buried wood": "wood" + between + "soil",
		"soil": "soil", "ground": "soil", "earth": "soil", "terrestrial": "soil", "terricolous": "soil", "sand": "soil", "grass": "soil",
		"lawn": "soil", "meadow": "soil", "pasture": "soil", "humus": "soil" + between + "litter", "compost": "soil" + between + "dung", "hypogeous": "soil",
		"litter": "litter", "leaf": "litter", "leaves": "litter", "needles": "litter", "needle": "litter", "duff": "litter", "cone": "litter", "cones": "litter", "debris": "litter",
		// Moss grows on the ground, and on logs and stumps.
		"moss": mossy, "mosses": mossy, "sphagnum": "moss" + between + "soil", "dung": "dung", "manure": "dung", "coprophilous": "dung",
		"fungi": "fungi", "fungus": "fungi", "mushroom": "fungi", "fungicolous": "fungi",
		"insect": "insects", "insects": "insects", "larva": "insects", "pupa": "insects",
		"burnt": "burnt", "burned": "burnt", "charcoal": "burnt", "fire": "burnt", "fireplace": "burnt",
		"plants": "plants", "plant": "plants", "stems": "plants", "herbs": "plants", "fern": "plants", "ferns": "plants",
	},
}

const mossy = "moss" + between + "soil" + between + "wood"

// Words that say that there is something, that there is nothing, and that the
// writer was not sure.
var (
	presentWords = []string{"yes", "y", "present", "x", "true", "1"}
	absentWords  = []string{"no", "n", "not", "none", "absent", "without", "lacking", "false", "0", "non", "never", "nil"}
	unsureWords  = []string{"maybe", "perhaps", "possibly", "probably", "unsure", "unclear"}
)

// longestPhrase is the number of words in the longest phrase of the table.
const longestPhrase = 2

// Understand gives the state that a cell of the sheet means, several with '|'
// between where any may be right ("adnate to decurrent"). It is empty where
// nothing is understood, where the writer was not sure, and where a "no" may
// belong to one of several words. A lone '-' or '+' is no or yes.
func Understand(t Trait, text string) string {
	switch strings.TrimSpace(text) {
	case "-", "–":
		text = absent
	case "+":
		text = anyState
	}
	if strings.Contains(text, "?") {
		return ""
	}
	tokens := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	var states []string
	seen, not := false, false
	for i := 0; i < len(tokens); {
		state, n := phrase(words[t], tokens[i:])
		switch {
		case n > 0 && state == anyState:
			seen = true
		case n > 0:
			for s := range strings.SplitSeq(state, between) {
				if !slices.Contains(states, s) {
					states = append(states, s)
				}
			}
		case slices.Contains(unsureWords, tokens[i]):
			return ""
		case slices.Contains(presentWords, tokens[i]):
			seen = true
		case slices.Contains(absentWords, tokens[i]):
			not = true
		}
		i += max(n, 1)
	}
	switch {
	case not && (len(states) > 0 || !canBeAbsent(t)):
		return ""
	case not:
		return absent
	case len(states) > 0:
		return strings.Join(states, between)
	case seen && canBeAbsent(t):
		return anyState
	}
	return ""
}

// phrase finds the longest phrase that tokens begin with, and its length.
func phrase(known map[string]string, tokens []string) (state string, n int) {
	for n := min(longestPhrase, len(tokens)); n > 0; n-- {
		if state, ok := known[strings.Join(tokens[:n], " ")]; ok {
			return state, n
		}
	}
	return "", 0
}

// canBeAbsent reports whether a trait may be told with yes and no.
func canBeAbsent(t Trait) bool {
	return t == Milk || t == Ring || t == Volva || t == Bruising
}
