package trace

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

func names(traces []*seqqc.Trace) (out []string) {
	for _, t := range traces {
		out = append(out, t.Name+" "+string(t.Bases))
	}
	return out
}

func TestFASTA(t *testing.T) {
	for name, c := range map[string]struct {
		text  string
		want  []string
		notes string
	}{
		"two records":        {">a first\nACGT\nac gu\n\n>b\nNNRY\n", []string{"a ACGTACGT", "b NNRY"}, ""},
		"no last line end":   {">a\nACGT", []string{"a ACGT"}, ""},
		"lines of Windows":   {"\xef\xbb\xbf>a\r\nAC\r\nGT\r\n", []string{"a ACGT"}, ""},
		"lines of old Macs":  {">a\rAC\rGT\r>b\rA", []string{"a ACGT", "b A"}, ""},
		"comments and space": {"; made by hand\n\n  >a\n; more\n AC\tGT \n", []string{"a ACGT"}, ""},
		"name after a space": {"> a b\nA\n", []string{"a A"}, ""},
		"no name":            {">\nA\n", []string{" A"}, ""},
		"aligned":            {">a\n--AC-GT..\n", []string{"a ACGT"}, "gap signs taken out: 5"},
		"masked":             {">a\nACxX?T\n", []string{"a ACNNNT"}, "signs that are no base, read as N: 3"},
		"name not in UTF-8":  {">caf\xe9\nA\n", []string{"café A"}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := DecodeFASTA(strings.NewReader(c.text), Limits{})
			require.NoError(t, err)
			assert.Equal(t, c.want, names(got))
			assert.Equal(t, c.notes, strings.Join(got[0].Notes, "\n"))
			assert.Nil(t, got[0].Quals)
			assert.False(t, got[0].HasQuals())
			assert.Equal(t, "FASTA", got[0].Format)
		})
	}
}

type badText struct {
	text string
	want error
	line int
	says string
}

func checkBadText(t *testing.T, cases map[string]badText, decode func(string) error) {
	t.Helper()
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			err := decode(c.text)
			require.ErrorIs(t, err, c.want)
			assert.ErrorContains(t, err, c.says)
			var e *ParseError
			require.ErrorAs(t, err, &e)
			assert.Equal(t, c.line, e.Line, "line")
		})
	}
}

func TestFASTABad(t *testing.T) {
	checkBadText(t, map[string]badText{
		"empty":               {"", ErrTruncated, 0, "the file is empty"},
		"blank":               {"\n\n", ErrTruncated, 0, "no record"},
		"text before":         {"ACGT\n>a\nA\n", ErrFormat, 1, "before the first '>'"},
		"protein":             {">a\nACGT\n>b\nACG\nMKLV\n", ErrFormat, 5, `record "b", line 5: 'L' is no nucleotide code; it is an amino-acid letter`},
		"stop":                {">a\nACG*\n", ErrFormat, 2, "'*' is no nucleotide code"},
		"digits":              {">a\n1 ACGT\n", ErrFormat, 2, "'1'"},
		"record without one":  {">a\n>b\nA\n", ErrTruncated, 1, `record "a"`},
		"last without one":    {">a\nA\n>b\n", ErrTruncated, 3, `record "b"`},
		"only gaps":           {">a\n---\n", ErrTruncated, 1, "no sequence"},
		"UTF-16":              {"\xff\xfe>\x00a\x00", ErrFormat, 0, "not plain text"},
		"binary":              {">a\nAC\x00GT\n", ErrFormat, 0, "byte 5: this is not plain text"},
		"too many records":    {">a\nA\n>b\nA\n>c\nA\n>d\nA\n", ErrTooLarge, 7, "records: 4, and the limit is 3"},
		"too long":            {">a\n" + strings.Repeat("ACGT\n", 6), ErrTooLarge, 7, "bases: 24, and the limit is 20"},
		"more than the bytes": {">a " + strings.Repeat("x", 100), ErrTooLarge, 0, "more than 100 bytes"},
	}, func(s string) error {
		got, err := DecodeFASTA(strings.NewReader(s), Limits{Records: 3, Bases: 20, FileBytes: 100})
		assert.Nil(t, got)
		return err
	})
}

func TestFASTQ(t *testing.T) {
	got, err := DecodeFASTQ(strings.NewReader("@a first\nACg\n+a first\n!I~\n\n@b\nAC\n-u\n+\n@+\nII\n"), Limits{})
	require.NoError(t, err)
	assert.Equal(t, []string{"a ACG", "b ACNT"}, names(got))
	assert.Equal(t, []byte{0, 40, 93}, got[0].Quals)
	assert.Equal(t, []byte{31, 10, 40, 40}, got[1].Quals, "wrapped, beginning with '@' and '+'")
	assert.Equal(t, []string{"signs that are no base, read as N: 1"}, got[1].Notes)
	assert.Equal(t, "FASTQ", got[0].Format)

	got, err = DecodeFASTQ(strings.NewReader("@old\r\nACGT\r\n+\r\nhhhB\r\n"), Limits{})
	require.NoError(t, err)
	assert.Contains(t, got[0].Notes[0], "as if written with the offset 64")
	assert.Nil(t, got[0].Quals, "Q2 would be taken for Q33")
}

