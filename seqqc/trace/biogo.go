package trace

import (
	"fmt"
	"io"

	"github.com/biogo/biogo/alphabet"
	"github.com/biogo/biogo/io/seqio/fasta"
	"github.com/biogo/biogo/io/seqio/fastq"
	"github.com/biogo/biogo/seq/linear"

	"forayseq/seqqc"
)

// The only place where biogo's readers are called. They take what no
// sequencing file should hold: fasta.Reader passes letters that are no
// nucleotides and records without a sequence; fastq.Reader subtracts 33 from
// any byte, so that a control sign becomes a quality above 200, passes over
// text before the first record, loses a record cut after its sequence, and
// does not know wrapped records. Callers check the text first and hand over
// records of one line a part; the tests beside this file hold biogo to these
// facts.

// parseFASTA reads one record a trace from r, which decodeFASTA wrote.
func parseFASTA(r io.Reader, traces []*seqqc.Trace) error {
	reader := fasta.NewReader(r, linear.NewSeq("", nil, alphabet.DNAredundant))
	for i, t := range traces {
		s, err := reader.Read()
		if err != nil {
			return fmt.Errorf("FASTA: record %d of %d: %w", i+1, len(traces), err)
		}
		t.Bases = alphabet.LettersToBytes(s.(*linear.Seq).Seq)
	}
	return nil
}

// parseFASTQ reads one record a trace from r, which decodeFASTQ wrote.
func parseFASTQ(r io.Reader, traces []*seqqc.Trace) error {
	reader := fastq.NewReader(r, linear.NewQSeq("", nil, alphabet.DNAredundant, alphabet.Sanger))
	for i, t := range traces {
		s, err := reader.Read()
		if err != nil {
			return fmt.Errorf("FASTQ: record %d of %d: %w", i+1, len(traces), err)
		}
		letters := s.(*linear.QSeq).Seq
		t.Bases = make([]byte, len(letters))
		t.Quals = make([]byte, len(letters))
		for j, l := range letters {
			t.Bases[j], t.Quals[j] = byte(l.L), byte(l.Q)
		}
	}
	return nil
}
