package region

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Whatever the bytes: no panic, parts that tile the sequence, and the same
// result from the other strand.
func FuzzLocate(f *testing.F) {
	u := yeastUnit(newRand(31), 120, 120)
	f.Add([]byte(u.seq))
	f.Add([]byte(u.seq[u.its2:]))
	f.Add([]byte(u.seq[:u.r58s] + "NNNNNNNNNNNN" + u.seq[u.r58s+100:]))
	f.Add([]byte(yeastLSU))
	f.Add([]byte("MKV*-?"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, seq []byte) {
		if len(seq) > 4000 {
			return
		}
		r := Locate(seq)
		flipped := Locate(reversed(string(seq)))
		// Two strands may tie, as in a palindrome; then each reads forward.
		if r.Complemented || flipped.Complemented {
			require.NotEqual(t, r.Complemented, flipped.Complemented)
			flipped.Complemented = r.Complemented
			require.Equal(t, r, flipped)
		}
		r.Complemented = false
		requireTiled(t, seq, r)
	})
}
