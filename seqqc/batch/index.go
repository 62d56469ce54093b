package batch

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"forayseq/refs"
	"forayseq/seqqc"
)

// IndexOptions say what to make a cached index of.
type IndexOptions struct {
	Refs, Taxonomy string
	// Progress hears of it, one call at a time; nil for nobody.
	Progress func(Progress)
}

// IndexInfo says what was written.
type IndexInfo struct {
	Path            string
	Records, Unique int // Unique is the number of different sequences
	Bytes           int64
}

// clockGrain is how coarse the times of files may be (two seconds on a memory
// card): a file changed as shortly before it was read may change again without
// a later time.
const clockGrain = 2 * time.Second

// WriteIndex reads a library and writes its cached index beside it, for
// OpenLibrary to use. What is wrong with single records does not matter here.
// When ctx ends, so does WriteIndex, and nothing is written.
func WriteIndex(ctx context.Context, opt IndexOptions) (IndexInfo, error) {
	tell := func(p Progress) {
		if opt.Progress != nil && ctx.Err() == nil {
			opt.Progress(p)
		}
	}
	index := refs.IndexPath(opt.Refs)
	if at, err := os.Stat(index); err == nil && at.IsDir() {
		return IndexInfo{}, hint("move or rename the folder: the index of a library bears its name", "%s is a folder, and no index can be written there", index)
	}
	type made struct {
		lib  *refs.Library
		from refs.Origin
		err  error
	}
	done := make(chan made, 1)
	start := time.Now()
	go func() {
		lib, from, err := readLibrary(opt.Refs, opt.Taxonomy, func(share float64) {
			tell(Progress{Doing: "reading percent", Done: int(100 * share), Of: 100})
		})
		if err == nil {
			tell(Progress{Doing: "indexing: records to compare", Done: lib.Len()})
			lib.Unique() // makes the index
		}
		done <- made{lib, from, err}
	}()
	var m made
	select {
	case m = <-done:
	case <-ctx.Done():
	}
	if err := ctx.Err(); err != nil {
		return IndexInfo{}, err
	}
	if m.err != nil {
		return IndexInfo{}, m.err
	}
	if now, err := os.Stat(opt.Refs); err != nil || now.Size() != m.from.Size || !now.ModTime().Equal(m.from.ModTime) {
		return IndexInfo{}, hint("try again when nothing writes to it", "%s changed while it was read", opt.Refs)
	}
	if m.from.ModTime.After(start.Add(-clockGrain)) {
		m.from.ModTime = time.Time{}
	}
	info := IndexInfo{Path: index, Records: m.lib.Len(), Unique: m.lib.Unique()}
	tell(Progress{Doing: "writing records", Done: info.Records})
	var err error
	if info.Bytes, err = refs.WriteIndex(info.Path, m.lib, m.from); err != nil {
		return IndexInfo{}, hint("an index lies beside its library: free space there, or put a copy of the library where you may write", "%s was not written: %w", info.Path, err)
	}
	return info, nil
}

// OpenIndex opens the cached index beside a library. The error is
// fs.ErrNotExist where there is none, and else says why it cannot be used.
func OpenIndex(path, taxonomy string) (*refs.Library, error) {
	index := refs.IndexPath(path)
	if at, err := os.Stat(index); err != nil {
		return nil, err
	} else if at.IsDir() { // a folder of that name is no index
		return nil, fs.ErrNotExist
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	now := refs.Origin{Size: info.Size(), ModTime: info.ModTime()}
	if taxonomy != "" {
		if now.Taxonomy, err = sumOf(taxonomy, func(r io.Reader) (string, error) {
			sum := sha256.New()
			_, err := io.Copy(sum, r)
			return hex.EncodeToString(sum.Sum(nil)), err
		}); err != nil {
			return nil, err
		}
	}
	return refs.OpenIndex(index, now, func() (string, error) { return sumOf(path, refs.Sum) })
}

func sumOf(path string, of func(io.Reader) (string, error)) (sum string, err error) {
	err = withFile(path, func(r io.Reader) (err error) {
		sum, err = of(r)
		return err
	})
	return sum, err
}

// indexProblem says why a cached index was not used.
func indexProblem(path, taxonomy string, err error) seqqc.Problem {
	again := "forayseq refs index " + filepath.Base(path)
	if taxonomy != "" {
		again += " --taxonomy " + filepath.Base(taxonomy)
	}
	var inFile *os.PathError
	if errors.As(err, &inFile) {
		err = inFile.Err // without the path
	}
	return seqqc.Problem{
		File: filepath.Base(refs.IndexPath(path)),
		What: fmt.Sprintf("the cached index was not used, and the library read instead: %v", err),
		Hint: fmt.Sprintf("'%s' makes it again", again),
	}
}
