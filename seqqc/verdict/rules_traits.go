package verdict

import (
	"slices"
	"strings"

	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// What was seen never overrules the DNA, and asks for no look by itself: traits
// only order the causes of a row that needs one.
func checkTraits(c Case, _ Params) []seqqc.Finding {
	f, d := c.fieldTaxon().lineage.Genus, c.dnaTaxon().lineage.Genus
	field, dna := c.fits()
	var said []string
	if words := fitWords(c, field); words != "" {
		said = append(said, words+" the field genus "+f)
	}
	if words := fitWords(c, dna); words != "" && d != f {
		said = append(said, words+" the DNA's genus "+d)
	}
	// That it grew on the ground, with nothing against it, is not worth a line.
	habitatOnly := len(c.observed()) == 1 && c.observed()[fieldguide.GrowsOn] != ""
	if len(said) == 0 || habitatOnly && len(field.Against)+len(dna.Against) == 0 {
		return nil
	}
	return []seqqc.Finding{{
		Reason:   "What was seen on the specimen " + strings.Join(said, ", and it ") + ".",
		NextStep: "Look at the specimen or its photographs again where a trait does not fit.",
	}}
}

// fitWords says how far what was seen fits a genus, empty where the table does
// not tell.
func fitWords(c Case, fit fieldguide.Fit) string {
	switch {
	case len(fit.Against) > 0 && len(fit.For) > 0:
		return "fits but for " + seenWords(c, fit.Against)
	case len(fit.Against) > 0:
		return "does not fit (" + seenWords(c, fit.Against) + ")"
	case len(fit.For) > 0:
		return "fits"
	}
	return ""
}

// both gives the traits of both lists.
func both(a, b []fieldguide.Trait) []fieldguide.Trait {
	var out []fieldguide.Trait
	for _, t := range a {
		if slices.Contains(b, t) {
			out = append(out, t)
		}
	}
	return out
}

// only gives the traits that fit one genus and not the other.
func only(this, other fieldguide.Fit) []fieldguide.Trait { return both(this.For, other.Against) }

// neitherOf gives the traits that fit neither genus.
func neitherOf(a, b fieldguide.Fit) []fieldguide.Trait { return both(a.Against, b.Against) }

// observed gives what was understood of the traits, by trait.
func (c Case) observed() map[fieldguide.Trait]string {
	seen := map[fieldguide.Trait]string{}
	for _, o := range c.Observed {
		if o.State != "" {
			seen[o.Trait] = o.State
		}
	}
	return seen
}

// fits holds what was seen against the genera of the field name and of the DNA.
func (c Case) fits() (field, dna fieldguide.Fit) {
	seen := c.observed()
	return fieldguide.Compare(seen, c.fieldTaxon().lineage.Genus), fieldguide.Compare(seen, c.dnaTaxon().lineage.Genus)
}
