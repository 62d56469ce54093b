package match

import (
	"strconv"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Params are the numbers that decide what a hit supports. Percentages run from
// 0 to 100.
type Params struct {
	// Hits is the least number of hits listed, where there are as many.
	Hits int
	// Gate is what a hit must compare to support a rank.
	Gate refs.Gate
	// Thresholds are the identities at which a rank can be supported.
	Thresholds Thresholds
	// WindowMin is the least width of the voting window in points of identity;
	// WindowShare is the part of the best hit's distance from 100 that makes it
	// wider.
	WindowMin   float64
	WindowShare float64
	// MinSharePct is the share of votes that must agree.
	MinSharePct float64
}

// Thresholds are identities in percent. Ranks above class go by Class: none
// has been measured for them.
type Thresholds struct {
	Species, Genus, Family, Order, Class float64
}

// At gives the threshold of a rank.
func (t Thresholds) At(r refs.Rank) float64 {
	switch r {
	case refs.Species:
		return t.Species
	case refs.Genus:
		return t.Genus
	case refs.Family:
		return t.Family
	case refs.Order:
		return t.Order
	}
	return t.Class
}

// maxApart is the number of hits listed that do not pass the gate.
const maxApart = 5

// DefaultParams gives the numbers used unless the user sets others.
func DefaultParams() Params {
	return Params{
		Hits:        10,
		Gate:        refs.Gate{MinCoveragePct: 80, MinOutside: 150},
		Thresholds:  Thresholds{Species: 99.6, Genus: 94.3, Family: 88.5, Order: 81.2, Class: 80.9},
		WindowMin:   0.5,
		WindowShare: 0.25,
		MinSharePct: 80,
	}
}

// Window gives the width of the voting window below a best hit of that
// identity, in points.
func (p Params) Window(best float64) float64 {
	return max(p.WindowMin, (100-best)*p.WindowShare)
}

// vu2019 is where the thresholds come from.
const vu2019 = "Vu et al. 2019, Studies in Mycology 92: 135-154, DOI 10.1016/j.simyco.2018.05.001, measured there with another definition of similarity"

// Settings gives the numbers with where each comes from, for the report.
func (p Params) Settings() []seqqc.Setting {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	const own = "the project's own choice"
	return []seqqc.Setting{
		{Name: "hits", Value: strconv.Itoa(p.Hits), Source: own},
		{Name: "min_coverage_pct", Value: number(p.Gate.MinCoveragePct), Source: own + "; one whole spacer does as well"},
		{Name: "min_columns_outside_5_8s", Value: strconv.Itoa(p.Gate.MinOutside), Source: own + ": a bare 5.8S is shared across families"},
		{Name: "threshold_species", Value: number(p.Thresholds.Species), Source: vu2019},
		{Name: "threshold_genus", Value: number(p.Thresholds.Genus), Source: vu2019},
		{Name: "threshold_family", Value: number(p.Thresholds.Family), Source: vu2019 + "; value from memory"},
		{Name: "threshold_order", Value: number(p.Thresholds.Order), Source: vu2019 + "; value from memory"},
		{Name: "threshold_class", Value: number(p.Thresholds.Class), Source: vu2019 + "; value from memory; also used for phylum and kingdom, which have none"},
		{Name: "window_min", Value: number(p.WindowMin), Source: own},
		{Name: "window_share", Value: number(p.WindowShare), Source: own},
		{Name: "min_share_pct", Value: number(p.MinSharePct), Source: own},
	}
}
