package cross

import (
	"strconv"
	"strings"
)

// well is a place of a plate, both counted from 0.
type well struct{ plate, row, col int }

// slot is a sample in its well.
type slot struct {
	voucher, sample int
	at              well
}

// layout is the places of a batch in one step of the work.
type layout struct {
	step   string // "PCR plate"
	slots  []slot // in sheet order
	plates []plate
	of     map[[2]int][]well // by voucher and sample
	// met counts how often a well of a run was met, numbers gives the plate of a
	// run by how often its wells were met before.
	met     map[[3]any]int
	numbers map[[2]any]int
}

// plate has the size of its kind: 96 wells, 384 wells, or a list of one column.
type plate struct{ rows, cols int }

// sheetOrder is the step of the layout that holds no wells.
const sheetOrder = "order of the sheet"

// isPlate reports whether the places are wells.
func (l *layout) isPlate() bool { return l.step != sheetOrder }

func newLayout(step string) *layout {
	return &layout{step: step, of: map[[2]int][]well{}, met: map[[3]any]int{}, numbers: map[[2]any]int{}}
}

// layouts gives the places that are known: wells of the PCR, wells of the
// sequencing where they are others, and the order of the sheet. Where the sheet
// tells no sequencing well, that of the sample's reads counts, run by run. A well
// that comes again begins a new plate: sheets and runs are written plate by
// plate (common practice, no source).
func (c *comparison) layouts() []*layout {
	pcr, sequencing, sheet := newLayout("PCR plate"), newLayout("sequencing plate"), newLayout(sheetOrder)
	runs := c.readWells()
	areOthers := false
	for v, x := range c.b.Vouchers {
		sheet.add(slot{v, max(0, x.Chosen), well{row: v}})
		for j, s := range x.Samples {
			pcr.addWell(v, j, readWell{well: s.Sample.PCRWell})
			wells := runs[[2]int{v, j}]
			if s.Sample.SeqWell != "" {
				wells = []readWell{{well: s.Sample.SeqWell}}
			}
			for _, w := range wells {
				areOthers = areOthers || w.well != s.Sample.PCRWell
				sequencing.addWell(v, j, w)
			}
		}
	}
	sheet.plates = []plate{{rows: len(c.b.Vouchers), cols: 1}}
	out := []*layout{pcr}
	if areOthers {
		out = append(out, sequencing)
	}
	return append(out, sheet)
}

func (l *layout) add(s slot) {
	l.slots = append(l.slots, s)
	key := [2]int{s.voucher, s.sample}
	l.of[key] = append(l.of[key], s.at)
}

func (l *layout) addWell(voucher, sample int, w readWell) {
	row, col, ok := parseWell(w.well)
	if !ok {
		return
	}
	key := [3]any{w.run, row, col}
	nth := [2]any{w.run, l.met[key]}
	l.met[key]++
	number, ok := l.numbers[nth]
	if !ok {
		number = len(l.plates)
		l.numbers[nth] = number
		l.plates = append(l.plates, plate{rows: 8, cols: 12})
	}
	if row >= 8 || col >= 12 {
		l.plates[number] = plate{rows: 16, cols: 24}
	}
	l.add(slot{voucher, sample, well{number, row, col}})
}

// readWell is where a read stood.
type readWell struct{ run, well string }

// readWells gives, by voucher and sample, the wells written in the reads, each
// once.
func (c *comparison) readWells() map[[2]int][]readWell {
	places := map[string]readWell{}
	for _, r := range c.b.Reads {
		if r.Trace != nil && r.Trace.Well != "" {
			run := r.Run
			if run == "" {
				run = r.Trace.RunDate
			}
			places[r.File] = readWell{run, r.Trace.Well}
		}
	}
	out := map[[2]int][]readWell{}
	for v, x := range c.b.Vouchers {
		for j, s := range x.Samples {
			for _, file := range s.ReadFiles {
				if w, ok := places[file]; ok {
					key := [2]int{v, j}
					out[key] = append(out[key], w)
				}
			}
		}
	}
	return out
}

// parseWell reads a well of a plate of 96 or 384 as row and column from 0:
// letters A to P, columns 1 to 24 (ANSI SLAS 4-2004, from memory).
func parseWell(text string) (row, col int, ok bool) {
	text = strings.ToUpper(strings.TrimSpace(text))
	if len(text) < 2 || text[0] < 'A' || text[0] > 'P' {
		return 0, 0, false
	}
	n, err := strconv.Atoi(text[1:])
	if err != nil || n < 1 || n > 24 {
		return 0, 0, false
	}
	return int(text[0] - 'A'), n - 1, true
}

// between gives the least number of steps from well to well between the samples
// that the verdicts of two vouchers rest on, -1 where they share no plate; and
// whether two of their wells are neighbours: along a row or a column, or corner
// to corner, which is 2 steps.
func (c *comparison) between(l *layout, a, b int) (least int, beside bool) {
	return c.fromSample(l, a, c.b.Vouchers[a].Chosen, b)
}

// fromSample is between, from the wells of a given sample of the first.
func (c *comparison) fromSample(l *layout, a, sample, b int) (least int, beside bool) {
	least = -1
	for _, x := range l.of[[2]int{a, sample}] {
		for _, y := range l.of[[2]int{b, c.b.Vouchers[b].Chosen}] {
			if x.plate != y.plate {
				continue
			}
			rows, cols := max(x.row-y.row, y.row-x.row), max(x.col-y.col, y.col-x.col)
			if d := rows + cols; least < 0 || d < least {
				least, beside = d, rows <= 1 && cols <= 1
			}
		}
	}
	return least, beside
}
