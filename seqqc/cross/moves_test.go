package cross_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// An exchange of five whose wells happen to lie six apart is no shift of the
// plate: the labels of all others fit as they stand.
func TestAnExchangeIsNoMovedPlate(t *testing.T) {
	list := []int{10, 16, 22, 28, 34}
	looked := 0
	for seed := uint64(0); looked < 5; seed++ {
		require.Less(t, seed, uint64(500), "hardly a batch with five right vouchers there")
		rng := rand.New(rand.NewPCG(seed, 9))
		w := newWorld(rng, newKinds(rng, 60), 96, errors{})
		genera := map[string]bool{}
		for _, v := range list {
			if g := w.batch.Vouchers[v].Voucher.Field.Genus; g != "" {
				genera[g] = true
			}
		}
		if len(genera) < len(list) {
			continue
		}
		looked++
		w.move(list...)
		found := compare(t, w.batch)
		require.Empty(t, of(found, seqqc.PatternPlateMoved))
		require.True(t, hasRing(w, found, list))
	}
}
