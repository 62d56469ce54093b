package seqqc

import "forayseq/refs"

// Power says whether the test of one voucher could have found a conflict.
type Power struct {
	// Could is true where a wrong field genus would have been seen.
	Could bool `json:"could_find_conflict"`
	// Records, Species and Types count the library's records of the field
	// genus, independent ones, its different species, and those that the
	// headers mark as type material.
	Records int `json:"independent_records"`
	Species int `json:"species"`
	Types   int `json:"type_records"`
	// GapPct is the gap, in points of identity, between the best hit and the
	// nearest hit of another genus; negative where none is known.
	GapPct float64 `json:"gap_pct"`
	// GenusCutoff is the identity that parts the field genus from the others
	// best in this library, 0 where the library does not teach one; CutoffRank
	// is refs.Genus or, where it was learned for species, refs.Species.
	GenusCutoff float64   `json:"learned_cutoff_pct,omitempty"`
	CutoffRank  refs.Rank `json:"learned_cutoff_rank,omitempty"`
	// Text is one plain sentence.
	Text string `json:"text"`
}
