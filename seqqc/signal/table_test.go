package signal

import (
	"bytes"
	"flag"
	"fmt"
	"go/format"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/seqqc/simulate"
)

var update = flag.Bool("update", false, "fit the table of qualities anew")

// judged is one call of which it is known whether it is wrong.
type judged struct {
	Doubt
	quality byte
	wrong   bool
}

// simulated gives the calls of simulated reads, N excepted, with their
// estimated quality.
func simulated(seed uint64, reads int, draw func(*rand.Rand) simulate.Params) []judged {
	rng := rand.New(rand.NewPCG(seed, 8))
	var out []judged
	for range reads {
		template := simulate.RandomSequence(rng, 500+rng.IntN(500))
		tr, truth := simulate.Mixture(rng, []simulate.Template{{Seq: template, Weight: 1}}, draw(rng))
		s := Measure(tr)
		quals := Qualities(tr, s)
		for i, d := range Doubts(tr, s) {
			if tr.Bases[i] != 'N' {
				out = append(out, judged{d, quals[i], truth.Error(i, tr.Bases[i], template)})
			}
		}
	}
	return out
}

// between draws conditions between two presets that follow one another. Real
// peaks scatter more than those of the presets (see package simulate), so that
// up to twice their jitter is added.
func between(rng *rand.Rand) simulate.Params {
	presets := []simulate.Params{simulate.Good(), simulate.Fair(), simulate.Poor()}
	k, x := rng.IntN(2), rng.Float64()
	a, b := presets[k], presets[k+1]
	mix := func(u, v float64) float64 { return u + x*(v-u) }
	p := a
	p.Signal, p.Decay, p.Noise = mix(a.Signal, b.Signal), mix(a.Decay, b.Decay), mix(a.Noise, b.Noise)
	p.Background, p.Crosstalk = mix(a.Background, b.Background), mix(a.Crosstalk, b.Crosstalk)
	p.Widening, p.Blobs = mix(a.Widening, b.Widening), mix(a.Blobs, b.Blobs)
	p.Jitter = mix(a.Jitter, b.Jitter) * (1 + rng.Float64())
	return p
}

// The table is fitted on reads of one seed and held against those of another,
// and against the presets, which are not the reads it was fitted on. In each
// decade the errors seen are within a factor (two, three) of those that the
// table predicts; with the limits that real reads set there may be fewer.
func TestQualitiesMeanWhatTheySay(t *testing.T) {
	if *update {
		require.NoError(t, os.WriteFile("table.go", source(t, fit(simulated(1, 600, between))), 0o644))
		t.Skip("table.go is written; run again")
	}
	preset := func(p simulate.Params) func(*rand.Rand) simulate.Params {
		return func(*rand.Rand) simulate.Params { return p }
	}
	for _, set := range []struct {
		name   string
		factor float64
		draw   func(*rand.Rand) simulate.Params
	}{
		{"between", 2, between}, {"good", 3, preset(simulate.Good())}, {"fair", 3, preset(simulate.Fair())},
		{"poor", 3, preset(simulate.Poor())},
	} {
		calls := simulated(2, 100, set.draw)
		for _, limits := range []bool{false, true} {
			var n, wrong [4]int
			var predicted [4]float64
			for _, c := range calls {
				q := c.tabulated()
				if limits {
					q = c.quality
				}
				n[q/10]++
				predicted[q/10] += align.CallError(q)
				if c.wrong {
					wrong[q/10]++
				}
			}
			for k := range n {
				t.Logf("%-8s limits %-5v Q%d-%d: %6d calls, %7.1f errors predicted, %d seen", set.name, limits, 10*k, 10*k+9, n[k], predicted[k], wrong[k])
				// Room for chance: three standard deviations of a count.
				room := 3*math.Sqrt(predicted[k]) + 3
				require.LessOrEqual(t, float64(wrong[k]), set.factor*predicted[k]+room)
				if !limits && 10*k < MostQuality {
					require.GreaterOrEqual(t, float64(wrong[k]), predicted[k]/set.factor-room)
				}
			}
		}
	}
}

// Fewer calls than this make no line of the table.
const lineCalls = 500

