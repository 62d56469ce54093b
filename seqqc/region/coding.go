package region

import (
	"fmt"
	"math"
	"math/bits"

	"forayseq/align"
)

// The evidence for a protein-coding gene is asked in bits, -log2 of a bound on
// the probability that random bases of the same composition hold as much.
const (
	// leastCodingBits was measured: the transcripts of RefSeq among the archive
	// records have 5 to 43 bits, no ITS has more than 11.
	leastCodingBits = 16
	// leastFrame is the shortest reading frame looked at, in bases.
	leastFrame = 150
	// leastCodons is the number of different codons below which a frame is a
	// tandem repeat rather than a gene: real ones of this length use more.
	leastCodons = 24
)

// readingFrame gives the longest stretch without a stop codon of the frame
// with the most evidence for a protein, in bases, 0 where the evidence is too
// weak. It looks at all six frames, stops in the standard code.
//
// Two signs are added. A frame of k codons without a stop has the probability
// (1-p)^k, where p is that of a stop codon in the composition of text. And the
// three places of a codon differ in composition: with n(b,i) bases b in place i,
// the statistic G = 2 sum n ln(n/expected) has the distribution of chi squared
// with six degrees of freedom in random text (Sokal & Rohlf, Biometry, from
// memory), of which the upper tail is exp(-G/2) (1 + G/2 + G^2/8). The
// frames that were tried are charged for.
func readingFrame(text []uint8) int {
	p := stopProbability(text)
	best, length := float64(leastCodingBits), 0
	for _, strand := range [][]uint8{text, complement(text)} {
		for frame := range 3 {
			start := frame
			for at := frame; at <= len(strand); at += 3 {
				if at+3 <= len(strand) && !isStop(strand[at:at+3]) {
					continue
				}
				if n := at - start; n >= leastFrame {
					codons := strand[start:at]
					b := periodBits(codons) - float64(n/3)*math.Log2(1-p) - math.Log2(6*float64(len(text)))
					if b > best && differentCodons(codons) >= leastCodons {
						best, length = b, n
					}
				}
				start = at + 3
			}
		}
	}
	return length
}

// codingText says what readingFrame found.
func codingText(frame int) string {
	return fmt.Sprintf("a protein-coding gene (a reading frame without a stop over %d bases)", frame)
}

// isStop reports whether a codon is TAA, TAG or TGA; one with a code for
// several bases is none.
func isStop(codon []uint8) bool {
	if codon[0] != align.MaskT {
		return false
	}
	return codon[1] == align.MaskA && (codon[2] == align.MaskA || codon[2] == align.MaskG) || codon[1] == align.MaskG && codon[2] == align.MaskA
}

// composition counts the plain bases of text.
func composition(text []uint8) (n [4]int, all int) {
	for _, set := range text {
		if bits.OnesCount8(set) == 1 {
			n[bits.TrailingZeros8(set)]++
			all++
		}
	}
	return n, all
}

func stopProbability(text []uint8) float64 {
	n, all := composition(text)
	if all == 0 {
		return 0
	}
	a, g, t := float64(n[0])/float64(all), float64(n[2])/float64(all), float64(n[3])/float64(all)
	return min(t*(a*a+2*a*g), 0.999)
}

// periodBits gives -log2 of the tail of G over the three places of the codons.
func periodBits(codons []uint8) float64 {
	var by [3][4]int
	for i, set := range codons {
		if bits.OnesCount8(set) == 1 {
			by[i%3][bits.TrailingZeros8(set)]++
		}
	}
	total, all := composition(codons)
	half := 0.0 // G/2
	for _, place := range by {
		m := place[0] + place[1] + place[2] + place[3]
		for b, n := range place {
			if n > 0 {
				half += float64(n) * math.Log(float64(n)*float64(all)/(float64(m)*float64(total[b])))
			}
		}
	}
	return (half - math.Log(1+half+half*half/2)) / math.Ln2
}

func differentCodons(codons []uint8) int {
	seen := map[[3]uint8]bool{}
	for i := 0; i+3 <= len(codons); i += 3 {
		seen[[3]uint8(codons[i:i+3])] = true
	}
	return len(seen)
}
