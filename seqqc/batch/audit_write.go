package batch

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/outfile"
)

// CleanInfo says what WriteClean wrote.
type CleanInfo struct {
	Path, List            string
	Kept, Turned, LeftOut int
}

// lineWidth is the number of bases on a line of a FASTA file.
const lineWidth = 80

// WriteClean writes the library without the records that are better left out,
// those on the other strand turned round, and beside it, as PATH.left-out.tsv,
// what was left out or turned and why. Both are written whole or not at all.
// Headers stay as they were read, bases are written in capitals.
//
// The library itself, its lineages and its index are never written over.
func (a *Audit) WriteClean(path string, inputs ...string) (CleanInfo, error) {
	info := CleanInfo{Path: path, List: path + ".left-out.tsv"}
	for _, in := range inputs {
		for _, out := range []string{info.Path, info.List} {
			if in != "" && (sameFile(in, out) || sameFile(refs.IndexPath(in), out)) {
				return info, hint("name another file: what was read is never written over", "%s is the library, its index or its lineages", out)
			}
		}
	}
	leave, turn := map[int]bool{}, map[int]bool{}
	for _, f := range a.Findings {
		leave[f.Record] = leave[f.Record] || f.LeaveOut
		turn[f.Record] = turn[f.Record] || f.Turn
	}
	for r := range a.lib.Len() {
		switch {
		case leave[r]:
			info.LeftOut++
		case turn[r]:
			info.Turned++
			info.Kept++
		default:
			info.Kept++
		}
	}
	info.LeftOut += a.Info.Rejected
	files := []outfile.File{
		{Name: filepath.Base(info.List), Write: func(w io.Writer) error { return a.writeList(w, leave) }},
		{Name: filepath.Base(path), Write: func(w io.Writer) error { return a.writeFASTA(w, leave, turn) }},
	}
	if err := outfile.WriteAll(filepath.Dir(path), files); err != nil {
		return info, hint("name a file where you may write, on a disk with room", "%w", err)
	}
	return info, nil
}

func (a *Audit) writeFASTA(w io.Writer, leave, turn map[int]bool) error {
	for i, r := range a.lib.All() {
		if leave[i] {
			continue
		}
		seq := r.Seq
		if turn[i] {
			seq = align.ReverseComplement(seq)
		}
		if _, err := fmt.Fprintf(w, ">%s\n", r.Header); err != nil {
			return err
		}
		for line := range slices.Chunk(seq, lineWidth) {
			if _, err := fmt.Fprintf(w, "%s\n", line); err != nil {
				return err
			}
		}
	}
	return nil
}

// writeList writes a row for each reason, so that a record may have several.
func (a *Audit) writeList(w io.Writer, leave map[int]bool) error {
	row := func(cells ...string) error {
		for i, c := range cells {
			cells[i] = strings.NewReplacer("\t", " ", "\n", " ", "\r", " ").Replace(c)
		}
		_, err := fmt.Fprintln(w, strings.Join(cells, "\t"))
		return err
	}
	if err := row("id", "line", "done", "check", "why", "header"); err != nil {
		return err
	}
	for _, p := range a.Problems {
		if p.Unread {
			if err := row("", fmt.Sprint(p.Line), "left out", "unreadable", p.What, ""); err != nil {
				return err
			}
		}
	}
	for _, f := range a.Findings {
		done := "turned"
		switch {
		case f.LeaveOut:
			done = "left out"
		case !f.Turn || leave[f.Record]:
			continue
		}
		if err := row(f.ID, fmt.Sprint(f.Line), done, string(f.Check), f.What, a.lib.Record(f.Record).Header); err != nil {
			return err
		}
	}
	return nil
}

// sameFile reports whether two paths name one file.
func sameFile(a, b string) bool {
	if i, err := os.Stat(a); err == nil {
		if j, err := os.Stat(b); err == nil {
			return os.SameFile(i, j)
		}
	}
	p, err := realPath(a)
	if err != nil {
		return false
	}
	q, err := realPath(b)
	return err == nil && p == q
}

// Listed gives the findings as problems, at most n of a check (0 for all) and
// then a count.
func (a *Audit) Listed(n int) []seqqc.Problem {
	var out []seqqc.Problem
	seen := map[AuditCheck]int{}
	for i, f := range a.Findings {
		if seen[f.Check]++; n == 0 || seen[f.Check] <= n {
			out = append(out, f.Problem(a.Info.Name))
		}
		last := i+1 == len(a.Findings) || a.Findings[i+1].Check != f.Check
		if more := seen[f.Check] - n; last && n > 0 && more > 0 {
			out = append(out, seqqc.Problem{File: a.Info.Name, What: fmt.Sprintf("%d more of %s", more, f.Check), Hint: "--all lists them"})
		}
	}
	return out
}
