package verdict

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
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

// findingOf gives what one rule says, the deciding one or not.
func findingOf(v seqqc.Verdict, rule string) string {
	for _, f := range v.Others {
		if f.Rule == rule {
			return f.Reason + " " + f.NextStep
		}
	}
	return ""
}

// A hit that supports no name says nothing of how the organism lives.
func TestUnnamedMinorTemplateIsNoMould(t *testing.T) {
	m := matched("Penicillium", 78)
	require.Equal(t, refs.NoRank, m.Supported)
	said := findingOf(Judge(withMinor(agreed(), m), Defaults()), "minor-template")
	require.Contains(t, said, "More than one sequence is in the trace: a second sequence, 25 % of the signal, is too far from all references to be named")
	require.NotContains(t, said, "grew")
	lib, err := refs.Read(strings.NewReader(">SYN1 Penicillium syna\nACGTACGTAC\n"), refs.ReadOptions{})
	require.NoError(t, err)
	for identity, want := range map[float64]refs.Habit{78: "", 99: refs.Mould} {
		samples := withMinor(agreed(), matched("Penicillium", identity)).Samples
		c, err := NewCase(lib, seqqc.Voucher{Code: "a"}, samples, Defaults())
		require.NoError(t, err)
		require.Equal(t, want, c.MinorHabit, "%v %%", identity)
	}
}

// Both strands of one DNA are one organism, and take nothing from the name.
func TestOtherStrandTakesNothingFromTheName(t *testing.T) {
	c := agreed().with(func(c *Case) {
		contig := *c.Samples[0].Contig
		contig.OtherStrandPct = 22
		c.Samples[0].Contig = &contig
	})
	v := Judge(c, Defaults())
	require.Equal(t, Judge(agreed(), Defaults()).Reason, v.Reason)
	said := findingOf(v, "minor-template")
	require.Contains(t, said, "22 % of the signal, is the other strand of the same DNA")
	require.NotContains(t, said, "organism")
	require.NotContains(t, said, "well")
}

func TestTwoCopiesAreNothingAgainstAName(t *testing.T) {
	c := conflictCase().with(func(c *Case) {
		contig := *c.Samples[0].Contig
		contig.Flags = []seqqc.Flag{seqqc.IndelHeterozygote}
		contig.Second = &seqqc.SecondCopy{Text: "two copies", Variants: []seqqc.Variant{{Other: "A"}, {Contig: "G", Other: "T"}}}
		c.Samples[0].Contig = &contig
	})
	v := Judge(c, Defaults())
	require.Contains(t, v.Reason, "one of the specimen's two copies has 1 base more (which is nothing against the name)")
	require.NotContains(t, v.Reason, "second sequence")
}
