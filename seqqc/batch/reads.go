package batch

import (
	"context"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/alleles"
	"forayseq/seqqc/sheet"
	"forayseq/seqqc/signal"
	"forayseq/seqqc/trace"
	"forayseq/seqqc/trim"
)

// collect makes reads of the items of a folder. What was not read (a second
// copy, an unreadable file) stands in the list too, as a row that says why;
// files that belong to no read do not, and one problem names them.
func collect(ctx context.Context, items iter.Seq[trace.Item], tell func(Progress)) ([]*seqqc.Read, []seqqc.Problem, error) {
	var reads []*seqqc.Read
	var problems []seqqc.Problem
	var ignored []string
	for it := range items {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		if it.Status == trace.Ignored {
			ignored = append(ignored, it.File)
		}
		if p := it.Problem(); p != nil {
			problems = append(problems, *p)
		}
		if r := readOf(it); r != nil {
			reads = append(reads, r)
			tell(Progress{Doing: "reading files", Done: len(reads)})
		}
	}
	// A folder gives texts last, whatever their names.
	slices.SortStableFunc(reads, func(a, b *seqqc.Read) int { return strings.Compare(a.File, b.File) })
	if len(ignored) > 0 {
		problems = append(problems, notLookedAt(ignored))
	}
	return reads, problems, nil
}

// notLookedAt is one remark about all files that are no reads by their names: a
// folder holds notes and reports, and one of them may be a read after all.
func notLookedAt(files []string) seqqc.Problem {
	const most = 10 // that are named
	dir, _, _ := strings.Cut(files[0], "/")
	var names []string
	for _, f := range files[:min(most, len(files))] {
		names = append(names, strings.TrimPrefix(f, dir+"/"))
	}
	what := "not looked at: " + strings.Join(names, ", ")
	if len(files) > most {
		what += " ..."
	}
	count := "1 file"
	if len(files) > 1 {
		count = fmt.Sprintf("%d files", len(files))
	}
	return seqqc.Problem{File: dir, What: what + " (" + count + ")",
		Hint: "nothing, if none of them is a read; a read needs the ending of its format, such as .ab1 or .fasta"}
}

// readOf gives nil for a file that is no read and was not meant to be one.
func readOf(it trace.Item) *seqqc.Read {
	switch it.Status {
	case trace.Usable:
		return &seqqc.Read{File: it.File, Trace: it.Trace, Format: it.Trace.Format, Notes: it.Trace.Notes}
	case trace.Duplicate:
		return &seqqc.Read{File: it.File, Why: "the same read as " + it.SameAs + ", used once"}
	case trace.Unreadable:
		return &seqqc.Read{File: it.File, Why: it.Why}
	}
	return nil
}

// noting passes items on and writes down which file repeats which.
func noting(items iter.Seq[trace.Item], copies map[string]string) iter.Seq[trace.Item] {
	return func(yield func(trace.Item) bool) {
		for it := range items {
			if it.Status == trace.Duplicate {
				copies[it.File] = it.SameAs
			}
			if !yield(it) {
				return
			}
		}
	}
}

// withTrace gives the reads that hold something.
func withTrace(reads []*seqqc.Read) []*seqqc.Read {
	var out []*seqqc.Read
	for _, r := range reads {
		if r.Trace != nil {
			out = append(out, r)
		}
	}
	return out
}

// QC reads and trims the files, folders and archives named, without a sheet;
// "-" is one file on stdin. A name that is not there is a problem like any
// other, and the rest is read.
func QC(ctx context.Context, names []string, stdin io.Reader, s Settings) ([]*seqqc.Read, []seqqc.Problem, error) {
	if err := s.Validate(); err != nil {
		return nil, nil, err
	}
	var reads []*seqqc.Read
	var problems []seqqc.Problem
	for _, name := range names {
		some, more, err := collect(ctx, itemsOf(name, stdin), func(Progress) {})
		if err != nil {
			return nil, nil, err
		}
		reads = append(reads, some...)
		problems = append(problems, more...)
	}
	found := withTrace(reads)
	// Without a sheet a name still tells the primer and so the direction. What
	// else Tie says is that no voucher fits.
	sheet.Tie(nil, found, nil)
	for _, r := range found {
		r.Untied = ""
		if err := measureAndTrim(r, s); err != nil {
			return nil, nil, err
		}
	}
	return reads, problems, nil
}

// measureAndTrim works out the peak evidence of a read, estimates its
// qualities from it where the file has none, trims the read, and looks for a
// second template in it.
func measureAndTrim(r *seqqc.Read, s Settings) error {
	r.Signal = signal.Measure(r.Trace)
	if r.Signal != nil {
		r.Notes = append(r.Notes, r.Signal.Notes...)
		estimateQualities(r)
	}
	if err := trim.Trim(r, s.Trim); err != nil {
		return err
	}
	return alleles.Look(r, s.Alleles)
}

func estimateQualities(r *seqqc.Read) {
	if r.Trace.HasQuals() {
		return
	}
	t := *r.Trace // what the file holds stays as it was
	t.Quals = signal.Qualities(r.Trace, r.Signal)
	if !t.HasQuals() {
		return
	}
	r.Trace = &t
	r.Flags = seqqc.MergeFlags(r.Flags, []seqqc.Flag{seqqc.QualityEstimated})
	r.Notes = append(r.Notes, "the file has no qualities; they were estimated from its traces")
}

// itemsOf gives the items of a file, folder or archive, or of standard input.
func itemsOf(name string, stdin io.Reader) iter.Seq[trace.Item] {
	if name == "-" {
		return func(yield func(trace.Item) bool) {
			traces, err := trace.Decode(stdin, "", trace.Limits{})
			if err != nil {
				yield(trace.Item{File: "-", Status: trace.Unreadable, Err: err, Why: err.Error(), Hint: trace.Hint(err)})
				return
			}
			for i, t := range traces {
				file := "-"
				if len(traces) > 1 {
					file = fmt.Sprintf("-#%s", recordName(t, i))
				}
				if !yield(trace.Item{File: file, Status: trace.Usable, Trace: t}) {
					return
				}
			}
		}
	}
	clean := filepath.Clean(name)
	return trace.Folder(os.DirFS(filepath.Dir(clean)), filepath.Base(clean), trace.Limits{})
}

func recordName(t *seqqc.Trace, i int) string {
	if t.Name != "" {
		return t.Name
	}
	return fmt.Sprint(i + 1)
}
