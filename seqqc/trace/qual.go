package trace

import (
	"bytes"
	"fmt"
	"io"
	"strconv"

	"forayseq/seqqc"
)

// JoinQual reads a .qual file (FASTA headers, Phred values in place of letters)
// and gives its values to the records of those names. Records may come in
// another order; a record without values keeps none. A name that is not among
// the records or comes twice, another number of values than the record has
// bases, or a value that is no Phred quality is an error, and no record is
// changed.
//
// Bases that DecodeFASTA took out (gaps) have no place for a value: such a
// record's lengths differ.
func JoinQual(traces []*seqqc.Trace, r io.Reader, lim Limits) error {
	lim = lim.withDefaults()
	file, err := readAll(r, "qual", lim.FileBytes)
	if err != nil {
		return err
	}
	lines, err := newLineScanner(file, "qual")
	if err != nil {
		return err
	}
	byName := make(map[string]*seqqc.Trace, len(traces))
	for _, t := range traces {
		if byName[t.Name] != nil {
			return &ParseError{Format: "qual", Offset: -1, Field: fmt.Sprintf("record %q", t.Name), Err: because(ErrFormat, "two sequences have this name")}
		}
		byName[t.Name] = t
	}
	joined := make(map[*seqqc.Trace][]byte, len(traces))
	var t *seqqc.Trace
	finish := func(i int) error {
		if t != nil && len(joined[t]) != len(t.Bases) {
			return lineError("qual", i, t.Name, because(ErrFormat, "%d values for %d bases", len(joined[t]), len(t.Bases)))
		}
		return nil
	}
	for lines.next() {
		i, line := lines.at, bytes.TrimSpace(lines.line)
		if len(line) == 0 || line[0] == ';' {
			continue
		}
		if line[0] == '>' {
			if err := finish(i - 1); err != nil {
				return err
			}
			name := headerName(line)
			if t = byName[name]; t == nil {
				return lineError("qual", i, name, because(ErrFormat, "no sequence has this name"))
			}
			if _, twice := joined[t]; twice {
				return lineError("qual", i, name, because(ErrFormat, "the record comes twice"))
			}
			joined[t] = make([]byte, 0, len(t.Bases))
			continue
		}
		if t == nil {
			return lineError("qual", i, "", because(ErrFormat, "text before the first '>' line"))
		}
		for word := range bytes.FieldsSeq(line) {
			q, err := strconv.ParseUint(string(word), 10, 8)
			if err != nil || q > maxPhred {
				return lineError("qual", i, t.Name, because(ErrFormat, "%q is no Phred value from 0 to %d", word, maxPhred))
			}
			if joined[t] = append(joined[t], byte(q)); len(joined[t]) > len(t.Bases) {
				return lineError("qual", i, t.Name, because(ErrFormat, "more values than the %d bases", len(t.Bases)))
			}
		}
	}
	if err := finish(lines.at); err != nil {
		return err
	}
	for t, quals := range joined {
		t.Quals = quals
	}
	return nil
}
