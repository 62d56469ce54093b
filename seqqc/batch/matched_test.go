package batch

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// Of more matches than may be kept the one not used for longest goes, and no
// other.
func TestKeptMatchesAreBounded(t *testing.T) {
	ms := newMatches(3)
	key := func(i int) matchKey { return matchKey{byte(i)} }
	of := map[int]*seqqc.Match{}
	for i := range 3 {
		of[i] = &seqqc.Match{}
		ms.put(key(i), of[i])
	}
	require.Same(t, of[0], ms.get(key(0))) // used again
	ms.put(key(0), &seqqc.Match{})         // two asked at once: the first stays
	ms.put(key(3), &seqqc.Match{})
	require.Nil(t, ms.get(key(1)))
	require.Same(t, of[0], ms.get(key(0)))
	require.Same(t, of[2], ms.get(key(2)))
	for i := range 100 {
		ms.put(key(i), &seqqc.Match{})
	}
	require.Len(t, ms.of, 3)
	require.Equal(t, 3, ms.used.Len())
}
