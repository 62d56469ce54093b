package seqqc

import "forayseq/refs"

// Power says whether the test of one voucher could have found a conflict.
type Power struct {
	// Could is true where a wrong field genus would have been seen.
	Could bool `json:"could_find_conflict"`
	// Records, Species and Types count the library's records of the field
	// genus (of the field taxon where that is above genus), independent ones,
	// its different species, and those that the headers mark as type material.
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

// Spread is how far the records of one genus lie from one another and from
// those of other genera, as the library has them. Identities are in percent,
// ascending, of the ITS.
type Spread struct {
	Genus string `json:"genus"`
	// Records counts the independent records of the genus; Sampled is how many
	// of them were compared, spread evenly over the library.
	Records int `json:"independent_records"`
	Sampled int `json:"sampled"`
	// LeftOut counts the records that were drawn for the sample and left out
	// because their labels are doubtful.
	LeftOut int `json:"doubtful_left_out"`
	// Within are the identities of each two of the sampled records.
	Within []float64 `json:"within_pct"`
	// OtherSpecies are the identities of sampled records with the nearest
	// record of another species of the genus, where there is one.
	OtherSpecies []float64 `json:"nearest_other_species_pct"`
	// OtherGenus are those with the nearest record of another genus, of which
	// NearestGenus is the most frequent. Beyond counts the sampled records of
	// which every other genus lies below FloorPct.
	OtherGenus   []float64 `json:"nearest_other_genus_pct"`
	NearestGenus string    `json:"nearest_genus,omitempty"`
	Beyond       int       `json:"none_nearer_than_floor"`
	FloorPct     float64   `json:"floor_pct"`
	// CutoffPct parts OtherSpecies from OtherGenus with the fewest, Misplaced,
	// on the wrong side; 0 where there is too little to learn from, or no
	// identity parts them.
	CutoffPct float64 `json:"cutoff_pct,omitempty"`
	Misplaced int     `json:"misplaced"`
}
