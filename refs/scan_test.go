package refs

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

var testGate = Gate{MinCoveragePct: 80, MinOutside: 150}

// voteWindow is a window as a vote uses it.
func voteWindow(best float64) float64 { return max(0.5, (100-best)/4) }

func randomBases(r *rand.Rand, n int) []byte {
	s := make([]byte, n)
	for i := range s {
		s[i] = "ACGT"[r.IntN(4)]
	}
	return s
}

// evolved gives seq with about rate changes a base, of which a quarter are
// gaps of one to four bases.
func evolved(r *rand.Rand, seq []byte, rate float64) []byte {
	out := make([]byte, 0, len(seq)+len(seq)/8)
	for i := 0; i < len(seq); i++ {
		switch x := r.Float64() / rate; {
		case x < 0.75:
			out = append(out, "ACGT"[r.IntN(4)])
		case x < 0.875:
			i += r.IntN(4)
		case x < 1:
			out = append(append(out, randomBases(r, 1+r.IntN(4))...), seq[i])
		default:
			out = append(out, seq[i])
		}
	}
	return out
}

// spoilt puts codes in the place of some bases.
func spoilt(r *rand.Rand, seq []byte, codes string, rate float64) []byte {
	out := slices.Clone(seq)
	for i := range out {
		if r.Float64() < rate {
			out[i] = codes[r.IntN(len(codes))]
		}
	}
	return out
}

// family is what random libraries and queries are made from: three parts,
// the middle one the same in all.
type family struct{ its1, middle, its2 []byte }

func (f family) whole() []byte { return slices.Concat(f.its1, f.middle, f.its2) }

// randomLibrary gives records of families at all distances from one another: whole,
// with flanks, in parts, on the other strand, with N and other codes, and
// copies.
func randomLibrary(r *rand.Rand, records int, unit int) (*Library, []family) {
	middle := randomBases(r, unit)
	root := family{randomBases(r, unit+r.IntN(unit)), middle, randomBases(r, unit+r.IntN(unit))}
	left, right := randomBases(r, unit), randomBases(r, unit)
	families := []family{root}
	for range 5 {
		from := families[r.IntN(len(families))]
		rate := []float64{0.02, 0.1, 0.3}[r.IntN(3)]
		families = append(families, family{evolved(r, from.its1, rate), middle, evolved(r, from.its2, rate)})
	}
	lib := &Library{}
	add := func(seq []byte) {
		lib.Records = append(lib.Records, Record{ID: fmt.Sprintf("R%03d", len(lib.Records)), Seq: seq, Line: 2*len(lib.Records) + 1})
	}
	for len(lib.Records) < records {
		f := families[r.IntN(len(families))]
		rate := []float64{1e-9, 0.005, 0.02, 0.08}[r.IntN(4)]
		f = family{evolved(r, f.its1, rate), f.middle, evolved(r, f.its2, rate)}
		seq := f.whole()
		switch r.IntN(12) {
		case 0:
			seq = slices.Concat(left, seq, right)
		case 1:
			seq = slices.Concat(left[r.IntN(unit):], seq, right[:r.IntN(unit)])
		case 2:
			seq = slices.Concat(f.its1, f.middle)
		case 3:
			seq = slices.Concat(f.middle, f.its2, right)
		case 4:
			seq = f.middle
		case 5:
			lo := r.IntN(len(seq))
			seq = seq[lo : lo+1+r.IntN(len(seq)-lo)]
		case 6:
			seq = spoilt(r, seq, "N", 0.03)
		case 7:
			seq = spoilt(r, seq, "RYSWKMBDHV", 0.02)
		case 8:
			seq = randomBases(r, r.IntN(4*unit)+1)
		case 9:
			if len(lib.Records) > 0 {
				seq = slices.Clone(lib.Records[r.IntN(len(lib.Records))].Seq)
			}
		}
		if r.IntN(4) == 0 {
			seq = align.ReverseComplement(seq)
		}
		add(seq)
	}
	add([]byte("N"))
	add([]byte("ACGT"))
	add(nil)
	return lib, families
}

