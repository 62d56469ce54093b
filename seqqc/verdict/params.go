package verdict

import (
	"strconv"

	"forayseq/seqqc"
)

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

// DefaultParams gives the limits used unless the user sets others.
func DefaultParams() Params {
	return Params{
		MinBases:             150,
		ShortBases:           250,
		MaxErrorPct:          3,
		LowQualityErrorPct:   1,
		MaxAmbiguousPct:      5.7,
		MinSampleIdentityPct: 97,
		StandsAlonePct:       97,
		SpeciesOpenPct:       97,
		SpeciesGapPct:        1,
	}
}

// Settings gives the limits with where each comes from, for the report.
func (p Params) Settings() []seqqc.Setting {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	return []seqqc.Setting{
		{Name: "min_bases", Value: strconv.Itoa(p.MinBases),
			Source: "the columns a hit needs outside the 5.8S to support a rank: a shorter sequence could support none"},
		{Name: "short_bases", Value: strconv.Itoa(p.ShortBases),
			Source: "one different base in 250 is 0.4 %: in anything shorter a single difference decides the species"},
		{Name: "max_error_pct", Value: number(p.MaxErrorPct),
			Source: "half of the 5.7 points between a genus and an identical sequence: with more, reading errors outweigh the difference sought"},
		{Name: "low_quality_error_pct", Value: number(p.LowQualityErrorPct),
			Source: "one error in 100 bases is Phred quality 20, the customary limit of a good base; common practice, no source"},
		{Name: "max_ambiguous_pct", Value: number(p.MaxAmbiguousPct),
			Source: "100 less the genus threshold: with more, the strict identity could not reach a genus even in an identical reference"},
		{Name: "min_sample_identity_pct", Value: number(p.MinSampleIdentityPct),
			Source: "common practice, no source"},
		{Name: "stands_alone_pct", Value: number(p.StandsAlonePct),
			Source: "common practice, no source"},
		{Name: "species_open_pct", Value: number(p.SpeciesOpenPct),
			Source: "common practice, no source; no single limit fits all fungi (Nilsson et al. 2008, Evolutionary Bioinformatics 4: 193-201)"},
		{Name: "species_gap_pct", Value: number(p.SpeciesGapPct),
			Source: "the project's own choice: wider than the spread that reading errors of a usable sequence explain at the species threshold"},
	}
}
