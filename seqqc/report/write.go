package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/outfile"
	"forayseq/seqqc/workorder"
)

// output is one file of the results folder. A new file is one more entry in
// outputs, before the last: results.json vouches for the others.
type output struct {
	name  string
	write func(io.Writer, *Model) error
}

var outputs = []output{
	{"verdicts.tsv", func(w io.Writer, m *Model) error { return WriteTSV(w, m.Verdicts) }},
	{"hits.tsv", func(w io.Writer, m *Model) error { return WriteTSV(w, m.Hits) }},
	{"reads.tsv", func(w io.Writer, m *Model) error { return WriteTSV(w, m.Reads) }},
	{"problems.tsv", func(w io.Writer, m *Model) error { return WriteTSV(w, m.Problems) }},
	{"contigs.fasta", writeFASTA},
	{"contigs.fastq", writeFASTQ},
	{"next_plate.tsv", func(w io.Writer, m *Model) error {
		return WriteTSV(w, Table{Columns: workorder.Heading, Rows: workorder.New(m.Result).Cells()})
	}},
	{"next_plate.txt", func(w io.Writer, m *Model) error { return workorder.New(m.Result).WriteText(w) }},
	{"report.html", WriteHTML},
	{"results.json", writeJSON},
}

// Write puts the result's files into dir as outfile.WriteAll does: all of one
// run, none of them half.
func Write(dir string, m *Model) error {
	files := make([]outfile.File, len(outputs))
	for i, out := range outputs {
		files[i] = outfile.File{Name: out.name, Write: func(w io.Writer) error { return out.write(w, m) }}
	}
	if err := outfile.WriteAll(dir, files); err != nil {
		return fmt.Errorf("results folder: %w", err)
	}
	return nil
}

// WriteTSV prints a table with its heading. A tab, line break or other control
// character inside a cell becomes a space. A cell that a spreadsheet would
// take for a formula gets an apostrophe before it.
func WriteTSV(w io.Writer, t Table) error {
	if err := writeRow(w, t.Columns); err != nil {
		return err
	}
	return WriteRows(w, t)
}

// WriteRows prints a table as WriteTSV does, without its heading.
func WriteRows(w io.Writer, t Table) error {
	for _, row := range t.Rows {
		if err := writeRow(w, row); err != nil {
			return err
		}
	}
	return nil
}

func writeRow(w io.Writer, cells []string) error {
	safe := make([]string, len(cells))
	for i, c := range cells {
		safe[i] = SafeCell(c)
	}
	_, err := fmt.Fprintln(w, strings.Join(safe, "\t"))
	return err
}

// SafeCell makes text fit for one cell of a tab-separated table that may be
// opened in a spreadsheet.
func SafeCell(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0x85 || r == 0x2028 || r == 0x2029 {
			return ' '
		}
		return r
	}, s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) && s != "-" {
		return "'" + s
	}
	return s
}

// writeFASTA writes the contig of every sample, 70 bases a line.
func writeFASTA(w io.Writer, m *Model) error {
	return eachContig(m, func(title string, c *seqqc.Contig) error {
		if _, err := fmt.Fprintf(w, ">%s\n", title); err != nil {
			return err
		}
		for s := c.Sequence; s != ""; {
			n := min(len(s), 70)
			if _, err := fmt.Fprintln(w, s[:n]); err != nil {
				return err
			}
			s = s[n:]
		}
		return nil
	})
}

func writeFASTQ(w io.Writer, m *Model) error {
	return eachContig(m, func(title string, c *seqqc.Contig) error {
		_, err := fmt.Fprintf(w, "@%s\n%s\n+\n%s\n", title, c.Sequence, c.Phred33)
		return err
	})
}

// eachContig visits the contigs in sheet order with a title line that begins
// with the contig's name.
func eachContig(m *Model, visit func(title string, c *seqqc.Contig) error) error {
	for i := range m.Result.Vouchers {
		v := &m.Result.Vouchers[i]
		for j := range v.Samples {
			s := &v.Samples[j]
			if s.Contig == nil || len(s.Contig.Bases) == 0 {
				continue
			}
			// A blank inside the name would end it for every reader of FASTA.
			name := strings.Join(strings.Fields(SafeCell(QueryName(v.Voucher.Code, s.Sample.ID))), "_")
			title := fmt.Sprintf("%s region=%s reads=%d predicted_errors=%s verdict=%s",
				name, dashIfEmpty(s.Contig.Region.Text), len(s.Contig.Reads), dashIfEmpty(predictedErrors(s.Contig)), v.Verdict.Kind)
			if err := visit(title, s.Contig); err != nil {
				return err
			}
		}
	}
	return nil
}

func dashIfEmpty(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func writeJSON(w io.Writer, m *Model) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", " ")
	return enc.Encode(m.Result)
}
