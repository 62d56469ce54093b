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
				lib.Records[i].Seq = spoilt(r, seq, "NRYK-", 0.1)
			}
		}
		q := randomQuery(r, families).Seq
		x := lib.scanIndexOf()
		p := cutPieces(q, []int{r.IntN(len(q) + 1), r.IntN(len(q) + 1)})
		require.Equal(t, 0, p.cuts[0])
		require.Equal(t, len(q), p.cuts[len(p.cuts)-1])
		missing := make([][blockRecords]uint8, len(p.cuts)-1)
		for strand := range 2 {
			p.missing(&x.blocks[0], strand, missing)
			for range 40 {
				from := r.IntN(len(p.cuts) - 1)
				to := from + 1 + r.IntN(len(p.cuts)-1-from)
				i := r.IntN(len(lib.Records))
				bound := -int(x.open[i])
				for k := from; k < to; k++ {
					bound += int(missing[k][i])
				}
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
	require.Greater(t, telling, 300)
}

// What the query's words say of a text view is no more than the distance of
// its overlaps.
func TestTextViewsAreBounded(t *testing.T) {
	r := rand.New(rand.NewPCG(44, 1))
	telling := 0
	for range 30 {
		lib, families := randomLibrary(r, 60, 40)
		q := randomQuery(r, families)
		scan, err := NewScan(context.Background(), lib, q, testGate)
		require.NoError(t, err)
		for i := range lib.Records {
			c, ok := scan.leastCompared(scan.states[i].bases)
			if !ok {
				continue
			}
			for strand := range 2 {
				from := strand*viewKinds + viewText
				if scan.states[i].views[from].done || !scan.boundText(i, from) {
					continue
				}
				text := scan.text(i, strand)
				own := reachOf(text, c)
				require.Equal(t, own.QStart, scan.ownReach(i, strand).QStart)
				require.Equal(t, own.QEnd, scan.ownReach(i, strand).QEnd)
				reach := align.Reach{QStart: len(q.Seq), TStart: own.QStart, TEnd: own.QEnd}
				edits := scan.pattern.Distance(scan.text(i, strand), reach, 10_000)
				bound := scan.states[i].views[from].limit + 1
				require.LessOrEqual(t, bound, edits, "strand %d: %s, %s", strand, q.Seq, lib.Records[i].Seq)
				if 2*bound >= edits {
					telling++
				}
			}
		}
	}
	require.Greater(t, telling, 100)
}

// The words of a block are those of its records, found by looking.
func TestIndexHoldsWords(t *testing.T) {
	r := rand.New(rand.NewPCG(42, 1))
	var seqs []string
	for i := range blockRecords + 40 {
		seqs = append(seqs, string(spoilt(r, randomBases(r, r.IntN(120)), "NRSWN-", []float64{0, 0.02}[i%2])))
	}
	seqs[5], seqs[6] = "ACGTNNNNNNNNNNNNNACGT", "NNNNNNNNNNNNNNNNNN"
	x := libraryOf(seqs...).scanIndexOf()
	require.Len(t, x.blocks, 2)
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
		at := i % blockRecords
		got := x.blocks[i/blockRecords][row][at/64]>>(at%64)&1 == 1
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
