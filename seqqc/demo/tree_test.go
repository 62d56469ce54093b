package demo

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
)

// identity is the percent identity of the ITS of two species.
func identity(t *testing.T, a, b string) float64 {
	t.Helper()
	w := world{DefaultSeed}
	x, y := w.species(a).ITS(), w.species(b).ITS()
	al, err := align.Overlap(x, y, align.ITS)
	require.NoError(t, err)
	c, err := al.Count(x, y)
	require.NoError(t, err)
	return c.IdentityPct()
}

// Taxa must lie where the thresholds of the design (Vu et al. 2019, Studies in
// Mycology 92: 135-154: species 99.6, genus 94.3, family 88.5, order 81.2)
// tell them apart: species of a genus between the first two, genera of a
// family between the next, families of an order below the third and mostly, as
// in real ones not always, above the last.
func TestTaxaLieBetweenTheThresholds(t *testing.T) {
	for i, a := range clades {
		first := a.genus + " " + epithets[0]
		within := identity(t, first, a.genus+" "+epithets[1])
		require.True(t, within > 94.3 && within < 99.6, "%s: species at %.1f %%", a.genus, within)
		for _, b := range clades[:i] {
			if a.order != b.order || a.its1 != 0 || b.its1 != 0 {
				continue
			}
			got := identity(t, first, b.genus+" "+epithets[0])
			if a.family == b.family {
				require.True(t, got > 88.5 && got < 94.3, "%s and %s, one family: %.1f %%", a.genus, b.genus, got)
			} else {
				require.True(t, got > 79 && got < 88.5, "%s and %s, one order: %.1f %%", a.genus, b.genus, got)
			}
		}
	}
	apart := identity(t, "Russula synprima", "Boletus synprima")
	require.Less(t, apart, 80.9, "two orders")
}
