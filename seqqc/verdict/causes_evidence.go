package verdict

import (
	"fmt"
	"strings"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// Clue is one kind of fact that speaks for or against a cause.
type Clue struct {
	// ID names the clue in tests; several causes may share one.
	ID    string
	Cause seqqc.CauseCode
	// Weight is what the fact is worth where it is found once, below zero where
	// it speaks against the cause.
	Weight float64
	// Ground says why it is worth that.
	Ground string
	// Found gives the fact as a clause with what this row has of it, empty where
	// it is not there, and how many times it counts.
	Found func(facts) (clause string, times float64)
}

// The unit of the weights is a factor of ten: a fact that is met ten times as
// often where the cause is at work as elsewhere is worth 1. But for the few with
// figures they are judged by experience (common practice, no source), and say no
// more than which of two facts counts for more.
const (
	byRule   = "the rule that decided the verdict found it"
	byChance = "as many factors of ten as it is less than chance gives, from one to three, and two where that is not told"
	judged   = "judged: common practice, no source"
	// Of a factor of eight for a wrong name within the family, of a tenth for one
	// of another phylum.
	lookAlikes = "judged: half of what is taken for one another is of one family, few of two orders and hardly any of two phyla, " +
		"while of the tubes of a mixed batch one pair in fifteen is of one family, half are of two orders and one in ten of two phyla"
)

// Evidence is the table of clues. Its sums order the causes of a row.
var Evidence = []Clue{
	// What comparing the vouchers with one another found.
	{"plate", seqqc.CausePlate, 1, byChance, byPattern(seqqc.PatternPlateMoved)},
	{"crossed", seqqc.CauseReadsCrossed, 1, byChance, byPattern(seqqc.PatternReadCrossed)},
	{"exchange", seqqc.CauseExchanged, 1, byChance, byPattern(seqqc.PatternExchange)},
	{"exchange", seqqc.CauseFieldName, -1, byChance, byPattern(seqqc.PatternExchange)},
	{"half-exchange", seqqc.CauseExchanged, 1, "as many factors of ten as it is less than chance gives, two at most: a wrong name looks the same", halfExchange},
	{"plate", seqqc.CauseFieldName, -1, byChance, byPattern(seqqc.PatternPlateMoved)},
	{"control", seqqc.CauseContamination, 1, byChance, byPattern(seqqc.PatternControl)},
	{"carry-over", seqqc.CauseContamination, 1, byChance, byPattern(seqqc.PatternCarryOver)},
	{"carry-over-read", seqqc.CauseReadsCrossed, -0.5, judged + "; files are mixed up anywhere, and DNA gets into the next well", readOfNeighbour},
	{"one-barcode", seqqc.CauseContamination, 0.2, judged + "; a common species is found twice as well", once(byPattern(seqqc.PatternOneBarcode))},
	{"one-barcode", seqqc.CauseExchanged, 0.3, judged + "; one tube used twice", once(byPattern(seqqc.PatternOneBarcode))},
	{"split-name", seqqc.CauseFieldName, 0.5, judged, once(byPattern(seqqc.PatternSplitName))},

	// What was seen on the specimen, at most two traits: they are not independent.
	{"traits-field", seqqc.CauseExchanged, 1, "judged: ten of a genus show its traits for one that does not", traitsOfField},
	{"traits-field", seqqc.CauseFieldName, -1, "as for the exchange", traitsOfField},
	{"traits-dna", seqqc.CauseFieldName, 1, "as for the exchange", traitsOfDNA},
	{"traits-dna", seqqc.CauseExchanged, -1, "as for the exchange", traitsOfDNA},
	{"traits-dna", seqqc.CauseContamination, -1, "as for the exchange", traitsOfDNA},
	{"traits-neither", seqqc.CauseContamination, 0.3, judged + "; the DNA is not what was seen", traitsOfNeither},

	// How the two names lie to one another.
	{"far", seqqc.CauseExchanged, 0.5, lookAlikes, farApart},
	{"far", seqqc.CauseContamination, 0.5, lookAlikes, farApart},
	{"far", seqqc.CauseFieldName, -0.5, lookAlikes, farApart},
	{"far", seqqc.CauseRenamed, -1, judged + "; genera seldom leave their family when they are renamed", outsideFamily},
	{"near", seqqc.CauseExchanged, -0.5, lookAlikes, nearKin},
	{"near", seqqc.CauseContamination, -0.5, lookAlikes, nearKin},
	{"near", seqqc.CauseFieldName, 0.4, lookAlikes, nearKin},
	{"near", seqqc.CauseRenamed, 0.3, judged + "; genera are mostly split within their family", nearKin},
	{"epithet", seqqc.CauseRenamed, 1.5, judged + "; a species keeps its epithet in another genus", sameEpithet},
	{"no-change-known", seqqc.CauseRenamed, -1, judged + "; the tables hold the changes that clubs meet", noChangeKnown},
	{"doubt", seqqc.CauseFieldName, 0.5, judged, doubtfulName},
	{"other-species", seqqc.CauseFieldName, 0.5, judged + "; the field species was there to be nearer", fieldSpeciesFurther},
	{"caution", seqqc.CauseFieldName, -1, "a fault of the data is looked for before a person is doubted", looksTheSame},

	// What the library shows.
	{"doubtful", seqqc.CauseReference, 2, "judged: the label disagrees with those of its neighbours", referenceDoubtful},
	{"one-record", seqqc.CauseReference, 1, "of five public sequences one may be misnamed (Nilsson et al. 2006, PLoS ONE 1: e59; figure from memory), the fewer the farther", singleReference},
	{"records", seqqc.CauseReference, -0.7, "log10 of one in five, for each record more that says the same (Nilsson et al. 2006, as above)", moreRecords},
	{"field-near", seqqc.CauseReference, 1, judged + "; the two genera overlap in this library", fieldGenusNear},
	{"field-far", seqqc.CauseReference, -0.7, "the thresholds of genus and species lie 5.3 points apart (Vu et al. 2019, Studies in Mycology 92: 135-154)", fieldGenusFar},
	{"field-absent", seqqc.CauseLibrary, 0.3, judged, fieldGenusAbsent},
	{"supported", seqqc.CauseLibrary, -1.5, judged + "; what is missing does not make another genus near, and no conflict stands unless one is", dnaSupported},
	{"alike", seqqc.CauseAlike, 0.5, judged, speciesComplex},

	// What the reads show.
	{"own-dna-below", seqqc.CauseTwoTemplates, 1, judged, ownDNABelow},
	{"own-dna-below", seqqc.CauseContamination, 0.5, judged, ownDNABelow},
	{"one-template", seqqc.CauseContamination, -0.3, judged + "; a second tube's DNA seldom hides the specimen's whole", oneTemplate},
	{"no-sign", seqqc.CauseContamination, -1, "of simulated tubes with a neighbour's DNA nine in ten or more leave a sign (seqqc/simulate/verdicts)", noSignOfContamination},
	{"not-neighbours", seqqc.CauseContamination, -1, judged + "; DNA gets mostly into wells beside its own, and a common species is found twice", notNeighbours},
	{"strands", seqqc.CauseReadsCrossed, 1, judged, strandsDisagree},
	{"joined", seqqc.CauseChimera, 1, judged, looksJoined},
	{"shifted", seqqc.CauseTwoAlleles, 1.5, "judged: read clear up to a place, double behind it", twoAlleles},
	{"faulty", seqqc.CausePoorReads, 0.3, judged, lowQuality},
	{"faulty-not-another", seqqc.CausePoorReads, -1, judged + "; misread bases bring a sequence near to nothing", misreadIsNear},
	{"samples", seqqc.CauseExchanged, -1, judged + "; two tubes seldom go astray together", samplesAgree},
	{"samples", seqqc.CauseContamination, -0.5, judged + "; two tubes seldom catch the same", samplesAgree},
	{"samples", seqqc.CauseFieldName, 0.5, judged, samplesAgree},
	{"clean", seqqc.CauseFieldName, 0.3, judged, cleanEvidence},

	// What grows on what.
	{"usual-host", seqqc.CauseGrowth, 1, "judged: such fungi keep to their hosts", usualHost},
	{"usual-host", seqqc.CauseHost, 1, "judged: such fungi keep to their hosts", usualHost},
	{"unusual-host", seqqc.CauseGrowth, -0.7, "judged: such fungi keep to their hosts", unusualHost},
	{"unusual-host", seqqc.CauseHost, -1.5, "judged: such fungi keep to their hosts", unusualHost},
	{"unusual-host", seqqc.CauseExchanged, 0.2, judged, unusualHost},
	{"own-dna-below", seqqc.CauseGrowth, 0.5, judged, ownDNABelow},
}

// traitWords are the traits in the middle of a sentence.
var traitWords = map[fieldguide.Trait]string{
	fieldguide.Surface: "the spore-bearing surface", fieldguide.Attachment: "the attachment of the gills", fieldguide.Milk: "the milk",
	fieldguide.Ring: "the ring", fieldguide.Volva: "the base of the stem", fieldguide.Flesh: "the flesh", fieldguide.Bruising: "the bruising",
	fieldguide.SporePrint: "the spore print", fieldguide.GrowsOn: "where it grew",
}

// seenWords names traits with what was written of them.
func seenWords(c Case, traits []fieldguide.Trait) string {
	var out []string
	for _, t := range traits {
		for _, o := range c.Observed {
			if o.Trait == t && o.State != "" {
				out = append(out, fmt.Sprintf("%s (%q)", traitWords[t], o.Written))
			}
		}
	}
	return listed(out)
}

// Traits of one specimen go together: more than two prove no more than two.
const mostTraits = 2

func fitOneOnly(f facts, traits []fieldguide.Trait, fits, not string) (string, float64) {
	if !f.parted() || len(traits) == 0 {
		return "", 0
	}
	verb := "fits"
	if len(traits) > 1 {
		verb = "fit"
	}
	said := fmt.Sprintf("%s %s %s and not %s", seenWords(f.c, traits), verb, fits, not)
	for _, t := range traits {
		if trees, _ := fieldguide.LivesWithTrees(not); t == fieldguide.GrowsOn && trees {
			said += ", which lives with the roots of trees"
		}
	}
	return said, float64(min(len(traits), mostTraits))
}

func traitsOfField(f facts) (string, float64) {
	field, dna := f.c.fits()
	return fitOneOnly(f, only(field, dna), f.f.lineage.Genus, f.d.lineage.Genus)
}

func traitsOfDNA(f facts) (string, float64) {
	field, dna := f.c.fits()
	return fitOneOnly(f, only(dna, field), f.d.lineage.Genus, f.f.lineage.Genus)
}

func traitsOfNeither(f facts) (string, float64) {
	field, dna := f.c.fits()
	traits := neitherOf(field, dna)
	if !f.parted() || len(traits) == 0 {
		return "", 0
	}
	return fmt.Sprintf("of what was seen, %s is neither as in %s nor as in %s", seenWords(f.c, traits), f.f.lineage.Genus, f.d.lineage.Genus), 1
}

// distance is how far apart the two names are as look-alikes go: 0 within an
// order or where it is not known, 1 for two phyla.
func (f facts) distance() float64 {
	switch at := f.v.PartsAt; {
	case !f.parted() || at == refs.NoRank || at > refs.Order:
		return 0
	case at == refs.Order:
		return 0.4
	case at == refs.Class:
		return 0.6
	}
	return 1
}

func farApart(f facts) (string, float64) {
	if f.distance() == 0 {
		return "", 0
	}
	return fmt.Sprintf("%s and %s part at the %s, and are seldom mistaken for one another", f.f.name, f.d.name, f.v.PartsAt), f.distance()
}

func outsideFamily(f facts) (string, float64) {
	a, b := f.f.lineage.Family, f.d.lineage.Family
	if !f.parted() || a == "" || b == "" || a == b {
		return "", 0
	}
	return fmt.Sprintf("%s is of the family %s, %s of the family %s", f.f.name, a, f.d.name, b), 1
}

func nearKin(f facts) (string, float64) {
	if !f.sameFamily() {
		return "", 0
	}
	return fmt.Sprintf("%s and %s are of one family, %s", f.f.name, f.d.name, f.f.lineage.Family), 1
}

func sameEpithet(f facts) (string, float64) {
	own := stem(f.c.Field.Name.Epithet)
	if !f.parted() || own == "" {
		return "", 0
	}
	m := f.c.match()
	for i := range m.Hits[:m.InWindow] {
		if h := &m.Hits[i]; h.Name.Genus != f.f.lineage.Genus && stem(h.Name.Epithet) == own {
			return fmt.Sprintf("%s, %s %% identical, has the epithet of the field name", title(h), figure(h.IdentityPct)), 1
		}
	}
	return "", 0
}

// stem gives an epithet without the ending that changes with the gender of the
// genus (International Code of Nomenclature, Art. 23.5): albus, alba, album.
func stem(epithet string) string {
	for _, end := range []string{"us", "um", "is", "a", "e"} {
		if s, ok := strings.CutSuffix(epithet, end); ok && len(s) > 2 {
			return s
		}
	}
	return epithet
}

func noChangeKnown(f facts) (string, float64) {
	if !f.parted() {
		return "", 0
	}
	return fmt.Sprintf("no name change that is known here leads from %s to %s", f.f.name, f.d.name), 1
}

func doubtfulName(f facts) (string, float64) {
	if !f.parted() || f.c.Field.Name.Doubt&^refs.DoubtSp == 0 {
		return "", 0
	}
	return fmt.Sprintf("the label itself is not sure (%q)", f.c.Field.Name.Verbatim), 1
}

func looksTheSame(f facts) (string, float64) {
	if !f.parted() {
		return "", 0
	}
	return "a fault in the data would look the same, and is to be ruled out first", 1
}

func fieldSpeciesFurther(f facts) (string, float64) {
	gap, differs := speciesDiffers(f.c, f.p)
	if !differs {
		return "", 0
	}
	return fmt.Sprintf("the nearest reference of %s is %s points further away than that of %s", f.f.name, figure(gap), f.d.name), 1
}

func referenceDoubtful(f facts) (string, float64) {
	if !f.has(seqqc.ReferenceDoubtful) {
		return "", 0
	}
	return "a reference that this rests on has a label that its neighbours speak against", 1
}

func singleReference(f facts) (string, float64) {
	times := 1 - 1.5*f.distance() // nothing speaks for it between phyla
	if !f.parted() || !f.has(seqqc.SingleReference) || f.ownNextInLine() || times <= 0 {
		return "", 0
	}
	return "one reference alone says so, " + title(f.c.carrier()), times
}

// ownNextInLine reports whether the first reference behind those with a vote is
// of the genus that they name: a wrong label would stand among another genus.
func (f facts) ownNextInLine() bool {
	m := f.c.match()
	for i := range m.Hits[m.InWindow:] {
		if h := &m.Hits[m.InWindow+i]; h.Name.Genus != "" {
			return h.Name.Genus == f.d.lineage.Genus
		}
	}
	return false
}

func moreRecords(f facts) (string, float64) {
	n := f.independent()
	if !f.parted() || n < 2 {
		return "", 0
	}
	const most = 3
	return fmt.Sprintf("%d independent references say %s", n, f.d.name), float64(min(n-1, most))
}

// genusGap gives how far the nearest reference of the field genus lies below the
// record that the verdict stands on.
func (f facts) genusGap() (gap float64, told bool) {
	m := f.c.match()
	if !f.parted() || m == nil || m.Field.Genus == nil || f.c.carrier() == nil {
		return 0, false
	}
	return f.c.carrier().IdentityPct - m.Field.Genus.IdentityPct, true
}

// The figures of the next two are points of identity: within one, the genera
// are not parted; 5.3 lie between the thresholds of genus and species.
func fieldGenusNear(f facts) (string, float64) {
	const near = 1.0
	gap, told := f.genusGap()
	if !told || gap > near {
		return "", 0
	}
	h := f.c.match().Field.Genus
	return fmt.Sprintf("%s of the field genus is as near but for %s points (%s %%)", title(h), figure(max(gap, 0)), figure(h.IdentityPct)), 1
}

func fieldGenusFar(f facts) (string, float64) {
	const far = 5.3
	gap, told := f.genusGap()
	if !told || gap < far {
		return "", 0
	}
	h := f.c.match().Field.Genus
	return fmt.Sprintf("the nearest reference of the field genus, %s, is %s points further away", title(h), figure(gap)), 1
}

func fieldGenusAbsent(f facts) (string, float64) {
	if !f.parted() || !f.has(seqqc.FieldGenusAbsent) {
		return "", 0
	}
	return offers(f.c), 1
}

func dnaSupported(f facts) (string, float64) {
	if f.v.Kind != seqqc.Conflict {
		return "", 0
	}
	return fmt.Sprintf("the sequence is near enough to %s as it is: %s", f.d.name, nearest(f.c, f.c.carrier())), 1
}

func speciesComplex(f facts) (string, float64) {
	if !f.has(seqqc.SpeciesComplex) {
		return "", 0
	}
	return "several species lie as near to this sequence", 1
}

func ownDNABelow(f facts) (string, float64) {
	if !minorIsField(f.c) {
		return "", 0
	}
	return minorWords(f.c, f.p) + ", as the field name says", 1
}

// oneTemplate looks at the traces behind the contig.
func oneTemplate(f facts) (string, float64) {
	n := 0
	for _, r := range f.c.Reads {
		if !r.Usable || r.Copies == nil || r.Copies.Kind == seqqc.CopiesUntold {
			continue
		}
		if r.Copies.Kind != seqqc.OneCopy {
			return "", 0
		}
		n++
	}
	if !f.parted() || n == 0 {
		return "", 0
	}
	return "no trace shows a second sequence", 1
}

func strandsDisagree(f facts) (string, float64) {
	if !f.has(seqqc.StrandsDisagree) {
		return "", 0
	}
	return "another read of this sample does not fit and seems to hold different DNA", 1
}

func looksJoined(f facts) (string, float64) {
	if m := f.c.match(); !f.has(seqqc.ChimeraSuspected) || m == nil {
		return "", 0
	}
	return "the sequence looks joined from two organisms", 1
}

func twoAlleles(f facts) (string, float64) {
	if f.v.ReasonCode != seqqc.PoorSequence && f.v.ReasonCode != seqqc.NoSequence {
		return "", 0
	}
	for _, r := range f.c.Reads {
		if r.Copies != nil && r.Copies.Kind == seqqc.CopiesShifted {
			return "a read shows two copies of which one lacks bases of the other", 1
		}
	}
	return "", 0
}

func lowQuality(f facts) (string, float64) {
	if !f.parted() || !f.has(seqqc.LowQuality) && !f.has(seqqc.QualityMissing) {
		return "", 0
	}
	return "the quality of the sequence is low or not known", 1
}

func misreadIsNear(f facts) (string, float64) {
	if !f.parted() || f.c.carrier() == nil {
		return "", 0
	}
	return fmt.Sprintf("misread bases do not bring a sequence as near to another fungus as this (%s %%)", figure(f.c.carrier().IdentityPct)), 1
}

func samplesAgree(f facts) (string, float64) {
	if !f.parted() || f.c.SampleIdentityPct < f.p.MinSampleIdentityPct {
		return "", 0
	}
	return fmt.Sprintf("two samples of the voucher hold the same DNA (%s %% identical)", figure(f.c.SampleIdentityPct)), 1
}

// cleanEvidence asks for both strands, several references, and no doubt.
func cleanEvidence(f facts) (string, float64) {
	const enough = 3
	if !f.parted() || f.independent() < enough {
		return "", 0
	}
	for _, flag := range []seqqc.Flag{seqqc.OneStrandOnly, seqqc.StrandsDisagree, seqqc.MixedTemplate, seqqc.ChimeraSuspected, seqqc.LowQuality,
		seqqc.QualityMissing, seqqc.SingleReference, seqqc.ReferenceDoubtful} {
		if f.has(flag) {
			return "", 0
		}
	}
	return fmt.Sprintf("the sequence was read on both strands without doubts, and %d references agree", f.independent()), 1
}

// hosting gives the fungus that grows on the other, the host, and what the
// table of hosts says, whichever of them the DNA is.
func (f facts) hosting() (parasite, host string, kind fieldguide.Hosting) {
	switch {
	case f.v.Kind == seqqc.Overgrowth:
		return f.d.lineage.Genus, f.f.name, fieldguide.HostOf(f.d.lineage.Genus, f.f.lineage)
	case f.v.Rule == ruleHost:
		return f.f.name, f.d.name, fieldguide.HostOf(f.f.lineage.Genus, f.d.lineage)
	}
	return "", "", fieldguide.HostUntold
}

func usualHost(f facts) (string, float64) {
	parasite, host, kind := f.hosting()
	if kind != fieldguide.UsualHost {
		return "", 0
	}
	return fmt.Sprintf("%s is a usual host of %s", host, parasite), 1
}

func unusualHost(f facts) (string, float64) {
	parasite, host, kind := f.hosting()
	if kind != fieldguide.UnusualHost {
		return "", 0
	}
	genus, _, _ := strings.Cut(parasite, " ")
	return fmt.Sprintf("%s is no usual host of %s, which keeps to %s", host, parasite, hostWords(genus)), 1
}
