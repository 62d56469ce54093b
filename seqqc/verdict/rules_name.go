package verdict

import (
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// suggests says what the DNA points to, for a voucher without a usable name.
func suggests(c Case) string {
	if c.best() == nil {
		return ""
	}
	if d := c.dnaTaxon(); d.name != "" {
		return fmt.Sprintf("; the DNA points to %s (%s)", taxonWords(d), evidence(c))
	}
	return "; the DNA is " + evidence(c)
}

func checkNoName(c Case, _ Params) []seqqc.Finding {
	n := c.Field.Name
	if strings.TrimSpace(n.Verbatim) != "" && !n.Unnamed || n.Taxon() != "" {
		return nil
	}
	// A control is no specimen with a name to test.
	if c.Kind == seqqc.Blank || c.Kind == seqqc.Positive {
		return nil
	}
	return undetermined(seqqc.NoFieldName,
		"The label carries no name to test"+suggests(c)+".",
		"Check the specimen against the name the DNA points to, if there is one, and write a field name into the sheet.")
}

func checkNameUnknown(c Case, _ Params) []seqqc.Finding {
	n := c.Field.Name
	if strings.TrimSpace(n.Verbatim) == "" && n.Taxon() == "" || n.Unnamed || c.named() {
		return nil
	}
	if c.Kind == seqqc.Blank || c.Kind == seqqc.Positive {
		return nil
	}
	written := n.Verbatim
	if written == "" {
		written = n.Taxon()
	}
	what, next := "is in none of the lists of names", "Correct its spelling in the sheet, or give its lineage in a taxonomy table, and run again."
	switch {
	case n.Several != "":
		what = "holds more than one name (" + n.Several + ")"
		next = "Keep one of the names in the sheet, the others in the notes, and run again."
	case n.Group != "" && n.GroupTaxa == "":
		what = "fits nearly every fungus, so that it cannot be tested"
		next = "Check the specimen against the name the DNA points to, if there is one."
	case n.Group != "":
		what = "means a group of which no taxon is known"
		next = "Write into the table of groups what it may mean, and run again."
	case n.Abbreviated:
		what = "cuts the genus short"
		next = "Write the genus in full in the sheet, and run again."
	}
	return undetermined(seqqc.FieldNameUnknown,
		fmt.Sprintf("The field name \"%s\" %s%s.", strings.TrimSpace(written), what, suggests(c)), next)
}

func checkNonFungal(c Case, _ Params) []seqqc.Finding {
	if kingdom := foreignKingdom(c); kingdom != "" {
		return []seqqc.Finding{{
			Verdict: seqqc.NonFungal, PartsAt: refs.Kingdom, Attention: true,
			Reason: fmt.Sprintf("No reference is near this sequence, but its 5.8S is not that of a fungus: it differs from that of %s by %s less than from that of any other kingdom.",
				kingdom, seqqc.Count(c.contig().Region.KingdomMargin, "base")),
			NextStep: cleanTissue,
		}}
	}
	d := c.dnaTaxon()
	if c.best() == nil || !d.lineage.OutsideFungi() {
		return nil
	}
	f := c.fieldTaxon()
	if f.lineage.OutsideFungi() {
		return nil
	}
	// Where the field name's kingdom is not known, a name that holds the DNA's
	// taxon is no mushroom either.
	if kin, _ := relate(f, d); kin == sameGenus || kin == dnaInside {
		return nil
	}
	return []seqqc.Finding{{
		Verdict: seqqc.NonFungal, PartsAt: partsAt(f, d), Attention: true,
		Reason: fmt.Sprintf("The DNA is not of a fungus but of %s (kingdom %s): %s; DNA of something in or on the specimen was sequenced.",
			taxonWords(d), d.lineage.Kingdom, evidence(c)),
		NextStep: cleanTissue,
	}}
}

const cleanTissue = "Extract again from clean tissue inside the specimen; this says nothing about its name."

// foreignKingdom gives the kingdom that the 5.8S alone tells where no reference
// is near enough to tell it; empty where one is, where it cannot be told, where
// it is Fungi, and where the field name is no fungus either.
func foreignKingdom(c Case) string {
	s, m := c.contig(), c.match()
	if s == nil || m == nil || s.Region.Kingdom == "Fungi" || c.best() != nil && reachedAny(c) || c.fieldTaxon().lineage.OutsideFungi() {
		return ""
	}
	return s.Region.Kingdom
}

// partsAt gives the broadest rank at which two taxa part, NoRank where they
// are not known to.
func partsAt(f, d taxon) refs.Rank {
	_, at := relate(f, d)
	return at
}
