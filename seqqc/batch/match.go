package batch

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"

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
	queries, err := readQueries(opt.Queries, opt.Stdin)
	if err != nil {
		return nil, nil, hint(trace.Hint(err), "%s: %w", opt.Queries, err)
	}
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

func readQueries(name string, stdin io.Reader) (queries []*seqqc.Trace, err error) {
	if name == "-" {
		return trace.Decode(stdin, "queries.fasta", trace.Limits{})
	}
	err = withFile(name, func(r io.Reader) error {
		queries, err = trace.Decode(r, filepath.Base(name), trace.Limits{})
		return err
	})
	return queries, err
}
