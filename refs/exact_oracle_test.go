package refs_test

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"forayseq/align"
	"forayseq/refs"

	"github.com/stretchr/testify/require"
)

// plainly is what aligning a query with every record gives: every record on
// its better strand, its own where both score the same, judged and ranked by
// the words of refs.Gate, Scan.Best and Scan.Apart, in the plainest way.
type plainly struct {
	found []refs.Found // of all records, ranked
	apart []bool       // by place in found: what Apart may give
}

// alignPlainly uses nothing but align.Aligner.Overlap and Alignment.Count.
func alignPlainly(t testing.TB, seqs [][]byte, q refs.Query, gate refs.Gate) plainly {
	t.Helper()
	aligner, err := align.NewAligner(align.ITS)
	require.NoError(t, err)
	var p plainly
	apart := make(map[int]bool) // by record
	for r, own := range seqs {
		seq := own
		al, err := aligner.Overlap(q.Seq, seq)
		require.NoError(t, err)
		turned := align.ReverseComplement(own)
		other, err := aligner.Overlap(q.Seq, turned)
		require.NoError(t, err)
		f := refs.Found{Record: r, Alignment: al}
		if other.Score > al.Score {
			f.Alignment, f.Complemented, seq = other, true, turned
		}
		f.Counts, err = f.Alignment.Count(q.Seq, seq, q.Exclude)
		require.NoError(t, err)
		c := f.Counts
		f.IdentityPct, f.StrictPct = percent(c.Identical, c.Columns), percent(c.IdenticalStrict, c.Columns)
		f.CoveragePct = percent(c.ACompared, notN(q.Seq))
		covers := f.CoveragePct >= gate.MinCoveragePct
		for _, w := range q.Whole {
			covers = covers || !w.Empty() && f.Alignment.AStart <= w.Start && w.End <= f.Alignment.AEnd
		}
		f.Pass = covers && c.AOutside >= gate.MinOutside
		ofRecord := percent(comparedOfRecord(q.Seq, seq, f.Alignment), notN(own))
		apart[r] = !f.Pass && c.Columns >= 50 && (covers || ofRecord >= gate.MinCoveragePct)
		p.found = append(p.found, f)
	}
	slices.SortFunc(p.found, func(x, y refs.Found) int { return cmp.Or(byFigures(x, y), cmp.Compare(x.Record, y.Record)) })
	for _, f := range p.found {
		p.apart = append(p.apart, apart[f.Record])
	}
	return p
}

// byFigures orders by what is ranked: identity, coverage, score.
func byFigures(x, y refs.Found) int {
	return cmp.Or(
		cmp.Compare(y.IdentityPct, x.IdentityPct),
		cmp.Compare(y.CoveragePct, x.CoveragePct),
		cmp.Compare(y.Alignment.Score, x.Alignment.Score),
	)
}

// percent is 0 of nothing.
func percent(part, whole int) float64 {
	if whole == 0 {
		return 0
	}
	return float64(100*part) / float64(whole)
}

// notN counts the letters that are not N.
func notN(seq []byte) (n int) {
	for _, c := range seq {
		if c != 'N' && c != 'n' {
			n++
		}
	}
	return n
}

// comparedOfRecord counts the letters of the record that are not N, in the
// columns of an alignment that have N on neither side.
func comparedOfRecord(query, record []byte, al align.Alignment) (n int) {
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		for range run.Len {
			if run.Op != align.OnlyA && notN(record[j:j+1]) == 1 && (run.Op == align.OnlyB || notN(query[i:i+1]) == 1) {
				n++
			}
			if run.Op != align.OnlyB {
				i++
			}
			if run.Op != align.OnlyA {
				j++
			}
		}
	}
	return n
}

// best is what Scan.BestFrom is to give, and Scan.Best with a floor of minus
// infinity.
func (p plainly) best(floor float64, n int, within func(float64) float64, keep func(int) bool) []refs.Found {
	var list []refs.Found
	for _, f := range p.found {
		if !f.Pass || keep != nil && !keep(f.Record) {
			continue
		}
		if len(list) == 0 && f.IdentityPct < floor {
			break // the best one is not enough
		}
		wanted := len(list) < n
		if n > 0 && len(list) >= n {
			wanted = byFigures(list[n-1], f) == 0
		}
		wanted = wanted && f.IdentityPct >= floor
		if within != nil {
			best := f.IdentityPct
			if len(list) > 0 {
				best = list[0].IdentityPct
			}
			wanted = wanted || f.IdentityPct >= best-within(best)
		}
		if !wanted {
			break // what follows ranks no higher
		}
		list = append(list, f)
	}
	return list
}

// nearApart is what Scan.Apart is to give.
func (p plainly) nearApart(k int, floor float64) []refs.Found {
	var list []refs.Found
	for i, f := range p.found {
		if p.apart[i] && f.IdentityPct >= floor && len(list) < k {
			list = append(list, f)
		}
	}
	return list
}

// difference says where a list of the search is another than the plain one;
// "" where they are the same in order and in every figure.
func difference(want, got []refs.Found) string {
	for i := range max(len(want), len(got)) {
		switch {
		case i >= len(got):
			return fmt.Sprintf("%d of %d given; missing: %+v", len(got), len(want), want[i])
		case i >= len(want):
			return fmt.Sprintf("%d given instead of %d; too many: %+v", len(got), len(want), got[i])
		case got[i].Pass != (got[i].Lacks == ""):
			return fmt.Sprintf("place %d: passes: %v, but lacks: %q", i, got[i].Pass, got[i].Lacks)
		}
		w, g := want[i], got[i]
		g.Lacks = ""
		if len(w.Alignment.Runs) == 0 && len(g.Alignment.Runs) == 0 {
			g.Alignment.Runs = w.Alignment.Runs // nil or empty
		}
		if !reflect.DeepEqual(w, g) {
			return fmt.Sprintf("place %d:\nwant %+v\ngot  %+v", i, w, g)
		}
	}
	return ""
}

