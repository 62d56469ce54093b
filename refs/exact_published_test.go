package refs_test

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
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
	Record                                int
	Complemented                          bool
	Score, AStart, AEnd, BStart, BEnd     int
	Columns, Identical, Substitutions     int
	GapBases, Outside, Compared           int
	IdentityPct, CoveragePct, OwnCoverage float64
}

// exhaustive is what aligning a published sequence with all others gives: the
// hits of Best(10, exactWindow, the others) and those of Apart(5, the identity
// of the last of these), and how many pass the gate in all.
type exhaustive struct {
	Query, Passing int
	Hits, Apart    []outlined
}

// alignWithAll aligns seqs[at] with both strands of all others, side by side
// by align.Lanes: one by one takes ten times as long.
func alignWithAll(t *testing.T, seqs, turned [][]byte, at int) exhaustive {
	t.Helper()
	lanes, err := align.NewLanes(seqs[at], align.Interval{})
	require.NoError(t, err)
	own, err := lanes.Outlines(seqs)
	require.NoError(t, err)
	other, err := lanes.Outlines(turned)
	require.NoError(t, err)
	out := exhaustive{Query: at}
	bases := basesOf(seqs[at])
	var pass, apart []outlined
	for r, o := range own {
		if r == at {
			continue
		}
		complemented := other[r].Alignment.Score > o.Alignment.Score
		if complemented {
			o = other[r]
		}
		al, c := o.Alignment, o.Counts
		f := outlined{
			Record: r, Complemented: complemented,
			Score: al.Score, AStart: al.AStart, AEnd: al.AEnd, BStart: al.BStart, BEnd: al.BEnd,
			Columns: c.Columns, Identical: c.Identical, Substitutions: c.Substitutions,
			GapBases: c.GapBases, Outside: c.AOutside, Compared: c.ACompared,
			IdentityPct: c.IdentityPct(),
			CoveragePct: float64(100*c.ACompared) / float64(bases),
			// Of the gap columns, those with a base of the query have none of the
			// record.
			OwnCoverage: float64(100*(c.Columns-(c.ACompared-c.Identical-c.Substitutions))) / float64(basesOf(seqs[r])),
		}
		switch {
		case f.CoveragePct >= exactGate.MinCoveragePct && f.Outside >= exactGate.MinOutside:
			pass = append(pass, f)
		case max(f.CoveragePct, f.OwnCoverage) >= exactGate.MinCoveragePct && f.Columns >= 50:
			apart = append(apart, f)
		}
	}
	order := func(x, y outlined) int {
		return cmp.Or(cmp.Compare(y.IdentityPct, x.IdentityPct), cmp.Compare(y.CoveragePct, x.CoveragePct),
			cmp.Compare(y.Score, x.Score), cmp.Compare(x.Record, y.Record))
	}
	slices.SortFunc(pass, order)
	slices.SortFunc(apart, order)
	out.Passing = len(pass)
	floor := 0.0
	for i, f := range pass {
		const n = 10
		if i >= n && f.IdentityPct < pass[0].IdentityPct-exactWindow(pass[0].IdentityPct) &&
			(f.IdentityPct != pass[n-1].IdentityPct || f.CoveragePct != pass[n-1].CoveragePct || f.Score != pass[n-1].Score) {
			break
		}
		out.Hits, floor = append(out.Hits, f), f.IdentityPct
	}
	for _, f := range apart[:min(5, len(apart))] {
		if f.IdentityPct >= floor {
			out.Apart = append(out.Apart, f)
		}
	}
	return out
}

