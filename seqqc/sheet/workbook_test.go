package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// workbook writes a workbook; set fills its first sheet.
func workbook(t *testing.T, from1904 bool, set func(f *excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	require.NoError(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &from1904}))
	set(f)
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	require.NoError(t, f.Close())
	return b.Bytes()
}

func put(t *testing.T, f *excelize.File, sheet string, rows ...[]any) {
	t.Helper()
	for i, r := range rows {
		axis, err := excelize.CoordinatesToCellName(1, i+1)
		require.NoError(t, err)
		require.NoError(t, f.SetSheetRow(sheet, axis, &r))
	}
}

func style(t *testing.T, f *excelize.File, axis string, s excelize.Style) {
	t.Helper()
	id, err := f.NewStyle(&s)
	require.NoError(t, err)
	require.NoError(t, f.SetCellStyle("Sheet1", axis, axis, id))
}

func TestWorkbook(t *testing.T) {
	for _, from1904 := range []bool{false, true} {
		data := workbook(t, from1904, func(f *excelize.File) {
			put(t, f, "Sheet1",
				[]any{"# autumn foray"},
				[]any{"voucher", "field_id", "date", "latitude", "longitude", "well", "fresh", "weight"},
				nil,
				[]any{"EX-1", "Amanita", time.Date(2026, 10, 3, 14, 30, 0, 0, time.UTC), 12.3456789, "34,5 W", "A1", true, 0.1},
				[]any{7, "Russula", "2026-10", nil, nil, nil, nil, nil, "scribble"},
				[]any{123456789012, "Mycena", "03/04/2026"},
				[]any{46298, "Boletus"},
				[]any{123000, "Inocybe"},
				[]any{12, "Clitocybe"},
			)
			style(t, f, "D4", excelize.Style{NumFmt: 2}) // two decimals shown
			style(t, f, "A7", excelize.Style{NumFmt: 16})
			style(t, f, "A8", excelize.Style{NumFmt: 11})
			zeros := "0000"
			style(t, f, "A9", excelize.Style{CustomNumFmt: &zeros})
		})
		s, err := Read(bytes.NewReader(data), "v.xlsx", Options{})
		require.NoError(t, err)
		v := s.Vouchers[0]
		require.Equal(t, 4, v.Row)
		require.Equal(t, "2026-10-03", v.Date, "1904: %v", from1904)
		require.Equal(t, 12.3456789, *v.Latitude, "all digits, not only those shown")
		require.Equal(t, -34.5, *v.Longitude)
		require.Equal(t, "A01", v.Samples[0].SeqWell)
		require.Equal(t, map[string]string{"fresh": "TRUE", "weight": "0.1"}, v.Extra)
		require.Equal(t, "7", s.Vouchers[1].Code)
		require.Equal(t, "scribble", s.Vouchers[1].Extra["column I"])
		require.Equal(t, "123456789012", s.Vouchers[2].Code)
		require.Equal(t, "0012", s.Vouchers[5].Code, "the zeros of a number format are part of the code")
		var what []string
		for _, p := range s.Problems {
			what = append(what, p.What)
		}
		require.Len(t, what, 3)
		require.Contains(t, what[0], "may be 2026-04-03 or 2026-03-04")
		require.Contains(t, what[1], "the spreadsheet turned it into a date")
		require.Contains(t, what[2], "1.23E+05 looks like one that a spreadsheet turned into a number")
	}
}

func TestWorkbookSheets(t *testing.T) {
	data := workbook(t, false, func(f *excelize.File) {
		put(t, f, "Sheet1", []any{"read me"})
		for _, name := range []string{"hidden", "finds", "more"} {
			_, err := f.NewSheet(name)
			require.NoError(t, err)
			put(t, f, name, []any{"voucher", "field_id"}, []any{name, "Amanita"})
		}
		require.NoError(t, f.SetSheetVisible("hidden", false))
	})
	s, err := Read(bytes.NewReader(data), "v.xlsx", Options{})
	require.NoError(t, err)
	require.Equal(t, "finds", s.Vouchers[0].Code)
	require.Contains(t, s.Problems[0].What, `"more"`)
}

