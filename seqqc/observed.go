package seqqc

import "forayseq/refs/fieldguide"

// Trait is something to be seen on a fresh specimen.
type Trait = fieldguide.Trait

// The traits, named like the columns of the sheet.
const (
	TraitSurface    = fieldguide.Surface
	TraitAttachment = fieldguide.Attachment
	TraitMilk       = fieldguide.Milk
	TraitRing       = fieldguide.Ring
	TraitVolva      = fieldguide.Volva
	TraitFlesh      = fieldguide.Flesh
	TraitBruising   = fieldguide.Bruising
	TraitSporePrint = fieldguide.SporePrint
	TraitGrowsOn    = fieldguide.GrowsOn
)

// Observation is one trait as it was written in the sheet and as understood.
type Observation struct {
	Trait   Trait  `json:"trait"`
	Written string `json:"written"`
	// State is the word of the trait table, several with '|' between where any
	// may be right; empty where Written was not understood.
	State string `json:"state,omitempty"`
}
