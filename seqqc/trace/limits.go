package trace

import (
	"errors"
	"fmt"
	"io"
	"strings"
)

// Limits bound what a decoder takes from a file before it gives up, so that a
// damaged or hostile file costs little. A zero field means its default.
type Limits struct {
	// FileBytes bounds one file or archive member. Default 64 MiB: a
	// chromatogram of one read has 0.05 to 0.6 MB, so this is a hundred times
	// the largest, and still a FASTQ file of 30,000 reads.
	FileBytes int64
	// Bases bounds one read. Default 1,000,000: capillary reads end near
	// 1,200 bases, assembled records of a marker below 100,000.
	Bases int
	// Samples bounds the points of one channel. Default 1,000,000: a read has
	// about 20,000.
	Samples int
	// Entries bounds the ABIF directory. Default 10,000: real files have 19
	// to 130.
	Entries int
	// Records bounds the records of a FASTA or FASTQ file. Default 100,000:
	// about a thousand plates.
	Records int
	// ArchiveBytes bounds what all members of one archive inflate to, and an
	// archive's own size. Default 2 GiB: a year of plates; it inflates in
	// seconds.
	ArchiveBytes int64
	// ArchiveMembers bounds the members of one archive. Default 20,000: two
	// hundred plates of 96.
	ArchiveMembers int
	// ArchiveRatio bounds inflated over compressed size of a member larger
	// than 1 MiB. Default 200: chromatograms deflate 2 to 5 times, sequence
	// text 4 times; deflate itself ends at 1,032.
	ArchiveRatio int
}

func (l Limits) withDefaults() Limits {
	setDefault(&l.FileBytes, 64<<20)
	setDefault(&l.Bases, 1_000_000)
	setDefault(&l.Samples, 1_000_000)
	setDefault(&l.Entries, 10_000)
	setDefault(&l.Records, 100_000)
	setDefault(&l.ArchiveBytes, 2<<30)
	setDefault(&l.ArchiveMembers, 20_000)
	setDefault(&l.ArchiveRatio, 200)
	return l
}

func setDefault[T int | int64](v *T, d T) {
	if *v <= 0 {
		*v = d
	}
}

// The kinds of error. Every error of a decoder is a *ParseError that wraps one
// of these, or an error of the reader it was given.
var (
	// ErrFormat: the bytes are not of the format, or contradict themselves.
	ErrFormat = errors.New("not valid")
	// ErrTruncated: the file ends before what it promises.
	ErrTruncated = errors.New("the file ends too early")
	// ErrUnsupported: well formed, but nothing this program can use.
	ErrUnsupported = errors.New("not supported")
	// ErrTooLarge: more than Limits allow.
	ErrTooLarge = errors.New("too large")
)

// reason is an error of one of these kinds in its own words.
type reason struct {
	kind error
	text string
}

func (r reason) Error() string { return r.text }
func (r reason) Unwrap() error { return r.kind }

// because gives an error of a kind, whose text is a sentence of its own.
func because(kind error, format string, args ...any) error {
	return reason{kind, fmt.Sprintf(format, args...)}
}

// ParseError says what is wrong with a file and where.
type ParseError struct {
	Format string // "ABIF", "SCF", "FASTQ", "FASTA", "qual", "zip"; empty where it was not recognised
	Offset int64  // byte offset, -1 where it says nothing
	Line   int    // 1-based line of a text format, zero where it says nothing
	Field  string // the element, section or record, empty where it says nothing
	Err    error
}

// Error gives the message without the file's name, which the caller knows.
func (e *ParseError) Error() string {
	var parts []string
	if e.Format != "" {
		parts = append(parts, e.Format)
	}
	if e.Field != "" {
		parts = append(parts, e.Field)
	}
	if e.Line > 0 {
		parts = append(parts, fmt.Sprintf("line %d", e.Line))
	}
	if e.Offset >= 0 && e.Line == 0 {
		parts = append(parts, fmt.Sprintf("byte %d", e.Offset))
	}
	if len(parts) == 0 {
		return e.Err.Error()
	}
	return strings.Join(parts, ", ") + ": " + e.Err.Error()
}

// Unwrap gives the cause.
func (e *ParseError) Unwrap() error { return e.Err }

// Hint says what a person can do about an error of this package.
func Hint(err error) string {
	if h := (hinted{}); errors.As(err, &h) {
		return h.hint
	}
	var e *ParseError
	switch {
	case errors.Is(err, ErrTooLarge) && errors.As(err, &e) && e.Format == "zip":
		return "check that this archive is from the laboratory; if it is, unpack it into the folder in its place"
	case errors.Is(err, ErrTooLarge):
		return "check that this is a file from the laboratory; a text of many sequences can be split into several files"
	case errors.Is(err, ErrTruncated):
		return "the copy is incomplete: copy the file again, or ask the laboratory for it"
	case errors.Is(err, ErrUnsupported):
		return "ask the laboratory for the base-called chromatogram (.ab1 or .scf) of this read"
	case errors.Is(err, ErrFormat):
		return "check that this is a sequencing file and that its name has the right ending, or ask the laboratory for it again"
	}
	return "check that the file can be opened, then run again"
}

// tooLarge says that what has n where the limit is less.
func tooLarge[T int | int64 | uint32](what string, n, limit T) error {
	return because(ErrTooLarge, "%s: %d, and the limit is %d", what, n, limit)
}

// readAll reads r to its end, one byte past the limit at most.
func readAll(r io.Reader, format string, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > limit {
		return nil, &ParseError{Format: format, Offset: limit, Err: because(ErrTooLarge, "the file has more than %d bytes", limit)}
	}
	if len(data) == 0 {
		return nil, &ParseError{Format: format, Offset: -1, Err: because(ErrTruncated, "the file is empty")}
	}
	return data, nil
}
