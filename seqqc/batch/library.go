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
// records comes back as problems.
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
	for _, p := range lib.Problems {
		what := p.What
		if p.Record != "" {
			what = fmt.Sprintf("%s: %s", p.Record, p.What)
		}
		problems = append(problems, seqqc.Problem{File: info.Name, Line: p.Line, What: what, Hint: p.Hint, Unread: p.Rejected})
	}
	return lib, info, problems, nil
}
