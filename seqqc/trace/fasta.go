package trace

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"forayseq/seqqc"
)

// DecodeFASTA reads the records of a FASTA file, in file order, without
// qualities: see JoinQual for those of a .qual companion.
//
// Letters are nucleotide codes in either case, U read as T. '-' and '.' are
// the gaps of an alignment and are taken out, '?' and X are read as N; Notes
// says both. Anything else is an error that names record and line, as are text
// before the first header and a record without a sequence. Blank lines and old
// comment lines (';') are skipped.
func DecodeFASTA(r io.Reader, lim Limits) ([]*seqqc.Trace, error) {
	lim = lim.withDefaults()
	file, err := readAll(r, "FASTA", lim.FileBytes)
	if err != nil {
		return nil, err
	}
	return decodeFASTA(file, lim)
}

func decodeFASTA(file []byte, lim Limits) ([]*seqqc.Trace, error) {
	lines, err := newLineScanner(file, "FASTA")
	if err != nil {
		return nil, err
	}
	s := fastaScanner{lim: lim}
	for lines.next() {
		if err := s.line(lines.at, bytes.TrimSpace(lines.line)); err != nil {
			return nil, err
		}
	}
	if err := s.finish(); err != nil {
		return nil, err
	}
	if len(s.traces) == 0 {
		return nil, &ParseError{Format: "FASTA", Offset: -1, Err: because(ErrTruncated, "there is no record")}
	}
	if err := parseFASTA(&s.clean, s.traces); err != nil {
		return nil, err
	}
	return s.traces, nil
}

// fastaScanner checks everything that biogo's reader would let through or trip
// over, and writes FASTA of one line a record for it.
type fastaScanner struct {
	lim    Limits
	clean  bytes.Buffer
	traces []*seqqc.Trace

	t             *seqqc.Trace // the open record, nil before the first
	headAt        int          // its line
	seq           []byte
	unknown, gaps int
}

func (s *fastaScanner) line(i int, line []byte) error {
	if len(line) == 0 || line[0] == ';' {
		return nil
	}
	if line[0] == '>' {
		if err := s.finish(); err != nil {
			return err
		}
		if len(s.traces) >= s.lim.Records {
			return lineError("FASTA", i, "", tooLarge("records", len(s.traces)+1, s.lim.Records))
		}
		s.t = &seqqc.Trace{Format: "FASTA", Name: headerName(line)}
		s.seq, s.unknown, s.gaps, s.headAt = s.seq[:0], 0, 0, i
		return nil
	}
	if s.t == nil {
		return lineError("FASTA", i, "", because(ErrFormat, "text before the first '>' line"))
	}
	for _, c := range line {
		switch c {
		case '-', '.':
			s.gaps++
			continue
		case ' ', '\t':
			continue
		}
		base, known := cleanBase(c)
		if base == 0 {
			return lineError("FASTA", i, s.t.Name, notLetter(c))
		}
		if !known {
			s.unknown++
		}
		s.seq = append(s.seq, base)
	}
	if len(s.seq) > s.lim.Bases {
		return lineError("FASTA", i, s.t.Name, tooLarge("bases", len(s.seq), s.lim.Bases))
	}
	return nil
}

// finish closes the open record.
func (s *fastaScanner) finish() error {
	if s.t == nil {
		return nil
	}
	if len(s.seq) == 0 {
		return lineError("FASTA", s.headAt, s.t.Name, because(ErrTruncated, "the record has no sequence"))
	}
	noteUnknown(s.t, s.unknown)
	if s.gaps > 0 {
		s.t.Notes = append(s.t.Notes, fmt.Sprintf("gap signs taken out: %d", s.gaps))
	}
	fmt.Fprintf(&s.clean, ">%d\n%s\n", len(s.traces), s.seq)
	s.traces = append(s.traces, s.t)
	return nil
}

// decodeBareText reads a .seq file without a header line: the bases of one
// read and nothing else, as some base callers write them.
func decodeBareText(file []byte, lim Limits) ([]*seqqc.Trace, error) {
	if at := bytes.IndexByte(file, '>'); at >= 0 {
		return nil, &ParseError{Format: "FASTA", Offset: 0, Err: because(ErrFormat, "text before the first '>' line")}
	}
	traces, err := decodeFASTA(append([]byte(">\n"), bytes.TrimPrefix(file, []byte("\xef\xbb\xbf"))...), lim)
	if err != nil {
		var e *ParseError
		if errors.As(err, &e) && e.Line > 1 {
			e.Line-- // the header line is not the file's
		}
		return nil, err
	}
	traces[0].Notes = append(traces[0].Notes, "the text has no header line")
	return traces, nil
}
