package verdict

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// figure writes a percentage with at most two decimals, rounded down: 99.597
// must not read 99.6 where 99.6 decides.
func figure(v float64) string {
	return strconv.FormatFloat(math.Floor(v*100+1e-6)/100, 'f', -1, 64)
}

// title gives the name of a hit to write in a sentence, with its id.
func title(h *seqqc.Hit) string {
	name := h.Name.Taxon()
	if name == "" {
		name = h.Lineage.At(h.Lineage.Deepest())
	}
	if name == "" || h.Name.Unnamed {
		return "an unnamed reference (" + h.Reference + ")"
	}
	return name + " (" + h.Reference + ")"
}

// nearest gives the figures of the best hit for the end of a sentence.
func nearest(h *seqqc.Hit) string {
	s := figure(h.IdentityPct) + " % identical to " + title(h)
	// The difference counts where unclear bases decide.
	if h.IdentityPct-h.IdentityStrictPct >= 0.5 {
		s += ", " + figure(h.IdentityStrictPct) + " % if unclear bases count as different"
	}
	return s + ", over " + figure(h.CoveragePct) + " % of its barcode region"
}

// sampleName gives the sample's own name, or its place where it has none.
func sampleName(s seqqc.SampleResult, i int) string {
	if s.Sample.ID != "" {
		return "sample " + s.Sample.ID
	}
	return fmt.Sprintf("sample %d", i+1)
}

// habitWords says what kind of fungus lives so, with its article.
func habitWords(h refs.Habit) string {
	switch h {
	case refs.Mould:
		return "a mould"
	case refs.Yeast:
		return "a yeast"
	case refs.Fungicolous:
		return "a fungus that grows on other fungi"
	}
	return "a fungus"
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
// conflict look real, empty where none is known.
func caveat(c Case, p Params) string {
	var doubts []string
	flags := flagsOf(c, p)
	has := func(f seqqc.Flag) bool { return slices.Contains(flags, f) }
	if has(seqqc.MixedTemplate) || has(seqqc.IndelHeterozygote) {
		doubts = append(doubts, "the trace shows a second sequence")
	}
	if has(seqqc.ChimeraSuspected) {
		doubts = append(doubts, "the sequence may be joined from two organisms")
	}
	if has(seqqc.StrandsDisagree) {
		doubts = append(doubts, "its two strands differ")
	}
	if has(seqqc.LowQuality) || has(seqqc.QualityMissing) {
		doubts = append(doubts, "its quality is low or not known")
	}
	if has(seqqc.OneStrandOnly) {
		doubts = append(doubts, "only one strand was read")
	}
	if has(seqqc.SingleReference) {
		doubts = append(doubts, "a single reference says so, which may be mislabelled")
	}
	return strings.Join(doubts, ", ")
}

// offers says what the library has of the field genus.
func offers(c Case) string {
	name, e := c.Field.Name.Genus, c.match().Field
	records := e.GenusRecords
	if name == "" {
		name, records = c.Field.Name.Higher, c.Field.Records
	}
	switch {
	case records == 0:
		return "the library has no record of " + name
	case c.Field.Name.Genus == "":
		return fmt.Sprintf("the library has %s of %s", count(records, "record"), name)
	}
	return fmt.Sprintf("the library has %s of %s in %d species", count(records, "record"), name, e.GenusSpecies)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
