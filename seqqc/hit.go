package seqqc

import "forayseq/refs"

// Hit is one reference compared with a contig.
type Hit struct {
	// Rank is the place in the ranked list from 1; hits equal in identity,
	// coverage and score share the place. Zero for hits listed apart because
	// they do not pass the evidence gate.
	Rank int `json:"rank"`
	// Record is the index of the reference in the library.
	Record    int          `json:"record"`
	Reference string       `json:"reference"` // the record's id
	Name      refs.Name    `json:"name"`
	Lineage   refs.Lineage `json:"lineage"`
	// Strand is Forward where the reference has the contig's strand.
	Strand            Direction `json:"strand"`
	IdentityPct       float64   `json:"identity_pct"`
	IdentityStrictPct float64   `json:"identity_strict_pct"`
	CoveragePct       float64   `json:"coverage_pct"`
	Columns           int       `json:"columns"`
	Substitutions     int       `json:"substitutions"`
	GapEvents         int       `json:"gap_events"`
	GapBases          int       `json:"gap_bases"`
	AmbiguousColumns  int       `json:"ambiguous_columns"`
	// Outside58S counts the compared columns outside the 5.8S.
	Outside58S int `json:"columns_outside_5_8s"`
	Score      int `json:"score"`
	// Gate is "pass", or in plain words what the hit lacks to support a rank.
	Gate string `json:"gate"`
	// Doubtful is true where the label looks wrong beside those of the nearest
	// references, see Match.Doubtful; the hit then has no vote.
	Doubtful bool `json:"label_doubtful,omitempty"`
	// OnContig and OnReference are the stretches compared, OnContig in contig
	// coordinates, OnReference on the reference's own strand.
	OnContig    Interval `json:"on_contig"`
	OnReference Interval `json:"on_reference"`
	// Differences are the places where the two differ, in contig order: of the
	// best hit, and of the best one of another species; nil for other hits.
	Differences []Difference `json:"differences,omitempty"`
}

// GatePass is the Gate of a hit that may support a rank.
const GatePass = "pass"

// Match is what the library says about one contig.
type Match struct {
	// Hits pass the evidence gate, ranked: the asked number of those that reach
	// the threshold of some rank, of all where none does, with every tie of the
	// last and every hit of the voting window. None has an identity below
	// ListFromPct.
	Hits        []Hit   `json:"hits"`
	ListFromPct float64 `json:"list_from_pct"`
	// Apart are the nearest hits that do not pass the gate, at most five, of
	// those that would lie in the window if they did.
	Apart []Hit `json:"apart,omitempty"`
	// Doubtful are the references of the window that were given no vote, because
	// their labels look wrong.
	Doubtful []DoubtfulReference `json:"doubtful_references,omitempty"`
	// WindowPct is the width of the voting window below the best hit that is
	// not doubtful, in points of identity, 0 where that reaches no threshold;
	// InWindow the number of leading Hits inside it or before it.
	WindowPct float64 `json:"window_pct"`
	InWindow  int     `json:"in_window"`
	// Votes are the ranks from kingdom to species: what the window says.
	Votes []Vote `json:"votes,omitempty"`
	// Supported is the deepest rank supported, refs.NoRank where none is, and
	// Taxon the name it supports.
	Supported refs.Rank `json:"supported_rank"`
	Taxon     string    `json:"supported_taxon,omitempty"`
	// Lineage is the lineage of Taxon as far as known.
	Lineage refs.Lineage `json:"lineage"`
	// Unnamed is true where every hit in the window lacks a name that votes.
	Unnamed bool `json:"unnamed"`
	// Disagree is true where a rank from kingdom to genus is reached, but the
	// window's named records do not reach the share of votes at that rank and
	// support no narrower one. Several species in the window are no
	// disagreement: the genus may still be sure.
	Disagree bool `json:"disagree"`
	// NextGenus is the nearest named hit of another genus than the supported
	// one or, where no genus is supported, than that of the nearest hit with a
	// genus; nil where none reaches the threshold of any rank. OtherGenera is
	// how many such genera the library has, near or not.
	NextGenus   *Hit `json:"next_genus,omitempty"`
	OtherGenera int  `json:"other_genera"`
	// Field is what the library has of the field name.
	Field FieldEvidence `json:"field"`
	// Chimera is set where the contig looks joined from two organisms.
	Chimera *Chimera `json:"chimera,omitempty"`
	Flags   []Flag   `json:"flags,omitempty"`
}

// Vote is the count of the window at one rank.
type Vote struct {
	Rank      refs.Rank `json:"rank"`
	Threshold float64   `json:"threshold"`
	// Taxon has the most votes; For of the Of votes are its own.
	Taxon string `json:"taxon"`
	For   int    `json:"for"`
	Of    int    `json:"of"`
	// Records are the independent records behind For.
	Records int `json:"records"`
	// Reached is true where a hit of the window reaches Threshold at both
	// identities; Supported where a hit of Taxon does and the votes agree.
	Reached   bool `json:"reached"`
	Supported bool `json:"supported"`
}

// FieldEvidence is what the library offers of the field name, whether or not
// it is near the contig.
type FieldEvidence struct {
	// GenusRecords and GenusSpecies count the named records of the field
	// genus and their different species; SpeciesRecords those of the field
	// species.
	GenusRecords   int `json:"genus_records"`
	GenusSpecies   int `json:"genus_species"`
	SpeciesRecords int `json:"species_records"`
	// Genus and Species are the nearest gate-passing hits of the field genus
	// and the field species, nil where there is none.
	Genus   *Hit `json:"genus,omitempty"`
	Species *Hit `json:"species,omitempty"`
}
