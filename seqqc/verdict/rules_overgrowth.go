package verdict

import (
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// ruleHost is the rule about the DNA of a parasite's host.
const ruleHost = "parasite-host"

// overgrows reports whether a fungus of this habit is known to cover or enter
// other fungi, or what they grow on, so that its DNA can stand in for theirs.
func overgrows(h refs.Habit) bool {
	return h == refs.Mould || h == refs.Yeast || h == refs.Fungicolous || h == refs.Endophyte
}

// habitWords says what kind of fungus lives so, with its article.
func habitWords(h refs.Habit) string {
	switch h {
	case refs.Mould:
		return "a mould"
	case refs.Yeast:
		return "a yeast"
	case refs.Endophyte:
		return "a fungus that lives hidden in plants"
	}
	return "a fungus that grows on other fungi"
}

// hostWords gives the usual hosts of a genus for the middle of a sentence.
func hostWords(genus string) string {
	const most = 6
	hosts := fieldguide.Hosts(genus)
	if len(hosts) > most {
		hosts = append(hosts[:most:most], "others")
	}
	return listed(hosts)
}

func checkOvergrowth(c Case, p Params) []seqqc.Finding {
	d, f := c.dnaTaxon(), c.fieldTaxon()
	if c.best() == nil || d.rank == refs.NoRank || f.rank == refs.NoRank || overgrows(c.Field.Habit) {
		return nil
	}
	hosting := fieldguide.HostOf(d.lineage.Genus, f.lineage)
	if !overgrows(c.DNAHabit) && hosting != fieldguide.UsualHost {
		return nil
	}
	// The field name's kingdom does not matter: moulds grow on slime moulds too.
	kin, at := relate(f, d)
	switch {
	case kin == apart:
	case kin == dnaInside && f.rank < refs.Family:
		// "Ascomycota" for a cup overgrown by Penicillium: the mould lies in
		// the field name, but nobody calls a mould a cup.
	case kin == unknown && f.rank < refs.Family:
		// Nor where the mould's own place is not known.
	default:
		return nil
	}
	out := seqqc.Finding{
		Verdict: seqqc.Overgrowth, PartsAt: at, Attention: true,
		NextStep: "Extract again from clean tissue inside the specimen, and do not rename it on this result.",
	}
	reason := fmt.Sprintf("The DNA is of %s, %s (%s)", taxonWords(d), habitWords(c.DNAHabit), evidence(c))
	const grew = "most likely what grew on or in the specimen was sequenced"
	switch hosting {
	case fieldguide.UsualHost:
		out.Flags = []seqqc.Flag{seqqc.HostParasite}
		reason += fmt.Sprintf(", and %s is one of its usual hosts: %s, so the field name may well be right", f.name, grew)
	case fieldguide.UnusualHost:
		reason += fmt.Sprintf(", and %s is not, nor one of its usual hosts (%s): what grew on or in the specimen may have been sequenced, and the field name be right",
			f.name, hostWords(d.lineage.Genus))
	default:
		reason += fmt.Sprintf(", and %s is not: %s, so the field name may well be right", f.name, grew)
	}
	switch words := minorWords(c, p); {
	case minorIsField(c):
		reason += "; " + words + ", as the field name says"
	case c.minor() != nil:
		reason += "; " + words
	case words != "":
		reason += "; the trace shows a second, weaker sequence, which may be the specimen's own"
	}
	if hosting == fieldguide.UnusualHost {
		reason += mixUpTail
	}
	out.Reason = reason + "."
	return []seqqc.Finding{out}
}

// A parasite's field name with the DNA of another fungus: the parasite's fruit
// body is thin, and its host is what the piece mostly holds.
func checkHost(c Case, p Params) []seqqc.Finding {
	d, f := c.dnaTaxon(), c.fieldTaxon()
	if c.best() == nil || d.rank < refs.Genus || d.lineage.OutsideFungi() && f.lineage.Kingdom == "Fungi" && fieldguide.HostOf(f.lineage.Genus, d.lineage) != fieldguide.UsualHost {
		return nil
	}
	hosting := fieldguide.HostOf(f.lineage.Genus, d.lineage)
	lives := c.Field.Habit == refs.Fungicolous && c.DNAHabit != "" && !overgrows(c.DNAHabit)
	if !lives && hosting != fieldguide.UsualHost {
		return nil
	}
	o, at := outcomeOf(c, p)
	if o != conflicting {
		return nil
	}
	out := seqqc.Finding{
		Verdict: seqqc.Conflict, PartsAt: at, Flags: absence(c, at, p), Attention: true,
		NextStep: fmt.Sprintf("Check whether %s can be the host; to test the field name, extract again from the parasite's own tissue.", d.name),
	}
	dna := fmt.Sprintf("The DNA is of %s (%s)", d.name, evidence(c))
	switch hosting {
	case fieldguide.UsualHost:
		out.Flags = append(out.Flags, seqqc.HostParasite)
		out.Reason = fmt.Sprintf("%s, a usual host of %s: the host's DNA was probably sequenced, and the field name may well be right.", dna, f.name)
		out.NextStep = "To test the field name, extract again from the parasite's own tissue, without its host's."
	case fieldguide.UnusualHost:
		out.Reason = fmt.Sprintf("%s, while %s grows on other fungi, though not usually on this one but on %s: the DNA may be its host's%s.",
			dna, f.name, hostWords(f.lineage.Genus), mixUpTail)
	default:
		out.Flags = append(out.Flags, seqqc.HostParasite)
		out.Reason = fmt.Sprintf("%s, while %s grows on other fungi: the DNA may be its host's, and the field name right.", dna, f.name)
	}
	return []seqqc.Finding{out}
}

// listed joins words as a sentence does.
func listed(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}
