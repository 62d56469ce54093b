package deposit

import (
	"fmt"
	"slices"
	"strings"
)

// Modifier is one source modifier of a sequence.
type Modifier struct {
	Name, Value string
}

// modifierKind is a modifier that archives know.
type modifierKind struct {
	// name is as in the brackets of a FASTA title, column the heading of the
	// source table, which is that of the qualifier in the feature table.
	name, column string
	// check says what is wrong with a value, nil where any text will do.
	check func(string) error
}

// modifierKinds are the modifiers written and checked, in the order in which
// they are written. Names as published by the archives for titles of FASTA,
// with geo_loc_name in place of country since June 2024.
var modifierKinds = []modifierKind{
	{"organism", "organism", checkOrganism},
	{"isolate", "isolate", nil},
	{"specimen-voucher", "specimen_voucher", checkSpecimenVoucher},
	{"geo_loc_name", "geo_loc_name", checkPlace},
	{"lat-lon", "lat_lon", checkLatLon},
	{"altitude", "altitude", checkAltitude},
	{"collection-date", "collection_date", checkDate},
	{"collected-by", "collected_by", nil},
	{"identified-by", "identified_by", nil},
	{"host", "host", nil},
	{"isolation-source", "isolation_source", nil},
	{"fwd-PCR-primer-name", "fwd_primer_name", nil},
	{"fwd-PCR-primer-seq", "fwd_primer_seq", checkPrimer},
	{"rev-PCR-primer-name", "rev_primer_name", nil},
	{"rev-PCR-primer-seq", "rev_primer_seq", checkPrimer},
	{"note", "note", nil},
}

// otherModifiers are known to archives and not written here.
var otherModifiers = []string{"strain", "culture-collection", "bio-material"}

// kindOf finds a modifier by its name. Titles of FASTA are read with hyphens,
// underscores and either case (from memory).
func kindOf(name string) (modifierKind, bool) {
	key := modifierKey(name)
	for _, k := range modifierKinds {
		if modifierKey(k.name) == key || modifierKey(k.column) == key {
			return k, true
		}
	}
	for _, other := range otherModifiers {
		if modifierKey(other) == key {
			return modifierKind{name: other, column: strings.ReplaceAll(other, "-", "_")}, true
		}
	}
	return modifierKind{}, false
}

func modifierKey(name string) string {
	return strings.ToLower(strings.ReplaceAll(strings.TrimSpace(name), "_", "-"))
}

// missingTerms are the values that archives take in place of a date or a place
// that is not known, the list of the INSDC, letter for letter.
var missingTerms = []string{
	"not applicable", "missing", "not collected", "not provided", "restricted access",
	"missing: control sample", "missing: sample group", "missing: synthetic construct", "missing: lab stock",
	"missing: third party data", "missing: data agreement established pre-2023", "missing: endangered species",
	"missing: human-identifiable",
}

// IsMissingTerm reports whether a value is one of the published terms for a
// value that is missing.
func IsMissingTerm(value string) bool { return slices.Contains(missingTerms, value) }

// title gives the title line of a sequence without its ">": the id, the
// modifiers in brackets, and what the sequence is. Brackets inside a value
// would end it and become parentheses.
func title(e Entry) string {
	var b strings.Builder
	b.WriteString(e.SeqID)
	for _, m := range e.Modifiers {
		fmt.Fprintf(&b, " [%s=%s]", m.Name, oneLine(m.Value))
	}
	if e.Definition != "" {
		b.WriteString(" " + oneLine(e.Definition))
	}
	return b.String()
}

var bracketless = strings.NewReplacer("[", "(", "]", ")")

// oneLine gives the text without line breaks, other control characters and
// brackets, single blanks between its words.
func oneLine(s string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == 0x2028 || r == 0x2029 {
			return ' '
		}
		return r
	}, bracketless.Replace(s))), " ")
}

// parseTitle reads a title line without its ">". The id is empty where a blank
// or a modifier stands in its place.
func parseTitle(line string) (seqID string, mods []Modifier, err error) {
	rest := line
	if !strings.HasPrefix(line, "[") {
		seqID, rest, _ = strings.Cut(line, " ")
	}
	for {
		open := strings.IndexAny(rest, "[]")
		if open < 0 {
			return seqID, mods, nil
		}
		if rest[open] == ']' {
			return seqID, mods, fmt.Errorf("a bracket is closed that was not opened")
		}
		end := strings.IndexAny(rest[open+1:], "[]")
		if end < 0 || rest[open+1+end] == '[' {
			return seqID, mods, fmt.Errorf("the bracket after %q is not closed", tail(rest[:open]))
		}
		inner := rest[open+1 : open+1+end]
		name, value, ok := strings.Cut(inner, "=")
		if !ok || strings.TrimSpace(name) == "" {
			return seqID, mods, fmt.Errorf("[%s] is no modifier: write [name=value]", inner)
		}
		mods = append(mods, Modifier{strings.TrimSpace(name), strings.TrimSpace(value)})
		rest = rest[open+end+2:]
	}
}

// tail gives the end of a text, to say where something is.
func tail(s string) string {
	const most = 20
	s = strings.TrimSpace(s)
	if r := []rune(s); len(r) > most {
		return "..." + string(r[len(r)-most:])
	}
	return s
}
