package refs_test

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"forayseq/align"
	"forayseq/refs"

	"github.com/stretchr/testify/require"
)

// exactGate is the gate a hit must pass to support a rank.
var exactGate = refs.Gate{MinCoveragePct: 80, MinOutside: 150}

// exactWindow is the window of identities in which hits vote.
func exactWindow(best float64) float64 { return max(0.5, (100-best)/4) }

// publishedSequences reads its/macrofungi_its.fasta of the open data: 4,276
// ITS sequences as published (TreeBASE, by way of supertreebase).
func publishedSequences(t testing.TB) [][]byte {
	t.Helper()
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no published sequences to search in")
	}
	text, err := os.ReadFile(filepath.Join(root, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	var seqs [][]byte
	for line := range bytes.Lines(text) {
		if line = bytes.TrimSpace(line); line[0] == '>' {
			seqs = append(seqs, nil)
		} else {
			seqs[len(seqs)-1] = append(seqs[len(seqs)-1], bytes.ToUpper(line)...)
		}
	}
	require.Len(t, seqs, 4276)
	return seqs
}

// outlined is what an alignment of a query with a record comes to, without its
// way.
type outlined struct {
	Record                            int
	Complemented                      bool
	Score, AStart, AEnd, BStart, BEnd int
	Columns, Identical, Substitutions int
	GapBases, Outside, Compared       int
}

func outlineOf(record int, complemented bool, al align.Alignment, c align.Counts) outlined {
	return outlined{
		Record: record, Complemented: complemented,
		Score: al.Score, AStart: al.AStart, AEnd: al.AEnd, BStart: al.BStart, BEnd: al.BEnd,
		Columns: c.Columns, Identical: c.Identical, Substitutions: c.Substitutions,
		GapBases: c.GapBases, Outside: c.AOutside, Compared: c.ACompared,
	}
}

func (o outlined) identity() float64 { return percent(o.Identical, o.Columns) }

// againstTheRest is what comes of searching a published sequence in all
// others: the hits of Best(10, exactWindow, the others), and those of Apart(5,
// the identity of the last hit, or 0).
type againstTheRest struct{ Hits, Apart []outlined }

// row is what published_exhaustive.tsv says of a query: its place in the file
// of sequences, the numbers of hits and of records apart, and the beginning of
// the SHA-256 of all their figures as fmt prints them.
func (a againstTheRest) row(query int) string {
	sum := sha256.Sum256(fmt.Append(nil, a))
	return fmt.Sprintf("%d\t%d\t%d\t%x", query, len(a.Hits), len(a.Apart), sum[:8])
}

// alignWithTheRest aligns seqs[at] with both strands of all others, without
// the search: side by side by align.Lanes, for one by one takes ten times as
// long.
func alignWithTheRest(t *testing.T, seqs [][]byte, at int) againstTheRest {
	t.Helper()
	lanes, err := align.NewLanes(seqs[at], align.Interval{})
	require.NoError(t, err)
	turned := make([][]byte, len(seqs))
	for r := range seqs {
		turned[r] = align.ReverseComplement(seqs[r])
	}
	own, err := lanes.Outlines(seqs)
	require.NoError(t, err)
	other, err := lanes.Outlines(turned)
	require.NoError(t, err)
	bases := notN(seqs[at])
	var pass, apart []outlined
	for r := range seqs {
		o := outlineOf(r, false, own[r].Alignment, own[r].Counts)
		if other[r].Alignment.Score > o.Score {
			o = outlineOf(r, true, other[r].Alignment, other[r].Counts)
		}
		// Columns of a base of the query alone have none of the record.
		ofRecord := o.Columns - (o.Compared - o.Identical - o.Substitutions)
		covers := percent(o.Compared, bases) >= exactGate.MinCoveragePct
		switch {
		case r == at:
		case covers && o.Outside >= exactGate.MinOutside:
			pass = append(pass, o)
		case o.Columns >= 50 && (covers || percent(ofRecord, notN(seqs[r])) >= exactGate.MinCoveragePct):
			apart = append(apart, o)
		}
	}
	// The bases of the query are the same for all.
	figures := func(x, y outlined) int {
		return cmp.Or(cmp.Compare(y.identity(), x.identity()), cmp.Compare(y.Compared, x.Compared), cmp.Compare(y.Score, x.Score))
	}
	order := func(x, y outlined) int { return cmp.Or(figures(x, y), cmp.Compare(x.Record, y.Record)) }
	slices.SortFunc(pass, order)
	slices.SortFunc(apart, order)
	var all againstTheRest
	floor := 0.0
	for i, o := range pass {
		best := pass[0].identity()
		if i < 10 || figures(pass[9], o) == 0 || o.identity() >= best-exactWindow(best) {
			all.Hits, floor = append(all.Hits, o), o.identity()
		}
	}
	for _, o := range apart[:min(5, len(apart))] {
		if o.identity() >= floor {
			all.Apart = append(all.Apart, o)
		}
	}
	return all
}

// searchInTheRest is what the search gives. Hits that whole holds for are
// aligned once more one by one, for the figures that outlines have not.
func searchInTheRest(t *testing.T, lib *refs.Library, seqs [][]byte, at int, whole func(place, of int) bool) againstTheRest {
	t.Helper()
	scan, err := refs.NewScan(context.Background(), lib, refs.Query{Seq: seqs[at]}, exactGate)
	require.NoError(t, err)
	best, err := scan.Best(10, exactWindow, func(record int) bool { return record != at })
	require.NoError(t, err)
	floor := 0.0
	if len(best) > 0 {
		floor = best[len(best)-1].IdentityPct
	}
	// The query itself passes the gate, so that it is none of these.
	apart, err := scan.Apart(5, floor)
	require.NoError(t, err)
	var all againstTheRest
	for i, f := range best {
		all.Hits = append(all.Hits, outlineOf(f.Record, f.Complemented, f.Alignment, f.Counts))
		if !whole(i, len(best)) {
			continue
		}
		seq := seqs[f.Record]
		if f.Complemented {
			seq = align.ReverseComplement(seq)
		}
		al, err := align.Overlap(seqs[at], seq, align.ITS)
		require.NoError(t, err)
		require.Equal(t, al, f.Alignment, "query %d, place %d", at, i)
		c, err := al.Count(seqs[at], seq)
		require.NoError(t, err)
		require.Equal(t, c, f.Counts, "query %d, place %d", at, i)
		require.Equal(t, [3]float64{c.IdentityPct(), c.StrictPct(), percent(c.ACompared, notN(seqs[at]))},
			[3]float64{f.IdentityPct, f.StrictPct, f.CoveragePct}, "query %d, place %d", at, i)
	}
	for _, f := range apart {
		all.Apart = append(all.Apart, outlineOf(f.Record, f.Complemented, f.Alignment, f.Counts))
	}
	return all
}

// publishedOrder is a fixed pseudo-random order of the queries: the first of
// them are a fair sample.
func publishedOrder(n int) []int { return rand.New(rand.NewPCG(3, 4276)).Perm(n) }

// exhaustiveRows reads rows of published_exhaustive.tsv, by query.
func exhaustiveRows(t *testing.T, name string) map[int]string {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	rows := make(map[int]string)
	for line := range strings.Lines(string(text)) {
		var query int
		if _, err := fmt.Sscan(line, &query); err == nil {
			rows[query] = strings.TrimSuffix(line, "\n")
		}
	}
	return rows
}

// TestPublishedAgainstTheRest searches published sequences, each in all the
// others, and holds what is found against what aligning all of them gave
// (testdata/published_exhaustive.tsv): a sample, or every query that has a row
// with FORAYSEQ_LONG set.
func TestPublishedAgainstTheRest(t *testing.T) {
	seqs := publishedSequences(t)
	rows := exhaustiveRows(t, filepath.Join("testdata", "published_exhaustive.tsv"))
	lib := exactCase{seqs: seqs}.library()
	var sample []int
	for _, at := range publishedOrder(len(seqs)) {
		if rows[at] != "" && len(sample) < rounds(5, 40, len(seqs)) {
			sample = append(sample, at)
		}
	}
	require.Greater(t, len(sample), 4)
	lastOnly := func(place, of int) bool { return long() || place == of-1 }
	hits, apart := 0, 0
	for i, at := range sample {
		got := searchInTheRest(t, lib, seqs, at, lastOnly)
		// The rows are held to what they stand for now and then.
		if got.row(at) != rows[at] || i < 2 {
			want := alignWithTheRest(t, seqs, at)
			require.Equal(t, want, got, "query %d", at)
			require.Equal(t, rows[at], want.row(at), "aligning all gives other figures than when the rows were made")
		}
		hits, apart = hits+len(got.Hits), apart+len(got.Apart)
	}
	t.Logf("%d queries, %d hits and %d records apart compared", len(sample), hits, apart)
}

// TestPublishedExhaustiveIsMade aligns published sequences, each with all the
// others, and adds their rows to the file named by FORAYSEQ_EXHAUSTIVE, those
// it does not have. It makes no use of the search, and takes more than an hour
// of a processor.
func TestPublishedExhaustiveIsMade(t *testing.T) {
	name := os.Getenv("FORAYSEQ_EXHAUSTIVE")
	if name == "" {
		t.Skip("not asked for: FORAYSEQ_EXHAUSTIVE=FILE to add rows to")
	}
	seqs := publishedSequences(t)
	file, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	require.NoError(t, err)
	made := exhaustiveRows(t, name)
	for _, at := range publishedOrder(len(seqs)) {
		if made[at] == "" {
			_, err = fmt.Fprintln(file, alignWithTheRest(t, seqs, at).row(at))
			require.NoError(t, err)
		}
	}
	require.NoError(t, file.Close())
}
