package align

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCount(t *testing.T) {
	pairs := func(n int) Alignment { return Alignment{AEnd: n, BEnd: n, Runs: []Run{{Pair, n}}} }
	gapB := Alignment{AEnd: 6, BEnd: 4, Runs: []Run{{Pair, 2}, {OnlyA, 2}, {Pair, 2}}}
	gapA := Alignment{AEnd: 4, BEnd: 6, Runs: []Run{{Pair, 2}, {OnlyB, 2}, {Pair, 2}}}
	for name, test := range map[string]struct {
		al      Alignment
		a, b    string
		exclude []Interval
		want    Counts
	}{
		"empty": {Alignment{AStart: 3, AEnd: 3}, "ACG", "TTT", nil, Counts{}},
		"plain": {pairs(4), "ACGT", "ACTT", nil,
			Counts{Columns: 4, Identical: 3, IdenticalStrict: 3, Substitutions: 1, AOutside: 4, ACompared: 4}},
		"case and U": {pairs(4), "acgU", "ACGT", nil,
			Counts{Columns: 4, Identical: 4, IdenticalStrict: 4, AOutside: 4, ACompared: 4}},
		"N on either side is not compared": {pairs(4), "ANGN", "ACNN", nil,
			Counts{Columns: 1, Identical: 1, IdenticalStrict: 1, Ambiguous: 3, AOutside: 1, ACompared: 1}},
		"codes that meet, equal or not, are not strictly identical": {pairs(4), "RRRA", "ARYR", nil,
			Counts{Columns: 4, Identical: 3, IdenticalStrict: 0, Substitutions: 1, Ambiguous: 4, AOutside: 4, ACompared: 4}},
		"gap in b": {gapB, "ACGTAC", "ACAC", nil,
			Counts{Columns: 6, Identical: 4, IdenticalStrict: 4, GapEvents: 1, GapBases: 2, AOutside: 6, ACompared: 6}},
		"gap in a": {gapA, "ACAC", "ACGTAC", nil,
			Counts{Columns: 6, Identical: 4, IdenticalStrict: 4, GapEvents: 1, GapBases: 2, AOutside: 6, ACompared: 4}},
		"N over a gap": {gapB, "ACNTAC", "ACAC", nil,
			Counts{Columns: 5, Identical: 4, IdenticalStrict: 4, GapEvents: 1, GapBases: 1, Ambiguous: 1, AOutside: 5, ACompared: 5}},
		"nothing but N over a gap is no event": {gapA, "ACAC", "ACNNAC", nil,
			Counts{Columns: 4, Identical: 4, IdenticalStrict: 4, Ambiguous: 2, AOutside: 4, ACompared: 4}},
		"ambiguity code over a gap": {gapB, "ACRTAC", "ACAC", nil,
			Counts{Columns: 6, Identical: 4, IdenticalStrict: 4, GapEvents: 1, GapBases: 2, Ambiguous: 1, AOutside: 6, ACompared: 6}},
		"outside": {gapB, "ACGTAC", "ACAC", []Interval{{1, 3}}, Counts{Columns: 6, Identical: 4, IdenticalStrict: 4,
			GapEvents: 1, GapBases: 2, AOutside: 4, ACompared: 6}},
		"a gap inside the interval": {gapA, "ACAC", "ACGTAC", []Interval{{1, 3}}, Counts{Columns: 6, Identical: 4,
			IdenticalStrict: 4, GapEvents: 1, GapBases: 2, AOutside: 2, ACompared: 4}},
		"a gap at its border": {gapA, "ACAC", "ACGTAC", []Interval{{2, 4}, {0, 1}}, Counts{Columns: 6, Identical: 4,
			IdenticalStrict: 4, GapEvents: 1, GapBases: 2, AOutside: 3, ACompared: 4}},
	} {
		got, err := test.al.Count([]byte(test.a), []byte(test.b), test.exclude...)
		require.NoError(t, err, name)
		require.Equal(t, test.want, got, name)
	}
}

func TestCountRefuses(t *testing.T) {
	for name, test := range map[string]struct {
		al   Alignment
		a, b string
	}{
		"too long":          {Alignment{AEnd: 5, BEnd: 5, Runs: []Run{{Pair, 5}}}, "ACGT", "ACGTA"},
		"ends elsewhere":    {Alignment{AEnd: 4, BEnd: 4, Runs: []Run{{Pair, 3}}}, "ACGT", "ACGT"},
		"negative":          {Alignment{AStart: -1, AEnd: 2, BEnd: 3, Runs: []Run{{Pair, 3}}}, "ACGT", "ACGT"},
		"negative run":      {Alignment{AEnd: 2, BEnd: 2, Runs: []Run{{Pair, 3}, {Pair, -1}}}, "ACGT", "ACGT"},
		"no such op":        {Alignment{AEnd: 2, BEnd: 2, Runs: []Run{{3, 2}}}, "ACGT", "ACGT"},
		"letter":            {Alignment{AEnd: 4, BEnd: 4, Runs: []Run{{Pair, 4}}}, "AC-T", "ACGT"},
		"letter over a gap": {Alignment{AEnd: 2, BEnd: 4, Runs: []Run{{Pair, 2}, {OnlyB, 2}}}, "AC", "ACG!"},
	} {
		_, err := test.al.Count([]byte(test.a), []byte(test.b))
		require.Error(t, err, name)
	}
}

// Whatever is aligned, the parts add up.
func TestCountAddsUp(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for range 1000 {
		a, b := randomPair(r, 100)
		al, err := Overlap(a, b, ITS)
		require.NoError(t, err)
		c, err := al.Count(a, b)
		require.NoError(t, err)
		require.Equal(t, c.Columns, c.Identical+c.Substitutions+c.GapBases)
		require.Equal(t, c.Columns, c.AOutside)
		require.LessOrEqual(t, c.IdenticalStrict, c.Identical)
		inside, err := al.Count(a, b, Interval{0, len(a)})
		require.NoError(t, err)
		require.Zero(t, inside.AOutside, "%s %s %+v", a, b, al)
		i := r.IntN(len(a) + 1)
		left, err := al.Count(a, b, Interval{0, i})
		require.NoError(t, err)
		right, err := al.Count(a, b, Interval{i, len(a)})
		require.NoError(t, err)
		require.GreaterOrEqual(t, left.AOutside+right.AOutside, c.Columns)
	}
}

func ExampleAlignment_Count() {
	a, b := []byte("ACGTACGTACNTAA"), []byte("ACGTACRTACGTCA")
	al, err := Overlap(a, b, ITS)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := al.Count(a, b)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d columns, %d identical: %.1f%%, strictly %.1f%%\n", c.Columns, c.Identical, c.IdentityPct(), c.StrictPct())
	// Output:
	// 13 columns, 12 identical: 92.3%, strictly 84.6%
}
