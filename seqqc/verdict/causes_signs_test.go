package verdict

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// TestNoSignOfContamination: where neither a blank nor another voucher shows where
// foreign DNA came from, a wrong field name goes before contamination; where the
// barcode is shared, it does so when the wells are known and are no neighbours.
func TestNoSignOfContamination(t *testing.T) {
	shared := seqqc.Between{Pattern: seqqc.PatternOneBarcode, Vouchers: []string{"V1", "V2"}, Reason: "V2 holds the same barcode.", Flag: seqqc.SharedBarcode}
	carried := seqqc.Between{Pattern: seqqc.PatternCarryOver, Vouchers: []string{"V1", "V2"}, Expected: 0.01, Reason: "V2 stands beside it.", Flag: seqqc.CarryOver}
	below, source := carried, carried
	below.SharePct, source.Vouchers = 25, []string{"V2", "V1"}
	inWell := func(c Case) Case {
		return c.with(func(c *Case) {
			c.Samples = append([]seqqc.SampleResult(nil), c.Samples...)
			c.Samples[0].Sample.PCRWell = "A01"
		})
	}
	for _, r := range []struct {
		what    string
		v       seqqc.Verdict
		second  bool // the field name goes before contamination
		against string
	}{
		{"nothing found", explained(conflictCase()), true, "Comparing the vouchers and the blanks with one another found no sign of it."},
		{"shared, wells not known", explained(conflictCase(), shared), false, "Russula emetica and Lactarius are of one family, Russulaceae."},
		{"shared, wells known", explained(inWell(conflictCase()), shared), true,
			"No blank is known to hold this DNA, and no neighbouring well more than chance would give."},
		{"a neighbour's", explained(inWell(conflictCase()), shared, carried), false, "Russula emetica and Lactarius are of one family, Russulaceae."},
		{"a neighbour's, under its own", explained(conflictCase(), below), true, "Comparing the vouchers and the blanks with one another found no sign of it."},
		{"it got into a neighbour", explained(conflictCase(), source), true, "Comparing the vouchers and the blanks with one another found no sign of it."},
	} {
		name, other := causeOf(r.v, seqqc.CauseFieldName), causeOf(r.v, seqqc.CauseContamination)
		require.Equal(t, r.second, name.Weight > other.Weight, "%s: %+v %+v", r.what, name, other)
		require.Contains(t, other.Against, r.against, r.what)
	}
}

// TestOwnersOfADNA: where a name stands, its DNA in a blank or in a neighbour is no
// cause of what is doubtful about it.
func TestOwnersOfADNA(t *testing.T) {
	for _, kind := range []seqqc.Pattern{seqqc.PatternControl, seqqc.PatternOneBarcode, seqqc.PatternCarryOver, seqqc.PatternHalfExchange} {
		v := explained(otherSpecies(98.7), seqqc.Between{Pattern: kind, Vouchers: []string{"V2", "V1"}, Expected: 0.001, Reason: "V2 holds it."})
		require.Equal(t, seqqc.CauseFieldName, v.Causes[0].Code, kind)
		require.Nil(t, causeOf(v, seqqc.CauseContamination), kind)
		require.Nil(t, causeOf(v, seqqc.CauseExchanged), kind)
	}
}
