package sheet

import (
	"bytes"
	"fmt"
	"path"
	"strings"

	"golang.org/x/text/unicode/norm"

	"forayseq/seqqc"
)

// tableChoice is what the table says of one read.
type tableChoice struct {
	TableRow
	voucher int // -1 where the row names none
	sample  int // -1 where the row names none
	untied  string
}

// table finds the read of each row, by the end of its path at a slash: the
// whole path, the file name, or both with some folders. It is given per index
// of reads.
func (t *tier) table(reads []*seqqc.Read, table *Table) map[int]*tableChoice {
	choices := map[int]*tableChoice{}
	if table == nil {
		return choices
	}
	files, codes := newFileIndex(reads), newCodeIndex(t.vouchers)
	for _, row := range table.Rows {
		problem := func(field, what, hint string, unread bool) {
			t.problems = append(t.problems, seqqc.Problem{File: table.Name, Line: row.Row, Field: field, What: what, Hint: hint, Unread: unread})
		}
		found := files.find(row.File)
		if len(found) == 0 {
			problem("file", fmt.Sprintf("there is no read %s", clip(row.File)), "correct the name, or add the file", true)
			continue
		}
		if !same(reads, found) {
			problem("file", fmt.Sprintf("%s fits %d files that differ, %s and %s among them", clip(row.File), len(found), reads[found[0]].File, reads[found[1]].File),
				"write the path as well", true)
			continue
		}
		choice := &tableChoice{TableRow: row, voucher: -1, sample: -1}
		if row.Voucher != "" {
			choice.voucher = codes.find(row.Voucher)
			if choice.voucher < 0 {
				problem("voucher", fmt.Sprintf("voucher %s is not in the sheet", clip(row.Voucher)), "correct the code, or add the voucher to the sheet", true)
				choice.untied = fmt.Sprintf("row %d of %s names voucher %s, which is not in the sheet", row.Row, table.Name, row.Voucher)
			} else if row.Sample != "" {
				choice.sample = t.bySample(choice.voucher, row, problem)
			}
		}
		for _, i := range found {
			earlier := choices[i]
			switch {
			case earlier == nil:
				choices[i] = choice
			case earlier.voucher != choice.voucher || earlier.sample != choice.sample:
				problem("file", fmt.Sprintf("%s is already in row %d with another voucher or sample", clip(row.File), earlier.Row), "remove one of the rows", true)
				both := *earlier
				both.untied = fmt.Sprintf("rows %d and %d of %s give it to %s and %s", earlier.Row, row.Row, table.Name,
					words2(earlier.Voucher, earlier.Sample), words2(row.Voucher, row.Sample))
				choices[i] = &both
			}
		}
	}
	return choices
}

func words2(voucher, sample string) string {
	if voucher == "" {
		return "no voucher"
	}
	return strings.TrimSpace(voucher + " " + sample)
}

// codeIndex finds vouchers by their code as written, and by its runs where that
// fits one.
type codeIndex struct{ written, runs map[string]int }

func newCodeIndex(vouchers []seqqc.Voucher) codeIndex {
	x := codeIndex{map[string]int{}, map[string]int{}}
	for i, v := range vouchers {
		x.written[v.Code] = i
		key := runKey(runs(v.Code))
		if _, double := x.runs[key]; double {
			i = -1
		}
		x.runs[key] = i
	}
	delete(x.runs, "") // of codes without a letter or digit
	return x
}

// find gives the index of the voucher, -1 where there is none or several.
func (x codeIndex) find(code string) int {
	if i, ok := x.written[code]; ok {
		return i
	}
	if i, ok := x.runs[runKey(runs(code))]; ok {
		return i
	}
	return -1
}

// bySample finds the sample of a row, and adds one that the sheet lacks.
func (t *tier) bySample(voucher int, row TableRow, problem func(field, what, hint string, unread bool)) int {
	v := &t.vouchers[voucher]
	for k, s := range v.Samples {
		if strings.EqualFold(s.ID, row.Sample) {
			return k
		}
	}
	if len(v.Samples) > 0 && v.Samples[0].ID != "" {
		problem("sample", fmt.Sprintf("the sheet has no sample %s of voucher %s; it was added", clip(row.Sample), v.Code),
			"check the name of the sample", false)
	}
	v.Samples = append(v.Samples, seqqc.Sample{ID: row.Sample, Row: v.Row})
	return len(v.Samples) - 1
}

// fileIndex finds reads by the end of their path; the looser forms are without
// the record's name and without the extension.
type fileIndex [3]map[string][]int

func newFileIndex(reads []*seqqc.Read) *fileIndex {
	x := &fileIndex{{}, {}, {}}
	for i, r := range reads {
		file, _, isRecord := cutRecord(r.File)
		x.add(0, r.File, i)
		if isRecord {
			x.add(1, file, i)
		}
		x.add(2, strings.TrimSuffix(file, path.Ext(file)), i)
	}
	return x
}

func (x *fileIndex) add(level int, file string, read int) {
	key := fileKey(file)
	for {
		x[level][key] = append(x[level][key], read)
		slash := strings.IndexByte(key, '/')
		if slash < 0 {
			return
		}
		key = key[slash+1:]
	}
}

func (x *fileIndex) find(file string) []int {
	key := fileKey(file)
	for _, level := range x {
		if found := level[key]; len(found) > 0 {
			return found
		}
	}
	return nil
}

// fileKey ignores case and takes either slash, for lists made on another
// system.
func fileKey(file string) string {
	return strings.ToLower(norm.NFC.String(strings.TrimPrefix(path.Clean(strings.ReplaceAll(file, `\`, "/")), "/")))
}

// same reports whether the reads are copies of one, or the records of one
// file.
func same(reads []*seqqc.Read, found []int) bool {
	first := reads[found[0]]
	file, _, isRecord := cutRecord(first.File)
	for _, i := range found[1:] {
		if other, _, ok := cutRecord(reads[i].File); ok && isRecord && other == file {
			continue
		}
		if first.Trace == nil || reads[i].Trace == nil || !bytes.Equal(first.Trace.Bases, reads[i].Trace.Bases) {
			return false
		}
	}
	return true
}
