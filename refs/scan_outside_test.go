package refs

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

// macrofungi reads its/macrofungi_its.fasta of the open data: 4,276 ITS
// sequences as published (TreeBASE).
func macrofungi(t testing.TB) *Library {
	t.Helper()
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no published sequences to search in")
	}
	text, err := os.ReadFile(filepath.Join(root, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	lib := &Library{}
	n := 0
	for line := range bytes.Lines(text) {
		n++
		line = bytes.TrimSpace(line)
		if header, ok := bytes.CutPrefix(line, []byte(">")); ok {
			id, _, _ := bytes.Cut(header, []byte(" "))
			lib.Records = append(lib.Records, Record{ID: string(id), Header: string(header), Line: n})
		} else {
			rec := &lib.Records[len(lib.Records)-1]
			rec.Seq = append(rec.Seq, bytes.ToUpper(line)...)
		}
	}
	require.Len(t, lib.Records, 4276)
	return lib
}

// roughQuery takes about 158 bases around the middle of the 5.8S as the 5.8S,
// and what is before and after as whole spacers.
func roughQuery(seq []byte) Query {
	q := Query{Seq: seq}
	if at := bytes.Index(seq, []byte("GATGAAGAACG")); at >= 0 {
		q.Exclude = align.Interval{Start: max(0, at-45), End: min(len(seq), at+113)}
		q.Whole = []align.Interval{{Start: 0, End: q.Exclude.Start}, {Start: q.Exclude.End, End: len(seq)}}
	}
	return q
}

// Two dozen published sequences, some changed or turned, searched in the
// others: in all of them with FORAYSEQ_LONG set (some ten minutes), else each
// in another forty-eighth.
func TestScanOfPublishedSequences(t *testing.T) {
	if testing.Short() {
		t.Skip("aligns thousands of pairs; TestPublishedAgainstTheRest does with fewer")
	}
	whole := macrofungi(t)
	r := rand.New(rand.NewPCG(13, 1))
	const queries = 24
	passing := 0
	search := func(t *testing.T, n int) {
		at := r.IntN(len(whole.Records))
		seq := whole.Records[at].Seq
		switch n % 6 {
		case 1:
			seq = evolved(r, seq, 0.03)
		case 2:
			seq = evolved(r, seq, 0.15)
		case 3:
			seq = align.ReverseComplement(spoilt(r, seq, "NRYSWKM", 0.01))
		case 4:
			seq = seq[len(seq)/2:]
		}
		lib := &Library{}
		for i, rec := range whole.Records {
			if i != at && (os.Getenv("FORAYSEQ_LONG") != "" || i%(2*queries) == n) {
				lib.Records = append(lib.Records, rec)
			}
		}
		q := roughQuery(seq)
		all := everything(t, lib, q, testGate)
		scan, err := NewScan(context.Background(), lib, q, testGate)
		require.NoError(t, err)
		got, err := scan.Best(10, voteWindow, nil)
		require.NoError(t, err)
		want := expectedBest(all, 10, voteWindow, nil)
		require.Empty(t, cmpFound(want, withoutWords(t, got)), "query %d", n)
		passing += len(got)
		floor := 0.0
		if len(got) > 0 {
			floor = got[len(got)-1].IdentityPct
		}
		got, err = scan.Apart(5, floor)
		require.NoError(t, err)
		require.Empty(t, cmpFound(expectedApart(lib, q, all, 5, floor, testGate), withoutWords(t, got)), "query %d", n)
	}
	for n := range queries {
		t.Run(fmt.Sprint(n), func(t *testing.T) { search(t, n) })
	}
	require.Greater(t, passing, 150)
}

// BenchmarkScanPublished is one of the published sequences against the
// others.
func BenchmarkScanPublished(b *testing.B) {
	lib := macrofungi(b)
	r := rand.New(rand.NewPCG(14, 1))
	aligned, n := 0, 0
	for b.Loop() {
		at := r.IntN(len(lib.Records))
		scan, err := NewScan(context.Background(), lib, roughQuery(lib.Records[at].Seq), testGate)
		require.NoError(b, err)
		found, err := scan.Best(10, voteWindow, func(record int) bool { return record != at })
		require.NoError(b, err)
		if len(found) > 0 {
			_, err = scan.Apart(5, found[len(found)-1].IdentityPct)
			require.NoError(b, err)
		}
		aligned += len(scan.found)
		n++
	}
	b.ReportMetric(float64(aligned)/float64(n), "aligned/op")
}
