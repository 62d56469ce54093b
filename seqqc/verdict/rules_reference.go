package verdict

import (
	"fmt"

	"forayseq/seqqc"
)

// checkReference tells of each near reference that had no vote because its
// label looks wrong. Where it bears the field name a coordinator should look: a
// verdict that goes against the label went against this reference too.
func checkReference(c Case, _ Params) []seqqc.Finding {
	m := c.match()
	if m == nil {
		return nil
	}
	var out []seqqc.Finding
	for _, d := range m.Doubtful {
		out = append(out, seqqc.Finding{
			Flags:     []seqqc.Flag{seqqc.ReferenceDoubtful},
			Attention: d.Genus == c.Field.Name.Genus,
			Reason: fmt.Sprintf("The reference %s (%s), %s %% identical, had no vote because its label seems wrong: %s.",
				d.Reference, d.Genus, figure(d.IdentityPct), d.Says()),
			NextStep: fmt.Sprintf("Compare %s with what its archive says of it now, or leave it out of the library; 'forayseq refs check' lists all such records.", d.Reference),
		})
	}
	return out
}
