package sheet

import (
	"fmt"
	"io"

	"forayseq/seqqc"
)

// Table is a list that says of files what their names do not.
type Table struct {
	Name string
	Rows []TableRow
}

// TableRow is one row. Empty cells say nothing.
type TableRow struct {
	File    string // path below the batch folder, or the file's name alone
	Voucher string
	Sample  string
	Primer  string
	Run     string
	Row     int // 1-based row of the table
}

// ReadTable reads a table with the columns file, voucher, sample, primer and
// run, of which only file must be there, in the formats of [Read]. The
// problems name the rows that were left out.
//
// An error is an *Error and means that the table could not be read at all.
func ReadTable(r io.Reader, name string) (*Table, []seqqc.Problem, error) {
	named := &headings{builtIn: map[string]meaning{}}
	for _, ours := range []string{"file", "voucher", "sample", "primer", "run"} {
		named.builtIn[ours] = meaning{ours: ours, rank: 1}
	}
	named.builtIn["filename"] = meaning{ours: "file", rank: 2}
	g, err := readGrid(r, name, Limits{}.orDefaults(), named)
	if err != nil {
		return nil, nil, err
	}
	table := &Table{Name: name}
	if len(g.rows) == 0 {
		return table, g.problems, nil
	}
	b := &builder{name: name, problems: g.problems, workbook: g.workbook}
	if g.rows[0].broken {
		return nil, nil, brokenHeading(name)
	}
	if err := b.headings(named, g.rows[0], width(g.rows), "file"); err != nil {
		return nil, nil, err
	}
	for _, r := range g.rows[1:] {
		if r.broken || b.slipped(r) {
			continue
		}
		text := func(ours string) string { return oneLine(b.cell(r, ours).text) }
		row := TableRow{File: text("file"), Voucher: text("voucher"), Sample: text("sample"),
			Primer: text("primer"), Run: text("run"), Row: r.number}
		if row.File == "" {
			b.add(r.number, b.heading("file"), "the row names no file", "name one, or remove the row", true)
			continue
		}
		if row.Voucher == "" && row.Sample != "" {
			b.add(r.number, b.heading("voucher"), fmt.Sprintf("sample %s is given without a voucher", clip(row.Sample)),
				"name the voucher too", false)
		}
		table.Rows = append(table.Rows, row)
	}
	return table, b.problems, nil
}
