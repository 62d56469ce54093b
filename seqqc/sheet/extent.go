package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// maxMerged bounds merged ranges: the library goes through all of them for
// each cell that is looked at.
const maxMerged = 1000

// rowGap is how far down a row may stand, as a multiple of the rows allowed:
// each line of a text costs memory, and the library for workbooks makes a row of
// each number up to the last.
const rowGap = 10

// checkExtent reads through the parts of a workbook and refuses one whose
// sheets claim more cells than allowed. The library fills a row up to its last
// cell, so that a few bytes for the cell XFD1 cost 16,384 cells of memory.
func checkExtent(data []byte, name string, lim Limits) error {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil // not this function's to tell: the library will
	}
	left := lim.Inflated
	cells := 0
	for _, part := range z.File {
		if part.UncompressedSize64 > uint64(max(left, 0)) {
			return inflates(name, lim)
		}
		left -= int64(part.UncompressedSize64)
		if !strings.HasSuffix(strings.ToLower(part.Name), ".xml") {
			continue
		}
		r, err := part.Open()
		if err != nil {
			continue
		}
		n, what := extent(r, lim)
		_ = r.Close() // read only: what it could tell, reading has told
		if cells += n; what == "" && cells > lim.Cells {
			what = fmt.Sprintf("its sheets reach over more than %d cells", lim.Cells)
		}
		if what != "" {
			return failure(ErrTooLarge, name, what, "delete empty rows and columns beside the table, or save the sheet as .csv")
		}
	}
	return nil
}

func inflates(name string, lim Limits) error {
	return failure(ErrTooLarge, name, fmt.Sprintf("the workbook unpacks to more than %d bytes", lim.Inflated),
		"remove pictures and other sheets, or save the sheet as .csv")
}

// extent counts the cells of a part up to the last of each row, and says what
// is too much. A part that is not well formed is left to the library.
func extent(r io.Reader, lim Limits) (cells int, what string) {
	d := xml.NewDecoder(r)
	row, column, merged := 0, 0, 0
	for cells <= lim.Cells {
		token, err := d.RawToken()
		if err != nil {
			return cells, ""
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch start.Name.Local {
		case "row":
			row, column = row+1, 0
			cells++
			if n, err := strconv.Atoi(attribute(start, "r")); err == nil {
				row = n
			}
			if row > rowGap*lim.Rows {
				return cells, fmt.Sprintf("something stands in row %d", row)
			}
		case "c":
			next := column + 1
			if n, _, err := excelize.CellNameToCoordinates(attribute(start, "r")); err == nil {
				next = n
			}
			cells += max(0, next-column)
			column = max(column, next)
		case "mergeCell":
			if merged++; merged > maxMerged {
				return cells, fmt.Sprintf("there are more than %d merged ranges", maxMerged)
			}
		}
	}
	return cells, ""
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
