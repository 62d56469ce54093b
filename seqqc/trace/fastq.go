package trace

import (
	"bytes"
	"fmt"
	"io"
	"slices"

	"forayseq/seqqc"
)

// FASTQ qualities are written as the signs from '!' (Phred 0) to '~' (93).
const (
	fastqZero = '!'
	fastqLast = '~'
)

// DecodeFASTQ reads the records of a FASTQ file of Sanger's kind (Phred + 33),
// in file order. Sequence and qualities may be wrapped over several lines.
//
// Letters are nucleotide codes in either case, U read as T; '-', '.', '?' and
// X are read as N, and Notes says so, as it does where qualities look like those
// of another kind (Phred + 64) and are not used. Lengths that differ, a sign outside '!'
// to '~', and a record cut short are errors that name record and line.
//
// Source: Cock et al. 2010, Nucleic Acids Research 38: 1767-1771, DOI
// 10.1093/nar/gkp1137.
func DecodeFASTQ(r io.Reader, lim Limits) ([]*seqqc.Trace, error) {
	lim = lim.withDefaults()
	file, err := readAll(r, "FASTQ", lim.FileBytes)
	if err != nil {
		return nil, err
	}
	return decodeFASTQ(file, lim)
}

func decodeFASTQ(file []byte, lim Limits) ([]*seqqc.Trace, error) {
	lines, err := newLineScanner(file, "FASTQ")
	if err != nil {
		return nil, err
	}
	s := fastqScanner{lineScanner: lines, lim: lim}
	var clean bytes.Buffer
	var traces []*seqqc.Trace
	for s.nextText() {
		if len(traces) >= lim.Records {
			return nil, lineError("FASTQ", s.at, "", tooLarge("records", len(traces)+1, lim.Records))
		}
		t, seq, quals, err := s.record()
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&clean, "@%d\n%s\n+\n%s\n", len(traces), seq, quals)
		traces = append(traces, t)
	}
	if len(traces) == 0 {
		return nil, &ParseError{Format: "FASTQ", Offset: -1, Err: because(ErrTruncated, "there is no record")}
	}
	if err := parseFASTQ(&clean, traces); err != nil {
		return nil, err
	}
	for _, t := range traces {
		// Files of another kind write Phred + 64. Capillary base callers end near
		// Q62, so a read from Q31 up and past Q62 is one of those, whose true
		// qualities lie 31 lower, or a consensus.
		if slices.Min(t.Quals) >= 31 && slices.Max(t.Quals) > 62 {
			t.Quals = nil
			t.Notes = append(t.Notes, "the qualities are not used: all are above 30 and some above 62, as if written with the offset 64")
		}
	}
	return traces, nil
}

// fastqScanner checks records and joins their wrapped lines.
type fastqScanner struct {
	*lineScanner
	lim Limits
}

// nextText goes to the next line that is not blank and reports whether there
// is one.
func (s *fastqScanner) nextText() bool {
	for s.next() {
		if len(bytes.TrimSpace(s.line)) > 0 {
			return true
		}
	}
	return false
}

// record reads the record whose first line is the current one. A quality line
// may begin with '@' or '+', so the end of a record is where it has as many
// qualities as bases, and nothing else.
func (s *fastqScanner) record() (t *seqqc.Trace, seq, quals []byte, err error) {
	head := bytes.TrimSpace(s.line)
	if head[0] != '@' {
		return nil, nil, nil, lineError("FASTQ", s.at, "", because(ErrFormat, "a record begins with '@', not %q", head[0]))
	}
	name, headAt := headerName(head), s.at
	fail := func(at int, err error) (*seqqc.Trace, []byte, []byte, error) {
		return nil, nil, nil, lineError("FASTQ", at, name, err)
	}
	t = &seqqc.Trace{Format: "FASTQ", Name: name}
	unknown := 0
	for {
		if !s.next() {
			return fail(s.at, because(ErrTruncated, "there is no '+' line"))
		}
		line := bytes.TrimSpace(s.line)
		if len(line) > 0 && line[0] == '+' {
			if len(line) > 1 && !bytes.Equal(line[1:], head[1:]) {
				return fail(s.at, because(ErrFormat, "the '+' line names another record"))
			}
			break
		}
		bases, n, bad := cleanBases(line)
		if bad >= 0 {
			return fail(s.at, notLetter(line[bad]))
		}
		seq = append(seq, bases...)
		unknown += n
		if len(seq) > s.lim.Bases {
			return fail(s.at, tooLarge("bases", len(seq), s.lim.Bases))
		}
	}
	if len(seq) == 0 {
		return fail(headAt, because(ErrTruncated, "the record has no sequence"))
	}
	for len(quals) < len(seq) {
		if !s.next() {
			return fail(s.at, because(ErrTruncated, "%d qualities for %d bases", len(quals), len(seq)))
		}
		line := bytes.TrimSpace(s.line)
		for _, c := range line {
			if c < fastqZero || c > fastqLast {
				return fail(s.at, because(ErrFormat, "%q is no quality", c))
			}
		}
		quals = append(quals, line...)
		if len(quals) > len(seq) {
			return fail(s.at, because(ErrFormat, "%d qualities for %d bases", len(quals), len(seq)))
		}
	}
	noteUnknown(t, unknown)
	return t, seq, quals, nil
}
