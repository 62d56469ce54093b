package refs

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits bound what Read takes in, against files that are no library and
// archives that inflate without end. Zero values take the defaults.
type Limits struct {
	// Bytes is the size of the uncompressed file; default 2 GiB, several times
	// the largest public sets of ITS sequences.
	Bytes int64
	// Records is their number; default 5,000,000.
	Records int
	// Sequence is the length of one sequence in bases; default 100,000. The
	// whole ribosomal repeat of a fungus has about 10,000, a longer record is
	// a genome contig and is left out with a problem.
	Sequence int
	// Header is the length of a header line in bytes; default 65,536.
	Header int
}

func (lim Limits) withDefaults() Limits {
	if lim.Bytes == 0 {
		lim.Bytes = 2 << 30
	}
	if lim.Records == 0 {
		lim.Records = 5_000_000
	}
	if lim.Sequence == 0 {
		lim.Sequence = 100_000
	}
	if lim.Header == 0 {
		lim.Header = 1 << 16
	}
	return lim
}

// ReadOptions say how to read a library. The zero value takes the documented
// defaults.
type ReadOptions struct {
	// Taxonomy is the user's table, nil for none.
	Taxonomy *Table
	Limits   Limits
}

// Read reads a reference library: FASTA, plain or compressed with gzip (told
// by its first two bytes), lines ending in LF, CR LF or CR.
//
// Sequences are nucleotide codes in either case, U read as T. White space in
// them is passed over; gaps ('-', '.') of an aligned file are removed and '?'
// is read as N, with a problem that says so once. A record with any other
// character (a protein, most often), without bases, or longer than the limit
// is left out with a problem that names its line. Two records of one id are
// both kept, with a problem for the first such pair: they are told apart by line, and
// an id made up here would be found in no archive.
//
// Records that are taken as they are but look doubtful are remarked on
// (Problem.Remark): no usable name, fewer than 150 bases, a header that names
// another gene and not ITS, equal sequences under different genera or species.
// Of each kind of problem twenty are listed and the others counted.
//
// A file that cannot be used at all gives an error of type *ParseError around
// ErrNotFASTA, ErrEmpty, ErrTooLarge, ErrTruncated or the reader's own error.
//
// The lines are read here and not by the FASTA reader of biogo, which keeps no
// line numbers, has no limits and passes characters that are no letters; a
// test holds the two to the same ids and sequences.
func Read(r io.Reader, opt ReadOptions) (*Library, error) {
	lim := opt.Limits.withDefaults()
	plain, err := inflate(bufio.NewReaderSize(r, 1<<16))
	if err != nil {
		return nil, &ParseError{Err: fmt.Errorf("not a whole gzip file: %w", truncated(err)), Hint: "fetch or copy the file again"}
	}
	sum := sha256.New()
	f := fastaReader{
		// One byte over the limit, so that excess is seen and not cut off.
		in:   bufio.NewReaderSize(io.TeeReader(io.LimitReader(plain, lim.Bytes+1), sum), 1<<16),
		lim:  lim,
		line: 1,
		ids:  make(map[string]int),
		same: make(map[string]string),
	}
	if err := f.read(); err != nil {
		return nil, err
	}
	f.finish()
	lib := NewLibrary(f.records, opt.Taxonomy)
	lib.SHA256 = hex.EncodeToString(sum.Sum(nil))
	lib.rejected = f.rejected
	lib.Problems = slices.Concat(f.problems.all(), f.repeats(), lib.Problems, lib.remark())
	if len(lib.Records) == 0 {
		return nil, emptyLibrary(lib)
	}
	return lib, nil
}

// repeats tells of the ids that occur more than once, by the first and a count:
// there are none or many.
func (f *fastaReader) repeats() []Problem {
	if f.repeated == 0 {
		return nil
	}
	if f.repeated > 1 {
		f.repeat.What += fmt.Sprintf(", and so for %d more", f.repeated-1)
	}
	return []Problem{f.repeat}
}

func emptyLibrary(lib *Library) error {
	if lib.rejected == 0 {
		return &ParseError{Err: fmt.Errorf("the library holds no record: %w", ErrEmpty), Hint: "a record is a line that begins with '>' and lines of bases"}
	}
	first := lib.Problems[0]
	if lib.rejected == 1 {
		return &ParseError{Line: first.Line, Err: fmt.Errorf("its only record, %s, cannot be used: %w; %s", first.Record, ErrEmpty, first.What), Hint: first.Hint}
	}
	return &ParseError{Line: first.Line, Err: fmt.Errorf("none of the %d records can be used: %w; the first, %s: %s", lib.rejected, ErrEmpty, first.Record, first.What), Hint: first.Hint}
}

// inflate gives the uncompressed content.
func inflate(in *bufio.Reader) (io.Reader, error) {
	if magic, err := in.Peek(2); err != nil || magic[0] != 0x1f || magic[1] != 0x8b {
		return in, nil //nolint:nilerr // a file of fewer than two bytes is plain, and a read error comes back with the next read
	}
	return gzip.NewReader(in)
}

