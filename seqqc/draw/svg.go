package draw

import (
	_ "embed"
	"fmt"
	"html"
	"strconv"
	"strings"
	"unicode/utf8"
)

// SVG is the markup of one picture. What is text in it is escaped, so that it
// can be put into a page as it is.
type SVG string

// Style is the style sheet of the pictures, for light and dark.
//
//go:embed style.css
var Style string

// width is the width of every picture in its own units: it fits a telephone
// without being made smaller.
const width = 340

// canvas collects the elements of a picture.
type canvas struct {
	b  strings.Builder
	id string
}

// newCanvas begins a picture of a height, with what a screen reader reads. id
// must be unique in the page.
func newCanvas(id, class string, height float64, title, desc string) *canvas {
	c := &canvas{id: Escape(id)}
	fmt.Fprintf(&c.b, `<svg class="pic %s" role="img" viewBox="0 0 %d %s" aria-labelledby="%s-t %s-d">`, class, width, num(height), c.id, c.id)
	fmt.Fprintf(&c.b, `<title id="%s-t">%s</title><desc id="%s-d">%s</desc>`, c.id, Escape(title), c.id, Escape(desc))
	return c
}

func (c *canvas) svg() SVG {
	c.b.WriteString("</svg>")
	return SVG(c.b.String())
}

func (c *canvas) rect(class string, x, y, w, h float64) {
	fmt.Fprintf(&c.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, num(x), num(y), num(max(0, w)), num(max(0, h)))
}

func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&c.b, `<path class="%s" d="M%s %sL%s %s"/>`, class, num(x1), num(y1), num(x2), num(y2))
}

func (c *canvas) path(class, d string) { fmt.Fprintf(&c.b, `<path class="%s" d="%s"/>`, class, d) }

func (c *canvas) circle(class string, x, y, r float64) {
	fmt.Fprintf(&c.b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, num(x), num(y), num(r))
}

// text writes words that begin at x, are centred there or end there, as the
// class's text-anchor says.
func (c *canvas) text(class string, x, y float64, words string) {
	fmt.Fprintf(&c.b, `<text class="%s" x="%s" y="%s">%s</text>`, class, num(x), num(y), Escape(words))
}

// num prints a coordinate with one decimal at most.
func num(x float64) string {
	s := strconv.FormatFloat(x, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

// Escape makes text of any origin fit for the content or a quoted attribute of
// an element: markup is escaped, and control characters, among them those that
// turn the direction of writing, become question marks.
func Escape(s string) string { return html.EscapeString(Clean(s)) }

// Clean replaces control characters by question marks, tabs and line ends by
// blanks.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t', r == '\n', r == '\r':
			return ' '
		case r == utf8.RuneError, r < ' ', r >= 0x7f && r < 0xa0, r >= 0x200b && r <= 0x200f,
			r >= 0x2028 && r <= 0x202e, r >= 0x2060 && r <= 0x206f, r == 0xfeff:
			return '?'
		}
		return r
	}, s)
}

// shorten cuts text to n characters, with three dots where it was longer.
func shorten(s string, n int) string {
	r := []rune(Clean(s))
	if len(r) <= n {
		return string(r)
	}
	return string(r[:n-1]) + "…"
}
