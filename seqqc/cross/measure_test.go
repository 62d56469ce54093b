package cross_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/cross"
)

// scenario is something built into a batch of 96, and what has to be found.
type scenario struct {
	name  string
	build func(w *world) (found func(cross.Found) bool)
}

var scenarios = []scenario{
	{"exchange of two genera", exchange(2)},
	{"exchange in a ring of three", exchange(3)},
	{"exchange in a ring of four", exchange(4)},
	{"two exchanges at once", func(w *world) func(cross.Found) bool {
		list := w.rightVouchers(4)
		w.move(list[0], list[1])
		w.move(list[2], list[3])
		return func(f cross.Found) bool { return hasRing(w, f, list[:2]) && hasRing(w, f, list[2:]) }
	}},
	{"plate shifted by one well", plateMoved(func(i int) int { return i + 1 })},
	{"plate shifted from a well on", func(w *world) func(cross.Found) bool {
		from := 20 + w.rng.IntN(50)
		return plateMoved(func(i int) int {
			if i < from {
				return i
			}
			return i + 1
		})(w)
	}},
	{"plate turned by 180 degrees", plateMoved(func(i int) int { return 95 - i })},
	{"plate mirrored, rows", plateMoved(func(i int) int { return i/8*8 + 7 - i%8 })},
	{"plate mirrored, columns", plateMoved(func(i int) int { return (11-i/8)*8 + i%8 })},
	{"rows taken for columns", plateMoved(func(i int) int { return i%8*12 + i/8 })},
	{"reads of two crossed", func(w *world) func(cross.Found) bool {
		list := w.rightVouchers(2)
		w.crossReads(list[0], list[1])
		return func(f cross.Found) bool { return has(w, f, seqqc.PatternReadCrossed, list) }
	}},
	{"DNA of one in another genus", func(w *world) func(cross.Found) bool {
		list := w.rightVouchers(2)
		w.put(list[0], w.batch.Vouchers[list[1]].Samples[0])
		w.isClean[list[0]] = false
		return func(f cross.Found) bool {
			return slices.ContainsFunc(of(f, seqqc.PatternOneBarcode), func(b seqqc.Between) bool { return holds(w, b, list) }) ||
				slices.ContainsFunc(of(f, seqqc.PatternCarryOver), func(b seqqc.Between) bool { return holds(w, b, list) })
		}
	}},
	{"blank with DNA of a neighbour", func(w *world) func(cross.Found) bool {
		source := w.rightVouchers(1)[0]
		blank := source + 1 - 2*(source%8/7) // the next well of the column
		w.batch.Vouchers[blank].Voucher.Kind = seqqc.Blank
		w.batch.Vouchers[blank].Voucher.Field = name("")
		w.put(blank, w.batch.Vouchers[source].Samples[0])
		w.isClean[blank] = false
		return func(f cross.Found) bool {
			for _, b := range of(f, seqqc.PatternControl) {
				if b.Vouchers[0] == w.code(blank) && slices.Contains(b.Vouchers, w.code(source)) {
					return true
				}
			}
			return false
		}
	}},
}

func exchange(n int) func(w *world) func(cross.Found) bool {
	return func(w *world) func(cross.Found) bool {
		list := w.rightVouchers(n)
		w.move(list...)
		return func(f cross.Found) bool { return hasRing(w, f, list) }
	}
}

// plateMoved puts the DNA of well to(i), in the order of the columns, into well i.
func plateMoved(to func(i int) int) func(w *world) func(cross.Found) bool {
	return func(w *world) func(cross.Found) bool {
		was := make([]seqqc.SampleResult, 96)
		for i := range was {
			was[i] = w.batch.Vouchers[i].Samples[0]
		}
		for i := range was {
			if k := to(i); k < 96 {
				w.put(i, was[k])
			} else {
				w.put(i, seqqc.SampleResult{})
			}
			if to(i) != i {
				w.isClean[i] = false
			}
		}
		return func(f cross.Found) bool { return len(of(f, seqqc.PatternPlateMoved)) == 1 }
	}
}

// crossReads gives two vouchers each the other's reverse read; the contigs are
// of the forward reads.
func (w *world) crossReads(a, b int) {
	for _, pair := range [][2]int{{a, b}, {b, a}} {
		for i, v := range pair {
			s := w.batch.Vouchers[v].Samples[0]
			w.batch.Singles = append(w.batch.Singles, cross.Single{Voucher: pair[0], File: fmt.Sprintf("%s_%d.ab1", w.code(pair[0]), i),
				Direction: []seqqc.Direction{seqqc.Forward, seqqc.Reverse}[i], Contig: s.Contig, Match: s.Match})
		}
		w.isClean[pair[0]] = false
	}
}

func (w *world) code(v int) string { return w.batch.Vouchers[v].Voucher.Code }

func holds(w *world, b seqqc.Between, list []int) bool {
	return !slices.ContainsFunc(list, func(v int) bool { return !slices.Contains(b.Vouchers, w.code(v)) })
}

func has(w *world, f cross.Found, p seqqc.Pattern, list []int) bool {
	return slices.ContainsFunc(of(f, p), func(b seqqc.Between) bool { return len(b.Vouchers) == len(list) && holds(w, b, list) })
}

