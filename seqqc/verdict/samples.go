package verdict

import (
	"fmt"

	"forayseq/align"
	"forayseq/seqqc"
)

// SampleIdentity gives the smallest identity, in percent, between the stretches
// to compare of any two samples with usable contigs. Two samples are compared
// where they have at least MinBases columns in common, on the strand that fits
// better; the result is 0 where no two are. The error names a contig with a
// letter that is no nucleotide code.
func SampleIdentity(samples []seqqc.SampleResult, p Params) (float64, error) {
	least := 0.0
	for i := range samples {
		for j := range i {
			pct, ok, err := pairIdentity(samples[i].Contig, samples[j].Contig, p)
			if err != nil {
				return 0, fmt.Errorf("%s and %s: %w", sampleName(samples[j], j), sampleName(samples[i], i), err)
			}
			if ok && (least == 0 || pct < least) {
				least = pct
			}
		}
	}
	return least, nil
}

func pairIdentity(a, b *seqqc.Contig, p Params) (pct float64, ok bool, err error) {
	for _, c := range []*seqqc.Contig{a, b} {
		if usable, _ := Usable(c, p); !usable {
			return 0, false, nil
		}
	}
	x, y := stretch(a), stretch(b)
	score := 0
	for _, strand := range [][]byte{y, align.ReverseComplement(y)} {
		al, err := align.Overlap(x, strand, align.ITS)
		if err != nil {
			return 0, false, err
		}
		n, err := al.Count(x, strand)
		if err != nil {
			return 0, false, err
		}
		if al.Score > score {
			score = al.Score
			pct, ok = n.IdentityPct(), n.Columns >= p.MinBases
		}
	}
	return pct, ok, nil
}

func stretch(c *seqqc.Contig) []byte {
	v := compared(c)
	return c.Bases[v.Start:v.End]
}
