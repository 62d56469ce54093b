package contig

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc"
)

// Reads whose errors are drawn by their qualities, independently, are what
// the model of decide assumes. Then the errors of the contig must be as many
// as its qualities predict, in every class of quality. The table is shown by
// -v.
func TestErrorsAreAsPredicted(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 7))
	pairs := 120
	if testing.Short() {
		pairs = 60
	}
	const width = 10
	var bases, wrong [6]int
	var predicted [6]float64
	for range pairs {
		template := randomBases(rng, 400)
		c, err := Assemble(pairOf(rng, template, 330, 70), Defaults())
		require.NoError(t, err)
		require.Len(t, c.Reads, 2)
		al, err := align.OverlapQuality(
			align.Called{Bases: c.Bases, Quals: even(len(c.Bases), 40)}, align.Called{Bases: template, Quals: even(400, 40)})
		require.NoError(t, err)
		differs := make([]bool, len(c.Bases))
		// An indel in a run of equal bases may lie anywhere in it: it is put
		// down to the most doubtful base of the run and its neighbours.
		indel := func(i int) {
			lo, hi := i-1, i+1
			for lo > 0 && c.Bases[lo] == c.Bases[lo+1] {
				lo--
			}
			for hi < len(c.Bases)-1 && c.Bases[hi] == c.Bases[hi-1] {
				hi++
			}
			lo, hi = max(0, lo), min(len(c.Bases)-1, hi)
			for k := lo; k <= hi; k++ {
				if c.Quals[k] < c.Quals[i] && !differs[k] {
					i = k
				}
			}
			differs[i] = true
		}
		i, j := al.AStart, al.BStart
		for _, run := range al.Runs {
			for range run.Len {
				switch run.Op {
				case align.Pair:
					if align.Mask(c.Bases[i])&align.Mask(template[j]) == 0 {
						differs[i] = true
					}
					i, j = i+1, j+1
				case align.OnlyA:
					indel(i)
					i++
				case align.OnlyB:
					indel(i)
					j++
				}
			}
		}
		for i, q := range c.Quals {
			b := int(q) / width
			bases[b]++
			predicted[b] += align.CallError(q)
			if differs[i] {
				wrong[b]++
			}
		}
	}
	allWrong, allPredicted := 0, 0.0
	for b := range bases {
		t.Logf("Q%d-%d: %d bases, %.2f errors predicted, %d seen", b*width, b*width+width-1, bases[b], predicted[b], wrong[b])
		// Three standard deviations of a count, and a factor of 1.7 for what the
		// model leaves out: where a base was left out or added, the doubt
		// belongs to a place and not to one base.
		room := 3*math.Sqrt(predicted[b]) + 3
		require.LessOrEqual(t, float64(wrong[b]), 1.7*predicted[b]+room)
		require.GreaterOrEqual(t, float64(wrong[b]), predicted[b]/3-room)
		allWrong += wrong[b]
		allPredicted += predicted[b]
	}
	t.Logf("all: %.1f errors predicted, %d seen", allPredicted, allWrong)
	require.Greater(t, allWrong, 20, "too few errors to judge by")
	require.InDelta(t, 1, float64(allWrong)/allPredicted, 0.5)
}

