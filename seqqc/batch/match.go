package batch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
	"forayseq/seqqc/region"
)

// MatchOptions say which sequences to compare with which library.
type MatchOptions struct {
	// Queries is a file of sequences (FASTA, FASTQ or a chromatogram, plain or
	// .gz), "-" for Stdin.
	Queries        string
	Stdin          io.Reader
	Refs, Taxonomy string
	Settings       Settings
	// TopOnly ends the hits after Settings.Match.Hits and the ties of the last,
	// without the rest of the voting window.
	TopOnly bool
	// Threads is the number of sequences worked on at once; zero is one a
	// processor.
	Threads int
	// Progress hears of every sequence, one call at a time; nil for nobody.
	Progress func(Progress)
}

// Matched is what the library says about one sequence, or a problem with it or
// with the library.
type Matched struct {
	Query   string
	Match   *seqqc.Match   // nil where there is a problem
	Problem *seqqc.Problem // nil where there is a match
}

// Match compares each sequence as it is with every reference: its ITS is
// located, but nothing is trimmed. It calls tell in the order of the input, as
// soon as it can, and holds no more than a few sequences a thread at a time,
// so that there may be any number of them. A sequence that cannot be used is a
// problem at its place, and the others go on; problems of the library come
// first.
//
// An error means that no sequence could be read, is that of tell, or that of
// ctx when it ends. Only the reading of the library or of input that waits is
// then left under way.
func Match(ctx context.Context, opt MatchOptions, tell func(Matched) error) error {
	if err := opt.Settings.Validate(); err != nil {
		return err
	}
	if opt.Queries == "-" {
		return matchAll(ctx, opt, opt.Stdin, tell)
	}
	f, err := os.Open(opt.Queries)
	if err != nil {
		return hint("name a file of sequences, or - for standard input", "%w", err)
	}
	return errors.Join(matchAll(ctx, opt, f, tell), f.Close())
}

func matchAll(ctx context.Context, opt MatchOptions, in io.Reader, tell func(Matched) error) error {
	lib, problems, err := openOrLeave(ctx, opt.Refs, opt.Taxonomy)
	if err != nil {
		return err
	}
	for _, p := range problems {
		if err := tell(Matched{Problem: &p}); err != nil {
			return err
		}
	}
	type answer struct {
		Matched
		share float64
	}
	work := func(ctx context.Context, q query) (answer, error) {
		m, err := matchOne(ctx, lib, q, opt)
		return answer{m, q.share}, err
	}
	done := 0
	return inOrder(ctx, opt.Threads, queries(in, opt.Queries), work, func(a answer) error {
		if err := tell(a.Matched); err != nil {
			return err
		}
		if done++; opt.Progress != nil {
			opt.Progress(Progress{Doing: "matching sequences", Done: done, Share: a.share, Name: a.Query})
		}
		return nil
	})
}

// openOrLeave is OpenLibrary, which is left to itself when ctx ends: a large
// library takes longer to read than anybody waits for the end.
func openOrLeave(ctx context.Context, path, taxonomy string) (*refs.Library, []seqqc.Problem, error) {
	type opened struct {
		lib      *refs.Library
		problems []seqqc.Problem
		err      error
	}
	done := make(chan opened, 1)
	go func() {
		lib, _, problems, err := OpenLibrary(path, taxonomy)
		done <- opened{lib, problems, err}
	}()
	select {
	case o := <-done:
		return o.lib, o.problems, o.err
	case <-ctx.Done():
		return nil, nil, ctx.Err()
	}
}

func matchOne(ctx context.Context, lib *refs.Library, q query, opt MatchOptions) (Matched, error) {
	if q.err != nil {
		return Matched{}, q.err
	}
	if q.problem != nil {
		return Matched{Problem: q.problem}, nil
	}
	// Qualities have no part in it.
	c := &seqqc.Contig{Bases: q.bases, Quals: make([]byte, len(q.bases))}
	region.Orient(c)
	if n := c.Region.ITS(len(c.Bases)).Len(); n > maxCompared {
		return Matched{Problem: &seqqc.Problem{File: opt.Queries, Line: q.line, Unread: true, Hint: cutOut,
			What: fmt.Sprintf("%s: the part to compare (the ITS, or all where none is found) has %d bases, and the limit is %d", q.name, n, maxCompared)}}, nil
	}
	m, err := match.Match(ctx, lib, c, refs.Name{}, opt.Settings.Match)
	if errors.Is(err, align.ErrTooLong) {
		return Matched{Problem: &seqqc.Problem{File: opt.Queries, Line: q.line, Unread: true,
			What: fmt.Sprintf("%s: %s", q.name, err), Hint: "cut out the part with the ITS, or take the long reference out of the library"}}, nil
	}
	if err != nil {
		return Matched{}, fmt.Errorf("%s: %w", q.name, err)
	}
	if opt.TopOnly {
		cutToTop(m, opt.Settings.Match.Hits)
	}
	return Matched{Query: q.name, Match: m}, nil
}

// cutToTop leaves the first n hits with the ties of the last, and of those
// apart the ones that the shorter list would have held.
func cutToTop(m *seqqc.Match, n int) {
	if len(m.Hits) <= n {
		return
	}
	end := n
	for end < len(m.Hits) && m.Hits[end].Rank == m.Hits[n-1].Rank {
		end++
	}
	m.Hits = m.Hits[:end]
	m.Apart = slices.DeleteFunc(m.Apart, func(h seqqc.Hit) bool { return h.IdentityPct < m.Hits[n-1].IdentityPct })
}
