package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
)

// OpenLibrary reads a reference FASTA, plain or compressed with gzip, and the
// lineages in taxonomy where that is not empty. Where a cached index lies
// beside it that is still of this library and these lineages, it is opened
// instead, with the same answers. Its records stand under the names in use, as the
// built-in table has them. What is wrong with single records, and with
// a cached index that could not be used, comes back as problems; remarks are
// only counted, see LibraryProblems.
func OpenLibrary(path, taxonomy string) (*refs.Library, seqqc.LibraryInfo, []seqqc.Problem, error) {
	var problems []seqqc.Problem
	lib, err := OpenIndex(path, taxonomy)
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			problems = append(problems, indexProblem(path, taxonomy, err))
		}
		if lib, _, err = readLibrary(path, taxonomy, nil); err != nil {
			return nil, seqqc.LibraryInfo{}, nil, err
		}
	}
	lib.TakeNames(fieldguide.BuiltinNames())
	n := lib.Info()
	info := seqqc.LibraryInfo{
		Name: filepath.Base(path), SHA256: lib.SHA256,
		Records: n.Records, Named: n.Named, Genera: n.Genera, Species: n.Species, Rejected: n.Rejected,
	}
	remarks := 0
	for _, p := range lib.Problems {
		if p.Remark {
			remarks++
			continue
		}
		problems = append(problems, problemOf(info.Name, p))
	}
	if remarks > 0 {
		problems = append(problems, seqqc.Problem{File: info.Name, What: seqqc.Count(remarks, "remark") + " about its records",
			Hint: listRemarks})
	}
	return lib, info, problems, nil
}

// listRemarks is where the remarks are told.
const listRemarks = "'forayseq refs check' lists them"

// readLibrary reads a library and tells of the part read, 0 to 1, if tell is
// not nil. It says of what the library was made.
func readLibrary(path, taxonomy string, tell func(share float64)) (lib *refs.Library, from refs.Origin, err error) {
	var opt refs.ReadOptions
	if taxonomy != "" {
		sum := sha256.New()
		err := withFile(taxonomy, func(r io.Reader) (err error) {
			opt.Taxonomy, err = refs.ReadTaxonomy(io.TeeReader(r, sum))
			return err
		})
		if err != nil {
			return nil, from, hint("mend the row, or leave the file out", "lineages: %s: %w", filepath.Base(taxonomy), err)
		}
		from.Taxonomy = hex.EncodeToString(sum.Sum(nil))
	}
	err = withFile(path, func(r io.Reader) error {
		if info, err := os.Stat(path); err == nil {
			from.Size, from.ModTime = info.Size(), info.ModTime()
		}
		if tell != nil && from.Size > 0 {
			r = &meter{Reader: r, of: from.Size, tell: tell}
		}
		lib, err = refs.Read(r, opt)
		return err
	})
	if err != nil {
		return nil, from, hint("'forayseq refs check' lists all that is wrong with a library", "reference library: %s: %w", filepath.Base(path), err)
	}
	return lib, from, nil
}

// meter tells how much of a file was read.
type meter struct {
	io.Reader
	read, of int64
	tell     func(share float64)
}

func (m *meter) Read(p []byte) (int, error) {
	n, err := m.Reader.Read(p)
	m.read += int64(n)
	m.tell(min(1, float64(m.read)/float64(m.of)))
	return n, err
}

// LibraryProblems gives all that is wrong with a library and all that is worth
// a remark, in its order.
func LibraryProblems(name string, lib *refs.Library) []seqqc.Problem {
	var out []seqqc.Problem
	for _, p := range lib.Problems {
		out = append(out, problemOf(name, p))
	}
	return out
}

func problemOf(file string, p refs.Problem) seqqc.Problem {
	what := p.What
	if p.Record != "" {
		what = fmt.Sprintf("%s: %s", p.Record, p.What)
	}
	return seqqc.Problem{File: file, Line: p.Line, What: what, Hint: p.Hint, Unread: p.Rejected}
}
