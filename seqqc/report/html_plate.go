package report

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/draw"
)

// plateView is one plate.
type plateView struct {
	Title   string
	Picture template.HTML
	Rows    []plateRow
}

// plateRow tells a well in words.
type plateRow struct {
	Well    string
	Voucher *voucherView
}

// plates draws the plates of the batch: that of the PCR and that of the
// sequencing as the sheet has them, once where they are the same. Where the sheet
// tells no well of the sequencing, those written in the reads count.
func plates(vouchers []*voucherView, reads map[string]*seqqc.Read) []plateView {
	var pcr, seq wells
	var runs []*run
	for _, v := range vouchers {
		for _, s := range v.VoucherResult.Samples {
			pcr.add(v, s.Sample.PCRWell)
			if s.Sample.SeqWell != "" {
				seq.add(v, s.Sample.SeqWell)
				continue
			}
			for _, file := range s.ReadFiles {
				if r := reads[file]; r != nil && r.Trace != nil {
					runs = addRead(runs, v, r)
				}
			}
		}
	}
	type plate struct {
		title string
		wells wells
	}
	list := []plate{{"Plate of the PCR", pcr}, {"Plate of the sequencing", seq}}
	if sameWells(pcr, seq) {
		list = []plate{{"Plate", pcr}}
	}
	for _, r := range runs {
		title := "Plate of the sequencing"
		if name := cmp.Or(r.name, r.date); name != "" {
			title += ", run " + name
		}
		list = append(list, plate{title, r.wells})
	}
	var out []plateView
	for _, p := range list {
		if len(p.wells) > 0 {
			out = append(out, newPlateView(fmt.Sprintf("plate-%d", len(out)+1), p.title, p.wells))
		}
	}
	return out
}

// run is a plate of the sequencing as its reads tell of it.
type run struct {
	name, date string // empty where no read says
	wells      wells
}

// addRead puts a read into the first run that it may be of and in which its well
// is free: a well that comes again begins a new plate.
func addRead(runs []*run, v *voucherView, r *seqqc.Read) []*run {
	row, column, ok := parseWell(r.Trace.Well)
	if !ok {
		return runs
	}
	for _, x := range runs {
		if x.date == r.Trace.RunDate && (x.name == r.Run || x.name == "" || r.Run == "") && x.wells.at(row, column) < 0 {
			x.name = cmp.Or(x.name, r.Run)
			x.wells.add(v, r.Trace.Well)
			return runs
		}
	}
	x := &run{name: r.Run, date: r.Trace.RunDate}
	x.wells.add(v, r.Trace.Well)
	return append(runs, x)
}

// occupied is a well with the vouchers in it: several where a batch is of
// several plates that the sheet does not tell apart.
type occupied struct {
	row, column int
	vouchers    []*voucherView
}

// wells are the occupied wells of a plate, in the order in which they came.
type wells []occupied

func (w wells) at(row, column int) int {
	return slices.IndexFunc(w, func(o occupied) bool { return o.row == row && o.column == column })
}

// add puts a voucher into a well, if it is one; a voucher is in it once.
func (w *wells) add(v *voucherView, well string) {
	row, column, ok := parseWell(well)
	if !ok {
		return
	}
	k := w.at(row, column)
	if k < 0 {
		k = len(*w)
		*w = append(*w, occupied{row: row, column: column})
	}
	if o := &(*w)[k]; !slices.Contains(o.vouchers, v) {
		o.vouchers = append(o.vouchers, v)
	}
}

// parseWell reads "A1", "a01" or "H12", the largest being P24 of a plate of 384.
func parseWell(s string) (row, column int, ok bool) {
	s = strings.ToUpper(strings.TrimSpace(s))
	if len(s) < 2 || s[0] < 'A' || s[0] > 'P' {
		return 0, 0, false
	}
	n, err := strconv.Atoi(s[1:])
	if err != nil || n < 1 || n > 24 {
		return 0, 0, false
	}
	return int(s[0] - 'A'), n - 1, true
}

func sameWells(a, b wells) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].row != b[i].row || a[i].column != b[i].column || len(a[i].vouchers) != len(b[i].vouchers) {
			return false
		}
	}
	return true
}

func newPlateView(id, title string, list wells) plateView {
	out := plateView{Title: title}
	rows, columns := 8, 12 // ANSI/SLAS 4-2004
	var filled []draw.Well
	for _, w := range list {
		if w.row >= rows || w.column >= columns {
			rows, columns = 16, 24
		}
		var names []string
		drawn := draw.Well{Row: w.row, Column: w.column}
		for _, v := range w.vouchers {
			names = append(names, v.Voucher.Code+" "+v.Word)
			out.Rows = append(out.Rows, plateRow{draw.WellName(w.row, w.column), v})
			if s := draw.StateOf(v.VoucherResult); s > drawn.State {
				drawn.State = s
			}
		}
		drawn.Name = strings.Join(names, ", ")
		drawn.Word = wellWord[w.vouchers[0].Verdict.Kind]
		if w.vouchers[0].Verdict.ReasonCode == seqqc.Control {
			drawn.Word = "ctrl"
		}
		if n := len(w.vouchers); n > 1 {
			drawn.Word = strconv.Itoa(n) + "×"
		}
		if columns > 12 {
			drawn.Word = "" // no room; the list below tells
		}
		filled = append(filled, drawn)
	}
	out.Picture = template.HTML(draw.Plate(id, title, rows, columns, filled))
	return out
}

// wellWord is a verdict short enough for a well.
var wellWord = map[seqqc.VerdictKind]string{
	seqqc.Agrees: "agr", seqqc.Refines: "ref", seqqc.Consistent: "cons", seqqc.Renamed: "ren",
	seqqc.Conflict: "conf", seqqc.Overgrowth: "over", seqqc.NonFungal: "nonf", seqqc.Undetermined: "und",
}
