package batch

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
	"forayseq/seqqc/region"
	"forayseq/seqqc/trace"
)

// MatchOptions say which sequences to compare with which library.
type MatchOptions struct {
	// Queries is a file of sequences (FASTA, FASTQ or a chromatogram), "-" for
	// Stdin.
	Queries        string
	Stdin          io.Reader
	Refs, Taxonomy string
	Settings       Settings
	Workers        int
	Progress       func(Progress)
}

// Matched is what the library says about one sequence.
type Matched struct {
	Query string
	Match *seqqc.Match
}

// Match compares each sequence as it is with every reference: its ITS is
// located, but nothing is trimmed. Sequences come back in the order of the
// file.
func Match(ctx context.Context, opt MatchOptions) ([]Matched, []seqqc.Problem, error) {
	if err := opt.Settings.Validate(); err != nil {
		return nil, nil, err
	}
	lib, _, problems, err := OpenLibrary(opt.Refs, opt.Taxonomy)
	if err != nil {
		return nil, nil, err
	}
	queries, bad, err := readQueries(opt.Queries, opt.Stdin)
	if err != nil {
		return nil, nil, err
	}
	problems = append(problems, bad...)
	out := make([]Matched, len(queries))
	err = inParallel(ctx, opt.Workers, len(queries), func(ctx context.Context, i int) error {
		q := queries[i]
		c := &seqqc.Contig{Bases: q.Bases, Quals: bytes.Repeat([]byte{0}, len(q.Bases))}
		region.Orient(c)
		m, err := match.Match(ctx, lib, c, refs.Name{}, opt.Settings.Match)
		if err != nil {
			return fmt.Errorf("%s: %w", recordName(q, i), err)
		}
		out[i] = Matched{recordName(q, i), m}
		return nil
	}, func(done int) {
		if opt.Progress != nil {
			opt.Progress(Progress{"matching sequences", done, len(queries)})
		}
	})
	return out, problems, err
}

// readQueries reads the sequences. Of a FASTA each record is read by itself, so
// that one bad record is a problem and the others are compared.
func readQueries(name string, stdin io.Reader) (queries []*seqqc.Trace, problems []seqqc.Problem, err error) {
	var text []byte
	read := func(r io.Reader) (err error) {
		text, err = io.ReadAll(io.LimitReader(r, maxQueryBytes+1))
		return err
	}
	if name == "-" {
		err = read(stdin)
	} else {
		err = withFile(name, read)
	}
	switch {
	case err != nil:
		return nil, nil, hint("name a FASTA file that is there, or - for standard input", "%w", err)
	case len(text) > maxQueryBytes:
		return nil, nil, hint("split the file", "%s: more than %d MiB", name, maxQueryBytes>>20)
	case !bytes.HasPrefix(text, []byte(">")):
		queries, err = trace.Decode(bytes.NewReader(text), filepath.Base(name), trace.Limits{})
		if err != nil {
			return nil, nil, hint("sequences are FASTA, FASTQ or one chromatogram", "%s: %w", name, err)
		}
		return queries, nil, nil
	}
	line := 1
	for rest := text; len(rest) > 0; {
		record := rest
		if at := bytes.Index(rest[1:], []byte("\n>")); at >= 0 {
			record = rest[:at+2]
		}
		rest = rest[len(record):]
		got, err := trace.Decode(bytes.NewReader(record), "query.fasta", trace.Limits{})
		if err != nil {
			title, _, _ := strings.Cut(string(record[1:]), "\n")
			problems = append(problems, seqqc.Problem{File: name, Line: line, Unread: true,
				What: strings.TrimSpace(title) + ": " + err.Error(), Hint: "mend the record; the others were compared"})
		}
		queries = append(queries, got...)
		line += bytes.Count(record, []byte("\n"))
	}
	return queries, problems, nil
}

// maxQueryBytes bounds a file of queries: some 200,000 ITS sequences.
const maxQueryBytes = 128 << 20
