package verdict

import (
	"fmt"

	"forayseq/refs"
	"forayseq/seqqc"
)

// outcome is the one thing that field name and DNA are to one another; each
// rule of the relation fires on its own outcome, so that no two ever meet.
type outcome int

const (
	noOutcome outcome = iota // nothing to relate
	agreeing
	renaming
	refining
	containing
	nearestField
	tooBroad
	conflicting
	notComparable
	untold
)

// broadEnough reports whether a taxon above genus is still narrow enough to
// say something for a name inside it: a family at most.
func broadEnough(d taxon) bool { return d.rank >= refs.Family }

func outcomeOf(c Case, p Params) (outcome, refs.Rank) {
	f, d := c.fieldTaxon(), c.dnaTaxon()
	if c.best() == nil || !c.named() || !reachedAny(c) || c.outvoted() != nil {
		return noOutcome, refs.NoRank
	}
	kin, at := relate(f, d)
	switch kin {
	case sameGenus:
		return agreeing, refs.NoRank
	case otherName:
		return renaming, refs.NoRank
	case apart:
		if _, ok := c.nearChange(); ok {
			return renaming, refs.NoRank
		}
	}
	// All near references of the field genus say something only where one of
	// another genus could have been near.
	if d.rank < refs.Genus && c.windowIsFieldGenus() && c.match().OtherGenera > 0 {
		return nearestField, refs.NoRank
	}
	switch {
	case kin == dnaInside && broadEnough(d):
		return refining, refs.NoRank
	case kin == fieldInside && broadEnough(d):
		return containing, refs.NoRank
	case kin == dnaInside, kin == fieldInside:
		return tooBroad, refs.NoRank
	case kin == unknown:
		return untold, refs.NoRank
	case !comparable(c) && !stands(c, at, p):
		return notComparable, at
	}
	return conflicting, at
}

func reachedAny(c Case) bool {
	for _, v := range c.match().Votes {
		if v.Reached {
			return true
		}
	}
	return false
}

// comparable reports whether the library could have shown the field name: it
// holds a reference of the field genus that passes the evidence gate, or, for
// a name above genus, any reference of it.
func comparable(c Case) bool {
	if c.Field.Name.Genus != "" {
		return c.match().Field.Genus != nil
	}
	return c.Field.Records > 0
}

// stands reports whether a conflict stands although the library has nothing
// comparable of the field name: supported families differ, or the record
// that carries the DNA's taxon is so near that it leaves no room for another
// genus. A nearer record without a name may be of any genus.
func stands(c Case, at refs.Rank, p Params) bool {
	h := c.carrier()
	if at != refs.NoRank && at <= refs.Family && c.dnaTaxon().rank >= refs.Family {
		return true
	}
	return h.IdentityPct >= p.StandsAlonePct && h.IdentityStrictPct >= p.StandsAlonePct
}

// absence gives the flag of a conflict that the library could not have
// disproved.
func absence(c Case, at refs.Rank, p Params) []seqqc.Flag {
	if !comparable(c) && stands(c, at, p) {
		return []seqqc.Flag{seqqc.FieldGenusAbsent}
	}
	return nil
}

func checkDNAInside(c Case, p Params) []seqqc.Finding {
	if o, _ := outcomeOf(c, p); o != refining {
		return nil
	}
	d := c.dnaTaxon()
	return []seqqc.Finding{withDoubts(seqqc.Finding{
		Verdict:  seqqc.Refines,
		Reason:   fmt.Sprintf("The DNA narrows the field name %s down to %s: %s.", fieldWords(c), taxonWords(d), evidence(c)),
		NextStep: fmt.Sprintf("Compare the specimen with %s before writing that name on the label.", d.name),
	}, c, p, fmt.Sprintf("compare the specimen with %s before writing that name on the label", d.name))}
}

const sharper = "references nearer to it would make a sharper test"

func checkFieldInside(c Case, p Params) []seqqc.Finding {
	if o, _ := outcomeOf(c, p); o != containing {
		return nil
	}
	f, d := c.fieldTaxon(), c.dnaTaxon()
	lies := fieldWords(c) + " lies in it"
	switch {
	case f.name == d.name:
		lies = "that is the field name"
	case len(f.members) > 0:
		lies = "some of what is called " + f.name + " lies in it"
	}
	return []seqqc.Finding{withDoubts(seqqc.Finding{
		Verdict:  seqqc.Consistent,
		Reason:   fmt.Sprintf("The DNA tells only %s, and %s: %s; %s.", taxonWords(d), lies, evidence(c), offers(c)),
		NextStep: "Nothing speaks against the field name; " + sharper + ".",
	}, c, p, sharper)}
}

