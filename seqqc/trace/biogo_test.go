package trace

import (
	"io"
	"strings"
	"testing"

	"github.com/biogo/biogo/alphabet"
	"github.com/biogo/biogo/io/seqio/fasta"
	"github.com/biogo/biogo/io/seqio/fastq"
	"github.com/biogo/biogo/seq/linear"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func biogoFASTA(text string) *fasta.Reader {
	return fasta.NewReader(strings.NewReader(text), linear.NewSeq("", nil, alphabet.DNAredundant))
}

func biogoFASTQ(text string) *fastq.Reader {
	return fastq.NewReader(strings.NewReader(text), linear.NewQSeq("", nil, alphabet.DNAredundant, alphabet.Sanger))
}

// TestBiogoFASTAIsLenient pins why the text is checked before biogo's reader
// (v1.0.4) sees it: each of these is an error of ours and none of its.
func TestBiogoFASTAIsLenient(t *testing.T) {
	s, err := biogoFASTA(">p\nMEL!*7\n").Read()
	require.NoError(t, err, "letters of no alphabet pass")
	assert.Equal(t, "MEL!*7", string(alphabet.LettersToBytes(s.(*linear.Seq).Seq)))

	s, err = biogoFASTA(">a\n>b\nAC\n").Read()
	require.NoError(t, err, "a record without a sequence passes")
	assert.Zero(t, s.Len())

	_, err = biogoFASTA("").Read()
	assert.Equal(t, io.EOF, err, "an empty file is a file without records")

	for _, text := range []string{">p\nMEL!*7\n", ">a\n>b\nAC\n", ""} {
		_, err := DecodeFASTA(strings.NewReader(text), Limits{})
		require.Error(t, err)
	}
}

// TestBiogoFASTQIsLenient does the same for FASTQ.
func TestBiogoFASTQIsLenient(t *testing.T) {
	s, err := biogoFASTQ("@r\nACGT\n+\nII\x01I\n").Read()
	require.NoError(t, err, "a control sign passes as a quality")
	assert.Equal(t, alphabet.Qphred(0xe0), s.(*linear.QSeq).Seq[2].Q, "1 - 33 wraps to 224")

	s, err = biogoFASTQ("@r\nAC!T\n+\nIIII\n").Read()
	require.NoError(t, err, "letters of no alphabet pass")
	assert.Equal(t, alphabet.Letter('!'), s.(*linear.QSeq).Seq[2].L)

	_, err = biogoFASTQ("@r\nACGT\nACGT\n+\nIIIIIIII\n").Read()
	require.Error(t, err, "wrapped records are not known")
	got, err := DecodeFASTQ(strings.NewReader("@r\nACGT\nACGT\n+\nIIIIIIII\n"), Limits{})
	require.NoError(t, err)
	assert.Equal(t, "ACGTACGT", string(got[0].Bases))

	_, err = biogoFASTQ("@r\nACGT\n").Read()
	assert.Equal(t, io.EOF, err, "a record cut after its sequence is only the end")

	s, err = biogoFASTQ("words\nmore words\n@r\nAC\n+\nII\n").Read()
	require.NoError(t, err, "text before the first record is passed over")
	assert.Equal(t, "r", s.Name())

	for _, text := range []string{
		"@r\nACGT\n+\nII\x01I\n", "@r\nAC!T\n+\nIIII\n", "@r\nACGT\n", "words\nmore words\n@r\nAC\n+\nII\n",
	} {
		_, err := DecodeFASTQ(strings.NewReader(text), Limits{})
		require.Error(t, err, text)
	}
}

// TestBiogoDoesNotPanic: what the checks let through is read to the end.
func TestBiogoDoesNotPanic(t *testing.T) {
	long := strings.Repeat("ACGTRYKMSWBDHVN", 10_000) // longer than a read buffer
	got, err := DecodeFASTA(strings.NewReader(">long one\n"+long+"\n>2\nA\n"), Limits{})
	require.NoError(t, err)
	assert.Equal(t, long, string(got[0].Bases))
	assert.Equal(t, "A", string(got[1].Bases))
	quals := strings.Repeat("_", len(long)) // Q62
	got, err = DecodeFASTQ(strings.NewReader("@long one\n"+long+"\n+long one\n"+quals+"\n@2\nA\n+\n@\n"), Limits{})
	require.NoError(t, err)
	assert.Equal(t, long, string(got[0].Bases))
	assert.Equal(t, byte(62), got[0].Quals[len(long)-1])
	assert.Equal(t, []byte{31}, got[1].Quals, "a quality line may begin with '@'")
}
