package region

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
)

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

// borders are the four borders as far as the chain places them: those of a
// gene that has no hit are not set.
type borders struct {
	has                                [lsu + 1]bool
	ssuEnd, start58S, end58S, lsuStart border
}

// bordersOf places each border by the hit of the chain nearest to it.
func bordersOf(text []uint8, blanks []int, c chain) borders {
	var b borders
	for _, h := range c.hits {
		p := &patterns[h.motif]
		m := len(p.masks)
		switch p.gene {
		case ssu: // the last hit is the nearest
			b.ssuEnd = borderFrom(text, blanks, h.end, -(p.at + m))
		case r58s:
			if !b.has[r58s] {
				b.start58S = borderFrom(text, blanks, h.start, -p.at)
			}
			b.end58S = borderFrom(text, blanks, h.end, len58S-(p.at+m))
		case lsu:
			if !b.has[lsu] {
				b.lsuStart = borderFrom(text, blanks, h.start, -p.at)
			}
		}
		b.has[p.gene] = true
	}
	return b
}

// describe turns a chain into a Region.
func describe(text []uint8, c chain) seqqc.Region {
	if len(c.hits) == 0 {
		if frame := readingFrame(text); frame > 0 {
			return seqqc.Region{NotITS: codingText(frame), Text: "protein-coding"}
		}
		return seqqc.Region{Text: "no conserved end found"}
	}
	n := len(text)
	blanks := blanksBefore(text)
	b := bordersOf(text, blanks, c)
	r := seqqc.Region{Located: true}
	first, last := 0, n // of the ITS
	if b.has[ssu] {
		first = b.ssuEnd.at
	}
	if b.has[lsu] {
		last = max(b.lsuStart.at, first)
	}
	if b.has[r58s] {
		// Where an estimate of an outer border runs into the 5.8S, the 5.8S,
		// which is of constant length, is right.
		first, last = min(first, b.start58S.at), max(last, b.end58S.at)
		r.ITS1, r.R58S, r.ITS2 = span(first, b.start58S.at), span(b.start58S.at, b.end58S.at), span(b.end58S.at, last)
		r.ITS1Whole = !r.ITS1.Empty() && b.ssuEnd.seen && b.start58S.seen && !gapIn(blanks, r.ITS1)
		r.ITS2Whole = !r.ITS2.Empty() && b.end58S.seen && b.lsuStart.seen && !gapIn(blanks, r.ITS2)
	} else {
		// Nothing parts the spacers but a gap that may hide the 5.8S. Without
		// one the stretch goes to the spacer whose outer border was seen, ITS1
		// where both were. It is never called whole.
		hole := longestGap(blanks, span(first, last))
		switch {
		case !hole.Empty():
			r.ITS1, r.ITS2 = span(first, hole.Start), span(hole.End, last)
		case b.has[ssu]:
			r.ITS1 = span(first, last)
		default:
			r.ITS2 = span(first, last)
		}
	}
	if b.has[ssu] {
		r.SSU = span(0, first)
	}
	if b.has[lsu] {
		r.LSU = span(last, n)
	}
	r.NotITS = lookAlike(r, b)
	if !gapIn(blanks, r.R58S) {
		r.Kingdom, r.KingdomMargin = kingdomOf(text[r.R58S.Start:r.R58S.End])
	}
	r.Lengths = lengths(r, b)
	r.Text = account(r, b, blanks)
	return r
}

// lookAlike says what a sequence with next to no ITS is.
func lookAlike(r seqqc.Region, b borders) string {
	if r.ITS1.Len()+r.R58S.Len()+r.ITS2.Len() >= leastITS || r.SSU.Len()+r.LSU.Len() < leastFlank {
		return ""
	}
	switch {
	case b.has[ssu] && b.has[lsu]:
		return "small and large subunit (18S, 28S) without the ITS between them"
	case b.has[ssu]:
		return "small subunit (18S) only"
	}
	return "large subunit (28S) only"
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
func account(r seqqc.Region, b borders, blanks []int) string {
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
	if b.has[ssu] && b.has[lsu] && !b.has[r58s] && r.ITS2.Empty() {
		add(true, "ITS(5.8S not found)")
	} else {
		add(!r.ITS1.Empty(), word("ITS1", r.ITS1, r.ITS1Whole))
		add(!r.R58S.Empty(), word("5.8S", r.R58S, b.start58S.seen && b.end58S.seen))
		add(!r.ITS2.Empty(), word("ITS2", r.ITS2, r.ITS2Whole))
	}
	add(!r.LSU.Empty(), "LSU(start)")
	return strings.Join(parts, "-")
}

// lengths puts the lengths of the barcode's parts in words, "at least" where an
// end was not seen.
func lengths(r seqqc.Region, b borders) string {
	var parts []string
	for _, part := range []struct {
		name  string
		at    seqqc.Interval
		whole bool
	}{
		{"ITS1", r.ITS1, r.ITS1Whole},
		{"5.8S", r.R58S, b.start58S.seen && b.end58S.seen},
		{"ITS2", r.ITS2, r.ITS2Whole},
	} {
		switch {
		case part.at.Empty():
		case part.whole:
			parts = append(parts, fmt.Sprintf("%s %d", part.name, part.at.Len()))
		default:
			parts = append(parts, fmt.Sprintf("%s at least %d", part.name, part.at.Len()))
		}
	}
	return strings.Join(parts, ", ")
}

// span gives [start, end), the zero Interval where that is empty.
func span(start, end int) seqqc.Interval {
	if end <= start {
		return seqqc.Interval{}
	}
	return seqqc.Interval{Start: start, End: end}
}
