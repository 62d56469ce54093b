package match

import (
	"context"

	"forayseq/refs"
)

// Params are the numbers that decide what a hit supports. Percentages run from
// 0 to 100.
type Params struct {
	// Hits is the least number of hits listed, where there are as many.
	Hits int
	// Gate is what a hit must compare to support a rank.
	Gate refs.Gate
	// ListFrom is the identity in percent below which no hit is listed, nor looked
	// for: unrelated sequences come as near.
	ListFrom float64
	// Thresholds are the identities at which a rank can be supported.
	Thresholds Thresholds
	// WindowMin is the least width of the voting window in points of identity;
	// WindowShare is the part of the best hit's distance from 100 that makes it
	// wider.
	WindowMin   float64
	WindowShare float64
	// MinSharePct is the share of votes that must agree.
	MinSharePct float64
	// Spread is how many records of a genus are compared to learn how far it
	// spreads in the library; with 0 that is not measured.
	Spread int
	// Every aligns every reference, see refs.Query. It changes no result.
	Every bool
	// NotApart leaves out Match.Apart where there are hits: looking for it takes
	// as long as looking for them.
	NotApart bool
	// Scan makes the scan of a query, nil for refs.NewScan. One that gives alike
	// queries one scan saves the time of all but the first.
	Scan func(context.Context, *refs.Library, refs.Query, refs.Gate) (*refs.Scan, error)
	// Memory is that of the library, nil for none. It changes no result.
	Memory *Memory
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

// lowest gives the identity below which no rank can be supported.
func (t Thresholds) lowest() float64 {
	return min(t.Species, t.Genus, t.Family, t.Order, t.Class)
}

// maxApart is the number of hits listed that do not pass the gate.
const maxApart = 5

// Defaults gives the numbers used unless the user sets others; package batch
// lists them with the source of each.
func Defaults() Params {
	return Params{
		Hits:        10,
		Gate:        refs.Gate{MinCoveragePct: 80, MinOutside: 150},
		ListFrom:    78,
		Thresholds:  Thresholds{Species: 99.6, Genus: 94.3, Family: 88.5, Order: 81.2, Class: 80.9},
		WindowMin:   0.5,
		WindowShare: 0.25,
		MinSharePct: 80,
		Spread:      8,
	}
}

// Window gives the width of the voting window below a best hit of that
// identity, in points. It is 0 where the best hit reaches the threshold of no
// rank: there is nothing to vote on.
func (p Params) Window(best float64) float64 {
	if best < p.Thresholds.lowest() {
		return 0
	}
	return max(p.WindowMin, (100-best)*p.WindowShare)
}
