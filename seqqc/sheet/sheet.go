package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"forayseq/seqqc"
)

// Sheet is a voucher sheet as understood.
type Sheet struct {
	// Vouchers are in the order in which their first rows stand. Their Field
	// is left to the caller, who knows the names.
	Vouchers []seqqc.Voucher
	// Problems are the rows that could not be used (Unread) and the cells that
	// were left out or read with a doubt.
	Problems []seqqc.Problem
	// Columns says how each heading was understood, in sheet order.
	Columns []Column
}

// Options says how a sheet is read. The zero value reads one with our own or
// Darwin Core headings.
type Options struct {
	// Columns takes headings in any words to our column names, such as
	// "Fundnummer" to "voucher". Case, spaces and punctuation of the headings
	// are ignored, and they go before the built-in headings.
	Columns map[string]string
	Limits  Limits
}

// Limits bound what a hostile or mistaken file can cost. Zero fields take the
// defaults, which are far above any club's sheet.
type Limits struct {
	// Bytes is the size of the file; default 32 MiB.
	Bytes int64
	// Inflated is the size of a workbook once unpacked; default 64 MiB. The
	// cells of one worksheet are all held in memory.
	Inflated int64
	// Rows are those with something in them, Cells also the empty ones before
	// the last in a row, over all sheets of a workbook; defaults 20,000 and
	// 500,000. A workbook's cell takes some 200 bytes of memory.
	Rows, Cells int
}

func (l Limits) orDefaults() Limits {
	if l.Bytes <= 0 {
		l.Bytes = 32 << 20
	}
	if l.Inflated <= 0 {
		l.Inflated = 64 << 20
	}
	if l.Rows <= 0 {
		l.Rows = 20_000
	}
	if l.Cells <= 0 {
		l.Cells = 500_000
	}
	return l
}

// The kinds of failure of a whole sheet, for errors.Is.
var (
	ErrTooLarge      = errors.New("too large")
	ErrUnsupported   = errors.New("unsupported format")
	ErrMalformed     = errors.New("malformed")
	ErrMissingColumn = errors.New("missing column")
	ErrBadOption     = errors.New("bad column setting")
	ErrNoVouchers    = errors.New("no voucher rows")
)

// Error is a sheet that could not be read at all.
type Error struct {
	Problem seqqc.Problem
	Err     error // one of the sentinels
}

// Error gives the file, the place, what is wrong and what to do.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.Problem.File)
	if e.Problem.Line > 0 {
		fmt.Fprintf(&b, ", row %d", e.Problem.Line)
	}
	if e.Problem.Field != "" {
		fmt.Fprintf(&b, ", column %q", e.Problem.Field)
	}
	fmt.Fprintf(&b, ": %s; %s", e.Problem.What, e.Problem.Hint)
	return b.String()
}

// Unwrap gives the kind of failure.
func (e *Error) Unwrap() error { return e.Err }

func failure(kind error, name, what, hint string) *Error {
	return &Error{Err: kind, Problem: seqqc.Problem{File: name, What: what, Hint: hint, Unread: true}}
}

// Read reads a voucher sheet. The name is used in messages, and its extension
// only to settle a doubt between separators: a workbook is known by its
// content.
//
// An error is an *Error and means that no row could be used; the sheet is nil
// then. Trouble with single rows and cells is listed in Sheet.Problems.
func Read(r io.Reader, name string, opt Options) (*Sheet, error) {
	named, err := newHeadings(name, opt.Columns)
	if err != nil {
		return nil, err
	}
	lim := opt.Limits.orDefaults()
	g, err := readGrid(r, name, lim, named)
	if err != nil {
		return nil, err
	}
	at := named.findHeading(g.rows)
	if at < 0 {
		return nil, failure(ErrNoVouchers, name, "the sheet is empty",
			"give it a heading row with at least the columns voucher and field_id, and one row a voucher")
	}
	b := &builder{name: name, workbook: g.workbook, byCode: map[string]int{}, sampleRow: map[[2]string]int{}}
	b.problems = append(b.problems, g.problems...)
	if at > 0 {
		b.add(g.rows[0].number, "", fmt.Sprintf("rows above the heading (row %d) were passed over", g.rows[at].number),
			"begin such rows with # to mark them as comments", false)
	}
	if g.rows[at].broken {
		return nil, brokenHeading(name)
	}
	if err := b.headings(named, g.rows[at], width(g.rows[at:]), "voucher", "field_id"); err != nil {
		return nil, err
	}
	b.rows(g.rows[at+1:])
	if len(b.vouchers) == 0 {
		e := failure(ErrNoVouchers, name, "there is no row with a voucher below the heading",
			"fill in one row a voucher; rows that begin with # are comments")
		for _, p := range b.problems {
			if p.Unread { // the first bad row says more than the lack of good ones
				e.Problem.What = fmt.Sprintf("no row can be used: row %d: %s", p.Line, p.What)
				e.Problem.Hint = p.Hint
				break
			}
		}
		return nil, e
	}
	return &Sheet{Vouchers: b.vouchers, Problems: b.problems, Columns: b.columns}, nil
}

// readGrid reads the cells of text or a workbook.
func readGrid(r io.Reader, name string, lim Limits, named *headings) (*grid, error) {
	data, err := io.ReadAll(io.LimitReader(r, lim.Bytes+1))
	if err != nil {
		return nil, failure(err, name, fmt.Sprintf("it cannot be read: %v", err), "check the file and its permissions")
	}
	if int64(len(data)) > lim.Bytes {
		return nil, failure(ErrTooLarge, name, fmt.Sprintf("the file is larger than %d bytes", lim.Bytes),
			"check that it is the voucher sheet; split it where it is")
	}
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return readWorkbook(data, name, lim, named)
	case bytes.HasPrefix(data, []byte{0xd0, 0xcf, 0x11, 0xe0}):
		return nil, failure(ErrUnsupported, name, "this is an old .xls workbook or one with a password",
			"open it in the spreadsheet program and save it as .xlsx or .csv without a password")
	}
	text, problem, err := decodeText(data, name)
	if err != nil {
		return nil, err
	}
	g, err := splitText(text, name, lim, named)
	if err == nil && problem != nil {
		g.problems = append(g.problems, *problem)
	}
	return g, err
}

func brokenHeading(name string) error {
	return failure(ErrMalformed, name, "a quotation mark in the heading is not closed", "close it, or remove it")
}

func width(rows []row) int {
	n := 0
	for _, r := range rows {
		n = max(n, len(r.cells))
	}
	return n
}
