package verdict

import (
	"fmt"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// mostListed bounds the species named in a sentence.
const mostListed = 5

// nearSpecies gives the species of the voting window that are at least so near,
// the nearest first. Records that have no vote name none.
func nearSpecies(c Case, identity float64) []string {
	m := c.match()
	var out []string
	for _, h := range m.Hits[:m.InWindow] {
		s := h.Lineage.Species
		if s == "" || h.Name.Unnamed || h.Doubtful || min(h.IdentityPct, h.IdentityStrictPct) < identity || slices.Contains(out, s) {
			continue
		}
		out = append(out, s)
	}
	return out
}

// speciesWords lists species for a sentence, and says how many are left out.
func speciesWords(species []string) string {
	if more := len(species) - mostListed; more > 0 {
		species = append(slices.Clone(species[:mostListed]), fmt.Sprintf("%d more", more))
	}
	return listed(species)
}

// alike gives the species that the barcode does not part: those of the window
// that reach the species threshold, where there are several.
func alike(c Case) []string {
	species := nearSpecies(c, c.vote(refs.Species).Threshold)
	if len(species) < 2 {
		return nil
	}
	return species
}

func checkSameGenus(c Case, p Params) []seqqc.Finding {
	if o, _ := outcomeOf(c, p); o != agreeing {
		return nil
	}
	f, d := c.fieldTaxon(), c.dnaTaxon()
	group := alike(c)
	// "aff." says that it is near the species and not it.
	if f.rank == refs.Species && f.name == d.name && c.Field.Name.Doubt&refs.DoubtAff == 0 {
		return []seqqc.Finding{withDoubts(seqqc.Finding{
			Verdict: seqqc.Agrees, AgreeRank: refs.Species,
			Reason:   fmt.Sprintf("The DNA agrees with the field name %s down to the species%s: %s.", fieldWords(c), besides(group, f.name), evidence(c)),
			NextStep: "Nothing to do; the name stands.",
		}, c, p, "")}
	}
	out := seqqc.Finding{
		Verdict: seqqc.Agrees, AgreeRank: refs.Genus,
		NextStep: "Nothing to do for the genus; where the species matters, take the DNA as a hint and check it on the specimen.",
	}
	genus := d.lineage.Genus
	if gap, differs := speciesDiffers(c, p); differs {
		out.Flags = []seqqc.Flag{seqqc.SpeciesDiffers}
		out.Attention = true
		out.Reason = fmt.Sprintf("The DNA agrees with the field genus %s but is nearer to %s than to %s by %s points: %s.",
			genus, d.name, f.name, figure(gap), evidence(c))
		out.NextStep = fmt.Sprintf("Compare the specimen with the description of %s.", d.name)
		return []seqqc.Finding{withDoubts(out, c, p, "compare the specimen with the description of "+d.name)}
	}
	out.Reason = fmt.Sprintf("The DNA agrees with the field genus %s%s: %s.", genus, speciesTold(c, p), evidence(c))
	return []seqqc.Finding{withDoubts(out, c, p, "where the species matters, take the DNA as a hint and check it on the specimen")}
}

// besides names the species that are as near as the one that was found.
func besides(group []string, found string) string {
	others := slices.DeleteFunc(slices.Clone(group), func(s string) bool { return s == found })
	if len(others) == 0 {
		return ""
	}
	return ", which this barcode does not part from " + speciesWords(others)
}

// speciesTold says what the DNA tells of the species where the genus agrees, to
// follow on the genus in a sentence.
func speciesTold(c Case, p Params) string {
	d, group := c.dnaTaxon(), alike(c)
	threshold := c.vote(refs.Species).Threshold
	switch near := nearSpecies(c, p.SpeciesOpenPct); {
	case len(group) > 0:
		s := fmt.Sprintf("; this barcode does not part %s, which all reach the %s %% of a species", speciesWords(group), figure(threshold))
		if slices.Contains(group, c.fieldTaxon().name) {
			s += ", so that the field name may be right"
		}
		return s
	case d.rank == refs.Species:
		return ", and its species is " + d.name
	case c.vote(refs.Species).Reached:
		return "; its nearest references do not settle the species"
	case len(near) > 0:
		verb := "are"
		if len(near) == 1 {
			verb = "is"
		}
		return fmt.Sprintf("; the species is not settled (%s %% are needed), near %s %s", figure(threshold), verb, speciesWords(near))
	case min(c.best().IdentityPct, c.best().IdentityStrictPct) >= p.SpeciesOpenPct:
		return fmt.Sprintf("; the species is near but not settled (%s %% are needed)", figure(threshold))
	}
	return fmt.Sprintf("; its species stays open, because the nearest reference differs by %s (%s %% identity are needed)",
		differences(c.best()), figure(threshold))
}

// differences counts what parts a hit from the contig.
func differences(h *seqqc.Hit) string {
	var parts []string
	if h.Substitutions > 0 {
		parts = append(parts, seqqc.Count(h.Substitutions, "substitution"))
	}
	if h.GapEvents > 0 {
		parts = append(parts, fmt.Sprintf("%s of %s", seqqc.Count(h.GapEvents, "gap"), seqqc.Count(h.GapBases, "base")))
	}
	if len(parts) == 0 {
		return "unclear bases alone"
	}
	return strings.Join(parts, " and ")
}

// checkComplex names the species that the barcode does not part.
func checkComplex(c Case, _ Params) []seqqc.Finding {
	if c.match() == nil || len(c.match().Hits) == 0 {
		return nil
	}
	group := alike(c)
	if len(group) == 0 {
		return nil
	}
	return []seqqc.Finding{{
		Flags: []seqqc.Flag{seqqc.SpeciesComplex},
		Reason: fmt.Sprintf("%s all reach the %s %% of a species: this barcode does not part them.",
			speciesWords(group), figure(c.vote(refs.Species).Threshold)),
		NextStep: "Tell them apart by the specimen, or by another gene.",
	}}
}

// speciesDiffers reports whether the DNA supports another species although the
// library holds the one on the label, named without doubt, and by how many
// points that one is further away. A species that the barcode does not part
// from the supported one does not differ.
func speciesDiffers(c Case, p Params) (float64, bool) {
	d, m := c.dnaTaxon(), c.match()
	own := c.Field.Name.Binomial()
	if !c.Field.Name.CertainSpecies() || d.rank != refs.Species || d.name == own || m.Field.Species == nil || slices.Contains(alike(c), own) {
		return 0, false
	}
	gap := c.carrier().IdentityPct - m.Field.Species.IdentityPct
	return gap, gap > p.SpeciesGapPct
}
