package contig

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// Reads of one direction make the same mistakes: all slip in the run of eleven.
// The table of errors predicted and seen, by quality, is shown by -v. Counted as
// independent witnesses, four reads had 14 errors seen for 1.1 predicted at
// Q20-29, and 4 for 0.1 at Q40 and more.
func TestRepeatsOfOneDirection(t *testing.T) {
	const samples = 12
	p := simulate.Fair()
	p.Slip, p.RunLoss = 0.1, 0.1
	for _, reads := range []int{2, 4} {
		rng := rand.New(rand.NewPCG(uint64(reads), 71))
		const width = 10
		var bases, wrong [6]int
		var predicted [6]float64
		for range samples {
			template := slices.Concat(simulate.RandomSequence(rng, 250), bytes.Repeat([]byte("T"), 11), simulate.RandomSequence(rng, 440))
			var all []*seqqc.Read
			for k := range reads {
				tr := simulate.Read(rng, template, p)
				all = append(all, &seqqc.Read{File: fmt.Sprint(k), Trace: tr, Direction: seqqc.Forward, Usable: true,
					Kept: seqqc.Interval{Start: 50, End: 640}})
			}
			c, err := Assemble(all, Defaults())
			require.NoError(t, err)
			al, err := align.Overlap(c.Bases, template, align.ITS)
			require.NoError(t, err)
			i, j := al.AStart, al.BStart
			for _, run := range al.Runs {
				for range run.Len {
					b := int(c.Quals[min(i, len(c.Quals)-1)]) / width
					switch run.Op {
					case align.Pair:
						bases[b]++
						predicted[b] += align.CallError(c.Quals[i])
						if align.Mask(c.Bases[i])&align.Mask(template[j]) == 0 {
							wrong[b]++
						}
						i, j = i+1, j+1
					case align.OnlyA:
						bases[b]++
						predicted[b] += align.CallError(c.Quals[i])
						wrong[b]++
						i++
					case align.OnlyB:
						wrong[b]++
						j++
					}
				}
			}
		}
		for b := range bases {
			t.Logf("%d reads, Q%d-%d: %d bases, %.2f errors predicted, %d seen", reads, b*width, b*width+width-1, bases[b], predicted[b], wrong[b])
			require.LessOrEqual(t, float64(wrong[b]), 1.7*predicted[b]+3*math.Sqrt(predicted[b])+3)
		}
	}
}