// TestPublishedAgainstTheRestIsMade aligns each published sequence with all
// others and adds what comes of it to the file named by FORAYSEQ_EXHAUSTIVE, a
// line of JSON a query, going on where it was left. It takes more than an hour
// of one processor and uses nothing of the search.
func TestPublishedAgainstTheRestIsMade(t *testing.T) {
	name := os.Getenv("FORAYSEQ_EXHAUSTIVE")
	if name == "" || os.Getenv("FORAYSEQ_LONG") != "all" {
		t.Skip("not asked for: FORAYSEQ_LONG=all and FORAYSEQ_EXHAUSTIVE=FILE")
	}
	seqs := publishedSequences(t)
	turned := make([][]byte, len(seqs))
	for i, s := range seqs {
		turned[i] = align.ReverseComplement(s)
	}
	made := make(map[int]bool)
	for _, e := range exhaustiveAnswers(t, name) {
		made[e.Query] = true
	}
	file, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	require.NoError(t, err)
	for _, at := range publishedOrder(len(seqs)) {
		if made[at] {
			continue
		}
		line, err := json.Marshal(alignWithAll(t, seqs, turned, at))
		require.NoError(t, err)
		_, err = file.Write(append(line, '\n'))
		require.NoError(t, err)
	}
	require.NoError(t, file.Close())
}

// publishedOrder is a fixed pseudo-random order of the queries: the first of
// them are a fair sample.
func publishedOrder(n int) []int { return rand.New(rand.NewPCG(3, 4276)).Perm(n) }

// exhaustiveAnswers reads what TestPublishedAgainstTheRestIsMade wrote.
func exhaustiveAnswers(t *testing.T, name string) []exhaustive {
	t.Helper()
	file, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	require.NoError(t, err)
	defer file.Close()
	var all []exhaustive
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 1<<24)
	for lines.Scan() {
		var e exhaustive
		if json.Unmarshal(lines.Bytes(), &e) != nil {
			continue // cut off when it was written
		}
		all = append(all, e)
	}
	require.NoError(t, lines.Err())
	return all
}

func basesOf(seq []byte) int { return len(seq) - bytes.Count(seq, []byte("N")) }

// compareWithExhaustive searches a published sequence in the others and holds
// the outcome against all alignments. Those found are aligned once more one by
// one, for the figures that outlines have not. It gives the number of hits.
func compareWithExhaustive(t *testing.T, lib *refs.Library, seqs [][]byte, want exhaustive) int {
	t.Helper()
	q := refs.Query{Seq: seqs[want.Query]}
	scan, err := refs.NewScan(context.Background(), lib, q, exactGate)
	require.NoError(t, err)
	best, err := scan.Best(10, exactWindow, func(record int) bool { return record != want.Query })
	require.NoError(t, err)
	compareOutlines(t, seqs, want.Query, want.Hits, best)
	return len(best)
}

func compareOutlines(t *testing.T, seqs [][]byte, query int, want []outlined, got []refs.Found) {
	t.Helper()
	aligner, err := align.NewAligner(align.ITS)
	require.NoError(t, err)
	require.Len(t, got, len(want), "query %d", query)
	for i, f := range got {
		al, c := f.Alignment, f.Counts
		require.Equal(t, want[i], outlined{
			Record: f.Record, Complemented: f.Complemented,
			Score: al.Score, AStart: al.AStart, AEnd: al.AEnd, BStart: al.BStart, BEnd: al.BEnd,
			Columns: c.Columns, Identical: c.Identical, Substitutions: c.Substitutions,
			GapBases: c.GapBases, Outside: c.AOutside, Compared: c.ACompared,
			IdentityPct: f.IdentityPct, CoveragePct: f.CoveragePct, OwnCoverage: want[i].OwnCoverage,
		}, "query %d, place %d", query, i)
		seq := seqs[f.Record]
		if f.Complemented {
			seq = align.ReverseComplement(seq)
		}
		plain, err := aligner.Overlap(seqs[query], seq)
		require.NoError(t, err)
		require.Equal(t, plain, al, "query %d, place %d", query, i)
		counts, err := plain.Count(seqs[query], seq)
		require.NoError(t, err)
		require.Equal(t, counts, c, "query %d, place %d", query, i)
		require.Equal(t, counts.StrictPct(), f.StrictPct, "query %d, place %d", query, i)
	}
}
