package trace

import (
	"bytes"
	"fmt"

	"forayseq/seqqc"
)

// textLines gives the lines of a text file without their ends, which may be
// LF, CR LF, or a lone CR (files of old Macintosh programs). A UTF-8 byte order
// mark is dropped. NUL bytes mean UTF-16 or no text at all, an error.
func textLines(file []byte, format string) ([][]byte, error) {
	file = bytes.TrimPrefix(file, []byte("\xef\xbb\xbf"))
	if at := bytes.IndexByte(file, 0); at >= 0 || bytes.HasPrefix(file, []byte("\xff\xfe")) {
		return nil, &ParseError{Format: format, Offset: int64(max(at, 0)), Err: fmt.Errorf("this is not plain text (UTF-8 or ASCII): %w", ErrFormat)}
	}
	file = bytes.ReplaceAll(file, []byte("\r\n"), []byte("\n"))
	file = bytes.ReplaceAll(file, []byte("\r"), []byte("\n"))
	return bytes.Split(bytes.TrimSuffix(file, []byte("\n")), []byte("\n")), nil
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
	return fmt.Errorf("%q is no nucleotide code%s: %w", c, hint, ErrFormat)
}

// noteUnknown says that letters were replaced.
func noteUnknown(t *seqqc.Trace, unknown int) {
	if unknown > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("signs that are no base, read as N: %d", unknown))
	}
}
