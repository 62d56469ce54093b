package align

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every length around the ends of words comes back letter for letter.
func TestPackedWords(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for n := range 70 {
		seq := make([]byte, n)
		for i := range seq {
			seq[i] = letters[1+r.IntN(15)]
		}
		p, err := PackedWords(Pack(seq).Words(), n)
		require.NoError(t, err)
		require.Equal(t, Pack(seq), p)
		require.Equal(t, "before"+string(seq), string(p.AppendLetters([]byte("before"))))
	}
	require.Equal(t, "ACGT?T", string(Pack([]byte("acgu-T")).AppendLetters(nil)))
}

func TestPackedWordsRefuses(t *testing.T) {
	words := []uint64{0x1111_1111_1111_1111, 0x1}
	for n, fits := range map[int]bool{-1: false, 0: false, 16: false, 17: true, 18: true, 32: true, 33: false} {
		_, err := PackedWords(words, n)
		require.Equal(t, fits, err == nil, "%d letters", n)
	}
	_, err := PackedWords([]uint64{0x21}, 1)
	require.EqualError(t, err, "letters behind the last of 1")
}
