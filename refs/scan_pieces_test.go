package refs

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

// The pieces that a record lacks are no more than the edits of the stretch of
// the query against any part of it; and often there are that many.
func TestPiecesBoundEdits(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 1))
	telling := 0
	for range 40 {
		lib, families := randomLibrary(r, 60, 40)
		for i := range lib.Records {
			seq := lib.Records[i].Seq
			switch r.IntN(6) {
			case 0: // a run of N
				if len(seq) > 40 {
					at := r.IntN(len(seq) - 30)
					copy(seq[at:], bytes.Repeat([]byte("N"), 1+r.IntN(30)))
				}
			case 1:
				lib.Records[i].Seq = spoilt(r, seq, "NRYK", 0.1)
			}
		}
		q := randomQuery(r, families).Seq
		x := lib.scanIndexOf()
		p := cutPieces(q, []int{r.IntN(len(q) + 1), r.IntN(len(q) + 1)})
		require.Equal(t, 0, p.cuts[0])
		require.Equal(t, len(q), p.cuts[len(p.cuts)-1])
		clusterOf := clustersByUnit(x)
		for strand := range 2 {
			for range 40 {
				from := r.IntN(len(p.cuts) - 1)
				to := from + 1 + r.IntN(len(p.cuts)-1-from)
				i := r.IntN(len(lib.Records))
				c := clusterOf[x.unitOf[i]]
				var missing counters
				missing.missing(x.block(0), p.within(align.Interval{Start: p.cuts[from], End: p.cuts[to]}, strand))
				bound := missing.at(int(c)) - int(x.open[c])
				n := r.IntN(40)
				less := missing.below(n)
				require.Equal(t, missing.at(int(c)) < n, less[c/64]>>(c%64)&1 == 1)
				text := lib.Records[i].Seq
				if strand == 1 {
					text = align.ReverseComplement(text)
				}
				stretch := q[p.cuts[from]:p.cuts[to]]
				pattern, err := align.NewPattern(stretch)
				require.NoError(t, err)
				edits := pattern.Distance(text, align.Reach{QEnd: len(stretch), TStart: len(text)}, len(q))
				require.LessOrEqual(t, bound, edits, "strand %d: %s in %s", strand, stretch, text)
				if bound > 0 && 2*bound >= edits {
					telling++
				}
			}
		}
	}
	require.Greater(t, telling, 250)
}

// What the tiles say of the text views of a cluster, and then the distances of
// its centre, is no less than the identity that the distances of its units'
// overlaps allow.
func TestTextViewsAreBounded(t *testing.T) {
	r := rand.New(rand.NewPCG(44, 1))
	telling, several := 0, 0
	for range 40 {
		lib, families := randomLibrary(r, 60, 40)
		q := randomQuery(r, families)
		scan, err := NewScan(context.Background(), lib, q, testGate)
		require.NoError(t, err)
		pattern, err := align.NewPattern(q.Seq)
		require.NoError(t, err)
		scan.views = nil
		scan.addTextViews()
		least := 50 + 45*r.Float64()
		for at := range scan.views {
			v := &scan.views[at]
			units, _ := scan.index.membersOf(v.node)
			check := func() {
				for _, u := range units {
					text := scan.index.appendLetters(nil, u, int(v.strand))
					c, ok := scan.leastCompared(countBases(text))
					if !ok {
						continue
					}
					own := reachOf(text, c)
					reach := scan.textReach(scan.nodeOf(u), v.strand)
					require.Equal(t, own.QStart, reach.TStart)
					require.Equal(t, own.QEnd, reach.TEnd)
					edits := pattern.Distance(text, reach, 10_000)
					size := scan.extentOf(scan.nodeOf(u))
					allowed := scan.ceiling(size, scan.fewer, edits, scan.over(c))
					require.GreaterOrEqual(t, v.ceiling, allowed, "strand %d: %s, %s", v.strand, q.Seq, text)
				}
			}
			check()
			if v.ceiling < 95 {
				telling++
			}
			was := v.ceiling
			scan.deepenBatch([]int32{int32(at)}, false, least)
			check()
			if len(units) > 1 && v.ceiling < was {
				several++
			}
		}
	}
	require.Greater(t, telling, 100)
	require.Greater(t, several, 50)
}

