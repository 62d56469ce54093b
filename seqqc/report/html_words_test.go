package report

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A cause is called the likeliest where something speaks for it, and a second
// sequence has a name where something supports one.
func TestPageClaimsNoMoreThanIsKnown(t *testing.T) {
	res := full()
	page := render(t, res)
	require.Contains(t, page, "Likeliest cause</p>")
	require.NotContains(t, page, "To be ruled out first")
	require.Contains(t, page, "(SYN8)")

	v := &res.Vouchers[0]
	v.Verdict.Causes[0].For = nil
	v.Samples[0].Minor.Match.Taxon = ""
	page = render(t, res)
	require.NotContains(t, page, "Likeliest cause</p>")
	require.Contains(t, page, "To be ruled out first")
	require.NotContains(t, page, "SYN8")
	require.Contains(t, page, "too far from all references to be named")
}

// A line of the summary does not begin with the unit of a number.
func TestSummaryKeepsUnitsWithNumbers(t *testing.T) {
	res := full()
	for n := range 40 {
		res.Power = strings.Repeat("x", n+1) + strings.Repeat(" 99.5 %", 30)
		var out bytes.Buffer
		require.NoError(t, WriteSummary(&out, New(res)))
		for line := range strings.Lines(out.String()) {
			require.False(t, strings.HasPrefix(strings.TrimSpace(line), "%"), line)
		}
	}
}
