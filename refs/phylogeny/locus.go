package phylogeny

import (
	"math/rand/v2"
	"slices"
)

// locus is the ITS of a taxon, with what its lineage does to bases.
type locus struct {
	its1, r58s, its2 []byte
	base             composition
}

// The conserved parts, from memory of what many fungi have in common between
// the sites of published primers (ITS1-F, ITS5, ITS1 and ITS4) and motifs of
// the 5.8S.
const (
	ssuEnd   = "CTTGGTCATTTAGAGGAAGTAAAAGTCGTAACAAGGTTTCCGTAGGTGAACCTGCGGAAGGATCATTA"
	r58S     = "AACTTTCAACAACGGATCTCTTGGCTCTCGCATCGATGAAGAACGCAGCGAAATGCGATAAGTAATGTGAATTGCAGAATTCAGTGAATCATCGAATCTTTGAACGCACATTGCGCCCCTTGGTATTCCGAGGGGCATGCCTGTTTGAGTGTCATT"
	lsuStart = "TTGACCTCAAATCAGGTAGGACTACCCGCTGAACTTAAGCATATCAATAAGCGGAGGA"
)

// branches are the changes from a node to one of the rank, in percent of the
// ITS columns: least and most, small ones being commoner. Two nodes of a rank
// within the same broader one are about twice that apart, and what lies below
// comes on top: records of a species 0 to 1 %, species of a genus 1 to 15 %, genera
// of a family 8 to 25 % (common practice, no source; tests hold the outcome,
// and compare it with published sequences). The spacers of two orders have
// nothing in common: between real ones nothing can be aligned.
var branches = [record]struct{ least, most float64 }{
	family:    {6, 13},
	genus:     {3, 7},
	group:     {1.5, 13},
	species:   {0.3, 5},
	haplotype: {0.08, 0.9},
}

// composition is the stationary share of A, C, G and T, added up, of 1<<16.
type composition [4]uint32

// spacerWeights are limits of the shares before they are made to add up to
// one: the spacers of 40 genera of published sequences (TreeBASE) have 20 to 29
// % A, 17 to 31 % C, 20 to 31 % G and 17 to 37 % T, most little C and much T.
var spacerWeights = [4][2]float64{{0.19, 0.30}, {0.14, 0.27}, {0.16, 0.27}, {0.22, 0.42}}

// Products that are added to something are converted explicitly, here and below,
// so that no machine fuses the two operations into one with another rounding.
func newComposition(rng *rand.Rand) (c composition) {
	var share [4]float64
	sum := 0.0
	for i, limit := range spacerWeights {
		share[i] = limit[0] + float64((limit[1]-limit[0])*rng.Float64())
		sum += share[i]
	}
	total := 0.0
	for i := range share {
		total += share[i]
		c[i] = uint32(total / sum * (1 << 16))
	}
	c[3] = 1 << 16
	return c
}

func (c composition) draw(rng *rand.Rand) byte {
	u := rng.Uint32() >> 16
	for i, limit := range c {
		if u < limit {
			return "ACGT"[i]
		}
	}
	return 'T'
}

// substitute draws another base as in the model of Hasegawa, Kishino & Yano
// 1985 (J. Mol. Evol. 22: 160-174, DOI 10.1007/BF02101694): in proportion to
// its share, transitions kappa times as often. That transitions are commoner
// in the spacers is common practice, no source.
func (c composition) substitute(rng *rand.Rand, from byte) byte {
	const kappa = 2.5
	for {
		to := c.draw(rng)
		switch {
		case to == from:
		case isPurine(to) == isPurine(from), rng.Float64() < 1/kappa:
			return to
		}
	}
}

func isPurine(base byte) bool { return base == 'A' || base == 'G' }

// spacer draws bases, one in fifty the same as that before it: runs of equal
// bases are somewhat commoner than by chance (a test compares with published
// sequences).
func (c composition) spacer(rng *rand.Rand, n int) []byte {
	seq := make([]byte, n)
	for i := range seq {
		if i > 0 && rng.IntN(50) == 0 {
			seq[i] = seq[i-1]
		} else {
			seq[i] = c.draw(rng)
		}
	}
	return seq
}

