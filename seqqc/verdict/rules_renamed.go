package verdict

import (
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// indexAdvice stands with every change of names: the table is from memory.
const indexAdvice = "check a current name index"

func checkRenamed(c Case, p Params) []seqqc.Finding {
	if o, _ := outcomeOf(c, p); o != renaming {
		return nil
	}
	f, d := c.fieldTaxon(), c.dnaTaxon()
	change, ok := f.changeTo(d)
	if !ok {
		change, _ = c.nearChange()
	}
	label := c.Field.label().Taxon()
	out := seqqc.Finding{
		Verdict: seqqc.Renamed,
		Reason: fmt.Sprintf("The field name %s and the DNA's name %s differ only by a change of names: %s; %s.",
			label, d.name, changeWords(c.Field.label(), d, change), evidence(c)),
		NextStep: fmt.Sprintf("Write %s on the label as well, if %s has it as the name in use.", d.name, "a current name index"),
	}
	lead := fmt.Sprintf("%s for the name in use", indexAdvice)
	// Two species that both are certain: one genus under two names, perhaps, but
	// not one species.
	if own := c.Field.Name; own.CertainSpecies() && d.rank == refs.Species && !sameSpecies(own, d) {
		out.Flags, out.Attention = []seqqc.Flag{seqqc.SpeciesDiffers}, true
		out.Reason = strings.TrimSuffix(out.Reason, ".") + "; the species is another, as far as these names tell."
		lead = fmt.Sprintf("Compare the specimen with the description of %s, and %s for both names", d.name, indexAdvice)
		out.NextStep = lead + "."
		lead = strings.ToLower(lead[:1]) + lead[1:]
	}
	return []seqqc.Finding{withDoubts(out, c, p, lead)}
}

// sameSpecies reports whether the DNA's species may be the one of a name: the
// same name, or the same epithet, in any gender, in another genus.
func sameSpecies(n refs.Name, d taxon) bool {
	_, epithet, _ := strings.Cut(d.name, " ")
	return n.Binomial() == d.name || stem(n.Epithet) == stem(epithet)
}

// changeWords says what happened to a name, and whether the label was right by
// the book that it was named with.
func changeWords(label refs.Name, d taxon, c refs.Change) string {
	ground := ""
	if c.Ground != "" {
		ground = " (" + c.Ground + ")"
	}
	switch {
	case c.Kind == refs.Split && c.Name == label.Genus:
		return fmt.Sprintf("%s in its wide sense holds %s%s, so the label was right by books that take it so", c.Name, c.Accepted, ground)
	case c.Kind == refs.Split:
		return fmt.Sprintf("%s in its wide sense, which the references follow, holds %s%s, so the label has the narrower name", c.Name, c.Accepted, ground)
	case c.Kind == refs.Moved && strings.HasPrefix(c.Name, label.Genus):
		return fmt.Sprintf("%s is called %s today%s, so the label was right when its book was printed", c.Name, c.Accepted, ground)
	case c.Kind == refs.Moved:
		return fmt.Sprintf("%s is called %s today%s, and the references have the older name", c.Name, c.Accepted, ground)
	case c.Kind == refs.Respelling:
		return fmt.Sprintf("%s is spelt %s today%s", c.Name, c.Accepted, ground)
	}
	return fmt.Sprintf("%s and %s are two names of one%s, so the label was right by books that use the first", c.Name, c.Accepted, ground)
}
