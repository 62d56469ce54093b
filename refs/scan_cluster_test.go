package refs

import (
	"math/rand/v2"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

// clustersByUnit gives the cluster of each unit.
func clustersByUnit(x *scanIndex) []int32 {
	of := make([]int32, x.units())
	for c := range int32(x.clusters()) {
		units, _ := x.membersOf(c)
		for _, u := range units {
			of[u] = c
		}
	}
	return of
}

// plainEdits is the distance of two sequences from end to end, letters being
// equal only to themselves, by the recurrence in words of a textbook.
func plainEdits(a, b []byte) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			diagonal, row[j+1] = row[j+1], min(diagonal+change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// Every record is in one unit of its own sequence, every unit in one cluster, no
// further from the centre than its radius says.
func TestClustersHoldUnits(t *testing.T) {
	r := rand.New(rand.NewPCG(45, 1))
	joined := 0
	for range 20 {
		lib, _ := randomLibrary(r, 120, 60)
		for i := range 20 { // copies but for one code
			seq := []byte(string(lib.Records[i].Seq))
			if len(seq) > 0 {
				seq[r.IntN(len(seq))] = "ACGTNRY"[r.IntN(7)]
			}
			lib.Records = append(lib.Records, Record{Seq: seq})
		}
		x := lib.scanIndexOf()
		seen := make([]bool, x.units())
		for i := range lib.Records {
			u := x.unitOf[i]
			require.Equal(t, string(lib.Records[i].Seq), string(x.appendLetters(nil, u, 0)))
			require.Equal(t, align.ReverseComplement(lib.Records[i].Seq), x.appendLetters([]byte{}, u, 1))
			require.Contains(t, x.recordsOf(u), int32(i))
		}
		members := 0
		for c := range int32(x.clusters()) {
			units, radii := x.membersOf(c)
			centre := x.appendLetters(nil, units[0], 0)
			require.EqualValues(t, 0, radii[0])
			for k, u := range units {
				require.False(t, seen[u])
				seen[u] = true
				members++
				require.LessOrEqual(t, radii[k], x.radius(c))
				require.LessOrEqual(t, plainEdits(x.appendLetters(nil, u, 0), centre), int(radii[k]))
			}
			joined += len(units) - 1
		}
		require.Equal(t, x.units(), members)
	}
	require.Greater(t, joined, 100)
}