// hasRing reports whether the ring of move is found: the DNA of each now lies
// under the next, and so fits the label of the one before.
func hasRing(w *world, f cross.Found, list []int) bool {
	return slices.ContainsFunc(of(f, seqqc.PatternExchange), func(b seqqc.Between) bool {
		if len(b.Vouchers) != len(list) {
			return false
		}
		at := slices.Index(b.Vouchers, w.code(list[0]))
		for i := range list {
			if at < 0 || b.Vouchers[(at+i)%len(list)] != w.code(list[(len(list)-i)%len(list)]) {
				return false
			}
		}
		return true
	})
}

// tally counts what a scenario came to.
type tally struct {
	batches, found int
	// accused are clean vouchers whose row asks for attention, others further
	// exchanges, moves and crossed reads that were not built in.
	accused, others int
}

func measure(t testing.TB, s scenario, batches int) tally {
	t.Helper()
	var sum tally
	rng := rand.New(rand.NewPCG(2026, uint64(len(s.name))))
	for range batches {
		w := newWorld(rng, newKinds(rng, 60), 96, usual)
		isFound := s.build(w)
		f := compare(t, w.batch)
		sum.batches++
		n := len(of(f, seqqc.PatternExchange)) + len(of(f, seqqc.PatternPlateMoved)) + len(of(f, seqqc.PatternReadCrossed))
		if isFound(f) {
			sum.found++
		}
		sum.others += n
		sum.accused += w.accused(f)
	}
	return sum
}

// accused counts clean vouchers whose row asks for attention.
func (w *world) accused(f cross.Found) int {
	n := 0
	for v, list := range f.Findings {
		if w.isClean[v] && slices.ContainsFunc(list, func(f seqqc.Finding) bool { return f.Attention && f.Rule != "between-read_crossed" }) {
			n++
		}
	}
	return n
}

// measureAll measures in batches of 96 invented vouchers of 60 genera, with the
// usual errors besides.
func measureAll(t testing.TB, batches int) map[string]tally {
	out := map[string]tally{}
	for _, s := range scenarios {
		out[s.name] = measure(t, s, batches)
	}
	return out
}

// What is built in is found. The limits leave room for what chance does in so few
// batches; BenchmarkPatterns measures more of them.
func TestPatternsAreFound(t *testing.T) {
	batches := 16
	if testing.Short() {
		batches = 4
	}
	for name, got := range measureAll(t, batches) {
		t.Logf("%-32s %+v", name, got)
		require.GreaterOrEqual(t, got.found, got.batches*87/100, name)
		require.Zero(t, got.accused, name)
	}
}

// A batch in which all labels are right has no pattern, however its silent
// vouchers and broad labels lie.
func TestCleanBatchesAreNotAccused(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	batches := 400
	switch {
	case testing.Short():
		batches = 20
	case os.Getenv("FORAYSEQ_LONG") != "":
		batches = 4000
	}
	k := newKinds(rng, 60)
	for range batches {
		if rng.IntN(20) == 0 {
			k = newKinds(rng, 2+rng.IntN(60))
		}
		w := newWorld(rng, k, 24+rng.IntN(73), errors{silent: 0.06})
		require.Empty(t, compare(t, w.batch).Between)
	}
}

// In batches of which field names are wrong as usual, and nothing else, few have
// a pattern of the laboratory, and no clean voucher is asked about.
func TestWrongNamesAreSeldomTakenForExchanges(t *testing.T) {
	if testing.Short() {
		t.Skip("a hundred batches and more, compared as those of TestPatternsAreFound")
	}
	got := measure(t, wrongNames, 100)
	t.Logf("%+v", got)
	require.LessOrEqual(t, got.others, 6)
	require.Zero(t, got.accused)
}

// wrongNames has nothing built in that could be found.
var wrongNames = scenario{"wrong names only", func(*world) func(cross.Found) bool {
	return func(cross.Found) bool { return false }
}}

// BenchmarkPatterns reports, for each pattern built in, how often it is found, the
// clean vouchers asked about, and the exchanges, moves and crossed reads that were
// not built in, in so many batches.
func BenchmarkPatterns(b *testing.B) {
	const batches = 300
	for _, s := range append(slices.Clone(scenarios), wrongNames) {
		b.Run(s.name, func(b *testing.B) {
			for b.Loop() {
				got := measure(b, s, batches)
				b.ReportMetric(float64(got.batches), "batches")
				b.ReportMetric(100*float64(got.found)/float64(got.batches), "%found")
				b.ReportMetric(float64(got.accused), "accused")
				b.ReportMetric(float64(got.others-got.found*s.patterns()), "others")
			}
		})
	}
}

// patterns is how many exchanges, moves and crossed reads are built in.
func (s scenario) patterns() int {
	switch s.name {
	case "two exchanges at once":
		return 2
	case "DNA of one in another genus", "blank with DNA of a neighbour", "wrong names only":
		return 0
	}
	return 1
}

func BenchmarkCompare(b *testing.B) {
	for _, n := range []int{96, 1000} {
		rng := rand.New(rand.NewPCG(9, 9))
		w := newWorld(rng, newKinds(rng, 120), n, usual)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				compare(b, w.batch)
			}
		})
	}
}
