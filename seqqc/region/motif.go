package region

import (
	"math"
	"math/bits"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// gene is one of the three genes of the repeat, in their order along it.
type gene int

const (
	ssu gene = iota // placed by its 3' end
	r58s
	lsu // placed by its 5' end
)

// Borders. The places are those of the fungal consensus; authors differ by a
// base or two on each of them.
//
//   - SSU | ITS1: after GGAAGGATCATTA.
//   - ITS1 | 5.8S: before AACTTTCA. Published alignments of Morchella
//     (Du et al. 2012, Mycologia) start the 5.8S there, those of Leccinum (den
//     Bakker, Gravendeel & Kuyper, Mycologia) one base earlier.
//   - 5.8S | ITS2: 156 bases on, one after GAGCGTCAT. Morchella as here,
//     Leccinum two bases earlier.
//   - ITS2 | LSU: before TTGACCTC. The mature rRNA of yeast starts two bases
//     earlier (from memory).
const len58S = 156

// motif is a conserved stretch of one gene.
type motif struct {
	gene gene
	name string
	seq  string // coding strand, IUPAC codes
	// at is the place of the first base, counted from the end of the SSU, the
	// start of the 5.8S or the start of the LSU; negative in the SSU.
	at int
	// slack is how many bases insertions and deletions between lineages may
	// move it against its neighbours, beyond what distance alone explains.
	slack  int
	source string
}

// Sources of the motif table. "From memory" marks what was not read anywhere
// for this table.
const (
	harpke   = "Harpke & Peterson 2008 (Viridiplantae)"
	fromHead = "from memory, general knowledge of the gene"
)

// motifs are in the order of the repeat. Places in the 5.8S and around its
// neighbours were counted on published mushroom sequences, those deep in SSU
// and LSU on the sequence of Saccharomyces cerevisiae as remembered; both
// stay within slack in the tests.
var motifs = []motif{
	{ssu, "NS1", "GTAGTCATATGCTTGTCTC", -1781, 400, seqqc.White1990 + ", from memory"},
	{ssu, "NS3", "GCAAGTCTGGTGCCAGCAGCC", -1247, 300, seqqc.White1990 + ", from memory"},
	{ssu, "NS5", "AACTTAAAGGAATTGACGGAAG", -671, 200, seqqc.White1990 + ", from memory"},
	{ssu, "NS7", "GAGGCAATAACAGGTCTGTGATGC", -373, 100, seqqc.White1990 + ", from memory"},
	{ssu, "ITS1-F", "CTTGGTCATTTAGAGGAAGTAA", -68, 4, seqqc.Gardes1993},
	{ssu, "ITS5", "GGAAGTAAAAGTCGTAACAAGG", -54, 2, seqqc.White1990},
	{ssu, "SSU end", "TCCGTAGGTGAACCTGCGGAAGGATCATTR", -30, 0, seqqc.White1990 + " (primer ITS1); last 11 bases from memory"},

	{r58s, "5.8S start, fungi", "AACTTTCARYAAYGGATCTCTTGG", 0, 0, "counted in published mushroom sequences"},
	{r58s, "5.8S start, plants", "RACTCTCRGCAACGGATATCTYGG", 0, 0, fromHead + "; R and Y seen in orchids"},
	{r58s, "5.8S start, animals", "ACTCTTAGCGGTGGATCACTCGG", 1, 0, fromHead},
	{r58s, "5.8S core", "GCATCGATGAAGAACGYAGC", 29, 0, seqqc.White1990 + " (primer ITS3); " + harpke},
	{r58s, "5.8S middle", "TGTGAATTGCAGAAWYC", 65, 0, harpke + "; first 3 bases from memory"},
	{r58s, "5.8S late", "GTGARTCATCGARTCTTTGAAYGCA", 83, 0, seqqc.Ihrmark2012 + " (primer gITS7); " + harpke},
	{r58s, "5.8S end, fungi", "GCATGYCTGTTYGAGYGTCRT", 134, 4, fromHead},
	{r58s, "5.8S end, plants", "GGGCACGYCTGCCTGGGYRTYRC", 132, 6, fromHead + "; codes seen in orchids"},

	{lsu, "LSU start, fungi", "TTGACCTCRRATCAGGTAGG", 0, 0, fromHead},
	{lsu, "LSU start, plants", "GCGACCCCAGGTCAGGCGGG", 0, 0, fromHead},
	{lsu, "LR0R", "ACCCGCTGARYTTAAGC", 23, 2, seqqc.Vilgalys1990 + "; RY for plants from memory"},
	{lsu, "ITS4 site", "GCATATCAATAAGCGGAGGA", 38, 2, seqqc.White1990 + " (reverse complement)"},
	{lsu, "LSU 81", "TAGTAACGGCGAGTGAAGCGG", 81, 4, fromHead},
	{lsu, "LSU 318", "CTAAATAYYGGCGAGAGACCGATAGCGAACAAGTAC", 320, 60, fromHead},
	{lsu, "LR3 site", "CCCGTCTTGAAACACGG", 633, 100, seqqc.Vilgalys1990 + " (reverse complement)"},
	{lsu, "LR5 site", "CGAAGTTTCCCTCAGGA", 940, 150, seqqc.Vilgalys1990 + " (reverse complement); place from memory"},
}

// pattern is a motif ready for searching.
type pattern struct {
	motif
	masks []uint8    // base set of each position
	peq   [16]uint64 // for a base set of the text: the positions that match it
	rev   [16]uint64 // the same for the reversed motif
	// bits[k] is the evidence of a hit with k edits: see chanceBits. It ends
	// with the largest k worth keeping, whose evidence is at least leastBits.
	bits []float64
}

// leastBits is the least evidence at which a hit is kept for chaining: about
// one chance hit of a motif in 1,000 random bases.
const leastBits = 10

// patterns are motifs, then deepMotifs.
var patterns = func() []pattern {
	all := slices.Concat(motifs, deepMotifs)
	out := make([]pattern, len(all))
	for i, m := range all {
		p := pattern{motif: m, masks: make([]uint8, len(m.seq))}
		for j := range m.seq {
			p.masks[j] = align.Mask(m.seq[j])
			for set := range p.peq {
				if informative(uint8(set)) && p.masks[j]&uint8(set) != 0 {
					p.peq[set] |= 1 << j
					p.rev[set] |= 1 << (len(m.seq) - 1 - j)
				}
			}
		}
		for k := 0; ; k++ {
			b := chanceBits(p.masks, k)
			if b < leastBits {
				break
			}
			p.bits = append(p.bits, b)
		}
		out[i] = p
	}
	return out
}()

// informative reports whether a base set of the text may count as a match: a
// code for three or four bases says too little, and a run of N would match
// everything.
func informative(set uint8) bool { n := bits.OnesCount8(set); return n == 1 || n == 2 }

// chanceBits gives the evidence of a hit with at most k edits, -log2 of a
// bound on the probability that random text of equal base frequencies has
// such a hit ending at a given place.
//
// The bound is the union over edit scripts. Position i of the motif matches a
// random base with probability p = |set|/4. Relative to a match, a
// substitution is (1-p)/p times as probable; a deletion asks for no text base
// at all, which is 1/p; an insertion takes any base, 1, any number of them
// before each position. With a = (1-p)/p + 1/p, the coefficient of z^k in
//
//	prod p(i) * prod (1 + a(i) z) / (1 - z)
//
// bounds the scripts with exactly k edits. Nothing is gained by an insertion
// before the first position, so its factor is left out.
func chanceBits(sets []uint8, k int) float64 {
	poly := make([]float64, k+1)
	poly[0] = 1
	for i, set := range sets {
		p := float64(bits.OnesCount8(set)) / 4
		a := (1-p)/p + 1/p
		for e := k; e > 0; e-- {
			poly[e] += a * poly[e-1]
		}
		if i > 0 {
			for e := 1; e <= k; e++ {
				poly[e] += poly[e-1]
			}
		}
		for e := range poly {
			poly[e] *= p
		}
	}
	sum := 0.0
	for _, c := range poly {
		sum += c
	}
	return -math.Log2(sum)
}
