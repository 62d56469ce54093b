package batch

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/trace"
)

const (
	// maxQueryBases bounds one sequence to be compared, as long as a record of
	// a library may be: the whole ribosomal repeat of a fungus has about 10,000
	// bases.
	maxQueryBases = 100_000
	// maxQueryBytes bounds its text, header, line ends and gap signs included.
	maxQueryBytes = 1 << 20
	// maxCompared bounds the stretch that is compared, where no ITS was located
	// the whole sequence: the longest ITS of fungi have some 2,000 bases, and
	// to compare takes as much longer as there are bases.
	maxCompared = 5_000

	cutOut = "cut out the part with the ITS; the others were compared"

	byteOrderMark = "\xef\xbb\xbf"
)

// query is one sequence to compare, or what is wrong with it, or with all of
// the input.
type query struct {
	name    string
	line    int // of its header, zero where that says nothing
	bases   []byte
	problem *seqqc.Problem
	err     error   // nothing in the input can be read
	share   float64 // of the input read so far, 0 to 1; zero where its size is not known
}

// queryReader reads sequences one after another.
type queryReader struct {
	file string // as named, for problems
	in   *bufio.Reader
	text *bufio.Reader // in, inflated where it is compressed
	size int64         // of the file, zero where it is not known
	read *counter
}

// queries reads the sequences of an input, in its order. Of a FASTA each record
// is read by itself, so that their number is not limited and one bad record is
// a problem of its own; of any other format the input is read whole.
func queries(in io.Reader, file string) iter.Seq[query] {
	return func(yield func(query) bool) {
		q, err := newQueryReader(in, file)
		if err == nil {
			err = q.each(yield)
		}
		if err != nil {
			yield(query{err: err})
		}
	}
}

func newQueryReader(r io.Reader, file string) (*queryReader, error) {
	q := &queryReader{file: file, read: &counter{r: r}}
	if f, ok := r.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			q.size = info.Size()
		}
	}
	q.in = bufio.NewReaderSize(q.read, 1<<16)
	q.text = q.in
	head, err := q.in.Peek(2)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, hint("name a file of sequences, or - for standard input", "%s: %w", file, err)
	}
	if bytes.Equal(head, []byte{0x1f, 0x8b}) {
		plain, err := gzip.NewReader(q.in)
		if err != nil {
			return nil, hint("fetch or copy the file again", "%s: not a whole gzip file: %w", file, err)
		}
		q.text = bufio.NewReaderSize(plain, 1<<16)
	}
	return q, nil
}

// each gives the sequences until it is told that no more are wanted.
func (q *queryReader) each(yield func(query) bool) error {
	if q.isFASTA() {
		q.records(yield)
		return nil
	}
	name := strings.TrimSuffix(filepath.Base(q.file), ".gz")
	traces, err := trace.Decode(q.text, name, trace.Limits{Bases: maxQueryBases})
	if err != nil {
		do := "sequences are FASTA, FASTQ or one chromatogram"
		if errors.Is(err, trace.ErrTooLarge) {
			do = "split the file, or make a FASTA of it, which may have any length"
		}
		return hint(do, "%s: %w", q.file, err)
	}
	for i, t := range traces {
		if !yield(query{name: recordName(t, i), bases: t.Bases, share: q.share()}) {
			break
		}
	}
	return nil
}

// isFASTA looks no further into the text than to its first sign, which may
// have to be waited for. A text of blanks counts as FASTA without a record.
func (q *queryReader) isFASTA() bool {
	const enough = 1 << 12
	for n := len(byteOrderMark) + 1; ; n++ {
		// A read that fails here fails again where the sequences are read.
		head, err := q.text.Peek(n)
		head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte(byteOrderMark)), " \t\r\n")
		if len(head) > 0 {
			return head[0] == '>' || head[0] == ';'
		}
		if err != nil || n == enough {
			return true
		}
	}
}

// records gives the records of a FASTA.
func (q *queryReader) records(yield func(query) bool) {
	if mark, _ := q.text.Peek(len(byteOrderMark)); string(mark) == byteOrderMark {
		// What was peeked at is there to be discarded.
		_, _ = q.text.Discard(len(byteOrderMark))
	}
	s := splitter{in: q.text, line: 1}
	for number := 0; ; {
		rec, err := s.next()
		if rec.headed() {
			number++
		}
		var out query
		if err != nil && !errors.Is(err, io.EOF) {
			out = q.brokenOff(rec, number, s.line, err)
		} else {
			out = q.decode(rec, number)
		}
		if err != nil && number == 0 && out.problem == nil {
			out = q.problem("", 1, "there is no sequence in it", "a record is a line that begins with '>' and lines of bases")
		}
		if out.share = q.share(); (out.bases != nil || out.problem != nil) && !yield(out) || err != nil {
			return
		}
	}
}

