package batch

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/trace"
)

// readQueries gives what queries makes of a text, one line each: "name bases" or
// "line N what".
func readQueries(t *testing.T, in io.Reader) []string {
	t.Helper()
	var got []string
	for q := range queries(in, "f") {
		switch {
		case q.err != nil:
			got = append(got, "error "+q.err.Error())
		case q.problem != nil:
			require.True(t, q.problem.Unread)
			require.NotEmpty(t, q.problem.Hint)
			got = append(got, fmt.Sprintf("line %d %s", q.problem.Line, q.problem.What))
		default:
			got = append(got, q.name+" "+string(q.bases))
		}
	}
	return got
}

func compress(t testing.TB, text string) string {
	var buf bytes.Buffer
	w := gzip.NewWriter(&buf)
	_, err := w.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return buf.String()
}

func TestQueries(t *testing.T) {
	const lost = "this record and what follows it could not be read"
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"plain":             {">a x\nAC\nGT\n>b\nGG\n", []string{"a ACGT", "b GG"}},
		"no final newline":  {">a\nAC\n>b\nGG", []string{"a AC", "b GG"}},
		"CR LF":             {">a\r\nAC\r\nGT\r\n>b\r\nGG\r\n", []string{"a ACGT", "b GG"}},
		"CR":                {">a\rAC\rGT\r>b\rG!\r>c\rA", []string{"a ACGT", "line 5 b: '!' is no nucleotide code", "c A"}},
		"lines after CR LF": {">a\r\nAC\r\n\r\n>b\r\nG!\r\n", []string{"a AC", "line 5 b: '!' is no nucleotide code"}},
		"byte order mark":   {"\xef\xbb\xbf>a\nAC\n", []string{"a AC"}},
		"blank lines":       {"\n \n>a\n\nAC\n\n\nGT\n\n>b\n\nGG\n\n", []string{"a ACGT", "b GG"}},
		"remarks":           {"; of old\n>a\n;of old\nAC\n", []string{"a AC"}},
		"indented header":   {">a\nAC\n  >b\nGG\n", []string{"a AC", "b GG"}},
		"a sign in a line":  {">a >b\nAC>GT\n>c\nA\n", []string{"line 2 a: '>' is no nucleotide code", "c A"}},
		"lower case and U":  {">a\nacgun\n", []string{"a ACGTN"}},
		"gaps":              {">a\nAC--GT..\n", []string{"a ACGT"}},
		"one name twice":    {">a\nAC\n>a\nGG\n", []string{"a AC", "a GG"}},
		"no names":          {">\nAC\n> \nGG\n", []string{"1 AC", "2 GG"}},
		"empty sequence":    {">a\n>b\nAC\n>c\n--\n>d\n", []string{"line 1 a: the record has no sequence", "b AC", "line 4 c: the record has no sequence", "line 6 d: the record has no sequence"}},
		"protein":           {">a\nMKVLEFQ\n>b\nAC\n", []string{"line 2 a: 'L' is no nucleotide code; it is an amino-acid letter, so this may be a protein", "b AC"}},
		"junk":              {">a\n\x01\x02\xff\n>b\nAC\n", []string{`line 2 a: '\x01' is no nucleotide code`, "b AC"}},
		"NUL":               {">a\nAC\x00GT\n>b\nAC\n", []string{"line 1 a: this is not plain text (UTF-8 or ASCII)", "b AC"}},
		"text before":       {";x\n\nhello\n>a\nAC\n", []string{"line 3 text before the first '>' line", "a AC"}},
		"nothing":           {"", []string{"line 1 there is no sequence in it"}},
		"blank":             {" \n\r\n\t", []string{"line 1 there is no sequence in it"}},
		"a remark":          {";nothing\n", []string{"line 1 there is no sequence in it"}},
		"gzip":              {compress(t, ">a\nAC\n>b\nGG"), []string{"a AC", "b GG"}},
		"two gzip members":  {compress(t, ">a\nAC\n>b\nG") + compress(t, "G\n"), []string{"a AC", "b GG"}},
		"gzip of nothing":   {compress(t, ""), []string{"line 1 there is no sequence in it"}},
		"gzip, cut":         {strings.TrimSuffix(compress(t, ">a\nAC\n>b\nGG"), "\x00"), []string{"a AC", "line 4 b: the file ends too early; " + lost}},
		"gzip with a tail":  {compress(t, ">a\nAC\n>b\nGG") + "tail of something", []string{"a AC", "line 4 b: gzip: invalid header; " + lost}},
		"gzip header only":  {"\x1f\x8b\x08", []string{"error f: not a whole gzip file: unexpected EOF"}},
		"FASTQ":             {"@a\nAC\n+\nII\n@b\nGG\n+\nII\n", []string{"a AC", "b GG"}},
		"FASTQ in gzip":     {compress(t, "@a\nAC\n+\nII\n"), []string{"a AC"}},
		"no sequences":      {"garbage", []string{"error f: this is no sequencing file (ABIF, SCF, FASTQ or FASTA)"}},
		"UTF-16":            {"\xff\xfe>\x00a\x00", []string{"error f: this is no sequencing file (ABIF, SCF, FASTQ or FASTA)"}},
	} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, c.want, readQueries(t, strings.NewReader(c.text)))
			require.Equal(t, c.want, readQueries(t, iotest.OneByteReader(strings.NewReader(c.text))), "byte by byte")
		})
	}
}

