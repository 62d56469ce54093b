package draw

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
)

// State is how a well of a plate is drawn: a shape, not only a colour.
type State int

// The states.
const (
	// Empty: no sample is known to be there.
	Empty State = iota
	// Fine: a circle.
	Fine
	// Unsure: a dashed circle, where no test was possible.
	Unsure
	// Look: a square, where a coordinator should look.
	Look
)

// StateOf says how a verdict is marked. Vouchers that need attention are all
// marked alike: the word tells the rest.
func StateOf(v *seqqc.VoucherResult) State {
	switch {
	case v.Verdict.Kind == seqqc.Undetermined && v.Verdict.ReasonCode != seqqc.Control:
		return Unsure
	case v.Verdict.Attention:
		return Look
	}
	return Fine
}

// Well is one well of a plate.
type Well struct {
	// Row and Column count from 0: A1 is 0, 0.
	Row, Column int
	// Word is what stands in the well, five letters at most.
	Word string
	// Name is read out and shown when pointed at: voucher and verdict.
	Name  string
	State State
}

// Plate draws a plate of rows times columns wells.
func Plate(id, title string, rows, columns int, wells []Well) SVG {
	const left, top = 16.0, 18.0
	step := (width - left) / float64(columns)
	c := newCanvas(id, "plate", top+step*float64(rows)+2, title, plateDesc(wells))
	for k := range columns {
		c.text("small soft mid", left+step*(float64(k)+.5), 11, fmt.Sprint(k+1))
	}
	at := map[[2]int]Well{}
	for _, w := range wells {
		at[[2]int{w.Row, w.Column}] = w
	}
	r := step/2 - 1.5
	for row := range rows {
		y := top + step*(float64(row)+.5)
		c.text("small soft mid", left/2, y+3.5, rowName(row))
		for k := range columns {
			x := left + step*(float64(k)+.5)
			w := at[[2]int{row, k}]
			if w.State == Empty {
				c.circle("none", x, y, r)
				continue
			}
			fmt.Fprintf(&c.b, "<g><title>%s</title>", Escape(WellName(row, k)+" "+w.Name))
			switch w.State {
			case Fine:
				c.circle("fine", x, y, r)
			case Unsure:
				c.circle("unsure", x, y, r)
			default:
				c.rect("look", x-r, y-r, 2*r, 2*r)
			}
			fmt.Fprintf(&c.b, `<text class="mid word" x="%s" y="%s">%s</text></g>`, num(x), num(y+3), Escape(shorten(w.Word, 5)))
		}
	}
	return c.svg()
}

// rowName gives A to Z, then AA to AZ: plates of 1,536 wells have 32 rows.
func rowName(row int) string {
	const letters = 26
	if row < letters {
		return string(rune('A' + row))
	}
	return "A" + string(rune('A'+row-letters))
}

// WellName gives a well its usual name: A1, H12.
func WellName(row, column int) string { return fmt.Sprintf("%s%d", rowName(row), column+1) }

func plateDesc(wells []Well) string {
	var parts []string
	for _, w := range wells {
		parts = append(parts, WellName(w.Row, w.Column)+" "+w.Name)
	}
	if len(parts) == 0 {
		return "No well is known."
	}
	return strings.Join(parts, "; ") + "."
}