// The words of a block are those of its records, found by looking.
func TestIndexHoldsWords(t *testing.T) {
	r := rand.New(rand.NewPCG(42, 1))
	var seqs []string
	for i := range blockClusters + 40 {
		seqs = append(seqs, string(spoilt(r, randomBases(r, 40+r.IntN(80)), "NRSWN-", []float64{0, 0.02}[i%2])))
	}
	seqs[5], seqs[6] = "ACGTNNNNNNNNNNNNNACGT", "NNNNNNNNNNNNNNNNNN"
	x := libraryOf(seqs...).scanIndexOf()
	require.Equal(t, len(seqs), x.clusters())
	require.Len(t, x.words, 4*gramRows*blockWords) // two blocks of clusters, two of groups
	require.EqualValues(t, 0, x.open[4])
	require.EqualValues(t, 3, x.open[5])
	require.EqualValues(t, 3, x.open[6])
	for range 4000 {
		i, row := r.IntN(len(seqs)), r.IntN(gramRows)
		if r.IntN(2) == 0 && len(seqs[i]) >= gram {
			at := r.IntN(len(seqs[i]) - gram + 1)
			row = 0
			for _, c := range []byte(seqs[i][at : at+gram]) {
				base, _ := plainBase(c)
				row = row<<2 | base
			}
		}
		want := false
		for at := 0; at+gram <= len(seqs[i]); at++ {
			window := []byte(seqs[i][at : at+gram])
			fits := true
			for k, c := range window {
				fits = fits && align.Mask(c)>>(row>>(2*(gram-1-k))&3)&1 != 0
			}
			several, _ := openLetters(window)
			want = want || fits && several <= maxOpen
		}
		at := i % blockClusters
		got := x.block(i / blockClusters).row(row)[at/64]>>(at%64)&1 == 1
		require.Equal(t, want, got, "row %d of %s", row, seqs[i])
	}
}

// BenchmarkScanOfMany is one contig against many references; the time to make what
// all scans share comes apart from it.
func BenchmarkScanOfMany(b *testing.B) {
	for _, records := range []int{5000, 50_000, 200_000} {
		if testing.Short() && records > 5000 {
			continue
		}
		r := rand.New(rand.NewPCG(43, 1))
		lib, species := benchLibrary(r, records, false)
		b.Run(fmt.Sprintf("%d/index", records), func(b *testing.B) {
			for b.Loop() {
				(&Library{Records: lib.Records}).scanIndexOf()
			}
		})
		lib.scanIndexOf()
		for _, rate := range []float64{1e-9, 0.03, 0.1, 0.2} {
			b.Run(fmt.Sprintf("%d/changed=%g", records, rate), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					f := species[r.IntN(min(len(species), records/4))]
					f = family{evolved(r, f.its1, rate), f.middle, evolved(r, f.its2, rate)}
					one := align.Interval{Start: 0, End: len(f.its1)}
					two := align.Interval{Start: one.End + len(f.middle), End: len(f.whole())}
					scan, err := NewScan(context.Background(), lib, Query{Seq: f.whole(), Whole: []align.Interval{one, two},
						Exclude: align.Interval{Start: one.End, End: two.Start}}, testGate)
					require.NoError(b, err)
					found, err := scan.Best(10, voteWindow, nil)
					require.NoError(b, err)
					if len(found) > 0 {
						_, err = scan.Apart(5, found[len(found)-1].IdentityPct)
						require.NoError(b, err)
					}
				}
			})
		}
	}
}
