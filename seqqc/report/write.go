package report

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"forayseq/seqqc"
)

// output is one file of the results folder. A new file is one more entry in
// outputs.
type output struct {
	name  string
	write func(io.Writer, *Model) error
}

var outputs = []output{
	{"verdicts.tsv", func(w io.Writer, m *Model) error { return WriteTSV(w, m.Verdicts) }},
	{"hits.tsv", func(w io.Writer, m *Model) error { return WriteTSV(w, m.Hits) }},
	{"reads.tsv", func(w io.Writer, m *Model) error { return WriteTSV(w, m.Reads) }},
	{"contigs.fasta", writeFASTA},
	{"contigs.fastq", writeFASTQ},
	{"results.json", writeJSON},
}

// Write puts the result's files into dir, which is made where it is missing.
// Each file is written aside and renamed, so a reader sees it whole or not at
// all; other files in dir are left alone.
func Write(dir string, m *Model) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("results folder: %w", err)
	}
	for _, out := range outputs {
		if err := writeAside(filepath.Join(dir, out.name), func(w io.Writer) error { return out.write(w, m) }); err != nil {
			return fmt.Errorf("write %s: %w", out.name, err)
		}
	}
	return nil
}

// writeAside writes a file under a temporary name beside its place and renames
// it when all of it is on the disk.
func writeAside(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".part-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreClosed(f.Close()), os.Remove(f.Name()))
		}
	}()
	buf := bufio.NewWriter(f)
	if err := write(buf); err != nil {
		return err
	}
	if err := buf.Flush(); err != nil {
		return err
	}
	// CreateTemp makes the file private; results are for the club to share.
	if err := f.Chmod(0o644); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

func ignoreClosed(err error) error {
	if errors.Is(err, os.ErrClosed) {
		return nil
	}
	return err
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

// WriteRows prints a table without its heading.
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
				name, dashIfEmpty(s.Contig.Region.Text), len(s.Contig.Reads), rounded(s.Contig.PredictedErrors), v.Verdict.Kind)
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