func TestLongQueries(t *testing.T) {
	longest := strings.Repeat(strings.Repeat("ACGTA", 20)+"\n", maxQueryBases/100)
	require.Equal(t, []string{"a " + strings.ReplaceAll(longest, "\n", ""), "b AC"},
		readQueries(t, strings.NewReader(">a\n"+longest+">b\nAC\n")))
	require.Equal(t, []string{"line 1002 a: bases: 100001, and the limit is 100000", "b AC"},
		readQueries(t, strings.NewReader(">a\n"+longest+"A\n>b\nAC\n")))
	// Without an end to be seen, and still only one record is lost.
	require.Equal(t, []string{"line 1 a: the record has more than 1048576 bytes", "b AC"},
		readQueries(t, io.MultiReader(strings.NewReader(">a\n"), io.LimitReader(same('A'), 8<<20), strings.NewReader("\n>b\nAC\n"))))
	require.Equal(t, []string{"line 1 " + strings.Repeat("A", 199) + ": the record has more than 1048576 bytes", "b AC"},
		readQueries(t, io.MultiReader(strings.NewReader(">"), io.LimitReader(same('A'), 2<<20), strings.NewReader("\n>b\nAC\n"))))
	require.Equal(t, []string{"b AC"},
		readQueries(t, io.MultiReader(io.LimitReader(same('\n'), 1<<19), strings.NewReader(">b\nAC\n"))))
}

// same is a text of one sign without end.
type same byte

func (s same) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(s)
	}
	return len(p), nil
}

func TestQueriesOfAnInputThatBreaksOff(t *testing.T) {
	broken := iotest.ErrReader(fmt.Errorf("the disk is gone"))
	require.Equal(t, []string{"error f: the disk is gone"}, readQueries(t, broken))
	require.Equal(t, []string{"a AC", "line 5 b: the disk is gone; this record and what follows it could not be read"},
		readQueries(t, io.MultiReader(strings.NewReader(">a\nAC\n>b\nGG\n"), broken)))

	// Cut anywhere, a gzip file gives whole records or none.
	var text strings.Builder
	var want []string
	for i := range 300 {
		bases := strings.Repeat("ACGGT", i%7+1) + strings.Repeat("T", i%13)
		fmt.Fprintf(&text, ">r%d\n%s\n", i, bases)
		want = append(want, fmt.Sprintf("r%d %s", i, bases))
	}
	whole := compress(t, text.String())
	require.Equal(t, want, readQueries(t, strings.NewReader(whole)))
	for end := 20; end < len(whole); end += 7 {
		got := readQueries(t, strings.NewReader(whole[:end]))
		last := got[len(got)-1]
		require.Contains(t, last, "the file ends too early")
		require.Equal(t, want[:len(got)-1], got[:len(got)-1])
	}
}

// What the decoder of whole files makes of a FASTA is what comes record by
// record; whatever else comes in, no record is invented.
func FuzzQueries(f *testing.F) {
	for _, s := range []string{">a\nAC\n>b\nGG\n", "\xef\xbb\xbf;x\r\n>a x\rAC\r\n\r\n >b\nac-u", ">a\n!\n>b\n", "@a\nA\n+\nI", "x", "", compress(f, ">a\nAC")} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var names, seqs []string
		bad := false
		for q := range queries(bytes.NewReader(text), "f") {
			if bad = bad || q.err != nil || q.problem != nil; bad {
				continue
			}
			require.NotEmpty(t, q.bases)
			names, seqs = append(names, q.name), append(seqs, string(q.bases))
		}
		whole, err := trace.DecodeFASTA(bytes.NewReader(text), trace.Limits{Bases: maxQueryBases})
		if err != nil || len(text) > maxQueryBytes {
			return
		}
		require.False(t, bad)
		require.Len(t, seqs, len(whole))
		for i, w := range whole {
			require.Equal(t, recordName(w, i), names[i])
			require.Equal(t, string(w.Bases), seqs[i])
		}
	})
}
