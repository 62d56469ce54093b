package doubts

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
)

// positionText counts from 1, as a reader does.
func positionText(c Card) string {
	if !c.Present {
		return fmt.Sprintf("Before position %d", c.At+1)
	}
	return fmt.Sprintf("Position %d", c.At+1)
}

// evidence says what each read shows and what the consensus made of it.
func (m maker) evidence(p *place, c Card) []string {
	var says []string
	for _, s := range c.Strands {
		says = append(says, strandSays(s))
	}
	if p.variant != nil {
		says = append(says, variantSays(p.variant))
	}
	switch {
	case p.kind == OpenCode && c.Code == "N":
		says = append(says, "The contig has N here: it names no base.")
	case c.Present && (c.Kind == OpenCode || len(c.Code) == 1 && !strings.Contains("ACGT", c.Code)):
		says = append(says, fmt.Sprintf("The contig has %s (%s) here.", c.Code, strings.Join(singles(c.Code[0]), " or ")))
	case c.Present:
		says = append(says, fmt.Sprintf("The contig has %s at Q%d: one chance of error in %s.", c.Code, c.Quality, oneIn(c.Quality)))
	default:
		says = append(says, fmt.Sprintf("The contig has no base here, at Q%d: one chance of error in %s.", c.Quality, oneIn(c.Quality)))
	}
	return says
}

func strandSays(s Strand) string {
	var b strings.Builder
	name := "The forward read"
	if s.Complemented {
		name = "The reverse read"
	}
	if s.Primer != "" {
		name += " (" + s.Primer + ")"
	}
	call := s.Call
	if call == noBase {
		call = "no base"
	}
	fmt.Fprintf(&b, "%s says %s", name, call)
	if s.Qualities {
		fmt.Fprintf(&b, " at Q%d", s.Quality)
	} else {
		b.WriteString(", without a quality")
	}
	switch {
	case s.Major == "" || s.Call == noBase:
	case s.Minor == "":
		fmt.Fprintf(&b, "; the highest peak is %s, and no other stands out", s.Major)
	default:
		fmt.Fprintf(&b, "; under the peak of %s lies a second one, %s, of %.0f %% of the two heights", s.Major, s.Minor, s.MinorPct)
	}
	b.WriteString(".")
	return b.String()
}

func variantSays(v *seqqc.Variant) string {
	contig, other := "nothing", "nothing"
	if v.Contig != "" {
		contig = v.Contig
	}
	if v.Other != "" {
		other = v.Other
	}
	text := fmt.Sprintf("Copies within the specimen differ: the contig has %s and another copy %s (Q%d", contig, other, v.Quality)
	if v.Strands != "" {
		text += ", strands that show it: " + v.Strands
	}
	text += ")"
	if !v.InCode {
		return text + "; it is only noted, not written as a code."
	}
	return text + "; the contig has the code for both."
}

// oneIn gives the chances behind a Phred value: -10 log10 of the probability of
// error.
func oneIn(q int) string {
	n := chances(q)
	switch {
	case n >= 1e6:
		return fmt.Sprintf("%.0f million", n/1e6)
	case n >= 1e4:
		return fmt.Sprintf("%.0f thousand", n/1e3)
	case n >= 10:
		return fmt.Sprintf("%.0f", n)
	}
	return fmt.Sprintf("%.1f", n)
}
