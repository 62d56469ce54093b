package trace

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
)

const zipMagic = "PK\x03\x04"

// ratioFrom is the size from which the ratio of a member counts: a small file
// of one repeated letter deflates well and harms nobody.
const ratioFrom = 1 << 20

// hinted is an error with its own hint.
type hinted struct {
	error
	hint string
}

func (h hinted) Unwrap() error { return h.error }

func zipError(field string, err error) error {
	return &ParseError{Format: "zip", Offset: -1, Field: field, Err: err}
}

// archive gives the items of a zip archive and reports whether to go on.
func (w *walker) archive(fsys fs.FS, name string) bool {
	f, err := fsys.Open(name)
	if err != nil {
		return w.yield(unreadable(name, err))
	}
	texts := len(w.texts)
	defer func() {
		if len(w.texts) > texts {
			w.open = append(w.open, f) // to read those texts at the end
		} else {
			f.Close() //nolint:errcheck // read only
		}
	}()
	r, err := openZip(f, w.lim)
	if err != nil {
		return w.yield(unreadable(name, err))
	}
	a := &archive{lim: w.lim, left: w.lim.ArchiveBytes}
	return w.files(a.members(name, r))
}

func openZip(f fs.File, lim Limits) (*zip.Reader, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	size := info.Size()
	if size > lim.ArchiveBytes {
		return nil, zipError("", tooLarge("bytes", size, lim.ArchiveBytes))
	}
	at, ok := f.(io.ReaderAt)
	if !ok {
		data, err := readAll(f, "zip", lim.FileBytes)
		if err != nil {
			return nil, err
		}
		at, size = bytes.NewReader(data), int64(len(data))
	}
	r, err := zip.NewReader(at, size)
	switch {
	case size == 0:
		return nil, zipError("", because(ErrTruncated, "the file is empty"))
	case errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF):
		return nil, zipError("", because(ErrTruncated, "the archive is cut short or is no zip archive"))
	case err != nil:
		return nil, zipError("", err)
	case len(r.File) > lim.ArchiveMembers:
		return nil, zipError("", tooLarge("members", len(r.File), lim.ArchiveMembers))
	}
	return r, nil
}

// archive counts what the members of one archive inflate to. Declared sizes
// are not trusted, and members may overlap (Fifield 2019, A better zip bomb,
// WOOT 19), so the bytes themselves are counted, member after member.
type archive struct {
	lim  Limits
	left int64
}

// members gives the members of r as sources. Nothing is written to disk, so a
// path that leaves the archive could do no harm here; it is refused all the
// same, for no laboratory makes such an archive.
func (a *archive) members(file string, r *zip.Reader) []source {
	var out []source
	taken := map[string]bool{}
	for _, m := range r.File {
		// Some archivers on Windows write backslashes.
		name := strings.ReplaceAll(text([]byte(m.Name)), `\`, "/")
		if strings.HasSuffix(name, "/") || hidden(name) {
			continue
		}
		s := source{file: file + "/" + name}
		switch {
		case !fs.ValidPath(name):
			s.file = file // the path itself is not one to repeat as ours
			s.err = hinted{
				zipError(fmt.Sprintf("member %q", name), because(ErrFormat, "its path leads out of the archive")),
				"do not unpack this archive; ask the laboratory for a new one",
			}
		case taken[name]:
			s.err = zipError("", because(ErrFormat, "two members have this name"))
		case m.Flags&1 != 0:
			s.err = hinted{
				zipError("", because(ErrUnsupported, "it is encrypted")),
				"unpack the archive with its password into the folder",
			}
		case s.ext() == zipExt:
			s.err = hinted{
				zipError("", because(ErrUnsupported, "an archive inside an archive is not opened")),
				"unpack the outer archive into the folder",
			}
		default:
			s.read = func() ([]byte, error) { return a.read(m) }
			s.head = func() []byte { return readHead(m.Open) }
		}
		taken[name] = true
		out = append(out, s.look())
	}
	return out
}

// read inflates one member.
func (a *archive) read(m *zip.File) ([]byte, error) {
	limit, what := a.lim.FileBytes, "bytes in one file"
	if a.left < limit {
		limit, what = a.left, "bytes left for this archive"
	}
	packed := min(m.CompressedSize64, uint64(a.lim.ArchiveBytes)) // so that the product fits
	if byRatio := max(ratioFrom, int64(packed)*int64(a.lim.ArchiveRatio)); byRatio < limit {
		limit, what = byRatio, fmt.Sprintf("bytes, %d times its size in the archive", a.lim.ArchiveRatio)
	}
	f, err := m.Open()
	if err != nil {
		return nil, memberError(err)
	}
	defer f.Close() //nolint:errcheck // read only
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	a.left = max(0, a.left-int64(len(data)))
	switch {
	case err != nil:
		return nil, memberError(err)
	case int64(len(data)) > limit:
		return nil, zipError("", because(ErrTooLarge, "it inflates to more than %d %s", limit, what))
	case len(data) == 0:
		return nil, zipError("", because(ErrTruncated, "the file is empty"))
	}
	return data, nil
}

// memberError tells what archive/zip found wrong with a member.
func memberError(err error) error {
	if errors.Is(err, zip.ErrAlgorithm) {
		return hinted{
			zipError("", because(ErrUnsupported, "it is packed by a method that is not known")),
			"unpack the archive into the folder",
		}
	}
	return zipError("", because(ErrTruncated, "it cannot be unpacked (%v)", err))
}
