package batch_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/batch"
)

// demoRecords writes the demo and gives its library's path and records.
func demoRecords(t *testing.T) (library string, records []string) {
	t.Helper()
	library = filepath.Join(writeDemo(t), batch.RefsName)
	text, err := os.ReadFile(library)
	require.NoError(t, err)
	for _, r := range strings.Split(string(text), ">")[1:] {
		records = append(records, ">"+r)
	}
	return library, records
}

// smallLibrary writes three of the records as a library.
func smallLibrary(t *testing.T, records []string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "refs.fasta")
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(records[:3], "")), 0o644))
	return path
}

// stream gives the beginnings of records over and over without end, each under
// a new name.
type stream struct {
	records []string
	given   atomic.Int64
	rest    []byte
}

// Few bases are compared, for what comes of it does not matter, and gap signs
// make the text of a record as long as one of a whole sequence.
const streamBases, streamGaps = 60, 1000

func (s *stream) Read(p []byte) (int, error) {
	if len(s.rest) == 0 {
		i := s.given.Add(1) - 1
		_, body, _ := strings.Cut(s.records[int(i)%len(s.records)], "\n")
		s.rest = fmt.Appendf(nil, ">q%d\n%s\n", i, body[:streamBases]+strings.Repeat("-", streamGaps))
	}
	n := copy(p, s.rest)
	s.rest = s.rest[n:]
	return n, nil
}

// An input without end is answered in its order, and what is held of it does
// not grow.
func TestMatchHoldsLittleOfAStream(t *testing.T) {
	_, records := demoRecords(t)
	settings := batch.DefaultSettings()
	settings.Match.Hits = 1
	in := &stream{records: records[:20]}
	const threads = 2
	// Beside four sequences a thread and one before them: what the reader has
	// ahead in its buffer of 64 KiB.
	const most = 4*threads + 1 + 65536/streamGaps
	enough := errors.New("enough")
	told := 0
	err := batch.Match(t.Context(), batch.MatchOptions{
		Queries: "-", Stdin: in, Refs: smallLibrary(t, records), Settings: settings, Threads: threads,
		Progress: func(p batch.Progress) {
			require.Equal(t, told, p.Done)
			require.Zero(t, p.Share)
		},
	}, func(m batch.Matched) error {
		require.Nil(t, m.Problem)
		require.Equal(t, fmt.Sprintf("q%d", told), m.Query)
		require.LessOrEqual(t, in.given.Load(), int64(told+most))
		if told++; told == 3*most {
			return enough
		}
		return nil
	})
	require.ErrorIs(t, err, enough)
}

func TestMatchTellsHowFar(t *testing.T) {
	_, records := demoRecords(t)
	queries := filepath.Join(t.TempDir(), "q.fasta")
	require.NoError(t, os.WriteFile(queries, []byte(strings.Repeat(">q\nACGTTGCA"+strings.Repeat("-", streamGaps)+"\n", 200)), 0o644))
	shares := []float64{}
	require.NoError(t, batch.Match(t.Context(), batch.MatchOptions{
		Queries: queries, Refs: smallLibrary(t, records), Settings: batch.DefaultSettings(),
		Progress: func(p batch.Progress) { shares = append(shares, p.Share) },
	}, func(batch.Matched) error { return nil }))
	require.Len(t, shares, 200)
	require.IsNonDecreasing(t, shares)
	require.Less(t, shares[0], 0.5, "what lies in the buffer is not counted as read")
	require.Equal(t, 1.0, shares[199])
}

func TestMatchWithoutAnythingToCompareWith(t *testing.T) {
	opt := batch.MatchOptions{Queries: "-", Stdin: strings.NewReader(">a\nACGT\n"), Settings: batch.DefaultSettings()}
	nobody := func(batch.Matched) error { t.Error("told"); return nil }
	require.ErrorIs(t, batch.Match(t.Context(), opt, nobody), os.ErrNotExist)
	opt.Queries = filepath.Join(t.TempDir(), "missing.fasta")
	require.ErrorContains(t, batch.Match(t.Context(), opt, nobody), "missing.fasta")
}

// Nothing goes on after the end: neither threads nor, where it reads on, the
// reader of the input.
func TestMatchLeavesNothingBehind(t *testing.T) {
	_, records := demoRecords(t)
	library := smallLibrary(t, records)
	for name, end := range map[string]func(cancel func()) error{
		"cancelled":    func(cancel func()) error { cancel(); return nil },
		"cannot write": func(func()) error { return io.ErrClosedPipe },
	} {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithCancel(t.Context())
			defer cancel()
			before := runtime.NumGoroutine()
			told := 0
			err := batch.Match(ctx, batch.MatchOptions{
				Queries: "-", Stdin: &stream{records: records}, Refs: library, Settings: batch.DefaultSettings(), Threads: 8,
			}, func(batch.Matched) error {
				if told++; told == 5 {
					return end(cancel)
				}
				return nil
			})
			require.Error(t, err)
			require.Equal(t, 5, told)
			// The reader sees the end when it is asked for more.
			for range 500 {
				if runtime.NumGoroutine() <= before {
					break
				}
				time.Sleep(10 * time.Millisecond)
			}
			require.LessOrEqual(t, runtime.NumGoroutine(), before)
		})
	}
}
