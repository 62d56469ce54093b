package seqqc

import (
	"slices"
	"strings"
)

// Flag marks a circumstance of a read, contig or verdict.
type Flag string

// The flags, in the order in which they are written.
const (
	OneStrandOnly       Flag = "one_strand_only"
	TwoPart             Flag = "two_part"
	StrandsDisagree     Flag = "strands_disagree"
	MixedTemplate       Flag = "mixed_template"
	IndelHeterozygote   Flag = "indel_heterozygote"
	ChimeraSuspected    Flag = "chimera_suspected"
	ReverseComplemented Flag = "reverse_complemented"
	RegionIncomplete    Flag = "region_incomplete"
	Short               Flag = "short"
	LowQuality          Flag = "low_quality"
	QualityEstimated    Flag = "quality_estimated"
	QualityMissing      Flag = "quality_missing"
	SwapSuspected       Flag = "swap_suspected"
	PlateShift          Flag = "plate_shift"
	SharedBarcode       Flag = "shared_barcode"
	ControlSignal       Flag = "control_signal"
	CarryOver           Flag = "carry_over"
	ReferenceDoubtful   Flag = "reference_doubtful"
	SingleReference     Flag = "single_reference"
	SpeciesComplex      Flag = "species_complex"
	SpeciesDiffers      Flag = "species_differs"
	NearestIsFieldGenus Flag = "nearest_is_field_genus"
	NearestIsUnnamed    Flag = "nearest_is_unnamed"
	FieldGenusAbsent    Flag = "field_genus_absent"
	HostParasite        Flag = "host_parasite"
	SpellingAssumed     Flag = "spelling_assumed"
)

var flagOrder = []Flag{
	OneStrandOnly, TwoPart, StrandsDisagree, MixedTemplate, IndelHeterozygote,
	ChimeraSuspected, ReverseComplemented, RegionIncomplete, Short, LowQuality,
	QualityEstimated, QualityMissing, SwapSuspected, PlateShift, SharedBarcode,
	ControlSignal, CarryOver, ReferenceDoubtful, SingleReference, SpeciesComplex,
	SpeciesDiffers, NearestIsFieldGenus, NearestIsUnnamed, FieldGenusAbsent,
	HostParasite, SpellingAssumed,
}

// MergeFlags gives the flags of all lists once each, in the written order.
func MergeFlags(lists ...[]Flag) []Flag {
	var out []Flag
	for _, f := range flagOrder {
		for _, list := range lists {
			if slices.Contains(list, f) {
				out = append(out, f)
				break
			}
		}
	}
	return out
}

// JoinFlags gives the flags as one cell, joined with ';'.
func JoinFlags(flags []Flag) string {
	words := make([]string, len(flags))
	for i, f := range flags {
		words[i] = string(f)
	}
	return strings.Join(words, ";")
}
