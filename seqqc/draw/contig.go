package draw

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/doubts"
)

// Contig draws a contig: the parts of the ribosomal repeat it covers, the
// places in doubt, its quality, and below each read where it lies, with its own
// quality. reads gives a read by its file, nil where it is not at hand.
func Contig(id string, contig *seqqc.Contig, cards []doubts.Card, reads func(file string) *seqqc.Read) SVG {
	const left, right, partsAt, rowHeight = 4.0, width - 4.0, 4.0, 44.0
	n := len(contig.Bases)
	if n == 0 {
		return ""
	}
	height := 92 + rowHeight*float64(len(contig.Reads))
	c := newCanvas(id, "contig", height, "The contig with its reads", contigDesc(contig, cards))
	x := func(at int) float64 { return left + (right-left)*float64(at)/float64(n) }

	c.parts(contig, x, partsAt)
	for _, card := range cards {
		if !card.Settled {
			px := x(card.At)
			c.path("here", fmt.Sprintf("M%s %sl4 8h-8z", num(px), num(partsAt+20)))
		}
	}
	// The axis counts from 1, as every sentence does.
	y := partsAt + 34
	c.line("axis", left, y, right, y)
	step := tickStep(n)
	for at := 0; at < n; at += step {
		c.line("axis", x(at), y, x(at), y+4)
		class := "small soft"
		if at > 0 {
			class += " mid"
		}
		if x(at) < right-14 {
			c.text(class, x(at), y+14, fmt.Sprint(max(1, at)))
		}
	}
	c.quality(x, y+20, 22, 0, n, contig.Quals)
	for i, p := range contig.Reads {
		c.read(p, reads(p.File), x, 92+rowHeight*float64(i))
	}
	return c.svg()
}

// parts draws the parts of the repeat as boxes with their names where there is
// room.
func (c *canvas) parts(contig *seqqc.Contig, x func(int) float64, y float64) {
	r := contig.Region
	if !r.Located {
		c.rect("part", x(0), y, x(len(contig.Bases))-x(0), 16)
		c.text("mid soft", width/2, y+12, "no part of the ribosomal DNA located")
		return
	}
	for _, part := range parts(r) {
		if part.in.Empty() {
			continue
		}
		class := "part"
		if strings.HasPrefix(part.name, "ITS") {
			class = "spacer"
		}
		from, to := x(part.in.Start), x(part.in.End)
		c.rect(class, from, y, to-from, 16)
		if to-from > 26 {
			c.text("mid", (from+to)/2, y+12, part.name)
		}
	}
}

type namedPart struct {
	name string
	in   seqqc.Interval
}

func parts(r seqqc.Region) []namedPart {
	return []namedPart{{"SSU", r.SSU}, {"ITS1", r.ITS1}, {"5.8S", r.R58S}, {"ITS2", r.ITS2}, {"LSU", r.LSU}}
}

// tickStep gives a round number of bases for about six ticks.
func tickStep(n int) int {
	for _, step := range []int{10, 20, 50, 100, 200, 500, 1000, 2000, 5000} {
		if n/step <= 7 {
			return step
		}
	}
	return max(1, n/6)
}

// quality draws qualities of the bases from start to end of the contig as an
// area of a height, averaged over stretches of about two units of the picture.
func (c *canvas) quality(x func(int) float64, y, h float64, start, end int, quals []byte) {
	n := end - start
	if n <= 0 || len(quals) == 0 {
		return
	}
	bins := max(1, min(n, int((x(end)-x(start))/2)))
	var d strings.Builder
	fmt.Fprintf(&d, "M%s %s", num(x(start)), num(y+h))
	for b := range bins {
		from, to := b*len(quals)/bins, (b+1)*len(quals)/bins
		sum := 0
		for _, q := range quals[from:max(to, from+1)] {
			sum += int(q)
		}
		mean := float64(sum) / float64(max(1, to-from))
		fmt.Fprintf(&d, "L%s %s", num((x(start+b*n/bins)+x(start+(b+1)*n/bins))/2), num(y+h-h*min(1, mean/topQuality)))
	}
	fmt.Fprintf(&d, "L%s %sz", num(x(end)), num(y+h))
	c.path("area", d.String())
}

// read draws one read: an arrow in its direction, what it is, and its quality.
func (c *canvas) read(p seqqc.ReadPlacement, r *seqqc.Read, x func(int) float64, y float64) {
	name := "forward"
	if p.Complemented {
		name = "reverse"
	}
	if r != nil && r.Primer != "" {
		name += " " + r.Primer
	}
	c.text("small", 4, y+8, shorten(name+", "+p.File, 62))
	from, to := x(p.On.Start), x(p.On.End)
	mid := y + 15
	c.line("branch", from, mid, to, mid)
	if p.Complemented {
		c.path("branch", fmt.Sprintf("M%s %sl-6 4l6 4", num(from+6), num(mid-4)))
	} else {
		c.path("branch", fmt.Sprintf("M%s %sl6 4l-6 4", num(to-6), num(mid-4)))
	}
	if r == nil || r.Trace == nil || p.Of.End > len(r.Trace.Quals) || p.Of.Empty() {
		return
	}
	quals := append([]byte(nil), r.Trace.Quals[p.Of.Start:p.Of.End]...)
	if p.Complemented {
		for i, j := 0, len(quals)-1; i < j; i, j = i+1, j-1 {
			quals[i], quals[j] = quals[j], quals[i]
		}
	}
	c.quality(x, mid+6, 18, p.On.Start, p.On.End, quals)
}

func contigDesc(contig *seqqc.Contig, cards []doubts.Card) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d bases", len(contig.Bases))
	for _, part := range parts(contig.Region) {
		if !part.in.Empty() {
			fmt.Fprintf(&b, "; %s from %d to %d", part.name, part.in.Start+1, part.in.End)
		}
	}
	b.WriteString(".")
	for _, p := range contig.Reads {
		strand := "forward"
		if p.Complemented {
			strand = "reverse"
		}
		fmt.Fprintf(&b, " The %s read %s covers %d to %d.", strand, p.File, p.On.Start+1, p.On.End)
	}
	open := 0
	for _, card := range cards {
		if !card.Settled {
			open++
		}
	}
	switch open {
	case 0:
		b.WriteString(" No place is open.")
	case 1:
		b.WriteString(" One place is open, marked by a triangle.")
	default:
		fmt.Fprintf(&b, " %d places are open, marked by triangles.", open)
	}
	return b.String()
}
