package demo

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Options change what is written. The zero value is the demo of the
// documentation.
type Options struct {
	// Seed draws another batch with the same cases; zero is DefaultSeed. The
	// truth holds for DefaultSeed; another seed may by chance bring two
	// invented sequences too near to one another or too far apart.
	Seed uint64
}

// DefaultSeed is the seed of the batch kept in testdata/demo.
const DefaultSeed = 2026

// File is a file of the batch: its path below the batch folder, with slashes,
// and what it holds.
type File struct {
	Path string
	Data []byte
}

// Files gives the files of the batch. The same options give the same bytes on
// every machine.
func Files(opt Options) ([]File, error) {
	if opt.Seed == 0 {
		opt.Seed = DefaultSeed
	}
	w := world{opt.Seed}
	rows := vouchers()
	all := tubes(rows)
	files, err := w.writeReads(all)
	if err != nil {
		return nil, err
	}
	voucherSheet, err := writeSheet(rows)
	if err != nil {
		return nil, err
	}
	readTable, err := writeReadTable(all)
	if err != nil {
		return nil, err
	}
	return append(files,
		File{"README.txt", writeReadme(opt.Seed)},
		File{"reads.csv", readTable},
		File{"refs.fasta", w.writeLibrary()},
		File{"truth.tsv", writeTruth(rows)},
		File{"vouchers.csv", voucherSheet},
	), nil
}

// ErrNotEmpty means that the folder to write to is there and holds something.
var ErrNotEmpty = errors.New("the folder is not empty")

// Write writes the batch to dir, which must be missing or an empty folder; it
// is written whole or not at all. The error is ErrNotEmpty or one of the file
// system.
func Write(dir string, opt Options) error {
	entries, err := os.ReadDir(dir)
	switch {
	case err == nil && len(entries) > 0:
		return fmt.Errorf("%s: %w", dir, ErrNotEmpty)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return err
	}
	files, err := Files(opt)
	if err != nil {
		return err
	}
	dir = filepath.Clean(dir)
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return err
	}
	aside, err := os.MkdirTemp(parent, ".demo-*")
	if err != nil {
		return err
	}
	if err := writeAll(aside, files); err != nil {
		return errors.Join(err, os.RemoveAll(aside))
	}
	// Rename does not replace a folder on every system, so the empty one goes
	// first.
	if err := os.Remove(dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(err, os.RemoveAll(aside))
	}
	if err := os.Rename(aside, dir); err != nil {
		return errors.Join(err, os.RemoveAll(aside))
	}
	return nil
}

func writeAll(dir string, files []File) error {
	if err := os.Chmod(dir, 0o755); err != nil { // MkdirTemp gives 0700
		return err
	}
	for _, f := range files {
		path := filepath.Join(dir, filepath.FromSlash(f.Path))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, f.Data, 0o644); err != nil {
			return err
		}
	}
	return nil
}