func FuzzAssemble(f *testing.F) {
	f.Add([]byte("ACGTTGCAAGGATCATTACTGACCTTGACGATTAGC"), []byte("GCTAATCGTCAAGGTCAGTAATGATCCTTGCAACGT"), int8(1), int8(-1), uint8(30), uint8(20))
	f.Add([]byte("NNNN"), []byte("RYKM"), int8(0), int8(0), uint8(0), uint8(60))
	f.Add([]byte(strings.Repeat("T", 60)), []byte(strings.Repeat("A", 60)), int8(1), int8(-1), uint8(40), uint8(40))
	f.Fuzz(func(t *testing.T, x, y []byte, dx, dy int8, qx, qy uint8) {
		if len(x) > 300 || len(y) > 300 {
			return
		}
		var reads []*seqqc.Read
		for i, r := range []struct {
			b []byte
			d int8
			q byte
		}{{x, dx, qx}, {y, dy, qy}, {x, 0, 0}} {
			quals := even(len(r.b), r.q)
			for k := range quals {
				quals[k] -= min(quals[k], byte(k%7))
			}
			reads = append(reads, usable(fmt.Sprint(i), seqqc.Direction(min(1, max(-1, r.d))), r.b, quals))
		}
		c, err := Assemble(reads, Defaults())
		if err != nil {
			require.True(t, slices.ContainsFunc(reads, func(r *seqqc.Read) bool {
				return len(r.Trace.Bases) == 0 || align.Invalid(r.Trace.Bases) >= 0
			}), err)
			require.Nil(t, c)
			return
		}
		for _, r := range reads {
			if strings.ToUpper(string(r.Trace.Bases)) != string(r.Trace.Bases) || strings.ContainsRune(string(r.Trace.Bases), 'U') {
				return // readers give upper case and T
			}
		}
		checkContig(t, c, reads)
		require.NotEmpty(t, c.Bases)
	})
}

func BenchmarkAssemble(b *testing.B) {
	rng := rand.New(rand.NewPCG(15, 7))
	reads := pairOf(rng, randomBases(rng, 700), 600, 100)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Assemble(reads, Defaults()); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleAssemble() {
	// A synthetic pair that overlaps by 50 bases. The forward read ends in a
	// base of Q12 that the reverse read contradicts at Q30.
	const sequence = "AAGGATCATTAATGTTATCGAACGCAGTTTGCATTAGTCTGGCACCTTGAGACATCGTCAGATTGGACCTGTAATACGGC"
	forward := []byte(sequence[:70])
	forward[62] = 'G' // for the T of the sequence
	quals := slices.Repeat([]byte{38}, 70)
	quals[62] = 12
	reverse := align.ReverseComplement([]byte(sequence[20:]))

	c, err := Assemble([]*seqqc.Read{
		{File: "x-ITS1F.ab1", Direction: seqqc.Forward, Usable: true, Kept: seqqc.Interval{End: 70},
			Trace: &seqqc.Trace{Bases: forward, Quals: quals}},
		{File: "x-ITS4.ab1", Direction: seqqc.Reverse, Usable: true, Kept: seqqc.Interval{End: 60},
			Trace: &seqqc.Trace{Bases: reverse, Quals: slices.Repeat([]byte{30}, 60)}},
	}, Defaults())
	if errors.Is(err, ErrNoRead) {
		fmt.Println("nothing to assemble")
		return
	}
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Sequence == sequence, len(c.Reads))
	for _, d := range c.Disagreements {
		fmt.Printf("position %d is %s at Q%d:", d.At, d.Code, d.Quality)
		for _, call := range d.Calls {
			fmt.Printf(" %s %s at Q%d", call.File, call.Base, call.Quality)
		}
		fmt.Println()
	}
	// Output:
	// true 2
	// position 62 is T at Q18: x-ITS1F.ab1 G at Q12 x-ITS4.ab1 T at Q30
}

func ExampleAlternatives() {
	// Two synthetic reads with nothing in common.
	read := func(file, bases string) *seqqc.Read {
		return &seqqc.Read{File: file, Direction: seqqc.Forward, Usable: true, Kept: seqqc.Interval{End: len(bases)},
			Trace: &seqqc.Trace{Bases: []byte(bases), Quals: slices.Repeat([]byte{38}, len(bases))}}
	}
	all, err := Alternatives([]*seqqc.Read{
		read("x-ITS1F.ab1", "AAGGATCATTAATGTTATCGAACGCAGTTTGC"),
		read("x-LR0R.ab1", "CTGAACTTAAGCATATCAATAAGCGGAGGAAAAGAAACT"),
	}, Defaults())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range all {
		fmt.Println(c.Reads[0].File, len(c.Bases), c.Notes[0])
	}
	// Output:
	// x-LR0R.ab1 39 left out: x-ITS1F.ab1; it does not overlap x-LR0R.ab1, and should
	// x-ITS1F.ab1 32 left out: x-LR0R.ab1; it does not overlap x-ITS1F.ab1, and should
}
