package verdict

import (
	"fmt"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

func figure(v float64) string { return seqqc.Figure(v) }

// title gives the name of a hit to write in a sentence, with its id.
func title(h *seqqc.Hit) string {
	name := h.Name.Taxon()
	if name == "" {
		name = h.Lineage.At(h.Lineage.Deepest())
	}
	if name == "" || h.Name.Unnamed {
		return "an unnamed reference (" + h.Reference + ")"
	}
	if g := h.Lineage.Genus; g != "" && h.Name.Genus != "" && g != h.Name.Genus {
		name += ", today in " + g
	}
	return name + " (" + h.Reference + ")"
}

// nearest gives the figures of a hit for the end of a sentence.
func nearest(c Case, h *seqqc.Hit) string {
	s := figure(h.IdentityPct) + " % identical to " + title(h)
	// The difference counts where unclear bases decide.
	if h.IdentityPct-h.IdentityStrictPct >= 0.5 {
		s += ", " + figure(h.IdentityStrictPct) + " % if unclear bases count as different"
	}
	s += ", over " + figure(h.CoveragePct) + " % of "
	if !c.contig().Region.Located {
		return s + fmt.Sprintf("a sequence of %d bases in which the barcode region was not found", len(c.contig().Bases))
	}
	return s + "its barcode region"
}

// evidence gives the figures of the record that carries the supported taxon,
// and names a nearer one of another or no name apart.
func evidence(c Case) string {
	h, best := c.carrier(), c.best()
	s := nearest(c, h)
	if best.IdentityPct > h.IdentityPct {
		s += fmt.Sprintf(", while %s is nearer still (%s %%)", title(best), figure(best.IdentityPct))
	}
	return s
}

// withDoubts adds what is doubtful about the evidence to a finding that lets a
// name stand. lead is what there is to do besides, without capital and full
// stop; it takes the place of a next step that says that all is well.
//
// Another read with different DNA asks for a look: the verdict may be about the
// wrong one of the two.
func withDoubts(f seqqc.Finding, c Case, p Params, lead string) seqqc.Finding {
	var doubts, steps []string
	flags := flagsOf(c, p)
	if slices.Contains(flags, seqqc.StrandsDisagree) {
		f.Attention = true
		doubts = append(doubts, "another read of this sample does not fit and seems to hold different DNA")
		steps = append(steps, "check for swapped reads or tubes before relying on this")
	}
	if slices.Contains(flags, seqqc.ChimeraSuspected) {
		f.Attention = true
		doubts = append(doubts, "it looks joined from two organisms")
		steps = append(steps, "look at what is said of the join before relying on this")
	}
	if slices.Contains(flags, seqqc.QualityMissing) {
		doubts = append(doubts, "it has bases without quality values, so that misread ones do not show")
		steps = append(steps, "look for the chromatograms (.ab1 or .scf files), which tell how sure each base is")
	}
	if slices.Contains(flags, seqqc.QualityEstimated) {
		doubts = append(doubts, "its quality values are estimated from the traces, because the file has none")
		steps = append(steps, "ask the laboratory for files with quality values, or let a second read confirm it")
	}
	if slices.Contains(flags, seqqc.SingleReference) {
		doubts = append(doubts, "this rests on one reference alone")
		steps = append(steps, "look for a second reference of "+c.dnaTaxon().name+", because one alone may be mislabelled")
	}
	if words := minorWords(c, p); words != "" {
		doubts = append(doubts, words)
		switch {
		case minorIsField(c):
			f.Attention = true
			steps = append(steps, "extract again from clean tissue inside the specimen")
		case !overgrows(c.MinorHabit):
			steps = append(steps, "find out where the second sequence comes from before relying on this")
		}
	}
	if len(doubts) == 0 {
		return f
	}
	if lead != "" {
		steps = append(steps, lead)
	}
	f.Reason = strings.TrimSuffix(f.Reason, ".") + "; but " + joinClauses(doubts) + "."
	if len(steps) > 0 {
		next := strings.Join(steps, "; ") + "."
		f.NextStep = strings.ToUpper(next[:1]) + next[1:]
	}
	return f
}

// sampleName gives the sample's own name, or its place where it has none.
func sampleName(s seqqc.SampleResult, i int) string {
	if s.Sample.ID != "" {
		return "sample " + s.Sample.ID
	}
	return fmt.Sprintf("sample %d", i+1)
}

// taxonWords writes a taxon with its rank where the name alone may not tell
// ("the family Russulaceae").
func taxonWords(t taxon) string {
	if t.rank >= refs.Genus {
		return t.name
	}
	return "the " + t.rank.String() + " " + t.name
}

// caveat names the faults of the sequence and its reference that could make a
// conflict look real, for the middle of a sentence, empty where none is known.
func caveat(c Case, p Params) string {
	var doubts []string
	flags := flagsOf(c, p)
	has := func(f seqqc.Flag) bool { return slices.Contains(flags, f) }
	switch {
	case minorWords(c, p) != "":
		doubts = append(doubts, minorWords(c, p))
	case has(seqqc.IndelHeterozygote):
		doubts = append(doubts, copiesWords(c.contig())+" (which is nothing against the name)")
	}
	if has(seqqc.ChimeraSuspected) {
		doubts = append(doubts, "the sequence may be joined from two organisms")
	}
	if has(seqqc.StrandsDisagree) {
		doubts = append(doubts, "another of its reads seems to hold different DNA")
	}
	if has(seqqc.LowQuality) || has(seqqc.QualityMissing) {
		doubts = append(doubts, "its quality is low or not known")
	}
	if has(seqqc.OneStrandOnly) {
		doubts = append(doubts, "only one strand was read")
	}
	if has(seqqc.SingleReference) {
		doubts = append(doubts, "a single reference says so (and may be mislabelled)")
	}
	return joinClauses(doubts)
}

// joinClauses makes clauses one part of a sentence: "a and b", "a, b and c", and where
// a clause has commas of its own "a; b; and c".
func joinClauses(clauses []string) string {
	n := len(clauses)
	switch {
	case n < 2:
		return strings.Join(clauses, "")
	case !slices.ContainsFunc(clauses, func(s string) bool { return strings.Contains(s, ",") }):
		return listed(clauses)
	case n == 2:
		return clauses[0] + ", and " + clauses[1]
	}
	return strings.Join(clauses[:n-1], "; ") + "; and " + clauses[n-1]
}

// offers says what the library has of the field genus, and whether any of it
// could be compared.
func offers(c Case) string {
	name, e := c.Field.Name.Genus, c.match().Field
	records := e.GenusRecords
	if name == "" {
		name, records = fieldGroup(c), c.Field.Records
	}
	switch {
	case records == 0:
		return "the library has no record of " + name
	case c.Field.Name.Genus == "":
		return fmt.Sprintf("the library has %s of %s", seqqc.Count(records, "record"), name)
	}
	s := fmt.Sprintf("the library has %s of %s in %d species", seqqc.Count(records, "record"), name, e.GenusSpecies)
	switch {
	case comparable(c):
		return s
	case records == 1:
		return s + ", which cannot be compared with this sequence"
	}
	return s + ", none of them comparable with this sequence"
}