// decode reads one record. Of what stands before the first header it gives
// nothing where that is blank lines and remarks only.
func (q *queryReader) decode(rec rawRecord, number int) query {
	if rec.tooLong {
		return q.problem(rec.name(number), rec.line, fmt.Sprintf("the record has more than %d bytes", maxQueryBytes), cutOut)
	}
	traces, err := trace.DecodeFASTA(bytes.NewReader(rec.text), trace.Limits{Bases: maxQueryBases})
	if err == nil {
		return query{name: recordName(traces[0], number-1), line: rec.line, bases: traces[0].Bases}
	}
	what, line := err.Error(), rec.line
	if e := (*trace.ParseError)(nil); errors.As(err, &e) {
		if !rec.headed() && e.Line == 0 && errors.Is(err, trace.ErrTruncated) {
			return query{}
		}
		what = e.Err.Error()
		line += max(e.Line-1, 0) // counted from the record's first
	}
	do := "mend the record; the others were compared"
	if errors.Is(err, trace.ErrTooLarge) {
		do = cutOut
	}
	return q.problem(rec.name(number), line, what, do)
}

// brokenOff is what is told where the input cannot be read on.
func (q *queryReader) brokenOff(rec rawRecord, number, line int, err error) query {
	if errors.Is(err, io.ErrUnexpectedEOF) {
		err = trace.ErrTruncated
	}
	return q.problem(rec.name(number), line, err.Error()+"; this record and what follows it could not be read",
		"fetch or copy the file again; the records before were compared")
}

func (q *queryReader) problem(name string, line int, what, do string) query {
	if name != "" {
		what = name + ": " + what
	}
	return query{problem: &seqqc.Problem{File: q.file, Line: line, What: what, Hint: do, Unread: true}}
}

// share gives the part of the file taken in.
func (q *queryReader) share() float64 {
	if q.size == 0 {
		return 0
	}
	return float64(q.read.n-int64(q.in.Buffered())) / float64(q.size)
}

// counter counts the bytes read through it.
type counter struct {
	r io.Reader
	n int64
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += int64(n)
	return n, err
}

// splitter cuts FASTA into records. Lines end with LF, CR LF or a lone CR.
type splitter struct {
	in   *bufio.Reader
	line int // of the next byte, from 1
	last byte
}

// rawRecord is a record as it stands in the file, with its header, or what
// stands before the first header.
type rawRecord struct {
	text    []byte
	line    int  // of the first byte
	tooLong bool // text holds the beginning only
}

// headed is false of what stands before the first header.
func (r rawRecord) headed() bool { return len(r.text) > 0 && r.text[0] == '>' }

// name is what to call a record that cannot be read: the first word of its
// header, its number where there is none.
func (r rawRecord) name(number int) string {
	if !r.headed() {
		return ""
	}
	header := r.text[1:min(len(r.text), 200)] // a header can be as long as the record
	if end := bytes.IndexAny(header, "\r\n"); end >= 0 {
		header = header[:end]
	}
	if words := bytes.Fields(header); len(words) > 0 {
		return strings.ToValidUTF8(string(words[0]), "?")
	}
	return fmt.Sprint(number)
}

// next gives the next record, the last of them with io.EOF. With any other
// error the record is what was read of it.
func (s *splitter) next() (rawRecord, error) {
	rec := rawRecord{line: s.line}
	blank := true // so far, on this line
	for first := true; ; first = false {
		c, err := s.in.ReadByte()
		if err != nil {
			return rec, err
		}
		if c == '>' && blank && !first {
			return rec, s.in.UnreadByte()
		}
		if len(rec.text) < maxQueryBytes {
			rec.text = append(rec.text, c)
		} else {
			rec.tooLong = true
		}
		switch {
		case c == '\n' && s.last == '\r': // the second half of a line end
		case c == '\n' || c == '\r':
			s.line++
			blank = true
		case c != ' ' && c != '\t':
			blank = false
		}
		s.last = c
	}
}
