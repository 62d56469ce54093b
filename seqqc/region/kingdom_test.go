package region

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The profiles tell their own kingdom with a margin, whole, cut behind the
// primer ITS3 and with three errors in a hundred bases.
func TestKingdomOfProfiles(t *testing.T) {
	rng := newRand(41)
	for _, p := range profiles {
		seq := sets([]byte(p.seq))
		kingdom, margin := kingdomOf(seq)
		require.Equal(t, p.kingdom, kingdom)
		require.GreaterOrEqual(t, margin, 2*leastMargin)
		kingdom, _ = kingdomOf(seq[49:])
		require.Contains(t, []string{p.kingdom, ""}, kingdom)
		noisy, _ := mutate(rng, p.seq, 0.03)
		kingdom, _ = kingdomOf(sets(noisy))
		require.Equal(t, p.kingdom, kingdom)
	}
}

// Bases for the whole 5.8S as remembered for the other tests of this package,
// which were written down apart from the profiles; and what is not enough.
func TestKingdom(t *testing.T) {
	rng := newRand(42)
	u := yeastUnit(rng, 200, 200)
	backwards := []byte(yeast58S)
	slices.Reverse(backwards)
	for name, c := range map[string]struct{ seq, want string }{
		"yeast":         {u.seq, "Fungi"},
		"cress":         {newUnit(cressSSUEnd, randomBases(rng, 230, 0.6), cress58S, randomBases(rng, 220, 0.6), cressLSU).seq, "Plantae"},
		"human":         {newUnit(cressSSUEnd, randomBases(rng, 400, 0.6), human58S, randomBases(rng, 500, 0.6), cressLSU).seq, "Animalia"},
		"first third":   {u.seq[:u.r58s+60], ""},
		"last third":    {u.seq[u.r58s+90:], ""},
		"no 5.8S":       {u.seq[:u.r58s] + u.seq[u.its2:], ""},
		"spoilt centre": {u.seq[:u.r58s+50] + randomBases(rng, 30, 0.5) + u.seq[u.r58s+80:], ""},
		"backwards":     {string(backwards), ""},
	} {
		r := Locate([]byte(c.seq))
		require.Equal(t, c.want, r.Kingdom, name)
		require.Equal(t, c.want != "", r.KingdomMargin >= leastMargin, name)
	}
}

// The motif GAATTGCAGAATCC is that of flowering plants (Jobes & Thien 1997,
// Journal of Plant Research 110: 137-144, from memory); the profile has it, and
// no profile of another kingdom does.
func TestPlantMotif(t *testing.T) {
	for _, p := range profiles {
		found := false
		motif, text := sets([]byte("GAATTGCAGAATCC")), sets([]byte(p.seq))
		for at := 0; at+len(motif) <= len(text); at++ {
			found = found || slices.Equal(motif, text[at:at+len(motif)])
		}
		require.Equal(t, p.seq == profiles[2].seq, found, p.seq)
	}
}
