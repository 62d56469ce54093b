package simulate

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// Locus is an invented stretch of ribosomal DNA on the coding strand, from the
// end of the small subunit (SSU) to the start of the large one (LSU).
type Locus struct {
	SSU, ITS1, R58S, ITS2, LSU []byte
}

// The conserved parts hold the sites of the published primers (see
// seqqc.Primers) and the 5.8S motifs CGATGAAGAACGYAGC, GAATTGCAGAAWYC and
// TTTGAAYGCA (Harpke & Peterson 2008). What stands between these sites is from
// memory of what many fungi and, in the plant's 5.8S, many flowering plants
// have in common.
const (
	ssuEnd    = "CTTGGTCATTTAGAGGAAGTAAAAGTCGTAACAAGGTTTCCGTAGGTGAACCTGCGGAAGGATCATTA"
	fungus58S = "AACTTTCAACAACGGATCTCTTGGCTCTCGCATCGATGAAGAACGCAGCGAAATGCGATAAGTAATGTGAATTGCAGAATTCAGTGAATCATCGAATCTTTGAACGCACATTGCGCCCCTTGGTATTCCGAGGGGCATGCCTGTTTGAGTGTCATT"
	plant58S  = "GACTCTCGGCAACGGATATCTCGGCTCTCGCATCGATGAAGAACGTAGCGAAATGCGATACTTGGTGTGAATTGCAGAATCCCGTGAACCATCGAGTCTTTGAACGCAAGTTGCGCCCCAAGCCTTTTGGCCGAGGGCACGTCTGCCTGGGTGTCACA"
	lsuStart  = "TTGACCTCAAATCAGGTAGGACTACCCGCTGAACTTAAGCATATCAATAAGCGGAGGAAAAGAAACTAACAAGGATTCCCCTAGTAACTGCGAGTGAAGCGGGAAAAGCTCAAATTTAAAATCTGG"
)

// RandomSequence draws n bases. One in eight repeats the base before it, so
// that runs of equal bases are somewhat commoner than by chance, as in real
// spacers.
func RandomSequence(rng *rand.Rand, n int) []byte {
	seq := make([]byte, n)
	for i := range seq {
		seq[i] = letters[rng.Uint64()>>62]
		if i > 0 && rng.Uint64()>>61 == 0 {
			seq[i] = seq[i-1]
		}
	}
	return seq
}

// NewLocus invents a locus: conserved ends and 5.8S, random spacers of the
// given lengths, and some 700 bases of LSU of which the start is conserved and
// the end is the site of the primer LR5.
func NewLocus(rng *rand.Rand, its1, its2 int) Locus {
	lr5, _ := seqqc.PrimerByName("LR5")
	return Locus{
		SSU:  []byte(ssuEnd),
		ITS1: RandomSequence(rng, its1),
		R58S: []byte(fungus58S),
		ITS2: RandomSequence(rng, its2),
		LSU:  slices.Concat([]byte(lsuStart), RandomSequence(rng, 600), align.ReverseComplement([]byte(lr5.Seq))),
	}
}

// Plant gives the locus the 5.8S of a plant.
func (l Locus) Plant() Locus {
	l.R58S = []byte(plant58S)
	return l
}

// Seq gives the whole locus.
func (l Locus) Seq() []byte { return slices.Concat(l.SSU, l.ITS1, l.R58S, l.ITS2, l.LSU) }

// ITS gives the stretch from ITS1 to ITS2.
func (l Locus) ITS() []byte { return slices.Concat(l.ITS1, l.R58S, l.ITS2) }

// Evolve gives a descendant. Each base of the spacers changes with probability
// rate: seven in ten changes are substitutions (two in three of these
// transitions), the others insertions and deletions of one to three bases. The
// 5.8S changes by substitutions at a thirtieth of rate, outside the motifs of
// its primers; SSU and LSU stay.
func (l Locus) Evolve(rng *rand.Rand, rate float64) Locus {
	l.ITS1, l.ITS2 = evolve(rng, l.ITS1, rate), evolve(rng, l.ITS2, rate)
	l.R58S = slices.Clone(l.R58S)
	for i := range l.R58S {
		if u := uniform(rng); u < rate/30 && (i < 24 || i >= 105) {
			l.R58S[i] = substitute(rng, l.R58S[i])
		}
	}
	return l
}

func evolve(rng *rand.Rand, seq []byte, rate float64) []byte {
	out := make([]byte, 0, len(seq)+len(seq)/8)
	for i := 0; i < len(seq); i++ {
		if uniform(rng) >= rate {
			out = append(out, seq[i])
			continue
		}
		n := 1 + int(3*uniform(rng)*uniform(rng))
		switch u := uniform(rng); {
		case u < 0.7:
			out = append(out, substitute(rng, seq[i]))
		case u < 0.85:
			i += n - 1
		default:
			out = append(append(out, seq[i]), RandomSequence(rng, n)...)
		}
	}
	return out
}

// substitute draws another base, two times in three the transition.
func substitute(rng *rand.Rand, base byte) byte {
	at := bytes.IndexByte([]byte(letters), base)
	if at < 0 {
		return base
	}
	// In ACGT a transition is two places on.
	return letters[(at+[]int{2, 2, 1, 3, 2, 2}[int(6*uniform(rng))])%4]
}

// Amplicon gives the two strands that sequencing from the two primers of a PCR
// would read, each from the base after its primer to the far end of the
// amplicon. The primers are named as in seqqc.Primers and must lie in seq, in
// this order; the error says which one does not.
func Amplicon(seq []byte, forward, reverse string) (f, r []byte, err error) {
	p, okF := seqqc.PrimerByName(forward)
	q, okR := seqqc.PrimerByName(reverse)
	if !okF || !okR || p.Direction != seqqc.Forward || q.Direction != seqqc.Reverse {
		return nil, nil, fmt.Errorf("%s and %s are no pair of a forward and a reverse primer", forward, reverse)
	}
	start := bytes.Index(seq, []byte(p.Seq))
	if start < 0 {
		return nil, nil, fmt.Errorf("the sequence has no site of the primer %s", forward)
	}
	site := align.ReverseComplement([]byte(q.Seq))
	inner := start + len(p.Seq)
	length := bytes.Index(seq[inner:], site)
	if length < 0 {
		return nil, nil, fmt.Errorf("the sequence has no site of the primer %s behind that of %s", reverse, forward)
	}
	end := inner + length
	return slices.Clone(seq[inner : end+len(site)]), align.ReverseComplement(seq[start:end]), nil
}
