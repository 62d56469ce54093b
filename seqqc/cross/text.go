package cross

import (
	"math"
	"strconv"
	"strings"

	"forayseq/seqqc"
)

// listed writes words with commas and a last 'and'.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// about writes an expected number of things.
func about(x float64, thing string) string {
	if text := expectation(x); text != "1" {
		return text + " " + thing + "s"
	}
	return "1 " + thing
}

// expectation writes an expected number with one digit, two from 1 on, rounded
// up so that nothing looks more surprising than it is.
func expectation(x float64) string {
	if x <= 0 {
		return "0"
	}
	digits := 0.0
	if x < 1 {
		digits = math.Ceil(-math.Log10(x))
	}
	unit := math.Pow(10, digits+1)
	if x < 1 {
		unit = math.Pow(10, digits)
	}
	return strconv.FormatFloat(math.Ceil(x*unit-1e-9)/unit, 'f', -1, 64)
}

// figure writes a percentage with at most two decimals, rounded down: 99.597
// must not read 99.6 where 99.6 decides.
func figure(v float64) string {
	return strconv.FormatFloat(math.Floor(v*100+1e-6)/100, 'f', -1, 64)
}

// dnaName gives what a match says the DNA is of.
func dnaName(m *seqqc.Match) string {
	switch {
	case m.Taxon != "":
		return m.Taxon
	case len(m.Hits) > 0 && m.Hits[0].Lineage.Genus != "":
		return "a taxon near " + m.Hits[0].Lineage.Genus
	}
	return "an unknown taxon"
}

// label gives the field name of a voucher as it was understood.
func (c *comparison) label(v int) string {
	if name := c.b.Vouchers[v].Voucher.Field.Label(); name != "" {
		return name
	}
	return "nothing"
}
