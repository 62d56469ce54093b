package batch

import (
	"fmt"
	"io"
	"path/filepath"

	"forayseq/refs"
	"forayseq/seqqc"
)

// OpenLibrary reads a reference FASTA, plain or compressed with gzip, and the
// lineages in taxonomy where that is not empty. What is wrong with single
// records comes back as problems; remarks are only counted, see
// LibraryProblems.
func OpenLibrary(path, taxonomy string) (*refs.Library, seqqc.LibraryInfo, []seqqc.Problem, error) {
	var opt refs.ReadOptions
	if taxonomy != "" {
		err := withFile(taxonomy, func(r io.Reader) (err error) {
			opt.Taxonomy, err = refs.ReadTaxonomy(r)
			return err
		})
		if err != nil {
			return nil, seqqc.LibraryInfo{}, nil, hint("mend the row, or leave the file out", "lineages: %s: %w", filepath.Base(taxonomy), err)
		}
	}
	var lib *refs.Library
	err := withFile(path, func(r io.Reader) (err error) {
		lib, err = refs.Read(r, opt)
		return err
	})
	if err != nil {
		return nil, seqqc.LibraryInfo{}, nil, hint("'forayseq refs check' lists all that is wrong with a library", "reference library: %s: %w", filepath.Base(path), err)
	}
	n := lib.Info()
	info := seqqc.LibraryInfo{
		Name: filepath.Base(path), SHA256: lib.SHA256,
		Records: n.Records, Named: n.Named, Genera: n.Genera, Species: n.Species, Rejected: n.Rejected,
	}
	var problems []seqqc.Problem
	remarks := 0
	for _, p := range lib.Problems {
		if p.Remark {
			remarks++
			continue
		}
		problems = append(problems, problemOf(info.Name, p))
	}
	if remarks > 0 {
		problems = append(problems, seqqc.Problem{File: info.Name, What: fmt.Sprintf("%d remarks about its records", remarks),
			Hint: "'forayseq refs check' lists them"})
	}
	return lib, info, problems, nil
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
