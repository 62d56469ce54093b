package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Scale is what Identity draws, all in percent identity.
type Scale struct {
	// Limits are the thresholds in ascending order, Hits single identities,
	// Spreads ranges.
	Limits  []Limit
	Hits    []Limit
	Spreads []Spread
	// Unmeasured are the genera concerned whose spread is not known.
	Unmeasured []string
}

// Limit is one value with its name.
type Limit struct {
	Name string
	Pct  float64
}

// Spread is a range with its middle.
type Spread struct {
	Name           string
	Low, Mid, High float64
}

// text tells where the range begins and ends.
func (r Spread) text() string {
	low, high := seqqc.Percent(r.Low), seqqc.Percent(r.High)
	if low == high {
		return fmt.Sprintf("%s: %s %%", r.Name, low)
	}
	return fmt.Sprintf("%s: %s to %s %%", r.Name, low, high)
}

// ScaleOf gathers what Identity shows of a match: the thresholds, the best hit
// and the nearest ones that it must be told from, and how far the library's
// records of the genera concerned lie apart.
func ScaleOf(v *seqqc.VoucherResult, m *seqqc.Match, spreads []seqqc.Spread) Scale {
	var s Scale
	for _, vote := range m.Votes {
		// The threshold of a class serves for what is broader too.
		if vote.Rank >= refs.Class {
			s.Limits = append(s.Limits, Limit{vote.Rank.String(), vote.Threshold})
		}
	}
	seen := map[int]bool{}
	var genera []string
	add := func(what string, h *seqqc.Hit) {
		if h == nil || seen[h.Record] {
			return
		}
		seen[h.Record] = true
		s.Hits = append(s.Hits, Limit{what + ": " + h.Name.Label(), h.IdentityPct})
	}
	concerns := func(h *seqqc.Hit) {
		if h != nil && h.Lineage.Genus != "" && !slices.Contains(genera, h.Lineage.Genus) {
			genera = append(genera, h.Lineage.Genus)
		}
	}
	add("best hit", &m.Hits[0])
	add("nearest of the field genus", m.Field.Genus)
	add("next genus", m.NextGenus)
	concerns(&m.Hits[0])
	concerns(m.Field.Genus)
	for _, genus := range genera {
		i := slices.IndexFunc(spreads, func(spread seqqc.Spread) bool { return spread.Genus == genus })
		if i < 0 {
			s.Unmeasured = append(s.Unmeasured, genus)
			continue
		}
		s.spread("library, within "+genus, spreads[i].Within)
		s.spread("library, "+genus+" to other genera", spreads[i].OtherGenus)
	}
	return s
}

// spread adds identities in ascending order as a range.
func (s *Scale) spread(name string, pct []float64) {
	if n := len(pct); n > 0 {
		s.Spreads = append(s.Spreads, Spread{Name: name, Low: pct[0], Mid: pct[n/2], High: pct[n-1]})
	}
}

// Identity draws identities on one axis with the thresholds. The axis is
// stretched toward 100, where what matters lies: equal steps on it are equal
// steps of the square root of the difference.
func Identity(id string, s Scale) SVG {
	const left, right, top, rowHeight = 10.0, width - 12.0, 46.0, 30.0
	low := 75.0
	for _, l := range s.Hits {
		low = min(low, math.Floor(l.Pct/5)*5)
	}
	for _, r := range s.Spreads {
		low = min(low, math.Floor(r.Low/5)*5)
	}
	low = max(0, low)
	foot := top + rowHeight*float64(len(s.Hits)+len(s.Spreads))
	c := newCanvas(id, "identity", foot+18, "Identities against the thresholds", identityDesc(s))
	x := func(pct float64) float64 {
		return right - (right-left)*math.Sqrt(min(1, max(0, (100-pct)/(100-low))))
	}
	var ends [3]float64 // of what stands in the rows of names
	for _, l := range s.Limits {
		name := fmt.Sprintf("%s %g", l.Name, l.Pct)
		const letter = 5.2 // the width of one, about
		half := letter * float64(len(name)) / 2
		at := min(max(x(l.Pct), half+1), width-1-half)
		row := 0
		for row < len(ends)-1 && ends[row] > at-half {
			row++
		}
		ends[row] = at + half + 4
		c.line("limit", x(l.Pct), top-8, x(l.Pct), foot)
		c.text("small mid", at, 10+11*float64(row), name)
	}
	y := top
	for _, l := range s.Hits {
		c.text("", left, y+9, shorten(fmt.Sprintf("%s %s %%", l.Name, seqqc.Percent(l.Pct)), 54))
		c.line("grid", left, y+19, right, y+19)
		c.circle("dot", x(l.Pct), y+19, 5)
		y += rowHeight
	}
	for _, r := range s.Spreads {
		c.text("", left, y+9, shorten(r.text(), 54))
		c.line("grid", left, y+19, right, y+19)
		c.line("range", x(r.Low), y+19, x(r.High), y+19)
		c.circle("ring", x(r.Mid), y+19, 4)
		y += rowHeight
	}
	c.line("axis", left, foot, right, foot)
	for _, v := range []float64{100, 99, 97, 94, 90, 85, 80, 75, 70, 60, 50} {
		if v >= low {
			c.line("axis", x(v), foot, x(v), foot+4)
			c.text("small soft mid", x(v), foot+15, fmt.Sprint(v))
		}
	}
	return c.svg()
}

func identityDesc(s Scale) string {
	var parts []string
	for _, l := range s.Hits {
		parts = append(parts, fmt.Sprintf("%s: %s %%", l.Name, seqqc.Percent(l.Pct)))
	}
	for _, r := range s.Spreads {
		parts = append(parts, fmt.Sprintf("%s: from %s to %s %%, in the middle %s %%", r.Name, seqqc.Percent(r.Low), seqqc.Percent(r.High), seqqc.Percent(r.Mid)))
	}
	for _, l := range s.Limits {
		parts = append(parts, fmt.Sprintf("threshold for %s: %g %%", l.Name, l.Pct))
	}
	return strings.Join(parts, "; ") + ". The axis is stretched toward 100 %."
}
