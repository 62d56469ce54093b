package alleles

import "fmt"

// Params are the settings. Start from Defaults.
type Params struct {
	// MinBases is the least number of bases to look at.
	MinBases int
	// MinLogOdds is the least LogOdds, and MinDouble the least number of bases
	// in which two templates are not in step, to say that there are two.
	MinLogOdds float64
	MinDouble  int
	// MinMinorPct is the least share of a second template that is told; below
	// it the shadows of sequencing chemistry look the same.
	MinMinorPct float64
	// MinSitePct is the least part of the lower one of two peaks of one site.
	MinSitePct float64
	// MaxSites is the largest percentage of bases that differ between copies of
	// one organism that are in step; with more they are two organisms.
	MaxSites float64
}

// Defaults gives the default settings; what they find and what they mistake
// was measured on simulated reads, on mixtures of real ones, and on real reads
// (see the tests of package batch).
func Defaults() Params {
	return Params{
		MinBases: 80, MinLogOdds: 15, MinDouble: 25,
		MinMinorPct: 15, MinSitePct: 25, MaxSites: 4,
	}
}

// Validate reports the first setting that makes no sense.
func (p Params) Validate() error {
	for _, s := range []struct {
		name        string
		v, from, to float64
	}{
		{"least number of bases", float64(p.MinBases), 1, 1e6},
		{"least log odds", p.MinLogOdds, 0, 1e6},
		{"least number of double bases", float64(p.MinDouble), 1, 1e6},
		{"least share of a second template", p.MinMinorPct, 0, 50},
		{"least part of the lower peak", p.MinSitePct, 0, 50},
		{"largest percentage of sites", p.MaxSites, 0, 100},
	} {
		// Written so that NaN fails.
		if !(s.v >= s.from && s.v <= s.to) {
			return fmt.Errorf("alleles: %s is %v, and must lie between %v and %v", s.name, s.v, s.from, s.to)
		}
	}
	return nil
}
