package refs_test

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"forayseq/align"
	"forayseq/refs"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// long asks for the long form of the tests.
func long() bool { return os.Getenv("FORAYSEQ_LONG") != "" }

// rounds gives how often a test is made: short with -short, many with
// FORAYSEQ_LONG.
func rounds(short, plain, many int) int {
	switch {
	case testing.Short():
		return short
	case long():
		return many
	}
	return plain
}

// TestExact searches synthetic libraries of every kind in exactKinds.
func TestExact(t *testing.T) {
	for i, kind := range exactKinds {
		t.Run(kind.name, func(t *testing.T) {
			t.Parallel()
			var done tally
			for seed := range rounds(2, 8, 400) {
				r := rand.New(rand.NewPCG(uint64(i), uint64(seed)))
				cases := kind.make(r)
				lib := cases[0].library()
				if seed%4 == 1 {
					lib = cached(t, lib)
				}
				for _, c := range cases {
					done.add(checkCase(t, r, lib, c))
				}
			}
			require.Positive(t, done.hits)
			t.Log(done)
		})
	}
}

// cached gives a library by way of its cached index.
func cached(t *testing.T, lib *refs.Library) *refs.Library {
	t.Helper()
	path := filepath.Join(t.TempDir(), "library.forayindex")
	_, err := refs.WriteIndex(path, lib, refs.Origin{})
	require.NoError(t, err)
	opened, err := refs.OpenIndex(path, refs.Origin{}, func() (string, error) { return lib.SHA256, nil })
	require.NoError(t, err)
	return opened
}

// TestExactAmongMany searches libraries large enough for what is left out by
// whole groups of records: several trees, with copies and parts, on either
// strand, some with codes.
func TestExactAmongMany(t *testing.T) {
	var done tally
	for seed := range rounds(1, 1, 40) {
		r := rand.New(rand.NewPCG(41, uint64(seed)))
		var trees, seqs [][]byte
		for range 6 {
			trees = append(trees, phylogeny(r, 60, 100+r.IntN(100))...)
		}
		for len(seqs) < 1100 {
			seq := pick(r, trees)
			switch r.IntN(12) {
			case 0:
				seq = part(r, seq)
			case 1:
				seq = withCodes(r, seq, "RYSWKMN", 0.02)
			case 2:
				seq = slices.Concat(bases(r, 30), seq)
			case 3:
			default:
				seq = changed(r, seq, 0.01)
			}
			if r.IntN(8) == 0 {
				seq = align.ReverseComplement(seq)
			}
			seqs = append(seqs, seq)
		}
		var queries [][]byte
		for _, rate := range []float64{0, 0.03, 0.1, 0.2} {
			queries = append(queries, changed(r, pick(r, trees), rate))
		}
		cases := searched(r, seqs, append(queries, bases(r, 150))...)
		lib := cases[0].library()
		for _, c := range cases {
			done.add(checkCase(t, r, lib, c))
		}
	}
	require.Positive(t, done.hits)
	t.Log(done)
}

// TestExactOfLong searches records of up to 20,000 bases for a query of
// ordinary length, and shorter ones for a query of 5,000.
func TestExactOfLong(t *testing.T) {
	var done tally
	for seed := range rounds(1, 1, 20) {
		r := rand.New(rand.NewPCG(42, uint64(seed)))
		its, unit := bases(r, 400), bases(r, 4600)
		var seqs [][]byte
		for _, n := range []int{5000, 9000, 20_000} {
			left := r.IntN(n)
			seq := slices.Concat(bases(r, left), changed(r, its, 0.05), bases(r, n-left))
			seqs = append(seqs, seq, align.ReverseComplement(changed(r, seq, 0.01)))
		}
		short := [][]byte{changed(r, unit[:3000], 0.1), unit[1000:4000], changed(r, its, 0.03), unit[2000:2500], bytes.Repeat([]byte("A"), 2000)}
		cases := searched(r, append(seqs, short...), its, changed(r, its, 0.1))
		if !testing.Short() {
			cases = append(cases, searched(r, short, slices.Concat(unit[:2400], its, unit[2400:]), part(r, unit))...)
		}
		for _, c := range cases {
			done.add(checkCase(t, r, c.library(), c))
		}
	}
	require.Positive(t, done.hits)
	t.Log(done)
}

// TestExactAtATime searches one library for several queries at a time, the
// first of which make what they share.
func TestExactAtATime(t *testing.T) {
	r := rand.New(rand.NewPCG(43, 1))
	seqs := phylogeny(r, 80, 120)
	var queries [][]byte
	for range 12 {
		queries = append(queries, changed(r, pick(r, seqs), 0.05))
	}
	cases := searched(r, seqs, queries...)
	lib := cases[0].library()
	var all sync.WaitGroup
	for i, c := range cases {
		want := alignPlainly(t, c.seqs, c.query, c.gate).best(math.Inf(-1), 10, exactWindow, nil)
		all.Go(func() {
			scan, err := refs.NewScan(context.Background(), lib, c.query, c.gate)
			assert.NoError(t, err)
			got, err := scan.Best(10, exactWindow, nil)
			assert.NoError(t, err)
			assert.Empty(t, difference(want, got), "query %d", i)
		})
	}
	all.Wait()
}

// TestExactInLowerCase writes the query in lower case and with U for T, which
// are nucleotide codes as well.
func TestExactInLowerCase(t *testing.T) {
	r := rand.New(rand.NewPCG(44, 1))
	seqs := phylogeny(r, 50, 120)
	var done tally
	for _, rate := range []float64{0, 0.02, 0.1} {
		seq := withRun(r, changed(r, pick(r, seqs), rate), "N", 5)
		for _, as := range [][]byte{bytes.ToLower(seq), bytes.ReplaceAll(seq, []byte("T"), []byte("U"))} {
			for _, c := range searched(r, seqs, as) {
				done.add(checkCase(t, r, c.library(), c))
			}
		}
	}
	require.Positive(t, done.hits)
}
