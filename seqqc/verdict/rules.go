package verdict

import "forayseq/seqqc"

// Rule is one thing to look at in a case.
type Rule struct {
	// ID names the rule in findings, results and tests.
	ID string
	// Asks is the question that the rule's findings answer.
	Asks seqqc.Question
	// Doc says in one sentence what the rule finds.
	Doc string
	// Source says where the rule comes from.
	Source string
	// Check gives the findings, none where the rule has nothing to say. It
	// leaves Rule and Question to Apply. At most one rule answers a question.
	Check func(Case, Params) []seqqc.Finding
}

const (
	practice = "common practice, no source"
	logic    = "follows from what the names mean"
)

// Rules is the table of rules, in the order of their questions.
var Rules = []Rule{
	{"blank-untested", seqqc.AskControl, "a blank control of which no read could be opened shows nothing", logic, checkBlankUntested},
	{"blank-silent", seqqc.AskControl, "a blank control with reads but without clear bases passes", practice, checkBlankSilent},
	{"blank-trace", seqqc.AskControl, "a blank control with clear bases, too few to compare, held some DNA", practice + "; limit in Params", checkBlankTrace},
	{"blank-signal", seqqc.AskControl, "a blank control with a usable sequence tells of contamination", practice, checkBlankSignal},
	{"positive-control", seqqc.AskControl, "a positive control gives the DNA it was made from", practice, checkPositive},
	{"no-sequence", seqqc.AskSequence, "no read was usable", logic, checkNoSequence},
	{"poor-sequence", seqqc.AskSequence, "there is a sequence, but too short or too doubtful to compare", "limits in Params", checkPoorSequence},
	{"chimera", seqqc.AskSequence, "the sequence looks joined from two organisms", "parents found by the match", checkChimera},
	{"samples-disagree", seqqc.AskSamples, "two samples of the voucher hold different DNA", practice, checkSamples},
	{"not-its", seqqc.AskITS, "the sequence is of another stretch of DNA", logic, checkNotITS},
	{"no-match", seqqc.AskReference, "no reference shares enough with the sequence to be compared", "evidence gate of the match", checkNoMatch},
	{"too-distant", seqqc.AskReference, "the nearest reference reaches the threshold of no rank", "thresholds of the match", checkTooDistant},
	{"references-disagree", seqqc.AskReferencesAgree, "near references bear names that exclude one another", "vote of the match", checkDisagree},
	{"references-unnamed", seqqc.AskReferencesAgree, "no near reference bears a name", logic, checkUnnamed},
	{"no-field-name", seqqc.AskFieldName, "the label carries no name", logic, checkNoName},
	{"field-name-unknown", seqqc.AskFieldName, "the name on the label is in no list", logic, checkNameUnknown},
	{"non-fungal", seqqc.AskKingdom, "the DNA is outside Fungi and the field name is not", practice + "; profiles of the region where no reference is near", checkNonFungal},
	{"overgrowth", seqqc.AskOvergrowth, "the DNA is of a mould, yeast or fungus-on-fungus and the field name is not", practice + "; hosts in package fieldguide", checkOvergrowth},
	{ruleHost, seqqc.AskOvergrowth, "the field name is a fungus-on-fungus and the DNA may be its host's", practice + "; hosts in package fieldguide", checkHost},
	{"renamed", seqqc.AskRenamed, "field name and DNA differ only by a change of names or the split of a genus", "table of changed names, from memory, and the batch's own", checkRenamed},
	{"same-genus", seqqc.AskRelation, "field name and DNA are of one genus", logic, checkSameGenus},
	{"dna-inside", seqqc.AskRelation, "the field name is above genus and the DNA's taxon lies in it", logic, checkDNAInside},
	{"field-inside", seqqc.AskRelation, "the DNA tells a family, and the field name lies in it", logic, checkFieldInside},
	{"nearest-is-field-genus", seqqc.AskRelation, "no genus is supported, but all nearest references are of the field genus", logic, checkNearest},
	{"too-broad", seqqc.AskRelation, "the DNA tells only a taxon broader than family", logic, checkTooBroad},
	{"conflict", seqqc.AskRelation, "field name and DNA exclude one another, and the library could have shown otherwise", logic, checkConflict},
	{"field-genus-not-in-library", seqqc.AskRelation, "they part, but the library has nothing of the field genus to compare", logic, checkNotInLibrary},
	{"lineage-unknown", seqqc.AskRelation, "the known lineages do not tell how they lie to one another", logic, checkLineage},
	{"spelling", seqqc.AskNothing, "the field name was taken for a slip of the pen", "flagged by the reading of names", checkSpelling},
	{"species-complex", seqqc.AskNothing, "several species reach the species threshold", "follows from the vote", checkComplex},
	{"second-allele", seqqc.AskNothing, "the traces hold two copies of different length, which were read apart", practice, checkSecond},
	{"minor-template", seqqc.AskNothing, "the traces hold a second organism: the field genus, a mould, or another", practice, checkMinor},
	{"traits", seqqc.AskNothing, "what was seen fits the genus of the field name, of the DNA, both or neither", practice + "; traits in package fieldguide", checkTraits},
	{"reference-label", seqqc.AskNothing, "a near reference had no vote, because its label is contradicted by its neighbours", "Nilsson et al. 2006, PLoS ONE 1: e59, on mislabelled references; standing of labels found by the match", checkReference},
	{"sequence-flags", seqqc.AskNothing, "the doubts about reads, contig and match", "set by the stages before; limits in Params", checkFlags},
}
