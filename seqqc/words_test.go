package seqqc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
)

func TestEveryFlagHasAMeaning(t *testing.T) {
	v := &VoucherResult{Chosen: -1}
	for _, f := range flagOrder {
		require.NotEmpty(t, v.FlagMeans(f), f)
	}
	require.Len(t, flagMeaning, len(flagOrder))
}

// Two reads that meet in the 5.8S have no gap between them: where that is known
// it is said, and nothing else.
func TestTwoPartsSayHowTheyMeet(t *testing.T) {
	v := &VoucherResult{Chosen: -1}
	require.Equal(t, "two reads that meet in the 5.8S at most", v.FlagMeans(TwoPart))
	v.Samples, v.Chosen = []SampleResult{{Contig: &Contig{}}}, 0
	require.Equal(t, "two reads that meet in the 5.8S only", v.FlagMeans(TwoPart))
	v.Samples[0].Contig.Gap = Interval{Start: 300, End: 400}
	require.Equal(t, "two reads that do not meet", v.FlagMeans(TwoPart))
}

func TestWord(t *testing.T) {
	for want, d := range map[string]Verdict{
		"agrees":              {Kind: Agrees},
		"agrees at species":   {Kind: Agrees, AgreeRank: refs.Species},
		"conflict at family":  {Kind: Conflict, PartsAt: refs.Family},
		"conflict":            {Kind: Conflict},
		"not a fungus":        {Kind: NonFungal, PartsAt: refs.Kingdom},
		"undetermined":        {Kind: Undetermined, ReasonCode: PoorSequence},
		"control: passed":     {Kind: Undetermined, ReasonCode: Control},
		"control: not passed": {Kind: Undetermined, ReasonCode: Control, Attention: true},
	} {
		require.Equal(t, want, (&VoucherResult{Verdict: d}).Word())
	}
}
