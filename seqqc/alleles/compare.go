package alleles

import (
	"fmt"
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

// Compare gives the differences of another copy from a contig, in contig order:
// neighbouring ones as one, a gap as far left as it goes. Both must be on the
// same strand. Where the two run out at different ends, the rest is no
// difference.
func Compare(c, other *seqqc.Contig) ([]seqqc.Variant, error) {
	al, err := align.Overlap(c.Bases, other.Bases, align.ITS)
	if err != nil {
		return nil, fmt.Errorf("comparing two copies: %w", err)
	}
	var out []seqqc.Variant
	var v *seqqc.Variant
	i, j := al.AStart, al.BStart
	for _, run := range al.Runs {
		for range run.Len {
			a, b := "", ""
			at := i
			if run.Op != align.OnlyB {
				a = string(c.Bases[i])
				i++
			}
			if run.Op != align.OnlyA {
				b = string(other.Bases[j])
				j++
			}
			if a != "" && b != "" && align.Mask(a[0])&align.Mask(b[0]) != 0 {
				v = nil
				continue
			}
			if v == nil {
				out = append(out, seqqc.Variant{At: seqqc.Interval{Start: at, End: at}, Quality: mostQuality})
				v = &out[len(out)-1]
			}
			v.Contig, v.Other, v.At.End = v.Contig+a, v.Other+b, i
			v.Quality = min(v.Quality, qualityAt(c, i-1), qualityAt(other, j-1))
		}
	}
	for k := range out {
		out[k].Strands = strandsAt(c, out[k].At)
	}
	return out, nil
}

func qualityAt(c *seqqc.Contig, at int) int {
	if at < 0 || at >= len(c.Quals) {
		return 0
	}
	return int(c.Quals[at])
}

// strandsAt says which strands of the reads cover a place.
func strandsAt(c *seqqc.Contig, at seqqc.Interval) string {
	forward, reverse := false, false
	for _, p := range c.Reads {
		if p.On.Start <= at.Start && at.End <= p.On.End {
			forward = forward || !p.Complemented
			reverse = reverse || p.Complemented
		}
	}
	return strandWords(forward, reverse)
}

func strandWords(forward, reverse bool) string {
	switch {
	case forward && reverse:
		return "both"
	case forward:
		return "forward"
	case reverse:
		return "reverse"
	}
	return ""
}

// unclearBelow is the quality below which a base of a copy is unclear.
const unclearBelow = 10

// Unclear gives the stretches of c whose bases could hardly be told.
func Unclear(c *seqqc.Contig) []seqqc.Interval {
	var out []seqqc.Interval
	for i, q := range c.Quals {
		if q >= unclearBelow || c.Gap.Start <= i && i < c.Gap.End {
			continue
		}
		if k := len(out) - 1; k >= 0 && out[k].End == i {
			out[k].End = i + 1
			continue
		}
		out = append(out, seqqc.Interval{Start: i, End: i + 1})
	}
	return out
}

// Words says in a few words how another copy differs: "3 bases more at 212".
// Positions are 1-based, as in the reports.
func Words(variants []seqqc.Variant) string {
	var said []string
	single := 0
	for _, v := range variants {
		n := len(v.Other) - len(v.Contig)
		switch {
		case n == 0 && len(v.Contig) == 1:
			single++
		case n == 0:
			said = append(said, fmt.Sprintf("%s for %s at %d", v.Other, v.Contig, v.At.Start+1))
		case n > 0:
			said = append(said, fmt.Sprintf("%s more (%s) at %d", bases(n), v.Other, v.At.Start+1))
		default:
			said = append(said, fmt.Sprintf("%s less (%s) at %d", bases(-n), v.Contig, v.At.Start+1))
		}
	}
	if single > 0 {
		said = append(said, fmt.Sprintf("%s different", bases(single)))
	}
	return strings.Join(said, ", ")
}

func bases(n int) string {
	if n == 1 {
		return "1 base"
	}
	return fmt.Sprintf("%d bases", n)
}
