package region

import (
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// Orient brings c to the coding strand, sets its Region and the flags
// reverse_complemented and region_incomplete.
//
// A contig that lies on the other strand is reversed and complemented: bases,
// qualities, their texts, read placements, disagreements and gap. Notes are
// left as they are and should not name positions. Region.Complemented stays
// set when Orient is called again on a contig it turned.
//
// region_incomplete means that the ITS was located and not both spacers were
// seen from end to end; it says nothing where no border was found, or of a
// sequence that is no ITS. A contig that holds the 5.8S twice gets a note and
// the flag chimera_suspected.
func Orient(c *seqqc.Contig) {
	turned := c.Region.Complemented
	r := Locate(c.Bases)
	if r.Complemented {
		reverseComplement(c)
	}
	r.Complemented = r.Complemented != turned
	c.Region = r

	flags := slices.DeleteFunc(slices.Clone(c.Flags), func(f seqqc.Flag) bool {
		return f == seqqc.ReverseComplemented || f == seqqc.RegionIncomplete
	})
	var found []seqqc.Flag
	if r.Complemented {
		found = append(found, seqqc.ReverseComplemented)
	}
	if r.Located && r.NotITS == "" && (!r.ITS1Whole || !r.ITS2Whole) {
		found = append(found, seqqc.RegionIncomplete)
	}
	if again58S(c.Bases, r.R58S) {
		found = append(found, seqqc.ChimeraSuspected)
		if !slices.Contains(c.Notes, twice58S) {
			c.Notes = append(slices.Clone(c.Notes), twice58S)
		}
	}
	c.Flags = seqqc.MergeFlags(flags, found)
}

const twice58S = "it holds the 5.8S twice, as two sequences written behind one another: only one of them is compared"

// again58S reports whether bases hold another 5.8S beside the one at on, on
// either strand. No molecule of one ITS does.
func again58S(bases []byte, on seqqc.Interval) bool {
	if on.Empty() {
		return false
	}
	for _, rest := range [][]byte{bases[:on.Start], bases[on.End:]} {
		if len(rest) < len58S {
			continue
		}
		text := sets(rest)
		for _, strand := range [][]uint8{text, complement(text)} {
			if bestChain(strand, len(motifs)).holds(r58s) {
				return true
			}
		}
	}
	return false
}

// reverseComplement turns all of c but its Region, Flags and Notes. It changes
// no slice in place, for the caller may hold them elsewhere too.
func reverseComplement(c *seqqc.Contig) {
	n := len(c.Bases)
	c.Bases = align.ReverseComplement(c.Bases)
	c.Quals = slices.Clone(c.Quals)
	slices.Reverse(c.Quals)
	c.Sequence = string(align.ReverseComplement([]byte(c.Sequence)))
	phred := []byte(c.Phred33)
	slices.Reverse(phred)
	c.Phred33 = string(phred)
	c.Gap = mirror(c.Gap, n)

	// The strand of each read before turning: +1 along the contig.
	step := make(map[string]int, len(c.Reads))
	c.Reads = slices.Clone(c.Reads)
	for i := range c.Reads {
		p := &c.Reads[i]
		step[p.File] = 1
		if p.Complemented {
			step[p.File] = -1
		}
		p.On = mirror(p.On, n)
		p.Complemented = !p.Complemented
	}

	c.Disagreements = slices.Clone(c.Disagreements)
	slices.Reverse(c.Disagreements)
	for i := range c.Disagreements {
		d := &c.Disagreements[i]
		if d.Code == noBase {
			d.At = n - d.At // a place between bases
		} else {
			d.At = n - 1 - d.At
		}
		d.Code = complementCode(d.Code)
		d.Calls = slices.Clone(d.Calls)
		for k := range d.Calls {
			call := &d.Calls[k]
			if call.Base == noBase {
				// The base before the gap in contig direction is now the one
				// that was behind it.
				call.At += step[call.File]
			}
			call.Base = complementCode(call.Base)
		}
	}
}

// noBase is the code of a base that is not there.
const noBase = "-"

// complementCode gives the other strand of one or several codes; a gap stays.
func complementCode(code string) string {
	if code == noBase {
		return noBase
	}
	return string(align.ReverseComplement([]byte(code)))
}

// mirror gives v on the other strand of n bases; an empty interval stays.
func mirror(v seqqc.Interval, n int) seqqc.Interval {
	if v.Empty() {
		return v
	}
	return seqqc.Interval{Start: n - v.End, End: n - v.Start}
}
