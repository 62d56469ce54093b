package batch

import (
	"context"
	"errors"
	"fmt"
	"io"

	"forayseq/seqqc"
	"forayseq/seqqc/sheet"
)

// tie ties reads to vouchers by reads.csv, where there is one, and by name.
//
// What could not be used is tied as well, so that its voucher can say why it
// has no sequence; where its name tells of nobody, that it could not be used is
// trouble enough. Two copies of one read share what either name tells.
func (r *runner) tie(context.Context) error {
	table, err := r.readTable()
	if err != nil {
		return err
	}
	var readable, others []*seqqc.Read
	for _, read := range r.reads {
		if read.Trace != nil {
			readable = append(readable, read)
		} else {
			others = append(others, read)
		}
	}
	problems := sheet.Tie(r.vouchers, readable, table)
	sheet.Tie(r.vouchers, others, table)
	for _, read := range others {
		read.Untied = ""
	}
	told := r.reconcile()
	for _, p := range problems {
		if p.File == "" { // about a row of the sheet, whose name is known here only
			p.File = r.sheetName
		}
		if !told[p.File] {
			r.problems(p)
		}
	}
	return nil
}

func (r *runner) readTable() (table *sheet.Table, err error) {
	path := findOptional(r.opt.Dir, ReadTableName, "")
	if path == "" {
		return nil, nil
	}
	err = withFile(path, func(f io.Reader) error {
		t, problems, err := sheet.ReadTable(f, ReadTableName)
		table = t
		r.problems(problems...)
		return err
	})
	return table, sheetError(err)
}

// sheetError gives an error of a sheet the form that the command prints.
func sheetError(err error) error {
	var unread *sheet.Error
	if !errors.As(err, &unread) {
		return err
	}
	p := unread.Problem
	if p.Line > 0 {
		return hint(p.Hint, "%s, line %d: %s", p.File, p.Line, p.What)
	}
	return hint(p.Hint, "%s: %s", p.File, p.What)
}

// reconcile compares the vouchers of the copies of one read. Where only one
// name tells of a voucher, the read is that voucher's, and the files whose
// problem that settles are given. Where two vouchers are told, the read is
// nobody's: one content cannot come from both, and nothing tells from which it
// comes.
func (r *runner) reconcile() (settled map[string]bool) {
	settled = map[string]bool{}
	byFile := map[string]*seqqc.Read{}
	for _, read := range r.reads {
		byFile[read.File] = read
	}
	for _, second := range r.reads {
		first := byFile[r.copies[second.File]]
		switch {
		case first == nil || second.Voucher == "" || first.Voucher == second.Voucher:
		case first.Voucher == "" && !r.disputed[first.File]:
			first.Voucher, first.Sample, first.Untied = second.Voucher, second.Sample, ""
			if first.Primer == "" {
				first.Primer, first.Direction = second.Primer, second.Direction
			}
			first.Notes = append(first.Notes, "tied by the name of its copy "+second.File)
			settled[first.File] = true
		case first.Voucher != "":
			r.dispute(first, second)
		}
	}
	return settled
}

// dispute unties two copies of a read that are filed under two vouchers.
func (r *runner) dispute(first, second *seqqc.Read) {
	why := fmt.Sprintf("the same read is filed under %s and under %s", first.Voucher, second.Voucher)
	r.problems(seqqc.Problem{File: first.File, What: why + ", as " + second.File, Unread: true,
		Hint: "find out whose it is, and remove or rename the other file"})
	for _, read := range []*seqqc.Read{first, second} {
		read.Voucher, read.Sample, read.Untied = "", "", why
	}
	r.disputed[first.File] = true
}
