package refs_test

import (
	"bytes"
	"math/rand/v2"
	"slices"

	"forayseq/align"
	"forayseq/refs"
)

// exactKinds are kinds of libraries with queries to search in them, all made up
// by the seed, and most made to be awkward. make gives cases of one library.
var exactKinds = []struct {
	name string
	make func(r *rand.Rand) []exactCase
}{
	{"unrelated", func(r *rand.Rand) []exactCase {
		var seqs [][]byte
		for range 40 {
			seqs = append(seqs, bases(r, 1+r.IntN(160)))
		}
		return searched(r, seqs, bases(r, 1+r.IntN(160)), seqs[3], changed(r, seqs[7], 0.1))
	}},
	{"a phylogeny", func(r *rand.Rand) []exactCase {
		seqs := phylogeny(r, 60, 60+r.IntN(120))
		return searched(r, seqs, changed(r, pick(r, seqs), 0.01), changed(r, pick(r, seqs), 0.1), changed(r, pick(r, seqs), 0.3))
	}},
	{"one genus", func(r *rand.Rand) []exactCase {
		root := bases(r, 100+r.IntN(60))
		var seqs [][]byte
		for range 60 {
			seqs = append(seqs, changed(r, root, 0.04))
		}
		return searched(r, seqs, root, changed(r, root, 0.04), changed(r, root, 0.2))
	}},
	{"ties by a number of changes", func(r *rand.Rand) []exactCase {
		root := bases(r, 60+r.IntN(80))
		var seqs [][]byte
		for range 60 {
			seqs = append(seqs, replaced(r, root, r.IntN(5)))
		}
		return searched(r, seqs, root, replaced(r, root, 3))
	}},
	// One base replaced, left out or put in, and one or two gaps of as many
	// bases: equal identities of unequal coverage or score.
	{"ties in part of the figures", func(r *rand.Rand) []exactCase {
		root := bases(r, 60+r.IntN(80))
		var seqs [][]byte
		for range 60 {
			seq := root
			for range r.IntN(4) {
				at := 10 + r.IntN(len(seq)-20)
				switch r.IntN(4) {
				case 0:
					seq = replaced(r, seq, 1)
				case 1:
					seq = slices.Concat(seq[:at], seq[at+1:])
				case 2:
					seq = slices.Concat(seq[:at], bases(r, 1), seq[at:])
				case 3:
					seq = slices.Concat(seq[:at], bases(r, 2), seq[at:])
				}
			}
			seqs = append(seqs, seq)
		}
		return searched(r, seqs, root, pick(r, seqs))
	}},
	{"one sequence a hundred times", func(r *rand.Rand) []exactCase {
		root := bases(r, 60+r.IntN(60))
		seqs := slices.Repeat([][]byte{root}, 100)
		seqs = append(seqs, replaced(r, root, 1), replaced(r, root, 1), align.ReverseComplement(root), bases(r, 90), root[:len(root)/2])
		return searched(r, mixed(r, seqs), root, replaced(r, root, 1), root[5:], bases(r, 60))
	}},
	{"copies under several names", func(r *rand.Rand) []exactCase {
		seqs := phylogeny(r, 12, 60+r.IntN(60))
		for len(seqs) < 60 {
			seq := pick(r, seqs)
			if r.IntN(3) == 0 {
				seq = align.ReverseComplement(seq)
			}
			seqs = append(seqs, slices.Clone(seq))
		}
		return searched(r, mixed(r, seqs), changed(r, pick(r, seqs), 0.01), changed(r, pick(r, seqs), 0.08), pick(r, seqs))
	}},
	{"codes of several bases", func(r *rand.Rand) []exactCase {
		seqs := phylogeny(r, 40, 60+r.IntN(60))
		for i, seq := range seqs {
			seqs[i] = withCodes(r, seq, "RYSWKMBDHVN", []float64{0, 0.02, 0.1, 0.4, 0.9}[r.IntN(5)])
		}
		q := changed(r, pick(r, seqs), 0.05)
		return searched(r, seqs, q, withCodes(r, q, "RYSWKMBDHVN", 0.1), withCodes(r, q, "RYSWKMBDHV", 0.5), withCodes(r, q, "BDHV", 1))
	}},
	{"alike but for codes", func(r *rand.Rand) []exactCase {
		root := bases(r, 60+r.IntN(60))
		var seqs [][]byte
		for range 50 {
			seqs = append(seqs, coded(r, root, r.IntN(4)))
		}
		return searched(r, mixed(r, seqs), root, coded(r, root, 2), replaced(r, coded(r, root, 1), 1))
	}},
	// All agree with the record of codes, and not with one another.
	{"a record that agrees with all", func(r *rand.Rand) []exactCase {
		root := bases(r, 80+r.IntN(60))
		codes := bytes.Map(func(c rune) rune { return rune("RYRY"[bytes.IndexByte([]byte("ACGT"), byte(c))]) }, root)
		other := bytes.Map(func(c rune) rune { return rune("GTAC"[bytes.IndexByte([]byte("ACGT"), byte(c))]) }, root)
		half := slices.Concat(root[:40], other[40:])
		seqs := [][]byte{codes, root, other, half, slices.Concat(other[:40], root[40:]), bytes.Repeat([]byte("N"), len(root)),
			withCodes(r, codes, "N", 0.5), slices.Concat(codes[:20], root[20:60], codes[60:])}
		for range 25 {
			seqs = append(seqs, replaced(r, pick(r, [][]byte{codes, root, other, half}), r.IntN(4)))
		}
		if r.IntN(2) == 0 {
			seqs = mixed(r, seqs)
		}
		return searched(r, seqs, root, other, codes, half, replaced(r, half, 3))
	}},
	{"runs of N", func(r *rand.Rand) []exactCase {
		seqs := phylogeny(r, 40, 80+r.IntN(60))
		for i, seq := range seqs {
			seqs[i] = withRun(r, seq, "N", r.IntN(60))
		}
		q := changed(r, pick(r, seqs), 0.03)
		run := bytes.Repeat([]byte("N"), 1+r.IntN(40))
		return searched(r, seqs, q, withRun(r, q, "N", 30), slices.Concat(run, q), slices.Concat(q, run), slices.Concat(q[:30], run, q[30:]), run)
	}},
	{"other strands", func(r *rand.Rand) []exactCase {
		seqs := phylogeny(r, 50, 60+r.IntN(80))
		for i := range seqs {
			if r.IntN(2) == 0 {
				seqs[i] = align.ReverseComplement(seqs[i])
			}
		}
		return searched(r, seqs, changed(r, pick(r, seqs), 0.02), align.ReverseComplement(changed(r, pick(r, seqs), 0.1)))
	}},
	// Both strands score the same, or nearly.
	{"palindromes", func(r *rand.Rand) []exactCase {
		root := palindrome(r, bases(r, 20+r.IntN(40)))
		seqs := [][]byte{root, align.ReverseComplement(root)}
		for range 40 {
			seq := palindrome(r, changed(r, root[:len(root)/2], 0.05))
			if r.IntN(2) == 0 {
				seq = replaced(r, seq, r.IntN(3))
			}
			seqs = append(seqs, seq)
		}
		return searched(r, seqs, root, pick(r, seqs), replaced(r, root, 2), root[:len(root)/2])
	}},
	{"parts", func(r *rand.Rand) []exactCase {
		tree := phylogeny(r, 8, 120+r.IntN(80))
		left, right := bases(r, 50), bases(r, 70)
		var seqs [][]byte
		for range 60 {
			seq := pick(r, tree)
			switch r.IntN(6) {
			case 0:
				seq = slices.Concat(left[r.IntN(50):], seq, right[:r.IntN(70)])
			case 1:
				seq = slices.Concat(left, seq[:r.IntN(len(seq))])
			case 2:
				seq = slices.Concat(seq[r.IntN(len(seq)):], right)
			case 3, 4:
				seq = part(r, seq)
			}
			seqs = append(seqs, changed(r, seq, 0.01))
		}
		q := pick(r, tree)
		return searched(r, seqs, q, part(r, q), slices.Concat(left, q, right), slices.Concat(right, q[60:]), slices.Concat(q[:60], bases(r, 60)))
	}},
	// Each record is within another: the longest, or the shortest, may stand for
	// the others.
	{"one within another", func(r *rand.Rand) []exactCase {
		root := bases(r, 200)
		var seqs [][]byte
		for n := 10; n <= 200; n += 5 {
			lo := r.IntN(201 - n)
			seqs = append(seqs, root[lo:lo+n], root[:n], root[200-n:])
		}
		if r.IntN(2) == 0 {
			seqs = mixed(r, seqs)
		}
		return searched(r, seqs, root, root[50:150], changed(r, root[20:140], 0.03), slices.Concat(bases(r, 30), root[30:120], bases(r, 30)))
	}},
	{"coverage at the limit", func(r *rand.Rand) []exactCase {
		root := bases(r, 50+r.IntN(100))
		pct := []float64{80, 80, 50, 75, 100, 90}[r.IntN(6)]
		least := 0
		for percent(least, len(root)) < pct {
			least++
		}
		var seqs [][]byte
		for range 14 {
			for n := max(0, least-2); n <= min(len(root), least+2); n++ {
				lo := []int{0, len(root) - n, r.IntN(len(root) - n + 1)}[r.IntN(3)]
				seq := root[lo : lo+n]
				switch r.IntN(4) {
				case 0:
					seq = replaced(r, seq, min(1, len(seq)))
				case 1:
					seq = slices.Concat(bases(r, 20), seq)
				case 2:
					seq = slices.Concat(seq, bases(r, 20))
				}
				seqs = append(seqs, seq)
			}
		}
		cases := searched(r, seqs, root, withRun(r, root, "N", 2), replaced(r, root, 1))
		for i := range cases {
			cases[i].gate.MinCoveragePct = pct
		}
		return cases
	}},
	{"coverage of the record at the limit", func(r *rand.Rand) []exactCase {
		root := bases(r, 120+r.IntN(100))
		var seqs [][]byte
		for range 50 {
			// 50 to 60 bases in common, 80 % of the record or one base to either
			// side.
			n := 50 + r.IntN(11)
			seqs = append(seqs, slices.Concat(root[:n], bases(r, n/4+r.IntN(3)-1)), slices.Concat(bases(r, n/4+r.IntN(3)-1), root[len(root)-n:]))
		}
		return searched(r, seqs, root, replaced(r, root, 3))
	}},
	// One base more or less than a whole spacer, and less than the coverage.
	{"a whole spacer at the limit", func(r *rand.Rand) []exactCase {
		root := bases(r, 150+r.IntN(50))
		one := align.Interval{Start: r.IntN(5), End: 40 + r.IntN(10)}
		two := align.Interval{Start: 80 + r.IntN(10), End: len(root) - r.IntN(5)}
		var seqs [][]byte
		for range 15 {
			for _, v := range []align.Interval{one, two} {
				lo, hi := max(0, v.Start+r.IntN(3)-1), min(len(root), v.End+r.IntN(3)-1)
				seq := root[lo:hi]
				seqs = append(seqs, seq, slices.Concat(bases(r, 30), seq), replaced(r, seq, 2), changed(r, root[lo:], 0.05))
			}
		}
		whole := [][]align.Interval{{one, two}, {one}, {two}, {two, one}, {one, {}, {Start: 9, End: 9}}}[r.IntN(5)]
		cases := searched(r, seqs, root, replaced(r, root, 2), withRun(r, root, "N", 4))
		for i := range cases {
			cases[i].query.Whole = whole
			cases[i].query.Exclude = align.Interval{Start: one.End, End: two.Start}
			cases[i].gate = refs.Gate{MinCoveragePct: []float64{80, 95, 101}[r.IntN(3)], MinOutside: []int{0, 20, 45, 60}[r.IntN(4)]}
		}
		return cases
	}},
	{"columns outside at the limit", func(r *rand.Rand) []exactCase {
		root := bases(r, 100+r.IntN(60))
		var seqs [][]byte
		for range 50 {
			n := len(root) - r.IntN(8)
			seq := [][]byte{root[:n], root[len(root)-n:]}[r.IntN(2)]
			if at := r.IntN(len(seq)); r.IntN(2) == 0 {
				seq = slices.Concat(seq[:at], bases(r, r.IntN(4)), seq[at:])
			}
			seqs = append(seqs, replaced(r, seq, r.IntN(3)))
		}
		cases := searched(r, seqs, root, root[2:], replaced(r, root, 2))
		for i := range cases {
			q := &cases[i].query
			n := len(q.Seq)
			q.Exclude = []align.Interval{{}, {Start: 0, End: 30}, {Start: n - 30, End: n}, {Start: 40, End: 70}, {Start: 0, End: n}}[r.IntN(5)]
			cases[i].gate = refs.Gate{MinCoveragePct: 80, MinOutside: max(0, n-(q.Exclude.End-q.Exclude.Start)+1-r.IntN(8))}
		}
		return cases
	}},
	{"homopolymers", func(r *rand.Rand) []exactCase {
		var seqs [][]byte
		for range 40 {
			n := r.IntN(90)
			seqs = append(seqs, bytes.Repeat([]byte{"ACGT"[r.IntN(4)]}, n), slices.Concat(bytes.Repeat([]byte("A"), n), bytes.Repeat([]byte{"ACGT"[r.IntN(4)]}, r.IntN(20))))
		}
		return searched(r, seqs, bytes.Repeat([]byte("A"), 60), bytes.Repeat([]byte("T"), 1+r.IntN(90)), seqs[1], replaced(r, bytes.Repeat([]byte("G"), 50), 2))
	}},
	{"few kinds of words", func(r *rand.Rand) []exactCase {
		var seqs [][]byte
		for range 50 {
			unit := bases(r, 1+r.IntN(4))
			seq := bytes.Repeat(unit, 1+r.IntN(30))
			if r.IntN(2) == 0 {
				seq = slices.Concat(seq, bytes.Repeat(bases(r, 2), r.IntN(20)))
			}
			seqs = append(seqs, changed(r, seq, 0.02))
		}
		return searched(r, seqs, pick(r, seqs), replaced(r, bytes.Repeat([]byte("AC"), 40), 2), bytes.Repeat([]byte("TTA"), 20))
	}},
	{"tandem repeats", func(r *rand.Rand) []exactCase {
		unit, left, right := bases(r, 8+r.IntN(20)), bases(r, 30), bases(r, 30)
		repeats := func() []byte {
			return changed(r, slices.Concat(left, bytes.Repeat(unit, r.IntN(6)), right), 0.01)
		}
		var seqs [][]byte
		for range 50 {
			seqs = append(seqs, repeats())
		}
		return searched(r, seqs, repeats(), repeats(), bytes.Repeat(unit, 4), slices.Concat(left, right))
	}},
	{"very short", func(r *rand.Rand) []exactCase {
		root := bases(r, 30)
		var seqs [][]byte
		for range 80 {
			seqs = append(seqs, part(r, pick(r, [][]byte{root, changed(r, root, 0.1), bases(r, 30), bytes.Repeat([]byte("N"), 5)})))
		}
		return searched(r, append(seqs, nil), part(r, root), root, bases(r, 1), bases(r, 2+r.IntN(6)), nil)
	}},
	{"a long query among short records", func(r *rand.Rand) []exactCase {
		root := bases(r, 600)
		var seqs [][]byte
		for range 40 {
			lo := r.IntN(560)
			seqs = append(seqs, changed(r, root[lo:lo+1+r.IntN(40)], 0.05), part(r, bases(r, 40)))
		}
		cases := searched(r, seqs, root, changed(r, root, 0.1))
		for i := range cases {
			cases[i].gate = refs.Gate{MinCoveragePct: percent(r.IntN(30), 600), MinOutside: r.IntN(20)}
		}
		return cases
	}},
	{"a short query among long records", func(r *rand.Rand) []exactCase {
		q := bases(r, 20+r.IntN(30))
		var seqs [][]byte
		for range 20 {
			seqs = append(seqs, slices.Concat(bases(r, r.IntN(700)), changed(r, q, 0.1), bases(r, r.IntN(700))))
		}
		return searched(r, seqs, q, align.ReverseComplement(q), pick(r, seqs)[:20])
	}},
	// Neighbours lie near one another, the ends of the chain far apart.
	{"a chain", func(r *rand.Rand) []exactCase {
		seqs := [][]byte{bases(r, 100+r.IntN(100))}
		for len(seqs) < 60 {
			seqs = append(seqs, changed(r, seqs[len(seqs)-1], 0.02))
		}
		q := [][]byte{changed(r, seqs[0], 0.02), changed(r, seqs[30], 0.01), seqs[59], changed(r, seqs[45], 0.1)}
		if r.IntN(2) == 0 {
			seqs = mixed(r, seqs)
		}
		return searched(r, seqs, q...)
	}},
	// Two ends of two sequences in all four ways: what is near in one half is far
	// in the other.
	{"halves of two", func(r *rand.Rand) []exactCase {
		a, b := bases(r, 120), bases(r, 120)
		halves := [][]byte{a, b, slices.Concat(a[:60], b[60:]), slices.Concat(b[:60], a[60:])}
		var seqs [][]byte
		for range 50 {
			seqs = append(seqs, changed(r, pick(r, halves), 0.02))
		}
		return searched(r, seqs, a, halves[2], slices.Concat(a[60:], b[:60]), changed(r, slices.Concat(a[:90], b[90:]), 0.02))
	}},
	{"equal to others behind a farther one", behindFarther},
	{"one record", func(r *rand.Rand) []exactCase {
		root := bases(r, 1+r.IntN(120))
		seq := [][]byte{root, changed(r, root, 0.1), part(r, root), nil, []byte("N")}[r.IntN(5)]
		return searched(r, [][]byte{seq}, root, changed(r, root, 0.05), slices.Concat(root, bases(r, 5)))
	}},
}

