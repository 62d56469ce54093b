package report

import (
	"fmt"
	"html/template"
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

// plates draws the plates that the sheet names wells of: that of the PCR and
// that of the sequencing, once where they are the same.
func plates(vouchers []*voucherView) []plateView {
	pcr := wells(vouchers, func(s seqqc.Sample) string { return s.PCRWell })
	seq := wells(vouchers, func(s seqqc.Sample) string { return s.SeqWell })
	title := "Plate of the PCR"
	if sameWells(pcr, seq) {
		seq, title = nil, "Plate"
	}
	var out []plateView
	for i, p := range []struct {
		title string
		wells []occupied
	}{{title, pcr}, {"Plate of the sequencing", seq}} {
		if len(p.wells) > 0 {
			out = append(out, newPlateView(fmt.Sprintf("plate-%d", i+1), p.title, p.wells))
		}
	}
	return out
}

// occupied is a well with the vouchers in it: several where a batch is of
// several plates that the sheet does not tell apart.
type occupied struct {
	row, column int
	vouchers    []*voucherView
}

func wells(vouchers []*voucherView, well func(seqqc.Sample) string) []occupied {
	var out []occupied
	index := map[[2]int]int{}
	for _, v := range vouchers {
		for _, s := range v.VoucherResult.Samples {
			row, column, ok := parseWell(well(s.Sample))
			if !ok {
				continue
			}
			k, known := index[[2]int{row, column}]
			if !known {
				k = len(out)
				index[[2]int{row, column}] = k
				out = append(out, occupied{row: row, column: column})
			}
			out[k].vouchers = append(out[k].vouchers, v)
		}
	}
	return out
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

func sameWells(a, b []occupied) bool {
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

func newPlateView(id, title string, list []occupied) plateView {
	out := plateView{Title: title}
	rows, columns := 8, 12 // ANSI/SLAS 4-2004
	var wells []draw.Well
	for _, w := range list {
		if w.row >= rows || w.column >= columns {
			rows, columns = 16, 24
		}
		var names []string
		drawn := draw.Well{Row: w.row, Column: w.column}
		for _, v := range w.vouchers {
			names = append(names, v.Voucher.Code+" "+v.Word)
			out.Rows = append(out.Rows, plateRow{draw.WellName(w.row, w.column), v})
			if s := state(v.VoucherResult); s > drawn.State {
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
		wells = append(wells, drawn)
	}
	out.Picture = template.HTML(draw.Plate(id, title, rows, columns, wells))
	return out
}

// wellWord is a verdict short enough for a well.
var wellWord = map[seqqc.VerdictKind]string{
	seqqc.Agrees: "agr", seqqc.Refines: "ref", seqqc.Consistent: "cons", seqqc.Renamed: "ren",
	seqqc.Conflict: "conf", seqqc.Overgrowth: "over", seqqc.NonFungal: "nonf", seqqc.Undetermined: "und",
}