func truncated(err error) error {
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		return ErrTruncated
	}
	return err
}

// Sum gives the Library.SHA256 of a file that can be read, compressed or not,
// without reading its records. Of a file over the default limit it is that of
// no library.
func Sum(r io.Reader) (string, error) {
	plain, err := inflate(bufio.NewReaderSize(r, 1<<16))
	if err != nil {
		return "", err
	}
	sum := sha256.New()
	if _, err := io.Copy(sum, io.LimitReader(plain, Limits{}.withDefaults().Bytes+1)); err != nil {
		return "", err
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}

// fastaReader reads records byte by byte, which costs little beside what is
// done with them and treats all line ends alike.
type fastaReader struct {
	in   *bufio.Reader
	lim  Limits
	size int64
	line int // of the byte at hand

	records  []Record
	problems problems
	rejected int
	ids      map[string]int    // line of the first record of an id
	repeated int               // records whose id occurs before
	repeat   Problem           // the first of them
	same     map[string]string // one copy of each name

	header []byte
	seq    []byte // of the record at hand
	slab   []byte // where finished sequences go, many to an allocation
	open   bool   // a header was read
	start  int    // line of that header
	gaps   bool
	blanks bool
	bad    string // why the record at hand is left out
	badAt  int
}

func (f *fastaReader) read() error {
	if err := f.sniff(); err != nil {
		return err
	}
	atStart, inHeader, inRemark := true, false, false
	var last byte
	for {
		c, err := f.in.ReadByte()
		if err == io.EOF {
			break
		}
		if err != nil {
			return &ParseError{Line: f.line, Err: truncated(err), Hint: "fetch or copy the file again"}
		}
		if f.size++; f.size > f.lim.Bytes {
			return &ParseError{Line: f.line, Err: fmt.Errorf("more than %d bytes: %w", f.lim.Bytes, ErrTooLarge), Hint: "take the part of the library that covers your fungi"}
		}
		switch {
		case c == '\n' && last == '\r':
		case c == '\n' || c == '\r':
			if inHeader {
				f.begin()
			}
			atStart, inHeader, inRemark = true, false, false
			f.line++
		case inHeader:
			if len(f.header) >= f.lim.Header {
				return &ParseError{Line: f.line, Err: fmt.Errorf("a header of more than %d bytes: %w", f.lim.Header, ErrTooLarge)}
			}
			f.header = append(f.header, c)
		case inRemark:
		case atStart && c == '>':
			f.finish()
			if len(f.records) >= f.lim.Records {
				return &ParseError{Line: f.line, Err: fmt.Errorf("more than %d records: %w", f.lim.Records, ErrTooLarge)}
			}
			inHeader, atStart = true, false
			f.header, f.start = f.header[:0], f.line
		case atStart && c == ';': // remarks of old FASTA files
			inRemark, atStart = true, false
		case c == ' ' || c == '\t':
		case !f.open:
			return &ParseError{Line: f.line, Err: fmt.Errorf("%q stands before the first header: %w", c, ErrNotFASTA), Hint: "a header line begins with '>'"}
		default:
			atStart = false
			f.base(c)
		}
		last = c
	}
	if inHeader {
		f.begin()
	}
	return nil
}

// sniff passes over a byte order mark and names what is often taken for FASTA.
func (f *fastaReader) sniff() error {
	head, err := f.in.Peek(512)
	if err != nil && err != io.EOF {
		return &ParseError{Err: truncated(err), Hint: "fetch or copy the file again"}
	}
	var what string
	switch {
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		_, err := f.in.Discard(3)
		f.size = 3
		return err
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("\xfe\xff")):
		what = "this is text in UTF-16; save it as plain text in UTF-8"
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		what = "this is a zip archive or a spreadsheet; unpack it, or save the sequences as FASTA"
	case bytes.HasPrefix(head, []byte("@")):
		what = "this looks like FASTQ; a reference library is FASTA"
	case bytes.HasPrefix(head, []byte("ABIF")):
		what = "this is a trace file; a reference library is FASTA"
	case bytes.HasPrefix(head, []byte("LOCUS ")):
		what = "this is a flat file of an archive; fetch the records as FASTA"
	case bytes.IndexByte(head, 0) >= 0:
		what = "this is no text file"
	default:
		return nil
	}
	return &ParseError{Line: 1, Err: ErrNotFASTA, Hint: what}
}

// base takes one character of a sequence.
func (f *fastaReader) base(c byte) {
	switch code := baseCodes[c]; {
	case f.bad != "":
	case code != 0:
		if len(f.seq) >= f.lim.Sequence {
			f.bad, f.badAt = fmt.Sprintf("longer than %d bases", f.lim.Sequence), f.start
			return
		}
		f.seq = append(f.seq, code)
		f.blanks = f.blanks || c == '?'
	case c == '-' || c == '.':
		f.gaps = true
	default:
		f.badAt = f.line
		if c|0x20 >= 'a' && c|0x20 <= 'z' {
			f.bad = fmt.Sprintf("the letter %c is no nucleotide code", c)
		} else {
			f.bad = fmt.Sprintf("the character %q is no nucleotide code", c)
		}
	}
}

