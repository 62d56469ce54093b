package refs

import (
	"math/rand/v2"
	"slices"
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

// plainEdits is the distance of two sequences from end to end.
func plainEdits(a, b []byte) (edits int) {
	plainRows(a, b, func(row []int) { edits = row[len(b)] })
	return edits
}

// plainRows shows, for each beginning of a from the empty one on, the distances to
// the beginnings of b, letters being equal only to themselves, by the recurrence
// in words of a textbook.
func plainRows(a, b []byte, see func(row []int)) {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	see(row)
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
		see(row)
	}
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

// addKin adds records like two of the families, with codes at a rate.
func addKin(r *rand.Rand, lib *Library, families []family, codes float64) {
	for range 60 {
		f := families[r.IntN(2)]
		lib.Records = append(lib.Records, Record{Seq: spoilt(r, evolved(r, f.whole(), 0.05), "NR", codes)})
	}
}

// Every cluster is in one group, and no unit of it further from the group's
// centre than the radius says; the words of a group are those of its clusters.
func TestGroupsHoldClusters(t *testing.T) {
	r := rand.New(rand.NewPCG(46, 1))
	joined := 0
	for range 20 {
		lib, families := randomLibrary(r, 60, 60)
		addKin(r, lib, families, 0.002)
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

// What leads from the first or the last letters of a unit to its group's centre
// takes no more edits than the index says, however few of them there are.
func TestEndsOfGroups(t *testing.T) {
	r := rand.New(rand.NewPCG(47, 1))
	nearer := 0
	for range 4 {
		lib, families := randomLibrary(r, 30, 160)
		addKin(r, lib, families, 0.0005)
		x := lib.scanIndexOf()
		for g := range int32(x.groups()) {
			first, end := x.clustersOf(g)
			centre := x.appendLetters(nil, x.members[x.memberStarts[first]], 0)
			for c := first; c < end; c++ {
				units, _ := x.membersOf(c)
				for _, u := range units {
					seq := x.appendLetters(nil, u, 0)
					require.LessOrEqual(t, plainBeginning(seq, centre), int(x.awayFirst[c]))
					slices.Reverse(seq)
					slices.Reverse(centre)
					require.LessOrEqual(t, plainBeginning(seq, centre), int(x.awayLast[c]))
					slices.Reverse(centre)
				}
				require.LessOrEqual(t, x.awayFirst[c], x.groupFirst[g])
				require.LessOrEqual(t, x.awayLast[c], x.groupLast[g])
				if 3*x.awayFirst[c] < 2*x.aways[c] {
					nearer++
				}
			}
		}
	}
	require.Greater(t, nearer, 20)
}

// plainBeginning gives the most edits that one of the first endLetters beginnings
// of a takes to become its nearest beginning of b.
func plainBeginning(a, b []byte) (most int) {
	plainRows(a[:min(endLetters, len(a))], b, func(row []int) { most = max(most, slices.Min(row)) })
	return most
}

// No alignment with a unit of a group is nearer than the sieve says of the group,
// where records are so long that their ends are known apart.
func TestSieveBoundsGroups(t *testing.T) {
	r := rand.New(rand.NewPCG(48, 1))
	lowered, ends, passing := 0, 0, 0
	for range 48 {
		lib, families := randomLibrary(r, 10, 100)
		q, far := randomQuery(r, families), randomBases(r, 400)
		// Of each of these the query has the first or the last letters only, or
		// they are those of a kin of it. What comes first is the centre of what
		// comes next.
		for _, spacer := range q.Whole {
			for _, rate := range []float64{0.05 + 0.1*r.Float64(), 0.005, 0.05} {
				end := evolved(r, q.Seq[spacer.Start:spacer.End], rate)
				for _, seq := range [][]byte{slices.Concat(far, end), slices.Concat(end, far)} {
					lib.Records = append(lib.Records, Record{Seq: seq}, Record{Seq: align.ReverseComplement(seq)})
				}
			}
		}
		for i := range 30 {
			f := families[r.IntN(2)]
			seq := f.whole()
			switch i % 3 {
			case 1:
				seq = slices.Concat(far, seq[:len(f.its1)+10])
			case 2:
				seq = slices.Concat(seq[len(f.its1)+len(f.middle)-10:], far)
			}
			lib.Records = append(lib.Records, Record{Seq: evolved(r, seq, 0.05)})
		}
		scan, err := NewScan(t.Context(), lib, q, testGate)
		require.NoError(t, err)
		if scan.pieces == nil {
			continue
		}
		x := scan.index
		// The identities of what passes, by strand and unit.
		identities := [2][]float64{make([]float64, x.units()), make([]float64, x.units())}
		for u := range int32(x.units()) {
			f, err := scan.align(likely{unit: u, ceiling: 100})
			require.NoError(t, err)
			if f = scan.judge(f); f.Pass && f.Complemented {
				identities[1][u] = f.IdentityPct
			} else if f.Pass {
				identities[0][u] = f.IdentityPct
			}
		}
		for range 12 {
			deepest := 70 + 20*r.Float64()
			least := deepest + (99-deepest)*r.Float64()
			scan.views = nil
			for g := range int32(x.groups()) {
				for strand := range uint8(2) {
					scan.makeAny(int32(x.clusters())+g, strand, 100)
				}
			}
			var all []int32
			for at := range scan.views {
				scan.know(&scan.views[at])
				all = append(all, int32(at))
			}
			scan.sieveAt(all, least, deepest)
			for at := range scan.views {
				v := &scan.views[at]
				if v.ceiling < 90 {
					lowered++
				}
				if e := scan.endsOf(v, rateOf(deepest)); e.first > 0 && e.from < scan.lastStart || e.last > 0 && e.to >= scan.forward.QEnd {
					ends++
				}
				first, end := x.clustersOf(scan.groupOf(v.node))
				for c := first; c < end; c++ {
					within := scan.ceilingWithin(v, c)
					units, _ := x.membersOf(c)
					for _, u := range units {
						if identity := identities[v.strand][u]; identity > 0 {
							passing++
							require.LessOrEqual(t, identity, v.ceiling)
							require.LessOrEqual(t, identity, within)
						}
					}
				}
			}
		}
	}
	require.Greater(t, lowered, 1000)
	require.Greater(t, ends, 1000)
	require.Greater(t, passing, 1000)
}