func randomQuery(r *rand.Rand, families []family) Query {
	f := families[r.IntN(len(families))]
	rate := []float64{1e-9, 0.005, 0.03, 0.12, 0.3}[r.IntN(5)]
	f = family{evolved(r, f.its1, rate), f.middle, evolved(r, f.its2, rate)}
	switch r.IntN(8) {
	case 0:
		f.its1 = spoilt(r, f.its1, "NRYSWKM", 0.03)
	case 1: // two parts
		f.its2 = slices.Concat(f.its2[:len(f.its2)/2], slices.Repeat([]byte("N"), 20), f.its2[len(f.its2)/2+10:])
	}
	one := align.Interval{Start: 0, End: len(f.its1)}
	two := align.Interval{Start: len(f.its1) + len(f.middle), End: len(f.whole())}
	q := Query{Seq: f.whole(), Whole: []align.Interval{one, two}, Exclude: align.Interval{Start: one.End, End: two.Start}}
	switch r.IntN(7) {
	case 0:
		q.Whole = nil
	case 1:
		q.Whole = q.Whole[:1]
	case 2: // a short piece
		cut := r.IntN(len(q.Seq) - 1)
		q = Query{Seq: q.Seq[cut : cut+1+r.IntN(len(q.Seq)-cut-1)]}
	case 3: // ITS2 and the middle only
		cut := q.Exclude.Start
		q.Seq, q.Exclude = q.Seq[cut:], align.Interval{Start: 0, End: two.Start - cut}
		q.Whole = []align.Interval{{Start: two.Start - cut, End: two.End - cut}}
	}
	return q
}

// everything aligns both strands of every record with align.Overlap and
// judges by the words of Gate.
func everything(t testing.TB, lib *Library, q Query, g Gate) []Found {
	t.Helper()
	bases := 0
	for _, c := range q.Seq {
		if c != 'N' {
			bases++
		}
	}
	var all []Found
	aligner, err := align.NewAligner(align.ITS)
	require.NoError(t, err)
	for r, rec := range lib.Records {
		f, err := aligner.Overlap(q.Seq, rec.Seq)
		require.NoError(t, err)
		seq, complemented := rec.Seq, false
		turned := align.ReverseComplement(rec.Seq)
		b, err := aligner.Overlap(q.Seq, turned)
		require.NoError(t, err)
		if b.Score > f.Score {
			f, seq, complemented = b, turned, true
		}
		c, err := f.Count(q.Seq, seq, q.Exclude)
		require.NoError(t, err)
		found := Found{Record: r, Complemented: complemented, Alignment: f, Counts: c, IdentityPct: c.IdentityPct(), StrictPct: c.StrictPct()}
		if bases > 0 {
			found.CoveragePct = 100 * float64(c.ACompared) / float64(bases)
		}
		spanned := slices.ContainsFunc(q.Whole, func(v align.Interval) bool { return f.AStart <= v.Start && f.AEnd >= v.End })
		found.Pass = c.AOutside >= g.MinOutside && (spanned || found.CoveragePct >= g.MinCoveragePct)
		all = append(all, found)
	}
	slices.SortFunc(all, func(x, y Found) int {
		return cmp.Or(cmp.Compare(y.IdentityPct, x.IdentityPct), cmp.Compare(y.CoveragePct, x.CoveragePct),
			cmp.Compare(y.Alignment.Score, x.Alignment.Score), cmp.Compare(x.Record, y.Record))
	})
	return all
}

// expectedBest takes from everything what Best should give.
func expectedBest(all []Found, n int, within func(float64) float64, keep func(int) bool) []Found {
	var out []Found
	for _, f := range all {
		if !f.Pass || keep != nil && !keep(f.Record) {
			continue
		}
		take := len(out) < n
		if n > 0 && len(out) >= n {
			l := out[n-1]
			take = f.IdentityPct == l.IdentityPct && f.CoveragePct == l.CoveragePct && f.Alignment.Score == l.Alignment.Score
		}
		if within != nil && (len(out) == 0 || f.IdentityPct >= out[0].IdentityPct-within(out[0].IdentityPct)) {
			take = true
		}
		if !take {
			break
		}
		out = append(out, f)
	}
	return out
}

