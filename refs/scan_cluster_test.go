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

// Every cluster is in one group, and no unit of it further from the group's
// centre than the radius says; the words of a group are those of its clusters.
func TestGroupsHoldClusters(t *testing.T) {
	r := rand.New(rand.NewPCG(46, 1))
	joined := 0
	for range 20 {
		lib, families := randomLibrary(r, 60, 60)
		for range 60 {
			f := families[r.IntN(2)]
			lib.Records = append(lib.Records, Record{Seq: spoilt(r, evolved(r, f.whole(), 0.05), "NR", 0.002)})
		}
		x := lib.scanIndexOf()
		next := int32(0)
		for g := range int32(x.groups()) {
			first, end := x.clustersOf(g)
			require.Equal(t, next, first)
			require.Greater(t, end, first)
			next = end
			node := int32(x.clusters()) + g
			centre := x.appendLetters(nil, x.members[x.memberStarts[first]], 0)
			words, bit := x.place(node)
			var want [gramRows]bool
			for c := first; c < end; c++ {
				units, _ := x.membersOf(c)
				for _, u := range units {
					require.LessOrEqual(t, plainEdits(x.appendLetters(nil, u, 0), centre), int(x.groupRadii[g]))
				}
				require.LessOrEqual(t, x.least[node], x.least[c])
				require.GreaterOrEqual(t, x.most[node], x.most[c])
				require.GreaterOrEqual(t, x.ns[node], x.ns[c])
				require.GreaterOrEqual(t, x.open[node], x.open[c])
				own, at := x.place(c)
				for row := range gramRows {
					want[row] = want[row] || own.row(row)[at/64]>>(at%64)&1 == 1
				}
			}
			for row := range gramRows {
				require.Equal(t, want[row], words.row(row)[bit/64]>>(bit%64)&1 == 1)
			}
			joined += int(end-first) - 1
		}
		require.EqualValues(t, x.clusters(), next)
	}
	require.Greater(t, joined, 100)
}
