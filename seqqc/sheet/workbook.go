package sheet

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"forayseq/seqqc"
)

// readWorkbook reads one worksheet of an .xlsx workbook: the first visible one
// that has a voucher column, else the first visible one.
//
// The library parses a hostile file in many places, and a fault of it on one
// sheet must not end the batch: a panic inside it becomes an error here.
func readWorkbook(data []byte, name string, lim Limits, named *headings) (g *grid, err error) {
	const hint = "open it in a spreadsheet program and save it again as .xlsx or .csv"
	defer func() {
		if p := recover(); p != nil {
			g, err = nil, failure(ErrMalformed, name, fmt.Sprintf("the workbook cannot be read: %v", p), hint)
		}
	}()
	if err := checkExtent(data, name, lim); err != nil {
		return nil, err
	}
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		// Equal limits keep the parts in memory: nothing is spooled to disk.
		UnzipSizeLimit: lim.Inflated, UnzipXMLSizeLimit: lim.Inflated,
	})
	if err != nil {
		if strings.Contains(err.Error(), "unzip size") {
			return nil, inflates(name, lim)
		}
		return nil, failure(ErrMalformed, name, fmt.Sprintf("this is no .xlsx workbook: %v", err), hint)
	}
	defer func() {
		if cerr := f.Close(); cerr != nil && err == nil {
			g, err = nil, failure(ErrMalformed, name, fmt.Sprintf("the workbook cannot be closed: %v", cerr), hint)
		}
	}()
	b := &book{file: f, name: name, lim: lim, styles: map[int]bool{}}
	if props, perr := f.GetWorkbookProps(); perr == nil && props.Date1904 != nil {
		b.from1904 = *props.Date1904
	}
	var first *grid
	var others []string
	for _, sheet := range f.GetSheetList() {
		if shown, verr := f.GetSheetVisible(sheet); verr != nil || !shown {
			continue
		}
		read, rerr := b.sheet(sheet)
		if rerr != nil {
			return nil, rerr
		}
		switch {
		case named.hasVoucher(read.rows) && g == nil:
			g = read
		case named.hasVoucher(read.rows):
			others = append(others, sheet)
		case first == nil || len(first.rows) == 0:
			first = read
		}
	}
	if g == nil {
		g = first
	}
	if g == nil {
		return nil, failure(ErrMalformed, name, "the workbook has no visible sheet", hint)
	}
	if len(others) > 0 {
		g.problems = append(g.problems, seqqc.Problem{File: name,
			What: fmt.Sprintf("only the first sheet with a voucher column was read, not %q", others),
			Hint: "put all vouchers on one sheet"})
	}
	g.workbook = true
	return g, nil
}

// book is an open workbook.
type book struct {
	file     *excelize.File
	name     string
	lim      Limits
	from1904 bool
	// styles remembers whether a style shows dates.
	styles map[int]bool
	cells  int
}

// sheet reads a worksheet twice in step: as shown, and as stored.
func (b *book) sheet(sheet string) (*grid, error) {
	bad := func(err error) error {
		return failure(ErrMalformed, b.name, fmt.Sprintf("sheet %q cannot be read: %v", sheet, err),
			"open it in a spreadsheet program and save it again as .xlsx or .csv")
	}
	shown, err := b.file.Rows(sheet)
	if err != nil {
		return nil, bad(err)
	}
	stored, err := b.file.Rows(sheet)
	if err != nil {
		return nil, bad(err)
	}
	g := &grid{}
	for number := 1; shown.Next() && stored.Next(); number++ {
		texts, err := shown.Columns()
		if err != nil {
			return nil, bad(err)
		}
		values, err := stored.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, bad(err)
		}
		if b.cells += max(len(texts), len(values)); b.cells > b.lim.Cells {
			return nil, failure(ErrTooLarge, b.name, fmt.Sprintf("there are more than %d cells", b.lim.Cells),
				"check that it is the voucher sheet; remove other sheets from it")
		}
		r := row{number: number, cells: make([]cell, len(texts))}
		for i, text := range texts {
			r.cells[i].text = tidy(text)
			if i < len(values) && values[i] != text {
				b.stored(sheet, number, i, values[i], &r.cells[i])
			}
		}
		if err := g.add(r, b.name, b.lim); err != nil {
			return nil, err
		}
	}
	for _, rows := range []*excelize.Rows{shown, stored} {
		if err := rows.Error(); err != nil {
			return nil, bad(err)
		}
		if err := rows.Close(); err != nil {
			return nil, bad(err)
		}
	}
	return g, nil
}

// scientific is a number in scientific notation, as a spreadsheet shows one
// that is long, or a code such as 123E3.
var scientific = regexp.MustCompile(`^[+-]?\d+([.,]\d+)?[eE][+-]?\d+$`)

// stored fills in what a number cell holds behind what it shows. Only numbers
// and truth values show as something else than they are stored.
func (b *book) stored(sheet string, number, column int, value string, c *cell) {
	n, err := strconv.ParseFloat(value, 64)
	if err != nil || c.text == "TRUE" || c.text == "FALSE" {
		return
	}
	axis, err := excelize.CoordinatesToCellName(column+1, number)
	if err != nil {
		return
	}
	style, err := b.file.GetCellStyle(sheet, axis)
	if err != nil {
		return
	}
	if b.showsDate(style) {
		c.date = serialDate(n, b.from1904)
		return
	}
	c.value = value
	if style == 0 && scientific.MatchString(c.text) {
		c.text = value // no format asked for it: the number is only long
	}
}

// showsDate reports whether a style shows a date. Numbers of the built-in
// formats: ECMA-376 part 1, 18.8.30.
func (b *book) showsDate(style int) bool {
	if date, ok := b.styles[style]; ok {
		return date
	}
	date := false
	if s, err := b.file.GetStyle(style); err == nil {
		n := s.NumFmt
		date = n >= 14 && n <= 17 || n == 22 || n >= 27 && n <= 36 || n >= 50 && n <= 58
		if s.CustomNumFmt != nil {
			date = datePattern(*s.CustomNumFmt)
		}
	}
	b.styles[style] = date
	return date
}

// quotedPattern is what a number format shows as it is, and what it says about
// colour and locale.
var quotedPattern = regexp.MustCompile(`"[^"]*"|\\.|_.|\[[^\]]*\]`)

// datePattern reports whether a number format shows a day or a year.
func datePattern(format string) bool {
	format = strings.ToLower(quotedPattern.ReplaceAllString(format, ""))
	return !strings.Contains(format, "general") && strings.ContainsAny(format, "yd") || strings.Contains(format, "mmm")
}

// serialDate gives the day of a spreadsheet's day number as YYYY-MM-DD, empty
// outside the years 1901 to 2199. Day 1 is 1 January 1900 (with a 29 February
// 1900 that never was) or day 0 is 1 January 1904: ECMA-376 part 1, 18.17.4.1.
func serialDate(n float64, from1904 bool) string {
	if n < 367 || n > 110_000 {
		return ""
	}
	t, err := excelize.ExcelDateToTime(n, from1904)
	if err != nil || t.Year() > 2199 {
		return ""
	}
	return t.Format("2006-01-02")
}
