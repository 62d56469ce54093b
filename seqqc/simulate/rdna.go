package simulate

import "math/rand/v2"

// RandomSequence draws n bases. One in eight repeats the base before it, so
// that runs of equal bases are somewhat commoner than by chance, as in real
// spacers.
func RandomSequence(rng *rand.Rand, n int) []byte {
	seq := make([]byte, n)
	for i := range seq {
		seq[i] = letters[rng.Uint64()>>62]
		if i > 0 && rng.Uint64()>>61 == 0 {
			seq[i] = seq[i-1]
		}
	}
	return seq
}
