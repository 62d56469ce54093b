package refs

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

// benchLibrary gives synthetic references like those of a club: families
// about 30 % apart, genera 12 %, species 4 %, records 0.5 %, with the 5.8S
// alike in all and flanks on one in three; or, with one genus, all records
// of species 4 % apart.
func benchLibrary(r *rand.Rand, records int, oneGenus bool) (*Library, []family) {
	change := func(f family, rate float64) family {
		return family{evolved(r, f.its1, rate), f.middle, evolved(r, f.its2, rate)}
	}
	root := family{randomBases(r, 230), randomBases(r, 158), randomBases(r, 210)}
	left, right := randomBases(r, 60), randomBases(r, 120)
	lib := &Library{}
	var species []family
	perGenus := 5
	if oneGenus {
		perGenus = records
	}
	for len(lib.Records) < records {
		order := change(root, 0.35)
		for range 8 {
			clan := change(order, 0.25)
			for range 6 {
				genus := change(clan, 0.1)
				for range perGenus {
					kind := change(genus, 0.04)
					species = append(species, kind)
					for range 1 + r.IntN(6) {
						f := change(kind, 0.005)
						seq := f.whole()
						if r.IntN(3) == 0 {
							seq = slices.Concat(left, seq, right)
						}
						if r.IntN(50) == 0 {
							seq = align.ReverseComplement(seq)
						}
						if len(lib.Records) < records {
							lib.Records = append(lib.Records, Record{ID: fmt.Sprint(len(lib.Records)), Seq: seq})
						}
					}
				}
			}
		}
	}
	return lib, species
}

// BenchmarkScan is one contig of about 600 bases against 5,000 references:
// the best ten with the window, and what lies apart.
func BenchmarkScan(b *testing.B) {
	for _, oneGenus := range []bool{false, true} {
		r := rand.New(rand.NewPCG(12, 1))
		lib, species := benchLibrary(r, 5000, oneGenus)
		for _, rate := range []float64{0.002, 0.03, 0.1, 0.2, 0.4} {
			var queries []Query
			for range 8 {
				f := species[r.IntN(min(len(species), len(lib.Records)/4))]
				f = family{evolved(r, f.its1, rate), f.middle, evolved(r, f.its2, rate)}
				one := align.Interval{Start: 0, End: len(f.its1)}
				two := align.Interval{Start: one.End + len(f.middle), End: len(f.whole())}
				queries = append(queries, Query{Seq: f.whole(), Whole: []align.Interval{one, two},
					Exclude: align.Interval{Start: one.End, End: two.Start}})
			}
			kind := "mixed"
			if oneGenus {
				kind = "one_genus"
			}
			b.Run(fmt.Sprintf("%s/changed=%g", kind, rate), func(b *testing.B) {
				b.ReportAllocs()
				aligned, hits, best, i := 0, 0, 0.0, 0
				for b.Loop() {
					q := queries[i%len(queries)]
					scan, err := NewScan(context.Background(), lib, q, testGate)
					require.NoError(b, err)
					found, err := scan.Best(10, voteWindow, nil)
					require.NoError(b, err)
					if len(found) > 0 {
						_, err = scan.Apart(5, found[len(found)-1].IdentityPct)
						require.NoError(b, err)
						best += found[0].IdentityPct
					}
					aligned += len(scan.found)
					hits += len(found)
					i++
				}
				b.ReportMetric(float64(aligned)/float64(i), "aligned/op")
				b.ReportMetric(float64(hits)/float64(i), "hits/op")
				b.ReportMetric(best/float64(i), "best%")
			})
		}
	}
}