// baseCodes maps the characters of a sequence to the codes kept
// (Nomenclature Committee of IUB 1985, Nucleic Acids Research 13: 3021-3030).
var baseCodes = func() (t [256]byte) {
	for _, c := range []byte("ACGTRYSWKMBDHVN") {
		t[c], t[c|0x20] = c, c
	}
	t['U'], t['u'], t['?'] = 'T', 'T', 'N'
	return t
}()

// begin opens the record whose header was read.
func (f *fastaReader) begin() {
	f.open = true
	f.seq, f.gaps, f.blanks, f.bad = f.seq[:0], false, false, ""
}

// finish closes the record at hand, if there is one.
func (f *fastaReader) finish() {
	if !f.open {
		return
	}
	f.open = false
	text, cleaned := cleanHeader(string(f.header))
	id, name, lineage := ParseHeader(text)
	reject := func(kind string, line int, what, hint string) {
		f.rejected++
		f.problems.add(kind, Problem{Line: line, Record: id, What: what, Hint: hint, Rejected: true})
	}
	switch {
	case strings.HasPrefix(f.bad, "longer"):
		reject("records longer than the limit", f.badAt, f.bad, "cut out the ribosomal DNA")
		return
	case f.bad != "":
		reject("records with characters that are no nucleotide codes", f.badAt, f.bad, "if this is a protein or a note among the bases, take it out")
		return
	case len(bytes.Trim(f.seq, "N")) == 0:
		reject("records without bases", f.start, "the record has no bases", "give it its sequence or take it out")
		return
	case id == "":
		reject("records without an id", f.start, "the header is empty", "write an id after '>'")
		return
	}
	if cleaned {
		f.problems.add("headers that are not clean UTF-8", Problem{Line: f.start, Record: id,
			What: "the header holds bytes that are not UTF-8, or control characters; they were replaced", Hint: "check the name, and save the file as UTF-8"})
	}
	if f.gaps || f.blanks {
		f.problems.add("records with gap characters", Problem{Line: f.start, Record: id,
			What: "gap characters were removed, and '?' read as N", Hint: "an aligned file is fine; nothing to do"})
	}
	if first, twice := f.ids[id]; twice {
		if f.repeated++; f.repeated == 1 {
			f.repeat = Problem{Line: f.start, Record: id,
				What: fmt.Sprintf("the id is also that of the record at line %d; both are kept", first), Hint: "give each record an id of its own"}
		}
	} else {
		f.ids[id] = f.start
	}
	f.records = append(f.records, Record{
		ID: id, Header: text, Name: f.shareName(name, text), Lineage: f.shareLineage(lineage), Seq: f.keep(f.seq), Line: f.start,
	})
}

// keep copies a sequence to memory that it shares with its neighbours.
func (f *fastaReader) keep(seq []byte) []byte {
	if cap(f.slab)-len(f.slab) < len(seq) {
		f.slab = make([]byte, 0, max(min(2*cap(f.slab), 1<<18), 1<<12, len(seq)))
	}
	start := len(f.slab)
	f.slab = append(f.slab, seq...)
	return f.slab[start:len(f.slab):len(f.slab)]
}

// share gives the one copy of a string kept for all records.
func (f *fastaReader) share(s string) string {
	if s == "" {
		return ""
	}
	if one, ok := f.same[s]; ok {
		return one
	}
	one := strings.Clone(s)
	f.same[one] = one
	return one
}

func (f *fastaReader) shareName(n Name, header string) Name {
	n.Genus, n.Epithet, n.Infra, n.Higher = f.share(n.Genus), f.share(n.Epithet), f.share(n.Infra), f.share(n.Higher)
	if i := strings.Index(header, n.Verbatim); i >= 0 {
		n.Verbatim = header[i : i+len(n.Verbatim)]
	}
	return n
}

func (f *fastaReader) shareLineage(l Lineage) Lineage {
	for _, r := range Ranks {
		l.Set(r, f.share(l.At(r)))
	}
	return l
}

// cleanHeader makes a header valid text: bytes that are not UTF-8 are read as
// Latin-1, which they most often are; control and format characters become
// spaces (a tab does so unsaid).
func cleanHeader(s string) (text string, cleaned bool) {
	s = strings.TrimRight(s, " \t")
	plain := true
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			plain = false
			break
		}
	}
	if plain {
		return s, false
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			cleaned = true
			if r = rune(s[i]); r < 0xa0 {
				r = ' '
			}
		case r == '\t':
			r = ' '
		case unicode.In(r, unicode.Cc, unicode.Cf):
			cleaned = true
			r = ' '
		}
		b.WriteRune(r)
		i += n
	}
	return strings.TrimSpace(b.String()), cleaned
}
