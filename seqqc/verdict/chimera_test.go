package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// chimeric is a contig of Russula before base 250 and of a mould behind.
func chimeric(joint seqqc.Joint) Case {
	side := func(taxon string, start, end int, own, other float64) seqqc.Parent {
		h := hit(taxon, own)
		return seqqc.Parent{Reference: h.Reference, Name: h.Name, Lineage: h.Lineage,
			OnContig: seqqc.Interval{Start: start, End: end}, IdentityPct: own, OtherPct: other}
	}
	m := offered(matched("Russula emetica", 99.8), "Russula", 99.8)
	m.Chimera = &seqqc.Chimera{
		Left: side("Russula", 0, 270, 99.8, 61), Right: side("Penicillium", 270, 600, 98.5, 58),
		Breakpoint: seqqc.Interval{Start: 250, End: 290}, In: "5.8S", Joint: joint, SingleErrors: 70, PairErrors: 4,
	}
	m.Flags = seqqc.MergeFlags(m.Flags, []seqqc.Flag{seqqc.ChimeraSuspected})
	return specimen(field("Russula emetica"), m)
}

// What is said of a chimera names both parents and the place, and what to do
// depends on whether a read runs across it.
func TestChimeraIsTold(t *testing.T) {
	for joint, step := range map[seqqc.Joint]string{
		seqqc.JointInRead: "repeat the PCR", seqqc.JointOfReads: "reads of two specimens", seqqc.JointUnknown: "Look at the reads",
	} {
		got := findings(chimeric(joint), "chimera")
		require.Len(t, got, 1)
		require.Contains(t, got[0].Reason, "before bases 251 to 291 (5.8S) it is nearest to Russula")
		require.Contains(t, got[0].Reason, "behind to Penicillium")
		require.Contains(t, got[0].NextStep, step)
		plainSentence(t, got[0].Reason)
		plainSentence(t, got[0].NextStep)
		v := Judge(chimeric(joint), Defaults())
		require.True(t, v.Attention)
		require.Contains(t, v.Reason, "looks joined from two organisms")
		require.NotContains(t, v.NextStep, "Nothing to do")
	}
}
