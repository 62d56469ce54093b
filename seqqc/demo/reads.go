package demo

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"time"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// plateSize is the number of vouchers on the first plate, whose files lie in a
// folder; the others' came as a zip from the laboratory.
const plateSize = 20

// The names of the two plates below the folder of reads, and of the zip.
const (
	firstPlate  = "plate_1"
	secondPlate = "plate_2"
	runDate1    = "2026-09-18"
	runDate2    = "2026-10-09"
)

// tube is one read with its place on a plate.
type tube struct {
	read
	owner  string // code whose DNA draws are used
	plate  string
	well   string // A01 ... H12
	number int    // of all reads, for the seed
}

// tubes puts every read of the batch into a well, column by column.
func tubes(rows []voucher) []tube {
	var out []tube
	next := map[string]int{}
	for i, v := range rows {
		plate := firstPlate
		if i >= plateSize {
			plate = secondPlate
		}
		for _, r := range v.reads {
			n := next[plate]
			next[plate]++
			well := fmt.Sprintf("%c%02d", 'A'+n%8, n/8+1)
			out = append(out, tube{r, v.code, plate, well, len(out)})
		}
	}
	return out
}

// file gives the name of the read's file within its plate. The two runs name
// files in different ways, as two laboratories do.
func (t tube) file() string {
	if t.plate == firstPlate {
		return fmt.Sprintf("%s_%s_%s.ab1", t.well, t.label, t.says)
	}
	return fmt.Sprintf("%s-%s_%s_%s.ab1", strings.ReplaceAll(t.label, "QM-", "QM"), t.says, t.well, runDate2)
}

// path gives the place of the read in the batch folder, as the sheet of reads
// names it.
func (t tube) path() string {
	if t.plate == firstPlate {
		return "reads/" + firstPlate + "/" + t.file()
	}
	return "reads/" + secondPlate + ".zip/" + t.file()
}

// sequence simulates the read and gives its ABIF file.
func (t tube) sequence(w world) ([]byte, error) {
	var templates []simulate.Template
	for _, m := range t.tube {
		f, r, err := simulate.Amplicon(m.locus(w, t.owner).Seq(), t.forward, t.reverse)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", t.file(), err)
		}
		if t.from == seqqc.Reverse {
			f = r
		}
		templates = append(templates, simulate.Template{Seq: f, Weight: m.weight})
	}
	tr, _ := simulate.Mixture(w.rng(fmt.Sprint("read ", t.number)), templates, t.params)
	tr.Name = strings.TrimSuffix(t.file(), ".ab1")
	tr.Well = t.well
	tr.Model = "SIM0"
	tr.RunDate = runDate1
	if t.plate == secondPlate {
		tr.RunDate = runDate2
	}
	var out bytes.Buffer
	if err := trace.EncodeABIF(&out, tr); err != nil {
		return nil, fmt.Errorf("%s: %w", t.file(), err)
	}
	return out.Bytes(), nil
}

// writeReads gives the files of the folder of reads.
func (w world) writeReads(all []tube) ([]File, error) {
	var files []File
	var archive bytes.Buffer
	z := zip.NewWriter(&archive)
	for _, t := range all {
		data, err := t.sequence(w)
		if err != nil {
			return nil, err
		}
		if t.plate == firstPlate {
			files = append(files, File{t.path(), data})
			continue
		}
		// Stored, not compressed: what a compressor writes may change with
		// its version, and the demo is the same bytes everywhere.
		member, err := z.CreateHeader(&zip.FileHeader{
			Name: t.file(), Method: zip.Store, Modified: time.Date(2026, 10, 9, 12, 0, 0, 0, time.UTC)})
		if err != nil {
			return nil, err
		}
		if _, err := member.Write(data); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return append(files, File{"reads/" + secondPlate + ".zip", archive.Bytes()}), nil
}
