package alleles

import (
	"math"
	"slices"

	"forayseq/seqqc"
)

// Limits of a double peak of a single site, besides MinSitePct. They are about
// what else looks like one: a peak that is no peak of its own, noise, a third
// peak, two bases called where there is one, and a tall neighbour.
const (
	// siteThird is the largest height of the third peak over the second.
	siteThird = 0.4
	// siteDrop is the largest height of the higher peak over the median of those
	// around it: two templates share the signal.
	siteDrop  = 0.9
	dropReach = 12
	// siteUneven is the largest departure of the spacing on either side from
	// the usual one, as a share of it.
	siteUneven = 0.35
	// falseSite is the density of false peaks of the height of a site, for each
	// unit of noise; leastSite the least log odds of a site that is told:
	// a faint one can still be borne out by the other strand. At sureSite two
	// copies are as likely as a false peak.
	falseSite = 0.02
	leastSite = -2
	sureSite  = 0
	// sitesEnd is the number of bases at either end that are left out.
	sitesEnd = 5
)

// sites gives the places where the templates are in step and the trace has two
// peaks, as it has where two copies differ at one base.
func sites(r *seqqc.Read, cols []column, path []segment, p Params) []seqqc.DoublePeak {
	at := r.Copies.Looked
	var out []seqqc.DoublePeak
	inStep := func(c int) bool {
		for _, g := range path {
			if g.start <= c && c < g.end {
				return g.state == stateOf(0)
			}
		}
		return true
	}
	for c := sitesEnd; c < len(cols)-sitesEnd; c++ {
		b := &r.Signal.Bases[at.Start+c]
		if !inStep(c) || cols[c].blind || b.Secondary.Shape != seqqc.Summit || uneven(b) {
			continue
		}
		x, y := channel(b.Primary.Base), channel(b.Secondary.Base)
		f := cols[c].share
		part := f[y] / (f[x] + f[y])
		sorted := f
		order(&sorted)
		if 100*part < p.MinSitePct || sorted[2] > siteThird*f[y] ||
			float64(b.Primary.Height) > siteDrop*around(r.Signal, at, c) {
			continue
		}
		if odds := siteOdds(cols[c], x, y); odds >= leastSite {
			out = append(out, seqqc.DoublePeak{
				At: at.Start + c, Major: string(b.Primary.Base), Minor: string(b.Secondary.Base),
				MinorPct: math.Round(1000*part) / 10, LogOdds: math.Round(10*odds) / 10,
			})
		}
	}
	return out
}

// uneven reports whether the base stands too near to a neighbour, or too far
// from it.
func uneven(b *seqqc.BaseSignal) bool {
	for _, d := range []float32{b.Before, b.After} {
		if d > 0 && math.Abs(float64(d-b.Spacing)) > siteUneven*float64(b.Spacing) {
			return true
		}
	}
	return false
}

// around is the median height of the primary peaks around a column.
func around(s *seqqc.Signal, at seqqc.Interval, c int) float64 {
	var heights []float64
	for k := max(at.Start, at.Start+c-dropReach); k < min(at.End, at.Start+c+dropReach+1); k++ {
		if k != at.Start+c {
			heights = append(heights, float64(s.Bases[k].Primary.Height))
		}
	}
	if len(heights) == 0 {
		return 0
	}
	slices.Sort(heights)
	return heights[len(heights)/2]
}

// siteOdds is the logarithm of the odds of a place being a site of the bases x
// and y, against a false peak (see the model in columns.go). The number of false peaks that look
// like a site goes with the noise.
func siteOdds(c column, x, y int) float64 {
	fx, fy := c.share[x], c.share[y]
	r, v := fy/(fx+fy), max(leastNoise, c.noise)
	z := math.Log(fy/fx) / spread
	two := siteChance / 3 * math.Exp(-z*z/2) / (spread * math.Sqrt(2*math.Pi) * r * (1 - r))
	one := (1 - siteChance) * (math.Exp(-fy/v)/v + tail*math.Exp(-fy/(3*v))/(3*v) + falseSite*v)
	return math.Log10(two / one)
}

// anySure reports whether one of the sites is likelier than not.
func anySure(sites []seqqc.DoublePeak) bool {
	return slices.ContainsFunc(sites, func(d seqqc.DoublePeak) bool { return d.LogOdds >= sureSite })
}
