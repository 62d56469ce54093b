package refs

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

func libraryOf(seqs ...string) *Library {
	lib := &Library{}
	for i, s := range seqs {
		lib.Records = append(lib.Records, Record{ID: fmt.Sprintf("R%d", i), Seq: []byte(s), Line: 2*i + 1})
	}
	return lib
}

func TestScanWithoutBases(t *testing.T) {
	lib := libraryOf("ACGTACGTACGT", "NNNN", "")
	for _, seq := range []string{"", "N", "NNNNNNNNNNNNNNNNNNNN"} {
		scan, err := NewScan(context.Background(), lib, Query{Seq: []byte(seq)}, testGate)
		require.NoError(t, err)
		found, err := scan.Best(10, voteWindow, nil)
		require.NoError(t, err)
		require.Empty(t, found)
		found, err = scan.Apart(5, 0)
		require.NoError(t, err)
		require.Empty(t, found)
	}
	scan, err := NewScan(context.Background(), &Library{}, Query{Seq: []byte("ACGT")}, testGate)
	require.NoError(t, err)
	found, err := scan.Best(10, voteWindow, nil)
	require.NoError(t, err)
	require.Empty(t, found)
}

func TestScanRefuses(t *testing.T) {
	lib := libraryOf("ACGT")
	_, err := NewScan(context.Background(), lib, Query{Seq: []byte("AC-T")}, testGate)
	require.ErrorContains(t, err, "position 2")
	for _, v := range []align.Interval{{Start: -1, End: 2}, {Start: 2, End: 5}} {
		_, err = NewScan(context.Background(), lib, Query{Seq: []byte("ACGT"), Exclude: v}, testGate)
		require.ErrorContains(t, err, "outside")
		_, err = NewScan(context.Background(), lib, Query{Seq: []byte("ACGT"), Whole: []align.Interval{v}}, testGate)
		require.ErrorContains(t, err, "outside")
	}
	// A record that is no sequence, and near enough to be aligned, is named.
	seq := randomBases(rand.New(rand.NewPCG(15, 1)), 300)
	lib = libraryOf("ACGT", string(seq[:200])+"-"+string(seq[200:]))
	scan, err := NewScan(context.Background(), lib, Query{Seq: seq}, testGate)
	require.NoError(t, err)
	_, err = scan.Best(10, nil, nil)
	require.ErrorIs(t, err, align.ErrLetter)
	require.ErrorContains(t, err, "reference R1 (line 3)")
}

func TestScanIsCancelled(t *testing.T) {
	seq := randomBases(rand.New(rand.NewPCG(16, 1)), 300)
	ctx, cancel := context.WithCancel(context.Background())
	scan, err := NewScan(ctx, libraryOf(string(seq)), Query{Seq: seq}, testGate)
	require.NoError(t, err)
	cancel()
	_, err = scan.Best(1, nil, nil)
	require.ErrorIs(t, err, context.Canceled)
	_, err = scan.Apart(1, 0)
	require.ErrorIs(t, err, context.Canceled)
	_, err = NewScan(ctx, libraryOf(string(seq)), Query{Seq: seq}, testGate)
	require.ErrorIs(t, err, context.Canceled)
}

// References much longer than the query, which lies anywhere in them, and a
// query longer than all of them.
func TestScanOfLongReferences(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 1))
	its := randomBases(r, 500)
	var seqs []string
	for range 6 {
		near := evolved(r, its, 0.02+0.1*r.Float64())
		long := slices.Concat(randomBases(r, r.IntN(3000)), near, randomBases(r, 2000+r.IntN(1000)))
		if r.IntN(2) == 0 {
			long = align.ReverseComplement(long)
		}
		seqs = append(seqs, string(long), string(randomBases(r, 4000)), string(near[:60]))
	}
	lib := libraryOf(seqs...)
	for _, seq := range [][]byte{its, slices.Concat(randomBases(r, 300), its, randomBases(r, 400))} {
		q := Query{Seq: seq, Whole: []align.Interval{{Start: 0, End: 200}}, Exclude: align.Interval{Start: 200, End: 300}}
		all := everything(t, lib, q, testGate)
		scan, err := NewScan(context.Background(), lib, q, testGate)
		require.NoError(t, err)
		found, err := scan.Best(6, voteWindow, nil)
		require.NoError(t, err)
		require.Empty(t, cmpFound(expectedBest(all, 6, voteWindow, nil), withoutWords(t, found)))
		found, err = scan.Apart(5, 50)
		require.NoError(t, err)
		require.Empty(t, cmpFound(expectedApart(lib, q, all, 5, 50, testGate), withoutWords(t, found)))
	}
}