func expectedApart(lib *Library, q Query, all []Found, k int, floor float64, g Gate) []Found {
	var out []Found
	for _, f := range all {
		seq := lib.Records[f.Record].Seq
		if f.Complemented {
			seq = align.ReverseComplement(seq)
		}
		// Compared bases of the record: its own, seen as the first sequence.
		turned := f.Alignment
		turned.AStart, turned.AEnd, turned.BStart, turned.BEnd = turned.BStart, turned.BEnd, turned.AStart, turned.AEnd
		turned.Runs = slices.Clone(turned.Runs)
		for i, run := range turned.Runs {
			turned.Runs[i].Op = [3]align.Op{align.Pair, align.OnlyB, align.OnlyA}[run.Op]
		}
		c, err := turned.Count(seq, q.Seq)
		if err != nil {
			panic(err)
		}
		bases := len(seq) - bytesOf(seq, 'N')
		spanned := slices.ContainsFunc(q.Whole, func(v align.Interval) bool { return f.Alignment.AStart <= v.Start && f.Alignment.AEnd >= v.End })
		enough := f.CoveragePct >= g.MinCoveragePct || spanned || bases > 0 && 100*float64(c.ACompared)/float64(bases) >= g.MinCoveragePct
		if !f.Pass && enough && f.Counts.Columns >= 50 && f.IdentityPct >= floor && len(out) < k {
			out = append(out, f)
		}
	}
	return out
}

func bytesOf(seq []byte, letter byte) (n int) {
	for _, c := range seq {
		if c == letter {
			n++
		}
	}
	return n
}

// withoutWords drops Lacks, after holding that it says something exactly
// where the gate is not passed.
func withoutWords(t testing.TB, list []Found) []Found {
	out := slices.Clone(list)
	for i := range out {
		require.Equal(t, out[i].Pass, out[i].Lacks == "")
		out[i].Lacks = ""
	}
	return out
}

func TestScanEqualsAligningEverything(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 2))
	trials := 12
	if testing.Short() {
		trials = 5
	}
	listed, apart := 0, 0
	for trial := range trials {
		unit := []int{25, 40, 70}[trial%3]
		gate := Gate{MinCoveragePct: 80, MinOutside: unit * 3 / 2}
		lib, families := randomLibrary(r, 120, unit)
		for range 3 {
			q := randomQuery(r, families)
			all := everything(t, lib, q, gate)
			scan, err := NewScan(context.Background(), lib, q, gate)
			require.NoError(t, err)
			// In any order of calls, with what earlier ones have worked out.
			for _, call := range r.Perm(7) {
				var got, want []Found
				mod := r.IntN(5) + 1
				keep := func(record int) bool { return record%mod == 0 }
				switch call {
				case 0:
					got, err = scan.Best(10, voteWindow, nil)
					want = expectedBest(all, 10, voteWindow, nil)
					listed += len(want)
				case 1:
					got, err = scan.Best(1, nil, keep)
					want = expectedBest(all, 1, nil, keep)
				case 2:
					wide := func(float64) float64 { return 12 }
					got, err = scan.Best(0, wide, nil)
					want = expectedBest(all, 0, wide, nil)
				case 3:
					n := r.IntN(60)
					got, err = scan.Best(n, nil, keep)
					want = expectedBest(all, n, nil, keep)
				case 4:
					floor := 60 + 40*r.Float64()
					got, err = scan.Apart(5, floor)
					want = expectedApart(lib, q, all, 5, floor, gate)
				case 5:
					got, err = scan.Apart(3, 0)
					want = expectedApart(lib, q, all, 3, 0, gate)
					apart += len(want)
				case 6:
					var some []int
					for record := range lib.Len() {
						if keep(record) {
							some = append(some, record)
						}
					}
					n := r.IntN(20)
					got, err = scan.BestOf(some, n)
					want = expectedBest(all, n, nil, keep)
				}
				require.NoError(t, err)
				require.Empty(t, cmpFound(want, withoutWords(t, got)), "trial %d call %d query %s %+v", trial, call, q.Seq, q)
			}
		}
	}
	require.Greater(t, listed, trials*20)
	require.Greater(t, apart, trials*5)
}

// cmpFound says where two lists differ first.
func cmpFound(want, got []Found) string {
	for i := range max(len(want), len(got)) {
		switch {
		case i >= len(got):
			return fmt.Sprintf("place %d of %d missing: %+v", i, len(want), want[i])
		case i >= len(want):
			return fmt.Sprintf("place %d of %d too many: %+v", i, len(want), got[i])
		case fmt.Sprint(want[i]) != fmt.Sprint(got[i]):
			return fmt.Sprintf("place %d: want %+v, got %+v", i, want[i], got[i])
		}
	}
	return ""
}
