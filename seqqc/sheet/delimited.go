package sheet

import (
	"encoding/csv"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"forayseq/seqqc"
)

// grid is a sheet as cells. Blank rows and comments are left out.
type grid struct {
	rows     []row
	problems []seqqc.Problem
	// workbook tells cells that cannot have slipped to another column.
	workbook bool
}

// row is one row; number is the 1-based row as a spreadsheet program counts.
type row struct {
	number int
	cells  []cell
	// broken is true where a quotation mark is not closed; cells are those
	// before it.
	broken bool
}

// cell is what one cell shows, and what a workbook holds behind it.
type cell struct {
	text string
	// value is the stored value of a number cell of a workbook, which may have
	// more digits than text shows.
	value string
	// date is the day of a workbook cell formatted as a date, as YYYY-MM-DD.
	date string
}

func (r row) blank() bool {
	for _, c := range r.cells {
		if c.text != "" {
			return false
		}
	}
	return true
}

// errorValue is what a spreadsheet program writes where a formula failed.
var errorValue = regexp.MustCompile(`^#(N/A|REF!|VALUE!|NAME\?|DIV/0!|NUM!|NULL!|SPILL!|CALC!)`)

// comment reports whether a row that begins with the text is a comment.
func comment(first string) bool {
	return strings.HasPrefix(first, "#") && !errorValue.MatchString(first)
}

// numberSign is a '#' that may belong to a code: "#12".
var numberSign = regexp.MustCompile(`^#\d`)

func (g *grid) add(r row, name string, lim Limits) error {
	if len(r.cells) > 0 && comment(r.cells[0].text) {
		if numberSign.MatchString(r.cells[0].text) {
			g.problems = append(g.problems, seqqc.Problem{File: name, Line: r.number,
				What: fmt.Sprintf("the row begins with %q and was taken as a comment", clip(r.cells[0].text)),
				Hint: "where this is a voucher code, write it without the #"})
		}
		return nil
	}
	if r.blank() {
		return nil
	}
	if len(g.rows) >= lim.Rows {
		return failure(ErrTooLarge, name, fmt.Sprintf("there are more than %d rows", lim.Rows),
			"check that it is the voucher sheet; split it where it is")
	}
	g.rows = append(g.rows, r)
	return nil
}

// separatorLine is the first line by which some spreadsheet programs are told
// the separator (common practice, no source).
var separatorLine = regexp.MustCompile(`^(?i)"?sep=([,;\t])"?$`)

// splitText splits separated text to cells. A row whose quotation marks do not
// work out is named and ends before the cell with the first; reading goes on at
// the next line.
func splitText(text, name string, lim Limits, named *headings) (*grid, error) {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	text = strings.ReplaceAll(text, "\r", "\n")
	if n := strings.Count(text, "\n"); n > rowGap*lim.Rows {
		return nil, failure(ErrTooLarge, name, fmt.Sprintf("there are %d lines, most of them empty", n),
			"check that it is the voucher sheet; delete the empty lines")
	}
	lines := strings.Split(text, "\n")
	var sep rune
	number, cells := 0, 0
	if m := separatorLine.FindStringSubmatch(lines[0]); m != nil {
		sep, _ = utf8.DecodeRuneInString(m[1])
		lines, number = lines[1:], 1
	} else {
		sep = sniff(lines, name, named)
	}
	g := &grid{}
	for i := 0; i < len(lines); {
		number++
		if strings.TrimSpace(lines[i]) == "" || comment(lines[i]) {
			if err := g.add(row{number: number, cells: []cell{{text: tidy(lines[i])}}}, name, lim); err != nil {
				return nil, err
			}
			i++
			continue
		}
		fields, n, ok := record(lines[i:], sep)
		if !ok {
			g.problems = append(g.problems, seqqc.Problem{File: name, Line: number,
				What:   "a quotation mark is not closed, or stands inside a quoted cell; the row was read up to it",
				Hint:   `close it, or write quotation marks inside a quoted cell twice ("")`,
				Unread: true})
			fields = strings.Split(lines[i][:strings.IndexByte(lines[i], '"')], string(sep))
			fields = fields[:len(fields)-1] // the last is the one with the mark
		}
		i += n
		r := row{number: number, cells: make([]cell, len(fields)), broken: !ok}
		for k, f := range fields {
			r.cells[k].text = tidy(f)
		}
		if cells += len(fields); cells > lim.Cells {
			return nil, failure(ErrTooLarge, name, fmt.Sprintf("there are more than %d cells", lim.Cells),
				"check that it is the voucher sheet; split it where it is")
		}
		if err := g.add(r, name, lim); err != nil {
			return nil, err
		}
	}
	return g, nil
}

// record parses the first record and says how many lines it takes. A record
// goes on over lines as long as its quotation marks are odd in number. Where
// that does not parse, the first line is tried alone; a mark inside a cell
// that does not begin with one (a cap 5" wide) is a plain character.
func record(lines []string, sep rune) (fields []string, n int, ok bool) {
	marks := strings.Count(lines[0], `"`)
	n = 1
	for ; marks%2 == 1 && n < len(lines); n++ {
		marks += strings.Count(lines[n], `"`)
	}
	if fields, ok = parse(strings.Join(lines[:n], "\n"), sep); ok {
		return fields, n, true
	}
	if fields, ok = parse(lines[0], sep); ok {
		return fields, 1, true
	}
	fields = strings.Split(lines[0], string(sep))
	for _, f := range fields {
		if strings.HasPrefix(f, `"`) {
			return nil, 1, false
		}
	}
	return fields, 1, true
}

func parse(text string, sep rune) ([]string, bool) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord = sep, -1
	fields, err := r.Read()
	return fields, err == nil
}

// headingRows is how many rows from the top the heading is looked for in, so
// that a title above it does no harm.
const headingRows = 20

// sniff finds the separator under which the most headings are known; under
// which the heading has the most cells where that does not tell.
func sniff(lines []string, name string, named *headings) rune {
	seps := []rune{',', ';', '\t'}
	if strings.HasSuffix(strings.ToLower(name), ".tsv") {
		seps = []rune{'\t', ',', ';'}
	}
	best, bestKnown, bestCells := seps[0], 0, 0
	seen := 0
	for i := 0; i < len(lines) && seen < headingRows; i++ {
		if strings.TrimSpace(lines[i]) == "" || comment(lines[i]) {
			continue
		}
		seen++
		for _, sep := range seps {
			fields, _, ok := record(lines[i:], sep)
			if !ok {
				continue
			}
			known := 0
			for _, f := range fields {
				if named.of(f).ours != "" {
					known++
				}
			}
			if known > bestKnown || known == bestKnown && seen == 1 && len(fields) > bestCells {
				best, bestKnown, bestCells = sep, known, len(fields)
			}
		}
	}
	return best
}

// clip shortens a cell for a message.
func clip(s string) string {
	s = oneLine(s)
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}