func TestWorkbookLimitsAndDamage(t *testing.T) {
	data := workbook(t, false, func(f *excelize.File) {
		put(t, f, "Sheet1", []any{"voucher", "field_id"}, []any{"EX-1", "Amanita"}, []any{"EX-2", "Amanita"})
	})
	for _, lim := range []Limits{{Bytes: 100}, {Inflated: 1000}, {Rows: 2}, {Cells: 4}} {
		_, err := Read(bytes.NewReader(data), "v.xlsx", Options{Limits: lim})
		require.ErrorIs(t, err, ErrTooLarge, "%+v", lim)
	}
	for n := range data { // cut anywhere
		if n%7 == 0 && n > 4 {
			_, err := Read(bytes.NewReader(data[:n]), "v.xlsx", Options{})
			require.ErrorIs(t, err, ErrMalformed)
		}
	}
}

// TestWorkbookThatClaimsManyCells: small files that would cost much memory.
func TestWorkbookThatClaimsManyCells(t *testing.T) {
	pack := func(rows string) []byte {
		data := workbook(t, false, func(f *excelize.File) {
			put(t, f, "Sheet1", []any{"voucher", "field_id"}, []any{1, 2})
		})
		in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		require.NoError(t, err)
		var b bytes.Buffer
		out := zip.NewWriter(&b)
		for _, part := range in.File {
			r, err := part.Open()
			require.NoError(t, err)
			text, err := io.ReadAll(r)
			require.NoError(t, err)
			if part.Name == "xl/worksheets/sheet1.xml" {
				text = bytes.Replace(text, []byte("</sheetData>"), []byte(rows+"</sheetData>"), 1)
				require.Contains(t, string(text), rows)
			}
			w, err := out.Create(part.Name)
			require.NoError(t, err)
			_, err = w.Write(text)
			require.NoError(t, err)
		}
		require.NoError(t, out.Close())
		return b.Bytes()
	}
	_, err := Read(bytes.NewReader(pack(`<row r="3"><c r="A3"><v>7</v></c><c r="B3"><v>8</v></c></row>`)), "v.xlsx", Options{})
	require.NoError(t, err)
	for rows, say := range map[string]string{
		strings.Repeat(`<row><c r="XFD1"/></row>`, 40): "more than 500000 cells",
		`<row r="1048576"><c><v>1</v></c></row>`:       "row 1048576",
		strings.Repeat(`<row/>`, 200_001):              "row 200001",
		`</sheetData><mergeCells>` + strings.Repeat(`<mergeCell ref="A1:B1"/>`, 1001) + `</mergeCells><sheetData>`: "merged",
	} {
		_, err := Read(bytes.NewReader(pack(rows)), "v.xlsx", Options{})
		require.ErrorIs(t, err, ErrTooLarge, say)
		require.ErrorContains(t, err, say)
	}
}

// TestWorkbookThatInflates packs 96 MiB of spaces into a small workbook, and
// one whose declared sizes lie.
func TestWorkbookThatInflates(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("xl/worksheets/sheet1.xml")
	require.NoError(t, err)
	spaces := []byte(strings.Repeat(" ", 1<<20))
	for range 96 {
		_, err := w.Write(spaces)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	data := b.Bytes()
	_, err = Read(bytes.NewReader(data), "v.xlsx", Options{})
	require.ErrorIs(t, err, ErrTooLarge)
	// The size 0x06000000 stands in the directory; make it 1 KiB.
	lying := bytes.ReplaceAll(data, []byte{0, 0, 0, 6}, []byte{0, 4, 0, 0})
	require.NotEqual(t, data, lying)
	_, err = Read(bytes.NewReader(lying), "v.xlsx", Options{})
	var e *Error
	require.ErrorAs(t, err, &e)
	t.Log(err)
}

func TestDatePatterns(t *testing.T) {
	for pattern, date := range map[string]bool{
		"yyyy-mm-dd": true, "dd.mm.yy": true, "[$-409]d-mmm;@": true, "mmmm": true, "0.00": false, "General": false, `0 "day"`: false,
		"[Red]0": false, "hh:mm": false, "mm:ss": false, `\d0`: false, "@": false,
	} {
		require.Equal(t, date, datePattern(pattern), pattern)
	}
}
