package demo

import (
	"bytes"
	"fmt"
	"slices"

	"forayseq/align"
	"forayseq/seqqc/simulate"
)

// writeLibrary gives refs.fasta: two or three collections of each species,
// with headers in the three manners in which libraries name a record.
func (w world) writeLibrary() []byte {
	var out bytes.Buffer
	n := 0
	add := func(title string, seq []byte) {
		n++
		// One record in fourteen is on the other strand, as in real libraries.
		if n%14 == 0 {
			seq = align.ReverseComplement(seq)
		}
		fmt.Fprintf(&out, ">SYN%04d%s\n", n, title)
		for line := range slices.Chunk(seq, 70) {
			fmt.Fprintf(&out, "%s\n", line)
		}
	}
	for i, c := range clades {
		for s := range c.species {
			for k := range 2 + (i+s)%2 {
				binomial := c.genus + " " + epithets[s]
				l := w.collection(binomial, fmt.Sprint("reference ", k+1))
				add(header(c, epithets[s], i), extent(l, n))
			}
		}
	}
	// What real libraries hold as well: names given to the wrong sequence, so
	// that it cannot be told which of two is right, records without a name, a
	// genus whose place nobody tells, and a wrong name among many right ones.
	for k := range 2 {
		l := w.collection("Tricholoma synprima", fmt.Sprint("mislabelled ", k+1))
		add(".1 Lepista syntertia synthetic sequence", extent(l, n))
	}
	for k, title := range []string{".1 uncultured fungus synthetic sequence", ".1 Fungi sp. synthetic sequence", ".1 uncultured fungus synthetic sequence"} {
		add(title, extent(w.collection(unnamedClade, fmt.Sprint("reference ", k+1)), n))
	}
	for k := range 2 {
		add(".1 "+placeless+" synthetic sequence", extent(w.collection(placeless, fmt.Sprint("reference ", k+1)), n))
	}
	add(".1 Trametes syntertia synthetic sequence", extent(w.collection("Russula synprima", "mislabelled"), n))
	return out.Bytes()
}

// Two invented clades outside clades: one whose records bear no name, and one
// whose (invented) genus is in no table of lineages.
const (
	unnamedClade = "Nameless synprima"
	placeless    = "Fictomyces synprima"
)

// header gives the rest of a title line behind the record's number.
func header(c clade, epithet string, i int) string {
	switch i % 3 {
	case 0:
		return fmt.Sprintf(" k__%s;p__%s;c__%s;o__%s;f__%s;g__%s;s__%s_%s synthetic sequence",
			c.kingdom, c.phylum, c.class, c.order, c.family, c.genus, c.genus, epithet)
	case 1:
		return fmt.Sprintf(".1 %s %s synthetic sequence", c.genus, epithet)
	}
	return fmt.Sprintf(" [organism=%s %s] synthetic sequence", c.genus, epithet)
}

// extent cuts a locus as records are cut: the whole amplicon of ITS1-F and
// ITS4, that of ITS5 and ITS4, or the ITS with little around it.
func extent(l simulate.Locus, n int) []byte {
	const lsu = 59 // to the end of the ITS4 site
	switch n % 3 {
	case 0:
		return slices.Concat(l.SSU, l.ITS(), l.LSU[:lsu])
	case 1:
		return slices.Concat(l.SSU[16:], l.ITS(), l.LSU[:lsu])
	}
	return slices.Concat(l.SSU[len(l.SSU)-12:], l.ITS(), l.LSU[:20])
}
