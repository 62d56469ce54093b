package region

import (
	"forayseq/align"
	"forayseq/seqqc"
)

// GapRun is the length from which a run of N is read as a stretch of unknown
// length, as between the two parts of a contig whose reads do not meet.
const GapRun = 10

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
	other := complement(text)
	fwd, rev := bestChain(text, len(motifs)), bestChain(other, len(motifs))
	if !fwd.holds(r58s) && !rev.holds(r58s) {
		fwd, rev = bestChain(text, len(patterns)), bestChain(other, len(patterns))
	}
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
