package draw

import (
	"fmt"
	"strings"

	"forayseq/seqqc/doubts"
)

// The layout of a window of peaks, from above: the letters called, the traces,
// the qualities.
const (
	peaksLeft, peaksRight = 6.0, width - 6.0
	lettersAt             = 13.0
	peaksTop, peaksFoot   = 20.0, 96.0
	qualityTop            = 102.0
	qualityFoot           = 122.0
	peaksHeight           = 126.0
	// topQuality is the quality of a bar of full height.
	topQuality = 50
)

var baseNames = [4]string{"A", "C", "G", "T"}

// Peaks draws what one read shows around a doubtful place: the four traces in
// contig direction, the bases called and their qualities. It is empty where the
// read has no traces at hand.
func Peaks(id string, s doubts.Strand) SVG {
	p := s.Peaks
	if p == nil {
		return ""
	}
	c := newCanvas(id, "peaks", peaksHeight, peaksTitle(s), peaksDesc(s))
	c.rect("mark", peaksX(p.Mark)-9, 1, 18, qualityFoot-1)
	if p.Noise > 0 {
		c.line("noise", peaksLeft, height(p.Noise), peaksRight, height(p.Noise))
	}
	c.peaks(p, s.Qualities)
	return c.svg()
}

// Stretch draws a piece of the trace of a read; a place is marked where p.Mark is
// not zero. It is empty where p is nil.
func Stretch(id, title string, p *doubts.Peaks, qualities bool) SVG {
	if p == nil {
		return ""
	}
	var bases strings.Builder
	for _, b := range p.Bases {
		if b.Doubt {
			fmt.Fprintf(&bases, "[%s]", b.Base)
			continue
		}
		bases.WriteString(b.Base)
	}
	c := newCanvas(id, "peaks", peaksHeight, title, "Bases called: "+bases.String()+".")
	if p.Mark > 0 {
		c.rect("mark", peaksX(p.Mark)-6, 1, 12, qualityFoot-1)
	}
	c.peaks(p, qualities)
	return c.svg()
}

func peaksX(thousandths int) float64 {
	return peaksLeft + (peaksRight-peaksLeft)*float64(thousandths)/1000
}

// peaks draws the traces, the letters and the qualities.
func (c *canvas) peaks(p *doubts.Peaks, qualities bool) {
	c.line("axis", peaksLeft, peaksFoot, peaksRight, peaksFoot)
	for k, channel := range p.Channels() {
		if d := tracePath(channel); d != "" {
			c.path("tr "+baseNames[k], d)
		}
	}
	for _, b := range p.Bases {
		class := "mid"
		if strings.Contains("ACGT", b.Base) {
			class += " " + b.Base
		}
		if b.Doubt {
			class += " bold"
		}
		c.text(class, peaksX(b.X), lettersAt, b.Base)
		if qualities {
			h := (qualityFoot - qualityTop) * min(1, float64(b.Quality)/topQuality)
			c.rect("bar", peaksX(b.X)-4, qualityFoot-h, 8, h)
		}
	}
	c.line("grid", peaksLeft, qualityFoot, peaksRight, qualityFoot)
}

func height(h int) float64 { return peaksFoot - (peaksFoot-peaksTop)*float64(h)/doubts.PeakTop }

// tracePath gives the path of a channel, without the points that lie on the
// line between their neighbours; empty where the channel is flat.
func tracePath(points []int) string {
	var b strings.Builder
	flat := true
	n := len(points)
	for i, h := range points {
		flat = flat && h == 0
		if i > 0 && i < n-1 && points[i-1]-h == h-points[i+1] {
			continue
		}
		op := "L"
		if i == 0 {
			op = "M"
		}
		fmt.Fprintf(&b, "%s%s %s", op, num(peaksLeft+(peaksRight-peaksLeft)*float64(i)/float64(max(1, n-1))), num(height(h)))
	}
	if flat {
		return ""
	}
	return b.String()
}

func peaksTitle(s doubts.Strand) string {
	strand := "forward"
	if s.Complemented {
		strand = "reverse"
	}
	return fmt.Sprintf("Peaks of the %s read %s", strand, s.File)
}

func peaksDesc(s doubts.Strand) string {
	var bases strings.Builder
	for _, b := range s.Peaks.Bases {
		if b.Doubt {
			fmt.Fprintf(&bases, "[%s]", b.Base)
			continue
		}
		bases.WriteString(b.Base)
	}
	text := fmt.Sprintf("Bases called, in the contig's direction: %s. At the marked place the read says %s", bases.String(), called(s.Call))
	if s.Qualities {
		text += fmt.Sprintf(" at Q%d", s.Quality)
	}
	if s.Minor != "" {
		text += fmt.Sprintf("; a second peak, %s, has %.0f %% of the two heights", s.Minor, s.MinorPct)
	}
	return text + "."
}

func called(code string) string {
	if code == "-" {
		return "no base"
	}
	return code
}

// Key draws which line is which base.
func Key(id string) SVG {
	c := newCanvas(id, "key", 20, "Which line is which base", "A: sky blue, unbroken. C: orange, long dashes. G: purple, dots. T: black or white, dashes and dots.")
	for k, base := range baseNames {
		x := 8 + float64(k)*84
		c.text(base+" bold", x, 14, base)
		c.line("tr "+base, x+14, 10, x+66, 10)
	}
	return c.svg()
}
