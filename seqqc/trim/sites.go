package trim

import (
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// One mismatch is allowed in each full basesPerMismatch bases of a primer: 2
// in primers of 16 to 23 bases. A random stretch then fits a 17-base primer
// with probability (1 + 17*3 + 136*9) / 4^17 = 7e-8, so that a read of 700
// bases shows a false site of any of the two dozen patterns about once in a
// thousand reads. Insertions and deletions are not allowed for.
//
// A site cut off by the end of the read must hold at least minPartial bases,
// all alike: 4^-8 = 1.5e-5, and there is one place where it can be.
const (
	basesPerMismatch = 8
	minPartial       = 8
)

// site is where a pattern lies. At is clipped to the read.
type site struct {
	primer     seqqc.Primer
	at         seqqc.Interval
	complement bool // the reverse complement of the primer matches
	mismatches int
}

// pattern gives the primer as codes, inosine read as N, reverse complemented
// where asked for.
func pattern(p seqqc.Primer, complement bool) []byte {
	seq := []byte(p.Seq)
	for i, c := range seq {
		if c == 'I' {
			seq[i] = 'N'
		}
	}
	if complement {
		return align.ReverseComplement(seq)
	}
	return seq
}

// find gives the whole sites of a primer in bases, from left to right.
func find(bases []byte, p seqqc.Primer, complement bool) []site {
	pat := pattern(p, complement)
	allowed := len(pat) / basesPerMismatch
	var out []site
	for start := 0; start+len(pat) <= len(bases); start++ {
		if n := mismatches(bases[start:start+len(pat)], pat, allowed); n <= allowed {
			at := seqqc.Interval{Start: start, End: start + len(pat)}
			out = append(out, site{p, at, complement, n})
		}
	}
	return out
}

// findCutOff gives the longest site of a primer that the start of the read
// (atStart) cuts off, or the end.
func findCutOff(bases []byte, p seqqc.Primer, complement, atStart bool) (site, bool) {
	pat := pattern(p, complement)
	for n := min(len(pat)-1, len(bases)); n >= minPartial; n-- {
		at, part := seqqc.Interval{Start: 0, End: n}, pat[len(pat)-n:]
		if !atStart {
			at, part = seqqc.Interval{Start: len(bases) - n, End: len(bases)}, pat[:n]
		}
		if mismatches(bases[at.Start:at.End], part, 0) == 0 {
			return site{p, at, complement, 0}, true
		}
	}
	return site{}, false
}

// mismatches counts the columns whose codes have no base in common, and those
// with N in the read, which says nothing. A code for some bases agrees where it
// holds the primer's, but mismatches and such codes together may be at most
// twice as many as the mismatches allowed. What goes beyond either bound gives
// a number greater than allowed.
func mismatches(bases, pat []byte, allowed int) int {
	n, vague := 0, 0
	for i, c := range pat {
		switch {
		case align.Mask(bases[i])&align.Mask(c) == 0 || bases[i] == 'N':
			n++
		case !align.Plain(bases[i]):
			vague++
		}
		if n > allowed || n+vague > 2*allowed {
			return allowed + 1
		}
	}
	return n
}

// allSites gives the whole sites of every known primer and tail, on both
// strands, from left to right. Of primers that match the same stretch (ITS3
// and the reverse complement of ITS2; fITS7 and gITS7) the named ones stay,
// then the one with the fewest mismatches, then the first of the table.
func allSites(bases []byte, named ...string) []site {
	var out []site
	for _, list := range [][]seqqc.Primer{seqqc.Primers, seqqc.Tails} {
		for _, p := range list {
			out = append(out, find(bases, p, false)...)
			out = append(out, find(bases, p, true)...)
		}
	}
	isNamed := func(s site) int {
		if slices.Contains(named, s.primer.Name) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out, func(a, b site) int {
		return firstNonZero(a.at.Start-b.at.Start, a.at.End-b.at.End,
			isNamed(a)-isNamed(b), a.mismatches-b.mismatches)
	})
	return slices.CompactFunc(out, func(a, b site) bool { return a.at == b.at })
}

func firstNonZero(ns ...int) int {
	for _, n := range ns {
		if n != 0 {
			return n
		}
	}
	return 0
}