// behindFarther gives pairs of records, the first of which differs from the
// query by all that the second does and by more, so that little is to be hoped
// for from the second where the first stands for both. But the second is as
// near as many others, which share more words with the query.
func behindFarther(r *rand.Rand) []exactCase {
	n := 150 + r.IntN(250)
	q := bases(r, n)
	// What is asked of the query, and how many bases that is.
	pct := []float64{80, 80, 60}[r.IntN(3)]
	least := 0
	for percent(least, n) < pct {
		least++
	}
	lo, hi := 0, n
	var left, right int
	switch r.IntN(6) {
	case 0:
		lo = n/2 - r.IntN(20)
	case 1:
		hi = n/2 + r.IntN(20)
	case 2:
		lo, hi = n/5, 4*n/5
	case 3: // all of the record used, not begun early enough, a spacer whole
		lo, hi = n-least+1+r.IntN(3), n-1-r.IntN(3)
	case 4: // a base less than what is asked, and as much of the record as is asked
		hi = least - 1
		left = int(float64(hi)*(100-pct)/pct) - r.IntN(3)
	case 5:
		left, right = r.IntN(12), r.IntN(12)
	}
	core := q[lo:hi]
	k := r.IntN(4)
	w := 1 + r.IntN(len(core)/40)
	var seqs [][]byte
	add := func(group ...[]byte) {
		before, after, turn := bases(r, left), bases(r, right), r.IntN(4) == 0
		for _, seq := range group {
			if seq = slices.Concat(before, seq, after); turn {
				seq = align.ReverseComplement(seq)
			}
			seqs = append(seqs, seq)
		}
	}
	for range 12 {
		near := replaced(r, core, k)
		at := 10 + r.IntN(len(near)-w-20)
		far := replaced(r, near, w)
		switch r.IntN(7) {
		case 0:
			far = slices.Concat(near[:at], near[at+w:])
		case 1:
			far = slices.Concat(near[:at], bases(r, w), near[at:])
		case 2: // the near one has codes for both
			for i := range near {
				near[i] = align.Code(align.Mask(near[i]) | align.Mask(far[i]))
			}
		case 3: // the near one has N
			for i := range near {
				if near[i] != far[i] {
					near[i] = 'N'
				}
			}
		case 4:
			far = coded(r, near, w)
		case 5: // which is neither compared nor an error
			near = slices.Concat(near[:at], bytes.Repeat([]byte("N"), w), near[at:])
		}
		add(far, near)
	}
	for range 40 {
		seq := slices.Clone(core)
		at := r.IntN(len(seq) - k)
		copy(seq[at:], replaced(r, seq[at:at+k], k))
		add(seq)
	}
	if r.IntN(4) == 0 {
		seqs = mixed(r, seqs)
	}
	cases := searched(r, seqs, q, q, q, replaced(r, q, 1))
	for i := range cases {
		cases[i].gate.MinCoveragePct = pct
		if hi-lo < n && r.IntN(2) == 0 {
			cases[i].query.Whole = []align.Interval{{Start: lo + 3, End: hi - 3}, {Start: n / 2, End: n/2 + 1}}[:1+r.IntN(2)]
			cases[i].gate.MinOutside = 0
		}
	}
	return cases
}

