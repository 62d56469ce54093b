package refs

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// ErrStale means that a cached index was made of something else than what it
// lies beside.
var ErrStale = errors.New("it is out of date")

// Origin is what a cached index is made of, beside the records.
type Origin struct {
	// Size in bytes and ModTime are those of the library's file. A time of zero
	// is never taken for that of the same content.
	Size    int64
	ModTime time.Time
	// Taxonomy is the SHA-256 of the user's table, in hexadecimal; empty where
	// there is none.
	Taxonomy string
}

// indexAbout is what a cached index says of itself.
type indexAbout struct {
	Origin
	SHA256 string // of the library, see Library.SHA256
	Rules  string // see readingRules
	Info   Info
}

// rulesVersion is to be raised when records come to be read otherwise, by
// another understanding of headers, names or lineages, or when the arrays of
// the search come to be made otherwise. A test says when.
const rulesVersion = 6

// readingRules stand for how records are read, besides rulesVersion.
func readingRules() string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d %+v %s", rulesVersion, Limits{}.withDefaults(), generaTSV))
	return hex.EncodeToString(sum[:])
}

// IndexPath gives the path of the cached index of a library.
func IndexPath(library string) string { return library + ".forayindex" }

// WriteIndex writes the cached index of a library that was read with default
// limits, and gives the bytes written. The file is written whole or not at all:
// under another name first, which is then changed, so that who has the old one
// open keeps it.
func WriteIndex(path string, lib *Library, from Origin) (int64, error) {
	s, err := storeOf(lib)
	if err != nil {
		return 0, err
	}
	from.ModTime = from.ModTime.Round(0).UTC()
	about, err := json.Marshal(indexAbout{Origin: from, SHA256: lib.SHA256, Rules: readingRules(), Info: lib.Info()})
	if err != nil {
		return 0, err
	}
	x := lib.scanIndexOf()
	for i := range lib.Len() {
		if string(x.appendLetters(nil, x.unitOf[i], 0)) != string(lib.seqOf(i)) {
			r := lib.bare(i)
			return 0, fmt.Errorf("record %s (line %d): its letters are no upper-case nucleotide codes", r.ID, r.Line)
		}
	}
	arrays := slices.Concat([]array{arrayOf("about", &about)}, s.arrays(), x.arrays())
	var size int64
	err = writeWhole(path, func(w io.Writer) (err error) {
		size, err = writeContainer(w, arrays)
		return err
	})
	return size, err
}

// writeWhole writes a file whole or not at all.
func writeWhole(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".part-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(f.Name()))
		}
	}()
	err = write(f)
	if err == nil {
		// CreateTemp makes the file private; an index is as public as its library.
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// OpenIndex opens the cached index of a library, to give what reading it
// would. The library is as the file says that now describes; where that does
// not tell whether it is still the same, sum is asked for the SHA-256 of its
// uncompressed content.
//
// The error is one of the file itself, such as fs.ErrNotExist, or says why it
// cannot be used: ErrStale, or what is wrong with it.
//
// The file stays mapped until the process ends: names and sequences are used
// where they lie, and nobody keeps a list of who has them.
func OpenIndex(path string, now Origin, sum func() (string, error)) (*Library, error) {
	// Opening what is no file, a pipe, may wait for ever.
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, damaged("it is no regular file")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	data, unmap, err := mapFile(f)
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, err
	}
	lib, about, err := libraryIn(data)
	if err == nil {
		err = about.fits(now, sum)
	}
	if err != nil {
		return nil, errors.Join(err, unmap())
	}
	return lib, nil
}

// fits reports whether this is the index of a library as it is now.
func (about *indexAbout) fits(now Origin, sum func() (string, error)) error {
	switch {
	case about.Rules != readingRules():
		return fmt.Errorf("%w: another version of forayseq made it", ErrStale)
	case about.Taxonomy != now.Taxonomy && about.Taxonomy == "":
		return fmt.Errorf("%w: it was made without the taxonomy table", ErrStale)
	case about.Taxonomy != now.Taxonomy && now.Taxonomy == "":
		return fmt.Errorf("%w: it was made with a taxonomy table", ErrStale)
	case about.Taxonomy != now.Taxonomy:
		return fmt.Errorf("%w: the taxonomy table has changed", ErrStale)
	case about.Size == now.Size && !about.ModTime.IsZero() && about.ModTime.Equal(now.ModTime):
		return nil
	}
	s, err := sum()
	if err == nil && s != about.SHA256 {
		err = fmt.Errorf("%w: the library has changed", ErrStale)
	}
	return err
}

// libraryIn gives the library in a cached index that lies in memory.
func libraryIn(data []byte) (*Library, *indexAbout, error) {
	c, err := openContainer(data)
	if err != nil {
		return nil, nil, err
	}
	s, x := &store{}, &scanIndex{}
	var text []byte
	if err := c.fill(slices.Concat([]array{arrayOf("about", &text)}, s.arrays(), x.arrays())); err != nil {
		return nil, nil, err
	}
	about := &indexAbout{}
	if err := json.Unmarshal(text, about); err != nil {
		return nil, nil, damaged("%w", err)
	}
	if err := errors.Join(s.check(), x.check(len(s.numbers))); err != nil {
		return nil, nil, err
	}
	lib := &Library{
		Taxonomy: lazyTaxonomy(s.taxonomy),
		SHA256:   about.SHA256,
		Problems: s.problemList(),

		store:        s,
		info:         about.Info,
		genusNumbers: s.numbers,
		scanIndex:    x,
	}
	lib.scanOnce.Do(func() {}) // it is there
	for _, g := range s.genera {
		lib.genera = append(lib.genera, s.names.at(g))
	}
	if about.Info.Records != lib.Len() || !slices.IsSorted(lib.genera) {
		return nil, nil, damaged("its counts do not fit its records")
	}
	return lib, about, nil
}