// Gates at their limits: nothing asked, more than there can be, exactly the
// coverage there is.
func TestScanGates(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 1))
	for range 6 {
		lib, families := randomLibrary(r, 60, 40)
		q := randomQuery(r, families)
		for _, gate := range []Gate{{}, {101, 0}, {100, 0}, {math.Nextafter(100, 101), 10}, {50, 100}, {80, 10_000}} {
			all := everything(t, lib, q, gate)
			scan, err := NewScan(context.Background(), lib, q, gate)
			require.NoError(t, err)
			found, err := scan.Best(5, voteWindow, nil)
			require.NoError(t, err)
			require.Empty(t, cmpFound(expectedBest(all, 5, voteWindow, nil), withoutWords(t, found)), "%+v", gate)
			found, err = scan.Apart(5, 0)
			require.NoError(t, err)
			require.Empty(t, cmpFound(expectedApart(lib, q, all, 5, 0, gate), withoutWords(t, found)), "%+v", gate)
		}
	}
}

func TestFoundOnReference(t *testing.T) {
	seq := randomBases(rand.New(rand.NewPCG(19, 1)), 400)
	reference := slices.Concat(bytes.Repeat([]byte("A"), 30), align.ReverseComplement(seq), []byte("CC"))
	scan, err := NewScan(context.Background(), libraryOf(string(reference)), Query{Seq: seq}, testGate)
	require.NoError(t, err)
	found, err := scan.Best(1, nil, nil)
	require.NoError(t, err)
	require.True(t, found[0].Complemented)
	require.Equal(t, align.Interval{Start: 30, End: 430}, found[0].OnReference(len(reference)))
}

func ExampleScan_Best() {
	// Synthetic sequences: the first differs from the query in one base, the
	// second in more, the third is on the other strand and the same.
	query := Query{Seq: []byte("ACGTTGCAAGCTTAGGCCATTACGGATCCA")}
	library := &Library{Records: []Record{
		{ID: "one", Seq: []byte("ACGTTGCAAGCTTAGGACATTACGGATCCA")},
		{ID: "two", Seq: []byte("ACGATGCAAGCTTAGGACATTCGGATCCA")},
		{ID: "three", Seq: align.ReverseComplement(query.Seq)},
	}}
	scan, err := NewScan(context.Background(), library, query, Gate{MinCoveragePct: 80, MinOutside: 20})
	if err != nil {
		fmt.Println(err)
		return
	}
	found, err := scan.Best(2, nil, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range found {
		fmt.Printf("%s %.2f%% %v\n", library.Records[f.Record].ID, f.IdentityPct, f.Complemented)
	}
	// Output:
	// three 100.00% true
	// one 96.67% false
}

func ExampleScan_Apart() {
	query := Query{Seq: []byte("ACGTTGCAAGCTTAGGCCATTACGGATCCATTGACCAGGTTACATTGGACCTAGGCATTCA")}
	library := &Library{Records: []Record{{ID: "part", Seq: query.Seq[5:]}}}
	scan, err := NewScan(context.Background(), library, query, Gate{MinCoveragePct: 80, MinOutside: 150})
	if err != nil {
		fmt.Println(err)
		return
	}
	found, err := scan.Apart(5, 90)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range found {
		fmt.Printf("%s %.1f%%: %s\n", library.Records[f.Record].ID, f.IdentityPct, f.Lacks)
	}
	// Output:
	// part 100.0%: compares 56 columns outside the 5.8S (150 asked)
}
