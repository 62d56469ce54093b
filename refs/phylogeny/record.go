package phylogeny

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"

	"forayseq/align"
)

// Record is one reference.
type Record struct {
	ID string
	// Header is the title line without '>'.
	Header string
	Seq    []byte
}

// What records hold beside the whole ITS, in so many of a hundred (common
// practice, no source, but for the codes: 15 % of the published sequences
// have one).
const (
	wholeITS     = 35 // from ITS1 to ITS2 and no further
	shortFlanks  = 65 // to here: some bases of SSU and LSU
	longFlanks   = 88 // the amplicon of ITS1-F and ITS4
	onlyITS1     = 92 // with some of the 5.8S
	onlyITS2     = 96 // with some of the 5.8S; the others are cut anywhere
	ambiguous    = 13 // with N or other codes
	otherStrand  = 2
	withoutName  = 4 // "uncultured fungus"
	withoutEpith = 8 // "Genus sp."
)

// Record gives record i, 0 <= i < Len().
func (t *Tree) Record(i int) Record {
	nodes := t.path(i)
	rng := t.rng(record, i)
	seq := t.at(&nodes, haplotype).extent(rng)
	if rng.IntN(100) < ambiguous {
		spoil(rng, seq)
	}
	if rng.IntN(100) < otherStrand {
		seq = align.ReverseComplement(seq)
	}
	id := fmt.Sprintf("SYN%07d", i+1)
	return Record{ID: id, Header: id + title(rng, &nodes), Seq: seq}
}

// extent cuts the locus as records are cut.
func (l locus) extent(rng *rand.Rand) []byte {
	switch u := rng.IntN(100); {
	case u < wholeITS:
		return slices.Concat(l.its1, l.r58s, l.its2)
	case u < shortFlanks:
		return slices.Concat([]byte(ssuEnd[len(ssuEnd)-12:]), l.its1, l.r58s, l.its2, []byte(lsuStart[:20]))
	case u < longFlanks:
		return slices.Concat([]byte(ssuEnd), l.its1, l.r58s, l.its2, []byte(lsuStart))
	case u < onlyITS1:
		return slices.Concat([]byte(ssuEnd[len(ssuEnd)-30:]), l.its1, l.r58s[:40])
	case u < onlyITS2:
		return slices.Concat(l.r58s[60:], l.its2, []byte(lsuStart[:30]))
	}
	whole := slices.Concat(l.its1, l.r58s, l.its2)
	cut := rng.IntN(len(whole) / 2)
	if rng.IntN(2) == 0 {
		return whole[cut:]
	}
	return whole[:len(whole)-cut]
}

// spoil puts some codes in the place of bases: N, in runs, or codes that allow
// for the base and for another.
func spoil(rng *rand.Rand, seq []byte) {
	for range 1 + rng.IntN(4) {
		at := rng.IntN(len(seq))
		if rng.IntN(2) == 0 {
			for i := range min(1+rng.IntN(6), len(seq)-at) {
				seq[at+i] = 'N'
			}
			continue
		}
		seq[at] = eitherCode(rng, seq[at])
	}
}

// eitherCode gives a code for the base and another one.
func eitherCode(rng *rand.Rand, base byte) byte {
	codes := map[byte]string{'A': "RMW", 'C': "YMS", 'G': "RKS", 'T': "YKW"}[base]
	if codes == "" {
		return base
	}
	return codes[rng.IntN(len(codes))]
}

// title gives what follows the id, in one of three manners in which libraries
// name a record.
func title(rng *rand.Rand, nodes *[record + 1]int) string {
	genus := genusName(nodes[genus])
	epithet := "syn" + syllables(nodes[species]) + "sa"
	switch u := rng.IntN(100); {
	case u < withoutName:
		return " uncultured fungus synthetic sequence"
	case u < withoutEpith:
		epithet = "sp."
	}
	switch rng.IntN(3) {
	case 0:
		return fmt.Sprintf(" k__Fungi;p__Basidiomycota;c__Agaricomycetes;o__Syn%sales;f__Syn%sraceae;g__%s;s__%s_%s synthetic sequence",
			syllables(nodes[order]), syllables(nodes[family]), genus, genus, epithet)
	case 1:
		return fmt.Sprintf(" [organism=%s %s] [family=Syn%sraceae] synthetic sequence", genus, epithet, syllables(nodes[family]))
	}
	return fmt.Sprintf(" %s %s synthetic sequence", genus, epithet)
}

func genusName(node int) string { return "Syn" + syllables(node) + "lla" }

// syllables spells a number, two syllables at least.
func syllables(n int) string {
	const consonants, vowels = "bcdfgklmnprstv", "aeiou"
	var out []byte
	for n > 0 || len(out) < 4 {
		c := n % (len(consonants) * len(vowels))
		out = append(out, consonants[c/len(vowels)], vowels[c%len(vowels)])
		n /= len(consonants) * len(vowels)
	}
	return string(out)
}

// WriteFASTA writes the library, a record at a time.
func (t *Tree) WriteFASTA(w io.Writer) error {
	out := bufio.NewWriterSize(w, 1<<16)
	for i := range t.Len() {
		r := t.Record(i)
		if _, err := fmt.Fprintf(out, ">%s\n%s\n", r.Header, r.Seq); err != nil {
			return err
		}
	}
	return out.Flush()
}
