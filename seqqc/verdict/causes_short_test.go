package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// TestTooShortForAnyLibrary: a read that ends in the 5.8S asks for a longer one,
// and a longer one without a match for a larger library.
func TestTooShortForAnyLibrary(t *testing.T) {
	apart := hit("Lactarius", 99.5)
	apart.Gate = "it shares only 95 bases outside the 5.8S"
	of := func(spacer int) seqqc.Verdict {
		c := specimen(field("Lactarius"), &seqqc.Match{Apart: []seqqc.Hit{apart}})
		c.LongestKept = spacer + 110
		c.Samples[0].Contig = contigOf(spacer + 110)
		c.Samples[0].Contig.Region.ITS1 = seqqc.Interval{End: spacer}
		c.Samples[0].Contig.Region.R58S = seqqc.Interval{Start: spacer, End: spacer + 110}
		return explained(c)
	}
	v := of(95)
	require.Equal(t, seqqc.NoMatch, v.ReasonCode)
	require.Contains(t, v.NextStep, "sequenced again")
	require.Equal(t, seqqc.CausePoorReads, v.Causes[0].Code)
	require.Equal(t, seqqc.ActSequenceAgain, v.Causes[0].Action)

	v = of(150)
	require.Contains(t, v.NextStep, "larger library")
	require.Equal(t, seqqc.CauseLibrary, v.Causes[0].Code)
}

// TestNothingShowsAnotherLocus: what is only not known to be ITS is not told as
// another stretch of DNA.
func TestNothingShowsAnotherLocus(t *testing.T) {
	c := specimen(field("Russula"), &seqqc.Match{})
	c.Samples[0].Contig = contigOf(155)
	c.Samples[0].Contig.Region = seqqc.Region{}
	v := explained(c)
	require.Equal(t, seqqc.NotITS, v.ReasonCode)
	require.Equal(t, seqqc.CausePoorReads, v.Causes[0].Code)
	require.Equal(t, seqqc.CauseOtherLocus, explained(notITS(c)).Causes[0].Code)
}

// TestOwnGenusNextInLine: a lone record is not the first suspect where the next
// nearest bears the name of its genus.
func TestOwnGenusNextInLine(t *testing.T) {
	of := func(next string) seqqc.Verdict {
		m := offered(matched("Lactarius", 98), "Russula", 80)
		m.Hits = []seqqc.Hit{m.Hits[0], hit(next, 96)}
		m.InWindow = 1
		for i := range m.Votes {
			if m.Votes[i].Taxon != "" {
				m.Votes[i].For, m.Votes[i].Of, m.Votes[i].Records = 1, 1, 1
			}
		}
		return explained(flagged(specimen(field("Russula emetica"), m), seqqc.SingleReference))
	}
	alone, among := of("Amanita"), of("Lactarius")
	require.Contains(t, alone.Flags, seqqc.SingleReference)
	require.Contains(t, among.Flags, seqqc.SingleReference)
	require.NotEmpty(t, causeOf(alone, seqqc.CauseReference).For)
	require.Empty(t, causeOf(among, seqqc.CauseReference).For)
}

func TestOneNearSpecies(t *testing.T) {
	c := specimen(field("Russula"), matched("Russula emetica", 98.5))
	require.Contains(t, explained(c).Reason, "near is Russula emetica:")
}