// searched makes cases of one library, each query with some intervals and a
// gate, drawn so that both are at the ends of what they can be now and then.
func searched(r *rand.Rand, seqs [][]byte, queries ...[]byte) []exactCase {
	var cases []exactCase
	for _, seq := range queries {
		q := refs.Query{Seq: seq, Every: r.IntN(20) == 0}
		n := len(seq)
		a, b := r.IntN(n+1), r.IntN(n+1)
		a, b = min(a, b), max(a, b)
		one, middle, two := align.Interval{End: a}, align.Interval{Start: a, End: b}, align.Interval{Start: b, End: n}
		switch r.IntN(7) {
		case 0, 1:
			q.Whole, q.Exclude = []align.Interval{one, two}, middle
		case 2:
			q.Whole, q.Exclude = []align.Interval{one}, middle
		case 3:
			q.Whole, q.Exclude = []align.Interval{two}, one
		case 4:
			q.Whole, q.Exclude = []align.Interval{middle}, two
		}
		g := refs.Gate{
			MinCoveragePct: []float64{80, 80, 80, 50, 95, 100, 0, percent(r.IntN(n+1), n)}[r.IntN(8)],
			MinOutside:     []int{0, 0, 1, n / 4, n / 4, n / 2, n}[r.IntN(7)],
		}
		cases = append(cases, exactCase{seqs, q, g})
	}
	return cases
}
