package batch

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// The names of a batch folder's entries.
const (
	SheetName     = "vouchers.csv"
	ReadsName     = "reads"
	ReadTableName = "reads.csv"
	RefsName      = "refs.fasta"
	TaxonomyName  = "taxonomy.tsv"
	SettingsName  = "forayseq.yaml"
	ResultsName   = "results"
)

// sheetNames are the names a voucher sheet may have.
var sheetNames = []string{SheetName, "vouchers.tsv", "vouchers.xlsx"}

// TextInputs lists the files of a batch folder that people write: results older
// than one of them no longer tell what is known.
func TextInputs() []string {
	return append(slices.Clone(sheetNames), ReadTableName, TaxonomyName, SettingsName, NamesName, GroupsName, DecisionsName)
}

// HintError is an error that a person can mend, and how.
type HintError struct {
	Err  error
	Hint string // no capital, no full stop
}

func (e *HintError) Error() string { return e.Err.Error() }
func (e *HintError) Unwrap() error { return e.Err }

func hint(h, format string, args ...any) error {
	return &HintError{fmt.Errorf(format, args...), h}
}

// findSheet gives the path of the one voucher sheet of dir.
func findSheet(dir string) (string, error) {
	if info, err := os.Stat(dir); err != nil {
		return "", hint("name a batch folder; 'forayseq new' makes one, 'forayseq demo' an example", "%w", err)
	} else if !info.IsDir() {
		return "", hint("name the folder that holds the voucher sheet and the reads", "%s is no folder", dir)
	}
	var found []string
	for _, name := range sheetNames {
		if _, err := os.Stat(filepath.Join(dir, name)); err == nil {
			found = append(found, name)
		}
	}
	switch len(found) {
	case 0:
		return "", hint("put it there, or let 'forayseq new' write a template", "%s holds no voucher sheet (%s)", dir, strings.Join(sheetNames, ", "))
	case 1:
		return filepath.Join(dir, found[0]), nil
	}
	return "", hint("keep one of them", "%s holds more than one voucher sheet: %s", dir, strings.Join(found, ", "))
}

// findRefs gives the path of the reference library: the one named, else the
// batch folder's.
func findRefs(dir, named string) (string, error) {
	if named != "" {
		return named, nil
	}
	for _, name := range []string{RefsName, RefsName + ".gz"} {
		path := filepath.Join(dir, name)
		if _, err := os.Stat(path); err == nil {
			return path, nil
		}
	}
	return "", hint("put a reference FASTA there as "+RefsName+", or name one with --refs", "%s holds no reference library", dir)
}

// findOptional gives the path of an optional entry of dir: the one named, else
// name in dir where it is there, else "".
func findOptional(dir, name, named string) string {
	if named != "" {
		return named
	}
	path := filepath.Join(dir, name)
	if _, err := os.Stat(path); err != nil {
		return ""
	}
	return path
}

// withFile opens a file for reading and closes it again.
func withFile(path string, read func(io.Reader) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(read(f), f.Close())
}

// RefuseOverlap refuses a results folder whose files would land among a
// batch's inputs: the batch folder itself, its reads, or a folder around them.
func RefuseOverlap(dir, out string) error {
	in, err := realPath(dir)
	if err != nil {
		return hint("name a batch folder; 'forayseq new' makes one, 'forayseq demo' an example", "%w", err)
	}
	to, err := realPath(out)
	if err != nil {
		return err
	}
	reads := filepath.Join(in, ReadsName)
	if within(to, in) || within(reads, to) {
		return hint("name another folder with --out", "results would be written among the inputs, to %s", out)
	}
	return nil
}

// within reports whether path is dir or lies below it.
func within(dir, path string) bool {
	rel, err := filepath.Rel(dir, path)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// realPath resolves links as far as the path exists.
func realPath(path string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	real, err := filepath.EvalSymlinks(abs)
	if errors.Is(err, fs.ErrNotExist) {
		parent := filepath.Dir(abs)
		if parent == abs {
			return abs, nil
		}
		above, err := realPath(parent)
		return filepath.Join(above, filepath.Base(abs)), err
	}
	return real, err
}
