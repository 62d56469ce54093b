package seqqc

// Word is the verdict for a reader: with the rank at which names agree or part,
// and for a control whether it passed.
func (v *VoucherResult) Word() string {
	d := v.Verdict
	switch {
	case d.ReasonCode == Control && d.Attention:
		return "control: not passed" // it failed, was not tested, or does not tell: the reason says which
	case d.ReasonCode == Control:
		return "control: passed"
	}
	word := string(d.Kind)
	if d.Kind == NonFungal {
		word = "not a fungus"
	}
	rank := d.PartsAt.String()
	if d.Kind == Agrees {
		rank = d.AgreeRank.String()
	}
	if rank != "" && (d.Kind == Agrees || d.Kind == Conflict) {
		word += " at " + rank
	}
	return word
}

// Gravity orders what needs attention by its consequence, the gravest first:
// what makes the whole batch doubtful, what would put a wrong name on a
// specimen, of these what parts at the broadest rank, what is settled by another
// extraction, what a person has already decided last.
func (v *VoucherResult) Gravity() int {
	d := v.Verdict
	switch {
	case v.Reviewed != nil && (v.Reviewed.Accepted || v.Reviewed.Kind != ""):
		return 80
	case d.ReasonCode == Control:
		return 0
	case d.Kind == Conflict:
		return 10 + int(d.PartsAt)
	case d.ReasonCode == SamplesDisagree:
		return 20
	case d.Kind == NonFungal:
		return 30
	case d.Kind == Overgrowth:
		return 40
	case d.Kind != Undetermined:
		return 50
	case d.ReasonCode == ReferencesDisagree:
		return 60
	}
	return 70
}

// FlagMeans says in a few words what a flag of the voucher is.
func (v *VoucherResult) FlagMeans(f Flag) string {
	if s := v.ChosenSample(); f == TwoPart && s != nil && s.Contig != nil {
		if s.Contig.Gap.Empty() {
			return "two reads that meet in the 5.8S only"
		}
		return "two reads that do not meet"
	}
	return flagMeaning[f]
}

// flagMeaning says in a few words what each flag is.
var flagMeaning = map[Flag]string{
	OneStrandOnly:       "read from one side only",
	TwoPart:             "two reads that meet in the 5.8S at most",
	StrandsDisagree:     "another read does not fit",
	MixedTemplate:       "the traces show two organisms",
	IndelHeterozygote:   "copies of unequal length",
	ChimeraSuspected:    "may be joined from two organisms",
	ReverseComplemented: "was turned to the other strand",
	RegionIncomplete:    "part of the ITS is missing",
	Short:               "short",
	LowQuality:          "many likely errors",
	QualityEstimated:    "qualities are estimates",
	QualityMissing:      "a read has no qualities",
	SwapSuspected:       "may be exchanged with another",
	PlateShift:          "the plate may be shifted",
	SharedBarcode:       "shares its sequence with another genus",
	ControlSignal:       "a blank holds the same DNA",
	CarryOver:           "DNA of a neighbouring well got in",
	ReferenceDoubtful:   "a reference may bear a wrong name",
	SingleReference:     "rests on one reference",
	SpeciesComplex:      "several species are as near",
	SpeciesDiffers:      "another species is nearer",
	NearestIsFieldGenus: "the nearest are of the field genus",
	NearestIsUnnamed:    "the nearest has no name",
	FieldGenusAbsent:    "the library lacks the field genus",
	HostParasite:        "a fungus on a fungus, or its host",
	SpellingAssumed:     "the field name was respelt",
}
