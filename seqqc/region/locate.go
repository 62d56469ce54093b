package region

import (
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

// GapRun is the length from which a run of N is read as a stretch of unknown
// length, as between the two parts of a contig whose reads do not meet.
const GapRun = 10

// A sequence with fewer than leastITS bases of ITS and at least leastFlank of
// SSU and LSU is called one of these rather than a partial ITS. The flanks of
// an amplicon made with the usual primers are shorter: 68 bases of SSU from
// ITS1-F, 58 of LSU to ITS4.
const (
	leastITS   = 30
	leastFlank = 100
)

// farHit is the distance from a hit to the border it places beyond which the
// border is an estimate: the spacer behind it is not called whole.
const farHit = 120

// Locate says which parts of the ribosomal repeat bases cover, on whichever
// strand they are. The coordinates of the result are those of bases on the
// coding strand: where Complemented is set, bases must be reversed and
// complemented first (Orient does both for a contig).
//
// bases are nucleotide codes in either case; letters that are no code count
// as N. Every border is placed by the nearest conserved motif and is right
// within a few bases; authors differ by as much. A border outside bases, or
// beyond a run of GapRun or more N, was not seen, and the spacer is not whole.
// Time is linear in bases.
func Locate(bases []byte) seqqc.Region {
	text := sets(bases)
	fwd := bestChain(text, search(text))
	other := complement(text)
	rev := bestChain(other, search(other))
	if rev.bits > fwd.bits {
		r := describe(other, rev)
		r.Complemented = true
		return r
	}
	return describe(text, fwd)
}

// sets turns codes into base sets, N for what is no code.
func sets(bases []byte) []uint8 {
	text := make([]uint8, len(bases))
	for i, b := range bases {
		if text[i] = align.Mask(b); text[i] == 0 {
			text[i] = align.MaskN
		}
	}
	return text
}

// complement gives the other strand: A and T are the outer bits of a set, C
// and G the inner ones.
func complement(text []uint8) []uint8 {
	out := make([]uint8, len(text))
	for i, m := range text {
		out[len(text)-1-i] = m&1<<3 | m&2<<1 | m&4>>1 | m&8>>3
	}
	return out
}

// blanksBefore gives, for each place of text and its end, the number of bases
// before it that belong to runs of GapRun or more N.
func blanksBefore(text []uint8) []int {
	before := make([]int, len(text)+1)
	for i := 0; i < len(text); {
		j := i
		for j < len(text) && text[j] == align.MaskN {
			j++
		}
		gap := j-i >= GapRun
		for ; i < j; i++ {
			before[i+1] = before[i]
			if gap {
				before[i+1]++
			}
		}
		if i < len(text) {
			before[i+1] = before[i]
			i++
		}
	}
	return before
}

// border is a place between two parts. seen is false where it had to be
// cut to the text, lies beyond a gap or is far from the hit that places it.
type border struct {
	at   int
	seen bool
}

// borderFrom places a border by bases to the right of (or, negative, left of)
// the end from of a hit.
func borderFrom(text []uint8, blanks []int, from, by int) border {
	n := len(text)
	b := border{at: from + by, seen: by <= farHit && by >= -farHit}
	if b.at < 0 || b.at > n {
		b.seen = false
	}
	b.at = min(max(b.at, 0), n)
	near := min(max(from, 0), n)
	// A gap between hit and border: the border lies in it or beyond it.
	if blanks[near] != blanks[b.at] {
		b.seen = false
		if by > 0 {
			for b.at = near; blanks[b.at+1] == blanks[b.at]; b.at++ {
			}
		} else {
			for b.at = near; blanks[b.at-1] == blanks[b.at]; b.at-- {
			}
		}
	}
	return b
}

// describe turns a chain into a Region.
func describe(text []uint8, c chain) seqqc.Region {
	if len(c.hits) == 0 {
		return seqqc.Region{Text: "no conserved end found"}
	}
	n := len(text)
	blanks := blanksBefore(text)
	r := seqqc.Region{Located: true}
	var ssuEnd, start58S, end58S, lsuStart border
	var has [lsu + 1]bool
	for _, h := range c.hits {
		p := &patterns[h.motif]
		switch p.gene {
		case ssu: // the last one is nearest to its border
			ssuEnd = borderFrom(text, blanks, h.end, -(p.at + len(p.masks)))
		case r58s:
			if !has[r58s] {
				start58S = borderFrom(text, blanks, h.start, -p.at)
			}
			end58S = borderFrom(text, blanks, h.end, len58S-(p.at+len(p.masks)))
		case lsu:
			if !has[lsu] {
				lsuStart = borderFrom(text, blanks, h.start, -p.at)
			}
		}
		has[p.gene] = true
	}
	first, last := 0, n // of the ITS
	if has[ssu] {
		first = ssuEnd.at
	}
	if has[lsu] {
		last = max(lsuStart.at, first)
	}
	if has[r58s] {
		// Where an estimate of an outer border runs into the 5.8S, the 5.8S,
		// which is of constant length, is right.
		first, last = min(first, start58S.at), max(last, end58S.at)
		r.ITS1, r.R58S, r.ITS2 = span(first, start58S.at), span(start58S.at, end58S.at), span(end58S.at, last)
		r.ITS1Whole = !r.ITS1.Empty() && ssuEnd.seen && start58S.seen && !gapIn(blanks, r.ITS1)
		r.ITS2Whole = !r.ITS2.Empty() && end58S.seen && lsuStart.seen && !gapIn(blanks, r.ITS2)
	} else {
		// Nothing parts the spacers but a gap that may hide the 5.8S. Without
		// one the stretch goes to the spacer whose outer border was seen, ITS1
		// where both were. It is never called whole.
		gap := longestGap(blanks, span(first, last))
		switch {
		case !gap.Empty():
			r.ITS1, r.ITS2 = span(first, gap.Start), span(gap.End, last)
		case has[ssu]:
			r.ITS1 = span(first, last)
		default:
			r.ITS2 = span(first, last)
		}
	}
	if has[ssu] {
		r.SSU = span(0, first)
	}
	if has[lsu] {
		r.LSU = span(last, n)
	}
	its := r.ITS1.Len() + r.R58S.Len() + r.ITS2.Len()
	if its < leastITS && r.SSU.Len()+r.LSU.Len() >= leastFlank {
		switch {
		case has[ssu] && has[lsu]:
			r.NotITS = "small and large subunit (18S, 28S) without the ITS between them"
		case has[ssu]:
			r.NotITS = "small subunit (18S) only"
		case has[lsu]:
			r.NotITS = "large subunit (28S) only"
		}
	}
	r.Text = account(r, has, start58S.seen && end58S.seen, blanks)
	return r
}

// gapIn reports whether v holds a base of a gap.
func gapIn(blanks []int, v seqqc.Interval) bool {
	return !longestGap(blanks, v).Empty()
}

// longestGap gives the longest gap in v, the first of equal ones. N at the
// very start or end of the sequence lie between nothing and are no gap.
func longestGap(blanks []int, v seqqc.Interval) seqqc.Interval {
	n := len(blanks) - 1
	for v.Start < v.End && blanks[v.Start+1] == v.Start+1 {
		v.Start++
	}
	for v.End > v.Start && blanks[n]-blanks[v.End-1] == n-v.End+1 {
		v.End--
	}
	var best seqqc.Interval
	start := v.Start
	for i := v.Start; i < v.End; i++ {
		if blanks[i+1] == blanks[i] {
			start = i + 1
		} else if i+1-start > best.Len() {
			best = span(start, i+1)
		}
	}
	return best
}

// account puts the parts in words.
func account(r seqqc.Region, has [lsu + 1]bool, whole58S bool, blanks []int) string {
	word := func(name string, v seqqc.Interval, whole bool) string {
		switch {
		case gapIn(blanks, v):
			return name + "(gap)"
		case !whole:
			return name + "(part)"
		}
		return name
	}
	var parts []string
	add := func(there bool, text string) {
		if there {
			parts = append(parts, text)
		}
	}
	if r.NotITS != "" {
		add(!r.SSU.Empty(), "SSU")
		add(!r.LSU.Empty(), "LSU")
		return strings.Join(parts, "-")
	}
	add(!r.SSU.Empty(), "SSU(end)")
	if has[ssu] && has[lsu] && !has[r58s] && r.ITS2.Empty() {
		add(true, "ITS(5.8S not found)")
	} else {
		add(!r.ITS1.Empty(), word("ITS1", r.ITS1, r.ITS1Whole))
		add(!r.R58S.Empty(), word("5.8S", r.R58S, whole58S))
		add(!r.ITS2.Empty(), word("ITS2", r.ITS2, r.ITS2Whole))
	}
	add(!r.LSU.Empty(), "LSU(start)")
	return strings.Join(parts, "-")
}

// span gives [start, end), the zero Interval where that is empty.
func span(start, end int) seqqc.Interval {
	if end <= start {
		return seqqc.Interval{}
	}
	return seqqc.Interval{Start: start, End: end}
}