// tally counts what was compared, so that a test can hold that it was
// something.
type tally struct{ queries, calls, hits, apart int }

func (c *tally) add(d tally) {
	c.queries, c.calls, c.hits, c.apart = c.queries+d.queries, c.calls+d.calls, c.hits+d.hits, c.apart+d.apart
}

func (c tally) String() string {
	return fmt.Sprintf("%d queries, %d calls, %d hits and %d records apart compared", c.queries, c.calls, c.hits, c.apart)
}

// checkCase searches one query in a library, asking a Scan several things in
// turn, so that what it keeps from one call is used by the next.
func checkCase(t testing.TB, r *rand.Rand, lib *refs.Library, c exactCase) (done tally) {
	t.Helper()
	plain := alignPlainly(t, c.seqs, c.query, c.gate)
	scan, err := refs.NewScan(context.Background(), lib, c.query, c.gate)
	require.NoError(t, err)
	asked := ""
	for range 2 + r.IntN(4) {
		var want, got []refs.Found
		var call string
		if r.IntN(3) > 0 {
			n, within, keep := anyBest(r, len(c.seqs), plain)
			floor := math.Inf(-1)
			if r.IntN(3) == 0 {
				floor = anyFloor(r, plain)
				got, err = scan.BestFrom(floor, n, within.of, keep.of)
			} else {
				got, err = scan.Best(n, within.of, keep.of)
			}
			call = fmt.Sprintf("Best(%d, %s, %s) from %v", n, within.name, keep.name, floor)
			want = plain.best(floor, n, within.of, keep.of)
			done.hits += len(want)
		} else {
			k, floor := anyApart(r, plain)
			call = fmt.Sprintf("Apart(%d, %v)", k, floor)
			want = plain.nearApart(k, floor)
			got, err = scan.Apart(k, floor)
			done.apart += len(want)
		}
		asked += " " + call
		require.NoError(t, err, asked)
		if d := difference(want, got); d != "" {
			t.Fatalf("%s\nafter asking%s\nof %s", d, asked, c)
		}
		done.calls++
	}
	done.queries++
	return done
}

// named is a function with what it is.
type named[F any] struct {
	name string
	of   F
}

// anyBest draws what to ask Best. The identities at which a list may end are
// those of hits.
func anyBest(r *rand.Rand, records int, p plainly) (int, named[func(float64) float64], named[func(int) bool]) {
	n := []int{0, 1, 1, 2, 3, 5, 10, r.IntN(records + 2), records + 5}[r.IntN(9)]
	one := r.IntN(records + 1)
	mod := 1 + r.IntN(4)
	best, identity := -1, 100.0
	if len(p.found) > 0 {
		best, identity = p.found[0].Record, p.found[r.IntN(len(p.found))].IdentityPct
	}
	withins := []named[func(float64) float64]{
		{"none", nil},
		{"none", nil},
		{"as votes", exactWindow},
		{"as votes", exactWindow},
		{"0", func(float64) float64 { return 0 }},
		{"5", func(float64) float64 { return 5 }},
		{fmt.Sprintf("down to %v", identity), func(best float64) float64 { return max(0, best-identity) }},
		{"everything", func(float64) float64 { return math.Inf(1) }},
	}
	keeps := []named[func(int) bool]{
		{"all", nil},
		{"all", nil},
		{"all", nil},
		{fmt.Sprintf("but %d", best), func(i int) bool { return i != best }},
		{fmt.Sprintf("but the first %d", one), func(i int) bool { return i >= one }},
		{fmt.Sprintf("only %d", one), func(i int) bool { return i == one }},
		{fmt.Sprintf("every %d.", mod), func(i int) bool { return i%mod == 0 }},
		{"none", func(int) bool { return false }},
	}
	return n, withins[r.IntN(len(withins))], keeps[r.IntN(len(keeps))]
}

// anyApart draws what to ask Apart.
func anyApart(r *rand.Rand, p plainly) (int, float64) {
	return []int{0, 1, 2, 5, 5, 1000}[r.IntN(6)], anyFloor(r, p)
}

// anyFloor draws the identity of a record, exactly or beside it, or none.
func anyFloor(r *rand.Rand, p plainly) float64 {
	floor := 0.0
	if len(p.found) > 0 {
		floor = p.found[r.IntN(len(p.found))].IdentityPct
	}
	switch r.IntN(5) {
	case 0:
		floor = 0
	case 1:
		floor = math.Nextafter(floor, 200)
	case 2:
		floor = math.Nextafter(floor, -1)
	}
	return floor
}

// exactCase is a library and a query.
type exactCase struct {
	seqs  [][]byte
	query refs.Query
	gate  refs.Gate
}

// String writes a case so that it can be tried again.
func (c exactCase) String() string {
	return fmt.Sprintf("query %s whole %v exclude %v gate %v among %q", c.query.Seq, c.query.Whole, c.query.Exclude, c.gate, c.seqs)
}

func (c exactCase) library() *refs.Library {
	records := make([]refs.Record, len(c.seqs))
	for i, s := range c.seqs {
		records[i] = refs.Record{ID: fmt.Sprintf("SYN%d", i), Seq: s, Line: 2*i + 1}
	}
	return refs.NewLibrary(records, nil)
}
