package verdict

import (
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// anyContig reports whether any sample has a contig, usable or not.
func anyContig(c Case) bool {
	for _, s := range c.Samples {
		if s.Contig != nil && len(s.Contig.Bases) > 0 {
			return true
		}
	}
	return false
}

func undetermined(code seqqc.ReasonCode, reason, next string) []seqqc.Finding {
	return []seqqc.Finding{{
		Verdict: seqqc.Undetermined, ReasonCode: code, Attention: true,
		Reason: reason, NextStep: next,
	}}
}

// A blank is meant to give no sequence, so that neither of the next two rules
// has anything to say about one.

func checkNoSequence(c Case, _ Params) []seqqc.Finding {
	if c.Kind == seqqc.Blank || anyContig(c) {
		return nil
	}
	files := 0
	for _, s := range c.Samples {
		files += len(s.ReadFiles)
	}
	if files == 0 && len(c.Unused) == 0 {
		return undetermined(seqqc.NoSequence, "No read file belongs to this voucher.",
			"Look for its reads in the list of files that could not be tied, and name them in reads.csv; if the laboratory sent none, ask for them.")
	}
	what := "None of its read files could be used"
	if files <= 1 && len(c.Unused) <= 1 {
		what = "Its only read file could not be used"
	}
	next := "Ask the laboratory to sequence it again, from a new extraction if the first was weak."
	if c.ReadsOpened == 0 {
		next = "Do what the list of problems says about its read files, and run again."
	}
	return undetermined(seqqc.NoSequence, what+because(c.Unused)+".", next)
}

// because gives reasons in brackets, for the end of a sentence: they may hold
// colons ("reads/x.ab1: the file ends too early") and full stops.
func because(reasons []string) string {
	var said []string
	for _, r := range reasons {
		if r = strings.TrimRight(strings.TrimSpace(r), "."); r != "" {
			said = append(said, r)
		}
	}
	if len(said) == 0 {
		return ""
	}
	return " (" + strings.Join(said, "; ") + ")"
}

func checkPoorSequence(c Case, p Params) []seqqc.Finding {
	if c.Kind == seqqc.Blank || c.Chosen >= 0 || !anyContig(c) {
		return nil
	}
	why := ""
	for i, s := range c.Samples {
		if s.Contig == nil || len(s.Contig.Bases) == 0 {
			continue
		}
		if why != "" {
			why += "; "
		}
		if len(c.Samples) > 1 {
			why += sampleName(s, i) + ": "
		}
		_, w := Usable(s.Contig, p)
		why += w
	}
	return undetermined(seqqc.PoorSequence,
		"The sequence is too poor to compare: "+why+".",
		"Have this specimen sequenced again; this says nothing about its name.")
}

func checkSamples(c Case, p Params) []seqqc.Finding {
	genus, at := "", 0
	apart := ""
	usable := 0
	for i, s := range c.Samples {
		if ok, _ := Usable(s.Contig, p); !ok {
			continue
		}
		usable++
		if s.Match == nil || s.Match.Supported < refs.Genus || s.Match.Lineage.Genus == "" {
			continue
		}
		switch g := s.Match.Lineage.Genus; {
		case genus == "":
			genus, at = g, i
		case g != genus && apart == "":
			apart = fmt.Sprintf("%s is of %s, %s of %s", sampleName(c.Samples[at], at), genus, sampleName(s, i), g)
		}
	}
	low := usable > 1 && c.SampleIdentityPct > 0 && c.SampleIdentityPct < p.MinSampleIdentityPct
	if apart == "" && !low {
		return nil
	}
	what := apart
	if low {
		if what != "" {
			what += ", and "
		}
		what += fmt.Sprintf("their sequences are only %s %% identical (%s %% are asked)",
			figure(c.SampleIdentityPct), figure(p.MinSampleIdentityPct))
	}
	return undetermined(seqqc.SamplesDisagree,
		"The samples of this voucher hold different DNA: "+what+".",
		"Find out which sample comes from this specimen (a tube mixed up or another organism's DNA are likely), and extract it once more.")
}

func checkNotITS(c Case, _ Params) []seqqc.Finding {
	s := c.contig()
	if s == nil {
		return nil
	}
	if s.Region.NotITS == "" {
		return checkNothingLikeITS(c)
	}
	return undetermined(seqqc.NotITS,
		"The sequence is not of the barcode region (ITS): it looks like "+s.Region.NotITS+".",
		"Ask the laboratory which primers were used, and have the ITS sequenced: only that can be compared here.")
}

// checkNothingLikeITS is for a sequence that shows neither a gene around the
// spacers nor a likeness to any reference. One of them alone is no evidence
// against an ITS: a read may lie inside one spacer, and a library may lack its
// relatives.
func checkNothingLikeITS(c Case) []seqqc.Finding {
	s, m := c.contig(), c.match()
	if s.Region.Located || m == nil || len(m.Apart) > 0 || c.best() != nil && reachedAny(c) {
		return nil
	}
	near := "no reference could be compared with it"
	if h := c.best(); h != nil {
		near = fmt.Sprintf("the nearest reference, %s, is only %s %% identical", title(h), figure(h.IdentityPct))
	}
	return undetermined(seqqc.NotITS,
		"Nothing shows that the sequence is of the barcode region (ITS): none of the genes beside it was found in its "+
			seqqc.Count(len(s.Bases), "base")+", and "+near+".",
		"Ask the laboratory which primers were used; if they were those of the ITS, have it sequenced again.")
}

func checkNoMatch(c Case, p Params) []seqqc.Finding {
	if c.contig() == nil || c.best() != nil || foreignKingdom(c) != "" || isFarFromAll(c, p) {
		return nil
	}
	reason := "No reference of the library shares enough of the barcode region (ITS) with this sequence to be compared."
	if m := c.match(); m == nil {
		reason = "The sequence was compared with no reference."
	} else if len(m.Apart) > 0 {
		reason = fmt.Sprintf("No reference can be compared fairly with this sequence: the nearest, %s, falls short (%s).",
			title(&m.Apart[0]), m.Apart[0].Gate)
	}
	if fewOutside(c, p) {
		return undetermined(seqqc.NoMatch, reason,
			"Have this specimen sequenced again, or from its other end too: this sequence holds too little of the ITS outside the 5.8S.")
	}
	return undetermined(seqqc.NoMatch, reason,
		"Check that the library holds ITS sequences of fungi, and that this read is of the ITS; then use a larger library.")
}

// isFarFromAll reports whether nothing was listed for a sequence that could be
// compared, because nothing is near enough to be listed.
func isFarFromAll(c Case, p Params) bool {
	m := c.match()
	return m != nil && m.ListFromPct > 0 && len(m.Hits)+len(m.Apart) == 0 && !fewOutside(c, p)
}

// fewOutside reports whether a sequence that reaches into the 5.8S holds less of
// the spacers than any library could be compared with.
func fewOutside(c Case, p Params) bool {
	s := c.contig()
	return s != nil && !s.Region.R58S.Empty() && s.Region.ITS1.Len()+s.Region.ITS2.Len() < p.MinBases
}

func checkTooDistant(c Case, p Params) []seqqc.Finding {
	h, m := c.best(), c.match()
	if c.contig() == nil || foreignKingdom(c) != "" {
		return nil
	}
	if isFarFromAll(c, p) {
		return undetermined(seqqc.TooDistant,
			fmt.Sprintf("No reference is near: none that shares enough of the barcode region (ITS) with this sequence is %g %% identical or more, and below that unrelated sequences look alike.", m.ListFromPct),
			"Check that the library holds ITS sequences of fungi, and use a larger one; if nothing is nearer there either, the sequence may be faulty (two organisms joined), so sequence it again.")
	}
	if h == nil {
		return nil
	}
	lowest := 100.0
	for _, v := range m.Votes {
		if v.Reached {
			return nil
		}
		lowest = min(lowest, v.Threshold)
	}
	reason := fmt.Sprintf("The nearest reference is too far away: %s, and %s %% are needed to tell even the broadest group",
		nearest(c, h), figure(lowest))
	if c.contig().Region.Kingdom == "Fungi" {
		reason += "; that it is a fungus can be told from its 5.8S"
	}
	return undetermined(seqqc.TooDistant, reason+".",
		"Use a larger library; if nothing is nearer there either, the sequence may be faulty (two organisms joined), so sequence it again.")
}

func checkUnnamed(c Case, _ Params) []seqqc.Finding {
	h := c.best()
	if h == nil || !c.match().Unnamed || foreignKingdom(c) != "" {
		return nil
	}
	return undetermined(seqqc.ReferencesUnnamed,
		fmt.Sprintf("The references nearest to this sequence bear no usable name: %s.", nearest(c, h)),
		"Compare with a library of named specimens; if there is none, this may be a species without a published barcode.")
}

// outvoted gives the first reference behind the one that alone names another genus
// of the field genus' family, where it is of the field genus and as near as a family
// is; nil otherwise. Such a reference lies outside its own genus as well. Of 900
// published sequences under their right names three were met by this, of 428 under
// another genus of the family two.
func (c Case) outvoted() *seqqc.Hit {
	m := c.match()
	if m == nil || m.Supported < refs.Genus || c.vote(refs.Genus).For != 1 || c.Field.Name.Genus == "" {
		return nil
	}
	if kin, at := relate(c.fieldTaxon(), c.dnaTaxon()); kin != apart || at != refs.Genus {
		return nil
	}
	if _, renamed := c.nearChange(); renamed {
		return nil
	}
	for i := range m.Hits[m.InWindow:] {
		h := &m.Hits[m.InWindow+i]
		if h.Doubtful || h.Name.Unnamed || h.Lineage.Genus == "" {
			continue
		}
		if h.Lineage.Genus == c.Field.Name.Genus && h.IdentityPct >= c.vote(refs.Family).Threshold {
			return h
		}
		return nil
	}
	return nil
}

// A dispute below the taxon at which the DNA and the field name already part
// decides nothing: whichever of two genera of a family is right, a field name
// of another family is wrong.
func checkDisagree(c Case, _ Params) []seqqc.Finding {
	h, m := c.best(), c.match()
	if h == nil {
		return nil
	}
	if next := c.outvoted(); next != nil {
		return undetermined(seqqc.ReferencesDisagree,
			fmt.Sprintf("The nearest references contradict one another: one alone is near enough to tell the genus, and it names %s, but the next is of the field genus (%s, %s %%), so that it may bear an old or a wrong name; the best is %s.",
				c.dnaTaxon().lineage.Genus, title(next), figure(next.IdentityPct), nearest(c, h)),
			"Find out what the archive says of that reference now, and whether its genus was split, and look for more references of both genera.")
	}
	if !m.Disagree {
		return nil
	}
	if kin, _ := relate(c.fieldTaxon(), c.dnaTaxon()); kin == apart {
		return nil
	}
	split := seqqc.Vote{}
	for _, v := range m.Votes {
		if v.Reached && !v.Supported && v.Rank <= refs.Genus && v.Of > 0 {
			split = v
		}
	}
	return undetermined(seqqc.ReferencesDisagree,
		fmt.Sprintf("The nearest references contradict one another: only %d of %d name the %s %s, and the best is %s.",
			split.For, split.Of, split.Rank, split.Taxon, nearest(c, h)),
		"Look through the list of hits for a mislabelled reference, leave it out of the library, and run again.")
}
