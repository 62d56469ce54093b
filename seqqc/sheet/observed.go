package sheet

import (
	"fmt"

	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// traitColumns are the columns of what was seen on the fresh specimen. No
// standard has terms for them.
var traitColumns = []column{
	{string(seqqc.TraitSurface), nil, []string{"spore bearing surface", "fertile surface", "hymenophore", "underside"}, "gills"},
	{string(seqqc.TraitAttachment), nil, []string{"gills", "gill attachment", "attachment", "lamellae"}, "free"},
	{string(seqqc.TraitMilk), nil, []string{"latex"}, "no"},
	{string(seqqc.TraitRing), nil, []string{"annulus"}, "yes"},
	{string(seqqc.TraitVolva), nil, []string{"volva or patches", "stem base", "base of stem"}, "patches"},
	{string(seqqc.TraitFlesh), nil, []string{"context", "texture"}, "fibrous"},
	{string(seqqc.TraitBruising), nil, []string{"bruises", "staining", "colour change", "color change"}, "no"},                        //nolint:misspell // as others spell it
	{string(seqqc.TraitSporePrint), nil, []string{"spore print colour", "spore print color", "spore colour", "spore color"}, "white"}, //nolint:misspell // as others spell it
	{string(seqqc.TraitGrowsOn), nil, []string{"growing on", "grew on"}, "soil"},
}

// observed reads the trait columns. A cell that is not understood is kept as it
// was written, and told. What a specimen grew on may stand in the column of the
// substrate too, which is free text: only what is understood of it is used.
func (b *builder) observed(r row) []seqqc.Observation {
	var out []seqqc.Observation
	grew := false
	for _, t := range fieldguide.Traits {
		written := oneLine(b.cell(r, string(t)).text)
		o := seqqc.Observation{Trait: t, Written: written, State: fieldguide.Understand(t, written)}
		switch {
		case o.State != "":
			grew = grew || t == fieldguide.GrowsOn
		case missing(written):
			continue
		default:
			b.add(r.number, b.heading(string(t)), fmt.Sprintf("%q was not understood, and is not compared with the names", clip(written)),
				"write it with words such as "+fieldguide.Vocabulary(t), false)
		}
		out = append(out, o)
	}
	if substrate := oneLine(b.cell(r, "substrate").text); !grew && substrate != "" {
		if state := fieldguide.Understand(fieldguide.GrowsOn, substrate); state != "" {
			out = append(out, seqqc.Observation{Trait: fieldguide.GrowsOn, Written: substrate, State: state})
		}
	}
	return out
}
