package cross

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// SamePairs gives the pairs of vouchers with one barcode, for tests from outside.
func SamePairs(t *testing.T, b Batch) [][2]string {
	t.Helper()
	c, err := newComparison(b, Defaults())
	require.NoError(t, err)
	require.NoError(t, c.compareBarcodes(t.Context()))
	var out [][2]string
	for v := range b.Vouchers {
		for _, l := range c.same(v) {
			if v < l.voucher {
				out = append(out, [2]string{c.code(v), c.code(l.voucher)})
			}
		}
	}
	return out
}

func TestParseWell(t *testing.T) {
	for text, want := range map[string][2]int{"A1": {0, 0}, "a01": {0, 0}, " H12 ": {7, 11}, "P24": {15, 23}} {
		row, col, ok := parseWell(text)
		require.True(t, ok, text)
		require.Equal(t, want, [2]int{row, col}, text)
	}
	for _, bad := range []string{"", "A", "1A", "Q1", "A0", "A25", "A-1", "AA", "A1.5"} {
		_, _, ok := parseWell(bad)
		require.False(t, ok, bad)
	}
}

// What is expected is never written as less than it is.
func TestExpectation(t *testing.T) {
	for x, want := range map[float64]string{0: "0", 1.0 / 39 / 39: "0.0007", 0.05: "0.05", 0.051: "0.06", 0.1: "0.1", 0.95: "1", 1: "1", 3.33: "3.4", 12: "12"} {
		require.Equal(t, want, expectation(x), "%g", x)
	}
}

// Every move of a plate goes from well to well one to one, and back.
func TestMovesAreOneToOne(t *testing.T) {
	for _, p := range []plate{{8, 12}, {16, 24}} {
		l := newLayout("PCR plate")
		for _, m := range l.moves(p) {
			seen := map[[2]int]bool{}
			for row := range p.rows {
				for col := range p.cols {
					r, c := m.to(well{0, row, col})
					if r < 0 || r >= p.rows || c < 0 || c >= p.cols {
						continue // beyond the plate
					}
					require.False(t, seen[[2]int{r, c}], m.says)
					seen[[2]int{r, c}] = true
				}
			}
			require.GreaterOrEqual(t, len(seen), p.rows*p.cols-maxShift, m.says)
		}
	}
}
