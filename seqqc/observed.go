package seqqc

// Trait is something to be seen on a fresh specimen.
type Trait string

// The traits, named like the columns of the sheet.
const (
	TraitSurface    Trait = "spore_surface"   // gills, tubes, spines, smooth, ...
	TraitAttachment Trait = "gill_attachment" // free, adnate, decurrent, ...
	TraitMilk       Trait = "milk"
	TraitRing       Trait = "ring"
	TraitVolva      Trait = "volva" // sac or patches at the base of the stem
	TraitFlesh      Trait = "flesh" // brittle, fibrous, tough, ...
	TraitBruising   Trait = "bruising"
	TraitSporePrint Trait = "spore_print"
	TraitGrowsOn    Trait = "grows_on" // wood, soil, dung, ...
)

// Observation is one trait as it was written in the sheet and as understood.
type Observation struct {
	Trait   Trait  `json:"trait"`
	Written string `json:"written"`
	// State is the word of the trait table, empty where Written was not
	// understood.
	State string `json:"state,omitempty"`
}