func TestFASTQBad(t *testing.T) {
	checkBadText(t, map[string]badText{
		"empty":             {"", ErrTruncated, 0, "the file is empty"},
		"blank":             {"\n \n", ErrTruncated, 0, "no record"},
		"no at sign":        {">a\nAC\n", ErrFormat, 1, "begins with '@'"},
		"second without":    {"@a\nA\n+\nI\nb\nA\n+\nI\n", ErrFormat, 5, "begins with '@'"},
		"no plus":           {"@a\nACGT\nACGT\n", ErrTruncated, 3, "no '+' line"},
		"only a header":     {"@a\n", ErrTruncated, 1, "no '+' line"},
		"no sequence":       {"@a\n\n+\n\n", ErrTruncated, 1, "no sequence"},
		"no qualities":      {"@a\nACGT\n+\n", ErrTruncated, 3, "0 qualities for 4 bases"},
		"too few qualities": {"@a\nACGT\n+\nIII\n", ErrTruncated, 4, "3 qualities for 4 bases"},
		"too many":          {"@a\nACGT\n+\nIIIII\n", ErrFormat, 4, "5 qualities for 4 bases"},
		"next record early": {"@a\nACGT\n+\nII\n@b\nA\n+\nI\n", ErrFormat, 6, "begins with '@', not 'A'"},
		"another name":      {"@a\nACGT\n+b\nIIII\n", ErrFormat, 3, "names another record"},
		"control sign":      {"@a\nACGT\n+\nII\x01I\n", ErrFormat, 4, `'\x01' is no quality`},
		"space inside":      {"@a\nACGT\n+\nI II\n", ErrFormat, 4, "' ' is no quality"},
		"protein":           {"@a\nACEF\n+\nIIII\n", ErrFormat, 2, "'E' is no nucleotide code"},
		"very long name":    {"@" + strings.Repeat("a", 1000) + "\nA\n", ErrTruncated, 2, `record "` + strings.Repeat("a", 80) + `..."`},
		"too many records":  {strings.Repeat("@a\nA\n+\nI\n", 4), ErrTooLarge, 13, "records: 4"},
		"too long":          {"@a\n" + strings.Repeat("ACGT\n", 6), ErrTooLarge, 7, "bases: 24"},
	}, func(s string) error {
		got, err := DecodeFASTQ(strings.NewReader(s), Limits{Records: 3, Bases: 20})
		assert.Nil(t, got)
		return err
	})
}

func TestJoinQual(t *testing.T) {
	read := func() []*seqqc.Trace {
		got, err := DecodeFASTA(strings.NewReader(">a\nACGT\n>b\nAC\n>c\nA\n"), Limits{})
		require.NoError(t, err)
		return got
	}
	traces := read()
	require.NoError(t, JoinQual(traces, strings.NewReader(">b any\r\n 0\t99\r\n\r\n>a\r\n1 2\r\n3 4\r\n"), Limits{}))
	assert.Equal(t, []byte{1, 2, 3, 4}, traces[0].Quals)
	assert.Equal(t, []byte{0, 99}, traces[1].Quals)
	assert.Nil(t, traces[2].Quals)

	checkBadText(t, map[string]badText{
		"empty":         {"", ErrTruncated, 0, "the file is empty"},
		"text before":   {"1 2\n", ErrFormat, 1, "before the first"},
		"unknown name":  {">a\n1 2 3 4\n>z\n1\n", ErrFormat, 3, `record "z", line 3: no sequence has this name`},
		"twice":         {">b\n1 2\n>b\n1 2\n", ErrFormat, 3, "twice"},
		"too few":       {">a\n1 2 3\n>b\n1 2\n", ErrFormat, 2, "3 values for 4 bases"},
		"too few, last": {">b\n1 2\n>a\n1 2 3\n", ErrFormat, 4, "3 values for 4 bases"},
		"none":          {">b\n1 2\n>a\n", ErrFormat, 3, "0 values for 4 bases"},
		"too many":      {">b\n1 2\n3\n", ErrFormat, 3, "more values than the 2 bases"},
		"too high":      {">b\n1 100\n", ErrFormat, 2, `"100" is no Phred value`},
		"negative":      {">b\n1 -1\n", ErrFormat, 2, `"-1"`},
		"no number":     {">b\n1 x\n", ErrFormat, 2, `"x"`},
	}, func(s string) error {
		traces := read()
		err := JoinQual(traces, strings.NewReader(s), Limits{})
		for _, tr := range traces {
			assert.Nil(t, tr.Quals, "unchanged on an error")
		}
		return err
	})

	twins, err := DecodeFASTA(strings.NewReader(">a\nA\n>a\nC\n"), Limits{})
	require.NoError(t, err)
	require.ErrorContains(t, JoinQual(twins, strings.NewReader(">a\n1\n"), Limits{}), "two sequences have this name")
}

