package deposit

import (
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Organism gives the name to submit, no more precise than DNA, field name and
// review allow, and a sentence that says why it is no more precise; the sentence
// is empty where the name is the reviewer's or a species.
//
//   - the name a reviewer gave stands as it is;
//   - field name and DNA agree on the species: "Russula ficticia";
//   - they agree on the genus, and the DNA alone names a species: "Russula cf.
//     ficticia";
//   - on the genus, or the DNA alone tells one: "Russula sp.";
//   - on the family at most: "Russulaceae sp.".
func Organism(v *seqqc.VoucherResult) (name, why string) {
	if r := v.Reviewed; r != nil && strings.TrimSpace(r.FinalName) != "" {
		return reviewedName(r.FinalName), ""
	}
	var dna refs.Lineage
	supported := refs.NoRank
	if s := v.ChosenSample(); s != nil && s.Match != nil {
		dna, supported = s.Match.Lineage, s.Match.Supported
	}
	field := v.Voucher.Field
	// Where the two part, and a reviewer let the DNA's side stand, the field
	// name says nothing about the species.
	agree := v.Verdict.Kind == seqqc.Agrees
	switch {
	case supported >= refs.Species && agree && v.Verdict.AgreeRank == refs.Species && field.CertainSpecies() && !unsettled(v):
		return dna.Species, ""
	case supported >= refs.Species && !unsettled(v):
		return strings.Replace(dna.Species, " ", " cf. ", 1), "The DNA names a species that the label does not: cf. says so."
	case supported >= refs.Genus:
		return dna.Genus + " sp.", "The DNA does not settle the species, or settles another one than the label."
	case v.Verdict.Kind == seqqc.Consistent && slices.Contains(v.Verdict.Flags, seqqc.NearestIsFieldGenus) && field.Genus != "":
		return field.Genus + " sp.", "The genus rests on the label; the nearest references are of it, but none is near enough."
	case supported != refs.NoRank && dna.At(supported) != "":
		return dna.At(supported) + " sp.", "The DNA tells no genus."
	}
	return "Fungi sp.", "Neither the DNA nor a reviewer named it."
}

// unsettled reports whether a circumstance speaks against naming the species.
func unsettled(v *seqqc.VoucherResult) bool {
	for _, f := range []seqqc.Flag{seqqc.SpeciesComplex, seqqc.SpeciesDiffers, seqqc.ReferenceDoubtful, seqqc.SpellingAssumed} {
		if slices.Contains(v.Verdict.Flags, f) {
			return true
		}
	}
	return false
}

// reviewedName gives a reviewer's name as archives write it: without authors,
// doubt as cf., aff. or sp.
func reviewedName(written string) string {
	n := refs.ParseName(written)
	switch {
	case n.Taxon() == "" || n.Unnamed:
		return oneLine(written)
	case n.Epithet == "":
		return n.Taxon() + " sp."
	case n.Doubt&refs.DoubtAff != 0:
		return n.Genus + " aff. " + n.Epithet
	case n.Doubt != 0:
		return n.Genus + " cf. " + n.Epithet
	}
	return n.Label()
}
