package workorder

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"forayseq/seqqc"
)

// Heading is the heading of Cells.
var Heading = []string{"plate", "well", "voucher", "sample", "action", "primers", "why"}

// Cells gives the order as rows under Heading, a blank with the voucher
// "blank".
func (o Order) Cells() [][]string {
	var rows [][]string
	for _, p := range o.Plates {
		for _, w := range p.Wells {
			rows = append(rows, []string{strconv.Itoa(p.Number), w.Well, w.Label(), w.Sample, string(w.Action), strings.Join(w.Primers, " "), w.Why})
		}
	}
	return rows
}

// Label is the voucher's code, or that it is a blank.
func (w Well) Label() string {
	if w.Blank {
		return "blank"
	}
	return w.Voucher
}

// Grid gives the plate as it lies on the bench, nil for an empty well.
func (p Plate) Grid() [Rows][Columns]*Well {
	var g [Rows][Columns]*Well
	for i := range p.Wells {
		g[i%Rows][i/Rows] = &p.Wells[i]
	}
	return g
}

// Words says what a laboratory is asked to do.
func Words(a seqqc.Action) string {
	switch a {
	case seqqc.ActExtractAgain:
		return "extract again from clean tissue inside the specimen, amplify, sequence"
	case seqqc.ActAmplifyAgain:
		return "amplify again from the same extract, sequence"
	case seqqc.ActSequenceAgain:
		return "sequence again from the same PCR product"
	}
	return ""
}

// A printed page has room for half a plate beside its row letters.
const (
	halfPlate = Columns / 2
	cellWidth = 12
)

// WriteText prints the order to be laid beside the plates: a map of each, and
// what to do with each tube. The label of a tube is cut where it is longer than
// a well of the map.
func (o Order) WriteText(w io.Writer) error {
	if len(o.Plates) == 0 {
		_, err := fmt.Fprintln(w, "Nothing to send back.")
		return err
	}
	var b strings.Builder
	for _, p := range o.Plates {
		fmt.Fprintf(&b, "Plate %d, %s\n", p.Number, seqqc.Count(len(p.Wells), "tube"))
		for from := 0; from*Rows < len(p.Wells); from += halfPlate {
			b.WriteString(p.half(from))
		}
		for _, t := range p.Wells {
			fmt.Fprintf(&b, "\n%s  %s", t.Well, t.Label())
			if t.Sample != "" {
				fmt.Fprintf(&b, ", sample %s", t.Sample)
			}
			todo := Words(t.Action)
			if t.Blank {
				todo = "the steps of this plate without any DNA"
			}
			fmt.Fprintf(&b, ": %s", todo)
			if len(t.Primers) > 0 {
				fmt.Fprintf(&b, " (%s)", strings.Join(t.Primers, ", "))
			}
			why := t.Why
			if !t.Blank {
				why = "Likeliest cause: " + why
			}
			fmt.Fprintf(&b, "\n     %s\n", why)
		}
		b.WriteByte('\n')
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// half draws the columns from one on, as many as a page holds.
func (p Plate) half(from int) string {
	grid := p.Grid()
	var b strings.Builder
	b.WriteString("\n ")
	for c := from; c < from+halfPlate; c++ {
		fmt.Fprintf(&b, " %-*d", cellWidth, c+1)
	}
	for r := range Rows {
		fmt.Fprintf(&b, "\n%c", 'A'+r)
		for c := from; c < from+halfPlate; c++ {
			label := "."
			if t := grid[r][c]; t != nil {
				label = t.Label()
			}
			if cut := []rune(label); len(cut) > cellWidth {
				label = string(cut[:cellWidth-1]) + "~"
			}
			fmt.Fprintf(&b, " %-*s", cellWidth, label)
		}
	}
	lines := strings.Split(b.String(), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n") + "\n"
}
