package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// mislabelledNearest is a Russula whose nearest reference bears the name of
// another genus, among many that do not.
func mislabelledNearest(wrong string) Case {
	m := offered(matched("Russula emetica", 99.8), "Russula", 99.8)
	h := hit(wrong, 100)
	h.Reference, h.Doubtful = "SYN0", true
	m.Hits = append([]seqqc.Hit{h}, m.Hits...)
	m.InWindow = 3
	m.Flags = []seqqc.Flag{seqqc.ReferenceDoubtful}
	m.Doubtful = []seqqc.DoubtfulReference{{Reference: "SYN0", IdentityPct: 100, Standing: seqqc.Standing{
		Genus: wrong, Other: "Russula", For: 20, OtherPct: 99.8, OwnPct: 78.15, Doubtful: true}}}
	return specimen(field("Russula emetica"), m)
}

func TestDoubtfulReferenceChangesNoVerdict(t *testing.T) {
	c := mislabelledNearest("Amanita")
	v := Judge(c, Defaults())
	require.Equal(t, seqqc.Agrees, v.Kind)
	require.Equal(t, []seqqc.Flag{seqqc.ReferenceDoubtful}, v.Flags)
	require.False(t, v.Attention)
	require.Contains(t, v.Reason, "99.8 % identical to Russula emetica (SYN1)")
	require.Contains(t, v.Reason, "while Amanita (SYN0) is nearer still (100 %)")
	require.Len(t, v.Others, 1)
	require.Equal(t, "The reference SYN0 (Amanita), 100 % identical, had no vote because its label seems wrong: "+
		"its 20 nearest references of another genus, down to 99.8 %, are Russula, and the next Amanita is at 78.15 %.", v.Others[0].Reason)
	plainSentence(t, v.Others[0].Reason)
	plainSentence(t, v.Others[0].NextStep)

	// The label's own name stands on the reference that was put aside.
	against := c.with(func(c *Case) { c.Field = field("Amanita") })
	v = Judge(against, Defaults())
	require.Equal(t, seqqc.Conflict, v.Kind)
	require.True(t, findings(against, "reference-label")[0].Attention)
}
