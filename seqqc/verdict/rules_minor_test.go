package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// withMinor puts a second organism of 25 % into the chosen sample.
func withMinor(c Case, m *seqqc.Match) Case {
	return c.with(func(c *Case) {
		c.Samples[0].Minor = &seqqc.MinorTemplate{Contig: contigOf(500), SharePct: 25, Match: m}
		if m != nil {
			c.MinorHabit = habits[m.Lineage.Genus]
		}
	})
}

// twoCopies puts a second allele beside the chosen sample's contig.
func twoCopies(c Case) Case {
	return c.with(func(c *Case) {
		contig := *c.Samples[0].Contig
		contig.Second = &seqqc.SecondCopy{Text: "two copies were read out of the traces"}
		c.Samples[0].Contig = &contig
	})
}

func TestMinorTemplateIsToldInTheVerdict(t *testing.T) {
	mould := specimen(field("Russula"), offered(matched("Penicillium", 99), "Russula", 80))
	for what, row := range map[string]struct {
		c            Case
		kind         seqqc.VerdictKind
		reason, next string
		attention    bool
	}{
		"a mould in a mushroom": {withMinor(agreed(), matched("Penicillium", 99.5)), seqqc.Agrees,
			"a second sequence, 25 % of the signal, is of Penicillium, a mould (99.5 % identical to Penicillium (SYN1))",
			"Nothing to do; the name stands.", false},
		"another mushroom": {withMinor(agreed(), matched("Amanita", 98)), seqqc.Agrees,
			"is of Amanita (98 % identical", "Find out where the second sequence comes from before relying on this.", false},
		"without a name": {withMinor(agreed(), nil), seqqc.Agrees,
			"is like nothing in the library", "Find out where the second sequence comes from", false},
		"near nothing": {withMinor(agreed(), matched("Amanita", 70)), seqqc.Agrees,
			"is too far from all references to be named (70 % identical to the nearest, Amanita (SYN1))", "Find out where", false},
		"the field genus under a mould": {withMinor(mould, matched("Russula", 99)), seqqc.Overgrowth,
			"is of Russula (99 % identical to Russula (SYN1)), as the field name says", "Extract again from clean tissue", true},
		"a mould under a conflict": {withMinor(conflictCase(), matched("Penicillium", 99)), seqqc.Conflict,
			"is of Penicillium, a mould", "Rule out a mix-up first", true},
		"the field genus under a conflict": {withMinor(conflictCase(), matched("Russula emetica", 99.8)), seqqc.Conflict,
			"is of Russula emetica", "Rule out a mix-up first", true},
	} {
		v := Judge(row.c, Defaults())
		require.Equal(t, row.kind, v.Kind, what)
		require.Contains(t, v.Reason, row.reason, what)
		require.Contains(t, v.NextStep, row.next, what)
		require.Equal(t, row.attention, v.Attention, what)
	}
}
