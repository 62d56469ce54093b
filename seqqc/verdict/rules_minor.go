package verdict

import (
	"fmt"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// minorIsField reports whether the minor template is of the field genus and
// the rest of the DNA is not: the specimen's own DNA may be the weaker one.
func minorIsField(c Case) bool {
	genus := c.Field.Name.Genus
	m := c.minor()
	return genus != "" && m != nil && m.Match != nil && m.Match.Supported >= refs.Genus &&
		m.Match.Lineage.Genus == genus && c.dnaTaxon().lineage.Genus != genus
}

// minorWords says what a second template is, for the middle of a sentence;
// empty where the traces show none.
func minorWords(c Case, p Params) string {
	m := c.minor()
	if m == nil {
		if slices.Contains(flagsOf(c, p), seqqc.MixedTemplate) {
			return "the trace shows a second sequence"
		}
		return ""
	}
	share := fmt.Sprintf("a second sequence, %s %% of the signal,", figure(m.SharePct))
	switch {
	case m.Match == nil || len(m.Match.Hits) == 0:
		return share + " is like nothing in the library that could be compared"
	case m.Match.Supported == refs.NoRank || m.Match.Taxon == "":
		best := &m.Match.Hits[0]
		return fmt.Sprintf("%s could not be named: it is nearest to %s at %s %%", share, title(best), figure(best.IdentityPct))
	}
	what := ""
	if overgrows(c.MinorHabit) {
		what = ", " + habitWords(c.MinorHabit)
	}
	return fmt.Sprintf("%s is of %s%s (%s %% identical to %s)", share, m.Match.Taxon, what,
		figure(m.Match.Hits[0].IdentityPct), title(&m.Match.Hits[0]))
}

func checkMinor(c Case, p Params) []seqqc.Finding {
	switch {
	case c.minor() == nil:
		return nil
	case minorIsField(c):
		return []seqqc.Finding{{
			Attention: true,
			Reason:    fmt.Sprintf("The field genus is in the trace: %s.", minorWords(c, p)),
			NextStep:  "Extract again from clean tissue inside the specimen: its own DNA seems to be the weaker of the two.",
		}}
	case overgrows(c.MinorHabit) && !overgrows(c.DNAHabit):
		return []seqqc.Finding{{
			Reason:   fmt.Sprintf("Something grew on or in the specimen: %s.", minorWords(c, p)),
			NextStep: "Nothing to do for the name, which rests on the stronger sequence; take cleaner tissue where the specimen is sequenced again.",
		}}
	}
	return []seqqc.Finding{{
		Reason:   fmt.Sprintf("Two organisms are in the trace: %s.", minorWords(c, p)),
		NextStep: "Find out where the second comes from: another specimen in the tube, a neighbour's well, or what the specimen grew with.",
	}}
}

func checkSecond(c Case, _ Params) []seqqc.Finding {
	contig := c.contig()
	if contig == nil || contig.Second == nil {
		return nil
	}
	text := contig.Second.Text
	return []seqqc.Finding{{
		Reason:   strings.ToUpper(text[:1]) + text[1:] + ".",
		NextStep: "Nothing to do for the name; say in a deposit that the specimen has two copies.",
	}}
}