func checkNearest(c Case, p Params) []seqqc.Finding {
	if o, _ := outcomeOf(c, p); o != nearestField {
		return nil
	}
	next := "no other genus of the library comes near"
	if m := c.match(); m.NextGenus != nil {
		next = fmt.Sprintf("the next genus is %s at %s %%", m.NextGenus.Lineage.Genus, figure(m.NextGenus.IdentityPct))
	}
	return []seqqc.Finding{withDoubts(seqqc.Finding{
		Verdict: seqqc.Consistent, Flags: []seqqc.Flag{seqqc.NearestIsFieldGenus},
		Reason: fmt.Sprintf("No reference is near enough to tell the genus, but all the nearest are of the field genus %s: %s; %s.",
			c.Field.Name.Genus, evidence(c), next),
		NextStep: "Nothing speaks against the field name; " + sharper + ".",
	}, c, p, sharper)}
}

func checkTooBroad(c Case, p Params) []seqqc.Finding {
	if o, _ := outcomeOf(c, p); o != tooBroad {
		return nil
	}
	return undetermined(seqqc.TooDistant,
		fmt.Sprintf("The DNA tells no more than %s, which is too broad to test %s: %s; %s.",
			taxonWords(c.dnaTaxon()), fieldWords(c), evidence(c), offers(c)),
		"Use a larger library with references nearer to the field name, and run again.")
}

func checkConflict(c Case, p Params) []seqqc.Finding {
	o, at := outcomeOf(c, p)
	if o != conflicting {
		return nil
	}
	d := c.dnaTaxon()
	doubts := ""
	if s := caveat(c, p); s != "" {
		doubts = "; but " + s
	}
	return []seqqc.Finding{{
		Verdict: seqqc.Conflict, PartsAt: at, Flags: absence(c, at, p), Attention: true,
		Reason: fmt.Sprintf("The DNA is of %s, the field name is %s, and they part at the %s: %s; %s%s%s.",
			taxonWords(d), fieldWords(c), at, evidence(c), offers(c), doubts, mixUpTail),
		NextStep: fmt.Sprintf("Rule out a mix-up first (label, tube, well, file name and its neighbours); if there is none, look at the specimen again with %s in mind.", d.name),
	}}
}

func checkNotInLibrary(c Case, p Params) []seqqc.Finding {
	o, at := outcomeOf(c, p)
	if o != notComparable {
		return nil
	}
	out := undetermined(seqqc.FieldGenusNotInLibrary,
		fmt.Sprintf("The DNA is nearest to %s, but no reference of the field name %s could be compared with it, so that nothing nearer could be found: %s; %s.",
			taxonWords(c.dnaTaxon()), fieldWords(c), evidence(c), offers(c)),
		fmt.Sprintf("Add references of %s to the library and run again.", fieldGroup(c)))
	if c.match().Field.GenusRecords > 0 {
		out[0].NextStep = fmt.Sprintf("Add references of %s that span the whole barcode region (ITS) to the library, or have a longer sequence made, and run again.", fieldGroup(c))
	}
	out[0].PartsAt = at
	return out
}

// fieldGroup gives what a library may have records of: the field genus, the taxon
// above it, or the taxa that a club's word means.
func fieldGroup(c Case) string {
	if c.Field.Name.Genus != "" {
		return c.Field.Name.Genus
	}
	const most = 4
	var taxa []string
	for _, m := range c.fieldTaxon().members {
		taxa = append(taxa, m.name)
	}
	if more := len(taxa) - most; more > 1 {
		taxa = append(taxa[:most:most], seqqc.Count(more, "other taxon"))
	}
	if taxa == nil {
		return c.Field.Name.Taxon()
	}
	return listed(taxa)
}

func checkLineage(c Case, p Params) []seqqc.Finding {
	if o, _ := outcomeOf(c, p); o != untold {
		return nil
	}
	f, d := c.fieldTaxon(), c.dnaTaxon()
	if d.rank == refs.NoRank {
		return undetermined(seqqc.LineageUnknown,
			fmt.Sprintf("The nearest reference is too far to tell its genus, and its family and broader groups are not known: %s.", evidence(c)),
			"Give the lineages of the library's genera in a taxonomy table, and run again.")
	}
	return undetermined(seqqc.LineageUnknown,
		fmt.Sprintf("It is not known whether %s and %s belong together, because ranks are missing from their lineages: %s.",
			taxonWords(d), f.name, evidence(c)),
		fmt.Sprintf("Give the lineages of %s and %s in a taxonomy table, and run again.", d.name, f.name))
}
