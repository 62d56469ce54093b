package cross_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/cross"
)

// What is known of pairs changes nothing that is found, whatever changed between
// two comparisons: labels, the DNA of one voucher, its strand or its regions.
func TestPairsChangeNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	w := byHand(12)
	for i := range 40 {
		g := i % 12
		label := fmt.Sprintf("Syngenus%c%c sp.", 'a', 'a'+rng.IntN(12))
		w.specimen(label, fmt.Sprintf("%c%02d", 'A'+i%8, 1+i/8), w.species(g, rng.IntN(2)))
	}
	known := w.batch
	known.Pairs = cross.NewPairs()
	found := 0
	for round := range 12 {
		i := rng.IntN(len(w.batch.Vouchers))
		s := &w.batch.Vouchers[i].Samples[0]
		c := *s.Contig
		switch round % 4 {
		case 1:
			c.Bases = slices.Clone(c.Bases)
			c.Bases[200] = "ACGT"[rng.IntN(4)]
		case 2:
			c.Region.Located = false
		case 3:
			c.Region.R58S = seqqc.Interval{}
		}
		s.Contig = &c
		want := compare(t, w.batch)
		require.Equal(t, want, compare(t, known))
		found += len(want.Between)
	}
	require.NotZero(t, found)
}
