package cross

import (
	"fmt"

	"forayseq/refs"
)

// Params are the limits of the comparison. Percentages run from 0 to 100.
type Params struct {
	// MaxExpected is the number of patterns as good, expected by chance, up to
	// which a pattern counts as found.
	MaxExpected float64
	// MaxRing is the largest number of vouchers in an exchange.
	MaxRing int
	// MinMoved is the least number of vouchers that a move of a plate has to
	// explain.
	MinMoved int
	// Dealings is how often the labels of a plate are dealt out at random.
	Dealings int
	// SamePct is the identity from which two sequences are one barcode, NearPct
	// that below which two of one field species are told.
	SamePct, NearPct float64
	// Gate is what two sequences must have in common to be compared.
	Gate refs.Gate
}

// Defaults gives the default limits.
//
// MaxExpected 0.3: what is told as found would come by chance in three batches of
// ten at most. E is an upper bound: of 300 invented batches of 96 in which one
// field name in 25 was of a wrong genus, 7 had a false exchange, and of 300 true
// ones 297 were found; at 0.05 it was 1 and 285. MaxRing 6: longer ones are moves
// of a plate or of a list. MinMoved 4: three are as well a ring.
// Dealings 2,000: the least number of which MaxExpected can be told from nothing
// for the 40 odd ways in which a plate can be moved.
//
// SamePct 99.6 is the species threshold of Vu et al. 2019, Studies in Mycology
// 92: 135-154, NearPct 97 the customary lower bound of what may be one species
// (common practice; Nilsson et al. 2008, Evolutionary Bioinformatics 4: 193-201,
// for the variation within species), Gate that of the match.
func Defaults() Params {
	return Params{
		MaxExpected: 0.3, MaxRing: 6, MinMoved: 4, Dealings: 2000,
		SamePct: 99.6, NearPct: 97, Gate: refs.Gate{MinCoveragePct: 80, MinOutside: 150},
	}
}

// Validate reports the first limit that makes no sense.
func (p Params) Validate() error {
	for _, s := range []struct {
		name        string
		v, from, to float64
	}{
		{"number expected by chance", p.MaxExpected, 0, 1},
		{"largest number of vouchers in an exchange", float64(p.MaxRing), 2, 12},
		{"least number of vouchers of a moved plate", float64(p.MinMoved), 3, 1536},
		{"number of dealings", float64(p.Dealings), 1, 1e6},
		{"identity of one barcode", p.SamePct, p.NearPct, 100},
		{"identity of near barcodes", p.NearPct, 50, 100},
	} {
		// Written so that NaN fails.
		if !(s.v >= s.from && s.v <= s.to) {
			return fmt.Errorf("between vouchers: %s is %v, and must lie between %v and %v", s.name, s.v, s.from, s.to)
		}
	}
	return nil
}
