package trace

import (
	"bytes"
	"fmt"

	"forayseq/seqqc"
)

// lineScanner gives the lines of a text one after another, without holding a
// list of them: a file of line ends only would make one many times its size.
type lineScanner struct {
	rest []byte
	line []byte // the current line without its end
	at   int    // its number from 0, and after the last line still its number
}

// newLineScanner begins before the first line. A UTF-8 byte order mark is
// dropped. NUL bytes mean UTF-16 or no text at all, an error.
func newLineScanner(file []byte, format string) (*lineScanner, error) {
	file = bytes.TrimPrefix(file, []byte("\xef\xbb\xbf"))
	if at := bytes.IndexByte(file, 0); at >= 0 || bytes.HasPrefix(file, []byte("\xff\xfe")) {
		return nil, &ParseError{Format: format, Offset: int64(max(at, 0)), Err: because(ErrFormat, "this is not plain text (UTF-8 or ASCII)")}
	}
	return &lineScanner{rest: file, at: -1}, nil
}

// next goes to the next line and reports whether there is one. Lines end with
// LF, CR LF, or a lone CR (files of old Macintosh programs).
func (s *lineScanner) next() bool {
	if len(s.rest) == 0 {
		s.line = nil
		return false
	}
	s.at++
	i := bytes.IndexAny(s.rest, "\r\n")
	if i < 0 {
		s.line, s.rest = s.rest, nil
		return true
	}
	end := i + 1
	if s.rest[i] == '\r' && end < len(s.rest) && s.rest[end] == '\n' {
		end++
	}
	s.line, s.rest = s.rest[:i], s.rest[end:]
	return true
}

// headerName gives the first word of a header line behind its sign.
func headerName(line []byte) string {
	words := bytes.Fields(line[1:])
	if len(words) == 0 {
		return ""
	}
	return text(words[0])
}

// lineError is an error at line i, counted from 0, of a record.
func lineError(format string, i int, record string, err error) error {
	e := &ParseError{Format: format, Offset: -1, Line: i + 1, Err: err}
	const enough = 80 // a header can be as long as the file
	if len(record) > enough {
		record = record[:enough] + "..."
	}
	if record != "" {
		e.Field = fmt.Sprintf("record %q", record)
	}
	return e
}

// notLetter is the error for a sign that is no base in a line of a sequence.
func notLetter(c byte) error {
	hint := ""
	switch c | 0x20 {
	case 'e', 'f', 'i', 'l', 'p', 'q', 'z':
		hint = "; it is an amino-acid letter, so this may be a protein"
	}
	return because(ErrFormat, "%q is no nucleotide code%s", c, hint)
}

// noteUnknown says that letters were replaced.
func noteUnknown(t *seqqc.Trace, unknown int) {
	if unknown > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("signs that are no base, read as N: %d", unknown))
	}
}