// fit makes the table as Ewing & Green 1998 describe (from memory): of all
// sets of calls that keep four bounds, the one with the lowest error rate
//
//	(1 + wrong) / (1 + calls)
//
// makes the next line, of equal ones the largest; its calls are taken out, and
// so on until few are left, which make the last line. Bounds are tried at the
// twentieths of the calls.
func fit(calls []judged) []qualityLine {
	cuts := [4][]float32{}
	for a := range cuts {
		cuts[a] = quantiles(calls, a)
	}
	// A cell holds the calls between two bounds in each figure; the last
	// figure runs fastest.
	size := len(cuts[0]) * len(cuts[1]) * len(cuts[2]) * len(cuts[3])
	n, wrong := make([]int, size), make([]int, size)
	for _, c := range calls {
		cell := 0
		for a := range cuts {
			k, _ := slices.BinarySearch(cuts[a], c.figure(a))
			cell = cell*len(cuts[a]) + k
		}
		n[cell]++
		if c.wrong {
			wrong[cell]++
		}
	}
	var table []qualityLine
	for {
		sums, errors := cumulated(n, cuts), cumulated(wrong, cuts)
		best, rate := size-1, float64(1+errors[size-1])/float64(1+sums[size-1])
		for k := range sums {
			if sums[k] < lineCalls {
				continue
			}
			r := float64(1+errors[k]) / float64(1+sums[k])
			if r < rate || r == rate && sums[k] > sums[best] {
				best, rate = k, r
			}
		}
		var at [4]int
		most := Doubt{}
		for a, k := 3, best; a >= 0; a-- {
			at[a] = k % len(cuts[a])
			k /= len(cuts[a])
			most.set(a, cuts[a][at[a]])
		}
		table = append(table, qualityLine{byte(min(MostQuality, -10*math.Log10(rate))), most})
		if best == size-1 {
			return table
		}
		for k := range n {
			inside := true
			for a, rest := 3, k; a >= 0; a-- {
				inside = inside && rest%len(cuts[a]) <= at[a]
				rest /= len(cuts[a])
			}
			if inside {
				n[k], wrong[k] = 0, 0
			}
		}
	}
}

// figure gives the a-th figure.
func (d *Doubt) figure(a int) float32 {
	return [4]float32{d.Spacing, d.Uncalled7, d.Uncalled3, d.Resolution}[a]
}

func (d *Doubt) set(a int, v float32) {
	*[4]*float32{&d.Spacing, &d.Uncalled7, &d.Uncalled3, &d.Resolution}[a] = v
}

// quantiles gives the different twentieths of a figure, rounded up to
// hundredths, and each value above zero of the last figure; the last is the
// largest value there can be.
func quantiles(calls []judged, a int) []float32 {
	var v []float32
	for _, c := range calls {
		v = append(v, c.figure(a))
	}
	slices.Sort(v)
	var out []float32
	for k := 1; k < 20; k++ {
		out = append(out, float32(math.Ceil(100*float64(v[len(v)*k/20]))/100))
	}
	if a == 3 {
		for k := range 7 {
			out = append(out, float32(k))
		}
		slices.Sort(out)
		return slices.Compact(out)
	}
	return slices.Compact(append(out, mostDoubt))
}

// cumulated gives for each cell the sum of the cells with no larger figure.
func cumulated(v []int, cuts [4][]float32) []int {
	out := slices.Clone(v)
	stride := 1
	for a := 3; a >= 0; a-- {
		for k := range out {
			if k/stride%len(cuts[a]) > 0 {
				out[k] += out[k-stride]
			}
		}
		stride *= len(cuts[a])
	}
	return out
}

func source(t *testing.T, table []qualityLine) []byte {
	var b bytes.Buffer
	b.WriteString(`// Code generated by go test -run TestQualitiesMeanWhatTheySay -update; DO NOT EDIT.

package signal

// qualityTable is fitted on simulated reads; the best line comes first, and
// the last holds all calls.
var qualityTable = [...]qualityLine{
`)
	for _, l := range table {
		fmt.Fprintf(&b, "{%d, Doubt{Spacing: %v, Uncalled7: %v, Uncalled3: %v, Resolution: %v}},\n",
			l.quality, l.most.Spacing, l.most.Uncalled7, l.most.Uncalled3, l.most.Resolution+0) // no minus zero
	}
	b.WriteString("}\n")
	out, err := format.Source(b.Bytes())
	require.NoError(t, err)
	return out
}