// newLocus gives the locus of an order. Spacers of 150 to 270 bases are common;
// one order in fifteen has long ones (common practice, no source; four in five
// published sequences have 195 to 345 bases behind the 5.8S, flanks included).
func newLocus(rng *rand.Rand) locus {
	c := newComposition(rng)
	one, two := 150+rng.IntN(120), 155+rng.IntN(110)
	if rng.IntN(15) == 0 {
		one, two = one+rng.IntN(250), two+rng.IntN(200)
	}
	return locus{c.spacer(rng, one), []byte(r58S), c.spacer(rng, two), c}
}

// at gives the locus of a node, from the order down to rank r.
func (t *Tree) at(nodes *[record + 1]int, r rank) locus {
	l := newLocus(t.rng(order, nodes[order]))
	for level := family; level <= r; level++ {
		rng := t.rng(level, nodes[level])
		b, u := branches[level], rng.Float64()
		l = l.evolved(rng, b.least+float64((b.most-b.least)*u*u))
	}
	return l
}

// Of a hundred changes 72 are substitutions, 14 insertions and 14 deletions
// (common practice, no source). gapMean is the mean length of gap below.
const (
	substitutions = 0.72
	insertions    = 0.14
	gapMean       = 2.16
	columnsChange = substitutions + (1-substitutions)*gapMean // columns that a change takes
)

// gap draws the length of an insertion or deletion: half of them one base, a
// quarter two and so on, and one in fifty 6 to 25 bases, as of a repeat.
func gap(rng *rand.Rand) int {
	if rng.IntN(50) == 0 {
		return 6 + rng.IntN(20)
	}
	n := 1
	for n < 20 && rng.Uint32()>>31 == 0 {
		n++
	}
	return n
}

// evolved gives a descendant that differs in about pct percent of the ITS
// columns. The 5.8S changes at a thirtieth of the rate of the spacers, by
// substitutions outside the motifs of its primers.
func (l locus) evolved(rng *rand.Rand, pct float64) locus {
	spacers := len(l.its1) + len(l.its2)
	if spacers == 0 {
		return l
	}
	rate := pct / 100 * float64(spacers+len(l.r58s)) / (float64(spacers) * columnsChange)
	l.its1, l.its2 = l.base.evolve(rng, l.its1, rate), l.base.evolve(rng, l.its2, rate)
	l.r58s = slices.Clone(l.r58s)
	for i := range l.r58s {
		if (i < 24 || i >= 105) && rng.Float64() < rate/30 {
			l.r58s[i] = l.base.substitute(rng, l.r58s[i])
		}
	}
	return l
}

// variability is how fast the sixteenths of a spacer change, against its mean:
// real spacers hold conserved stems between stretches that change freely
// (common practice, no source).
var variability = [16]float64{0.4, 0.9, 1.3, 1.8, 1.5, 0.6, 0.3, 0.9, 1.6, 1.9, 1.2, 0.5, 0.5, 0.9, 1.1, 0.6}

// evolve changes each base with probability rate on average. Half of the
// insertions copy what stands before them, so that runs and microsatellites
// grow where there is one, and the others are random.
func (c composition) evolve(rng *rand.Rand, seq []byte, rate float64) []byte {
	if rate <= 0 {
		return seq
	}
	var limit [len(variability)]uint32
	for i, v := range variability {
		limit[i] = uint32(min(0.9, rate*v) * (1 << 32))
	}
	out := make([]byte, 0, len(seq)+len(seq)/8)
	for part := range limit {
		end := (part + 1) * len(seq) / len(limit)
		for i := part * len(seq) / len(limit); i < end; i++ {
			if rng.Uint32() >= limit[part] {
				out = append(out, seq[i])
				continue
			}
			switch u := rng.Float64(); {
			case u < substitutions:
				out = append(out, c.substitute(rng, seq[i]))
			case u < substitutions+insertions:
				out = append(out, seq[i])
				n := gap(rng)
				if copied := min(n, 4, len(out)); rng.Uint32()>>31 == 0 {
					out = append(out, out[len(out)-copied:]...)
					n -= copied
				}
				out = append(out, c.spacer(rng, n)...)
			default:
				i += gap(rng) - 1
			}
		}
	}
	return out
}
