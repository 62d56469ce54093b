package match

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
)

// randomSeq gives n bases, synthetic, letters drawn from codes.
func randomSeq(rng *rand.Rand, n int, codes string) []byte {
	seq := make([]byte, n)
	for i := range seq {
		seq[i] = codes[rng.IntN(len(codes))]
	}
	return seq
}

// spoilt changes about one base in each, insertions and deletions among them.
func spoilt(rng *rand.Rand, seq []byte, each int) []byte {
	var out []byte
	for _, c := range seq {
		if rng.IntN(each) > 0 {
			out = append(out, c)
			continue
		}
		out = append(out, randomSeq(rng, rng.IntN(3), "ACGT")...)
	}
	return out
}

// The line counts what align counts: substitutions and gap events.
func TestErrorLineCountsAsAlign(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 11))
	aligner, err := align.NewAligner(align.ITS)
	require.NoError(t, err)
	for range 500 {
		a := randomSeq(rng, 20+rng.IntN(200), "AACCGGTTACGTACGTRYN")
		b := spoilt(rng, a[rng.IntN(15):], 3+rng.IntN(20))
		al, err := aligner.Overlap(a, b)
		require.NoError(t, err)
		c, err := al.Count(a, b)
		require.NoError(t, err)
		line := newErrorLine(al, a, b)
		require.Equal(t, c.Substitutions+c.GapEvents, line.all())
		require.Equal(t, [2]int{al.AStart, al.AEnd}, [2]int{line.start, line.end})
		require.Zero(t, line.in(0, line.start))
		require.Equal(t, line.all(), line.in(0, 50%len(a))+line.in(50%len(a), len(a)))
	}
}

// lineOf gives a line with differences at places of n positions.
func lineOf(n int, at ...int) errorLine {
	l := errorLine{before: make([]int, n+1), end: n}
	for i := range n {
		l.before[i+1] = l.before[i]
		if slices.Contains(at, i) {
			l.before[i+1]++
		}
	}
	return l
}

func every(start, end, step int) (at []int) {
	for ; start < end; start += step {
		at = append(at, start)
	}
	return at
}

func TestChangePoint(t *testing.T) {
	seq := randomSeq(rand.New(rand.NewPCG(12, 12)), 600, "ACGT")
	for name, c := range map[string]struct {
		line errorLine
		r58s align.Interval
		at   int // -1: no change worth a search
	}{
		"none":               {lineOf(600), align.Interval{}, -1},
		"even":               {lineOf(600, every(0, 600, 12)...), align.Interval{}, -1},
		"second half":        {lineOf(600, every(300, 600, 10)...), align.Interval{}, 300},
		"last 60":            {lineOf(600, every(540, 600, 6)...), align.Interval{}, 540},
		"first 80":           {lineOf(600, every(0, 80, 6)...), align.Interval{}, 79},
		"some on both sides": {lineOf(600, append(every(5, 400, 100), every(400, 600, 8)...)...), align.Interval{}, 400},
		// Few differences in a 5.8S are no change.
		"a quiet 5.8S": {lineOf(600, append(every(0, 220, 12), every(380, 600, 12)...)...), align.Interval{Start: 220, End: 376}, -1},
	} {
		at, gain := c.line.changePoint(steps(seq, c.r58s))
		require.Equal(t, c.at >= 0, gain >= leastChange, "%s: %.1f at %d", name, gain, at)
		if c.at >= 0 {
			require.Equal(t, c.at, at, name)
		}
	}
}

func TestCrossing(t *testing.T) {
	left, right := lineOf(100, 60, 70, 80), lineOf(100, 10, 20, 40)
	least, first, last := crossing(left, right)
	require.Equal(t, []int{0, 41, 60}, []int{least, first, last})
	least, first, last = crossing(right, left)
	require.Equal(t, []int{3, 0, 100}, []int{least, first, last}, "the wrong way round one of them alone is as good")
}

// What the look for a chimera costs a plain query, where no side is searched,
// and a chimera, among 60 references of three genera.
func BenchmarkChimera(b *testing.B) {
	rng := rand.New(rand.NewPCG(13, 13))
	var its [][]byte
	var records []refs.Record
	for _, genus := range []string{"Russula", "Amanita", "Mycena"} {
		seq := randomSeq(rng, 600, "ACGT")
		its = append(its, seq)
		for range 20 {
			records = append(records, refs.Record{ID: "SYN", Name: refs.Name{Genus: genus, Rank: refs.Genus},
				Lineage: refs.Lineage{Genus: genus}, Seq: spoilt(rng, seq, 50)})
		}
	}
	lib := refs.NewLibrary(records, nil)
	for name, seq := range map[string][]byte{"plain": its[0], "joined": slices.Concat(its[0][:300], its[1][300:])} {
		c := &seqqc.Contig{Bases: seq}
		p := Defaults()
		m, err := Match(context.Background(), lib, c, refs.Name{}, p)
		require.NoError(b, err)
		require.Equal(b, name == "joined", m.Chimera != nil)
		span := seqqc.Interval{End: len(seq)}
		l := lister{lib: lib, query: query(c, span), gate: p.Gate, span: span}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				_, err := l.chimera(context.Background(), m, c)
				require.NoError(b, err)
			}
		})
	}
}
