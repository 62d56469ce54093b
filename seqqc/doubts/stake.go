package doubts

import (
	"fmt"
	"math"
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

func chances(q int) float64 { return math.Pow(10, float64(q)/10) }

// weigh puts the answers on a card, with what each would change. What is worked
// out is exact for the hits whose differences are known; a change of base does
// not align them anew.
func (m maker) weigh(c *Card, codes []string) {
	best, other := m.hits()
	compared := best != nil && inside(best.OnContig, c)
	for _, code := range codes {
		a := Answer{Code: code}
		if compared && told(best) {
			m.follow(c, &a, best, other)
		}
		c.Answers = append(c.Answers, a)
	}
	c.Stake = Outside
	switch {
	case m.match == nil || best == nil:
		c.Why = "Nothing was compared with this sequence, so the verdict does not hang on it."
		return
	case !compared:
		c.Why = "It lies outside what was compared, so that only the sequence to be submitted changes."
		return
	case !m.chosen:
		c.Stake = Figures
		c.Why = "The verdict rests on another sample of this voucher."
		return
	}
	c.Stake = Figures
	c.Why = "It changes the identity by a fraction of a point, and no conclusion with it."
	var crossing []string
	for _, a := range c.Answers {
		if a.Crosses {
			crossing = append(crossing, a.Code)
		}
	}
	if len(crossing) > 0 {
		c.Stake = Conclusion
		c.Why = "The conclusion may change with the answer " + strings.ReplaceAll(strings.Join(crossing, " or "), noBase, "no base") + "."
	}
}

// inside reports whether a hit was compared at the place of a card.
func inside(on seqqc.Interval, c *Card) bool {
	if c.Present {
		return on.Start <= c.At && c.At < on.End
	}
	return on.Start < c.At && c.At < on.End
}

// hits gives the best hit and the best of another species whose differences
// are known; nil for what is not there.
func (m maker) hits() (best, other *seqqc.Hit) {
	if m.match == nil || len(m.match.Hits) == 0 {
		return nil, nil
	}
	best = &m.match.Hits[0]
	for i := range m.match.Hits[1:] {
		h := &m.match.Hits[i+1]
		if told(h) && h.Name.Taxon() != best.Name.Taxon() {
			return best, h
		}
	}
	return best, nil
}

// told reports whether the differences of a hit are known: one that is not
// identical throughout must have some.
func told(h *seqqc.Hit) bool { return len(h.Differences) > 0 || h.IdentityStrictPct == 100 }

// follow works out what an answer would come to.
func (m maker) follow(c *Card, a *Answer, best, other *seqqc.Hit) {
	was, is := identities(c, c.Code, best), identities(c, a.Code, best)
	a.IdentityPct = is[0]
	var says []string
	switch {
	case a.Code == c.Code:
		says = append(says, fmt.Sprintf("as now, %s %% identical to %s", seqqc.Percent(is[0]), hitText(best)))
	case seqqc.Percent(is[0]) == seqqc.Percent(was[0]):
		says = append(says, fmt.Sprintf("still %s %% identical to %s", seqqc.Percent(is[0]), hitText(best)))
	default:
		says = append(says, fmt.Sprintf("%s %% instead of %s %% identical to %s", seqqc.Percent(is[0]), seqqc.Percent(was[0]), hitText(best)))
	}
	for _, v := range m.match.Votes {
		before, after := reaches(was, v.Threshold), reaches(is, v.Threshold)
		if before == after {
			continue
		}
		a.Crosses = true
		word := "no longer reaches"
		if after {
			word = "then reaches"
		}
		says = append(says, fmt.Sprintf("which %s the threshold of %g %% for the %s", word, v.Threshold, v.Rank))
	}
	if other != nil && inside(other.OnContig, c) {
		// Which of the two is nearer, before and after.
		oWas, oIs := identities(c, c.Code, other), identities(c, a.Code, other)
		if sign(was[0]-oWas[0]) != sign(is[0]-oIs[0]) {
			a.Crosses = true
			says = append(says, fmt.Sprintf("and %s %% to %s", seqqc.Percent(oIs[0]), hitText(other)))
		}
	}
	a.Says = strings.Join(says, ", ")
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// reaches reports whether both identities reach a threshold.
func reaches(pct [2]float64, threshold float64) bool { return min(pct[0], pct[1]) >= threshold }

func hitText(h *seqqc.Hit) string {
	name := h.Name.Taxon()
	if name == "" {
		return h.Reference
	}
	return name + " (" + h.Reference + ")"
}

// identities gives identity and strict identity to a hit with a code at the
// place of a card.
func identities(c *Card, code string, h *seqqc.Hit) [2]float64 {
	ref := referenceAt(c, h)
	was, is := column(c.Code, ref), column(code, ref)
	n := h.Columns + is[0] - was[0]
	if n <= 0 {
		return [2]float64{h.IdentityPct, h.IdentityStrictPct}
	}
	count := func(pct float64, k int) float64 {
		identical := int(math.Round(pct*float64(h.Columns)/100)) + is[k] - was[k]
		return float64(100*identical) / float64(n)
	}
	return [2]float64{count(h.IdentityPct, 1), count(h.IdentityStrictPct, 2)}
}

// referenceAt gives the reference's base over the place of a card, "-" where it
// has none.
func referenceAt(c *Card, h *seqqc.Hit) string {
	for _, d := range h.Differences {
		switch {
		case c.Present && d.At.Start <= c.At && c.At < d.At.End:
			if k := c.At - d.At.Start; k < len(d.Reference) {
				return d.Reference[k : k+1]
			}
			return noBase
		case !c.Present && d.At.Empty() && d.At.Start == c.At && d.Reference != "":
			return d.Reference[:1]
		}
	}
	return c.Code
}

// column says what a column of two codes adds to the compared columns, to the
// identical ones and to the strictly identical ones.
func column(a, b string) [3]int {
	if a == noBase && b == noBase || a == "N" || b == "N" {
		return [3]int{}
	}
	if a == noBase || b == noBase || align.Mask(a[0])&align.Mask(b[0]) == 0 {
		return [3]int{1, 0, 0}
	}
	if a == b && align.Plain(a[0]) {
		return [3]int{1, 1, 1}
	}
	return [3]int{1, 1, 0}
}
