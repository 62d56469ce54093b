package verdict

// Params are the limits of the rules. Percentages run from 0 to 100.
type Params struct {
	// MinBases is the least number of plain bases (A, C, G, T) in the stretch
	// to compare for a sequence to be usable.
	MinBases int
	// ShortBases is the number of plain bases below which a sequence is
	// flagged as short.
	ShortBases int
	// MaxErrorPct is the largest share of wrong bases that the qualities may
	// predict in a usable sequence.
	MaxErrorPct float64
	// LowQualityErrorPct is the share above which it is flagged.
	LowQualityErrorPct float64
	// MaxAmbiguousPct is the largest share of ambiguity codes in a usable
	// sequence.
	MaxAmbiguousPct float64
	// BlankBases is the longest stretch of clear bases that a read of a blank
	// control may hold for the control to pass. Two primers joined end to end,
	// which a PCR without DNA often gives, make some 50 bases at most; anything
	// longer was copied from DNA.
	BlankBases int
	// MinSampleIdentityPct is the identity that the samples of one voucher must
	// have with one another.
	MinSampleIdentityPct float64
	// StandsAlonePct is the identity of the best hit at which a conflict stands
	// although the library has nothing comparable of the field genus.
	StandsAlonePct float64
	// SpeciesOpenPct is the identity from which the species is near but not
	// settled, up to the species threshold.
	SpeciesOpenPct float64
	// SpeciesGapPct is how many points of identity the nearest reference of the
	// field species may lie below the supported species before it is told.
	SpeciesGapPct float64
}

// Defaults gives the limits used unless the user sets others; package batch
// lists them with the source of each.
func Defaults() Params {
	return Params{
		MinBases:             150,
		ShortBases:           250,
		MaxErrorPct:          3,
		LowQualityErrorPct:   1,
		MaxAmbiguousPct:      5.7,
		BlankBases:           50,
		MinSampleIdentityPct: 97,
		StandsAlonePct:       97,
		SpeciesOpenPct:       97,
		SpeciesGapPct:        1,
	}
}