// TestLineScanner: every kind of line end counts one line, and a file of ends
// only costs no list of them.
func TestLineScanner(t *testing.T) {
	s, err := newLineScanner([]byte("\xef\xbb\xbfa\r\n\rb\n\r\nc"), "FASTA")
	require.NoError(t, err)
	var lines []string
	for s.next() {
		lines = append(lines, string(s.line))
	}
	assert.Equal(t, []string{"a", "", "b", "", "c"}, lines)
	assert.Equal(t, 4, s.at)
	assert.False(t, s.next())

	blank := bytes.Repeat([]byte("\n"), 1<<20)
	allocated := testing.AllocsPerRun(1, func() {
		_, err := decodeFASTA(blank, Limits{}.withDefaults())
		require.ErrorIs(t, err, ErrTruncated)
	})
	assert.Less(t, allocated, 100.0)
}

func TestDecodeByContent(t *testing.T) {
	abif, scf := string(encodeABIF(t, synthetic(1, 5))), string(encodeSCF(t, forSCF(1, 5), 3, 1))
	for name, c := range map[string]struct{ file, name, format, note string }{
		"ABIF":                    {abif, "x.ab1", "ABIF", ""},
		"ABIF, capitals":          {abif, "X.AB1", "ABIF", ""},
		"ABIF, no name":           {abif, "", "ABIF", ""},
		"ABIF named SCF":          {abif, "x.scf", "ABIF", "the file is named .scf and holds ABIF"},
		"SCF":                     {scf, "x.scf", "SCF", ""},
		"SCF named ABIF":          {scf, "x.ab1", "SCF", "the file is named .ab1 and holds SCF"},
		"FASTA":                   {">a\nACGT\n", "x.fasta", "FASTA", ""},
		"FASTA after a comment":   {";c\n>a\nACGT\n", "x.fa", "FASTA", ""},
		"FASTA as .seq":           {"\n>a\nACGT\n", "x.seq", "FASTA", ""},
		"FASTA without an ending": {">a\nACGT\n", "reads", "FASTA", ""},
		"FASTQ":                   {"@a\nACGT\n+\nIIII\n", "x.fq", "FASTQ", ""},
		"FASTQ named FASTA":       {"@a\nACGT\n+\nIIII\n", "x.fa", "FASTQ", "the file is named .fa and holds FASTQ"},
		"bare .seq":               {"\xef\xbb\xbfACGTNNN\r\nacgt\r\n", "x.seq", "FASTA", "the text has no header line"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := Decode(strings.NewReader(c.file), c.name, Limits{})
			require.NoError(t, err)
			require.Len(t, got, 1)
			assert.Equal(t, c.format, got[0].Format)
			assert.Equal(t, c.note, strings.Join(got[0].Notes, "\n"))
		})
	}
}

func TestDecodeRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		file, name string
		want       error
		says, hint string
	}{
		"empty":         {"", "x.ab1", ErrTruncated, "the file is empty", "copy the file again"},
		"blank":         {" \n", "x.seq", ErrTruncated, "only blank lines", "copy the file again"},
		"text as .ab1":  {"This is no trace.\n", "x.ab1", ErrFormat, "named .ab1 and does not begin as ABIF does", "right ending"},
		"text":          {"This is no trace.\n", "", ErrFormat, "this is no sequencing file", "right ending"},
		"bare as .txt":  {"ACGT\n", "x.txt", ErrFormat, "this is no sequencing file", "right ending"},
		"words as .seq": {"The sequence failed.\n", "x.seq", ErrFormat, "line 1: 'e' is no nucleotide code", "right ending"},
		"late header":   {"ACGT\n>a\nAC\n", "x.seq", ErrFormat, "before the first '>'", "right ending"},
		"zip":           {"PK\x03\x04rest", "x.ab1", ErrUnsupported, "zip archive", "ending .zip"},
		"gzip":          {"\x1f\x8brest", "x.fa", ErrUnsupported, "gzip file", "unpack it"},
		"cut ABIF":      {"ABIF\x00", "x.ab1", ErrTruncated, "ABIF, header", "copy the file again"},
		"cut magic":     {"ABI", "x.ab1", ErrFormat, "does not begin as ABIF does", "right ending"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := Decode(strings.NewReader(c.file), c.name, Limits{})
			require.ErrorIs(t, err, c.want)
			assert.ErrorContains(t, err, c.says)
			assert.Contains(t, Hint(err), c.hint)
			assert.Nil(t, got)
		})
	}
	assert.Equal(t, "check that the file can be opened, then run again", Hint(errors.New("other")))
	assert.Contains(t, Hint(ErrTooLarge), "split into several files")
}
