package batch_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

func writeIndex(t *testing.T, path, taxonomy string) batch.IndexInfo {
	t.Helper()
	info, err := batch.WriteIndex(t.Context(), batch.IndexOptions{Refs: path, Taxonomy: taxonomy})
	require.NoError(t, err)
	return info
}

// requireOpensAlike holds that a library opens alike with its index and
// without, and gives both, the one read first.
func requireOpensAlike(t *testing.T, path, taxonomy string) (read, cached *refs.Library) {
	t.Helper()
	require.NoError(t, os.RemoveAll(refs.IndexPath(path)))
	read, readInfo, readProblems, err := batch.OpenLibrary(path, taxonomy)
	require.NoError(t, err)
	written := writeIndex(t, path, taxonomy)
	require.Equal(t, readInfo.Records, written.Records)
	require.Equal(t, read.Unique(), written.Unique)
	cached, info, problems, err := batch.OpenLibrary(path, taxonomy)
	require.NoError(t, err)
	_, err = batch.OpenIndex(path, taxonomy)
	require.NoError(t, err, "the index can be used")
	require.Equal(t, readInfo, info)
	require.Equal(t, readProblems, problems)
	require.Equal(t, batch.LibraryProblems("x", read), batch.LibraryProblems("x", cached))
	for i, r := range read.All() {
		require.Equal(t, r, cached.Record(i))
	}
	return read, cached
}

// The demo's results are the same with an index and without.
func TestRunWithIndex(t *testing.T) {
	notUnderShort(t)
	dir := writeDemo(t)
	run := func() *seqqc.Result {
		res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
		require.NoError(t, err)
		return res
	}
	want := runDemo(t)
	path := filepath.Join(dir, "refs.fasta")
	requireOpensAlike(t, path, "")
	require.Equal(t, want, run())

	taxonomy := filepath.Join(t.TempDir(), "ranks.tsv")
	require.NoError(t, os.WriteFile(taxonomy, []byte("genus\tfamily\nRussula\tOwnaceae\n"), 0o644))
	_, cached := requireOpensAlike(t, path, taxonomy)
	require.NotZero(t, cached.CountAt(refs.Family, "Ownaceae"))
}

// Outside check: published ITS sequences (TreeBASE, macrofungi_its.fasta), each
// compared with all of them, has the same hits with an index and without.
func TestMatchWithIndexOnPublishedSequences(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(openData(t), "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	dir := t.TempDir()
	path := filepath.Join(dir, "refs.fasta")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	read, _ := requireOpensAlike(t, path, "")
	require.Equal(t, 4276, read.Len())
	var queries bytes.Buffer
	for i := 5; i < read.Len(); i += 700 {
		r := read.Record(i)
		fmt.Fprintf(&queries, ">%s\n%s\n", r.ID, r.Seq)
	}
	match := func() (list []batch.Matched) {
		opt := batch.MatchOptions{Queries: "-", Stdin: bytes.NewReader(queries.Bytes()), Refs: path, Settings: batch.DefaultSettings()}
		require.NoError(t, batch.Match(t.Context(), opt, func(m batch.Matched) error {
			list = append(list, m)
			return nil
		}))
		return list
	}
	cached := match()
	require.NoError(t, os.Remove(refs.IndexPath(path)))
	require.Equal(t, match(), cached)
	require.Len(t, cached, 8)
	require.NotNil(t, cached[0].Problem, "remarks on the library")
	for _, m := range cached[1:] {
		require.Nil(t, m.Problem)
		require.NotEmpty(t, m.Match.Hits)
	}
}

const twoRecords = ">A Russula emetica\nACGTACGT\n>B Lactarius sp.\nACGTTTTT\n"

// Whatever has become of the library, the table or the index, the answers are
// those of reading them now, with a line that says so.
func TestIndexThatDoesNotFit(t *testing.T) {
	hour := time.Now().Add(-time.Hour).Truncate(time.Second)
	for _, tt := range []struct {
		what     string
		change   func(path, taxonomy string) error
		withRank bool   // the table is named, before and after
		says     string // empty where the index is used
		hint     string
	}{
		{"nothing", func(string, string) error { return nil }, true, "", ""},
		{"another time", func(path, _ string) error { return os.Chtimes(path, hour.Add(1), hour.Add(1)) }, true, "", ""},
		{"longer", func(path, _ string) error { return appendTo(path, ">C Amanita muscaria\nAC\n") }, false,
			"it is out of date: the library has changed", "'forayseq refs index refs.fasta' makes it again"},
		{"the same size at another time", func(path, _ string) error {
			return os.WriteFile(path, bytes.Replace([]byte(twoRecords), []byte("TTTTT"), []byte("TTTTA"), 1), 0o644)
		}, false, "it is out of date: the library has changed", ""},
		{"table", func(_, taxonomy string) error { return appendTo(taxonomy, "Lactarius\tOtheraceae\n") }, true,
			"it is out of date: the taxonomy table has changed", "'forayseq refs index refs.fasta --taxonomy ranks.tsv' makes it again"},
		{"cut", func(path, _ string) error { return os.Truncate(refs.IndexPath(path), 5000) }, false, "it is damaged: 5000 bytes, of ", ""},
		{"empty", func(path, _ string) error { return os.Truncate(refs.IndexPath(path), 0) }, false, "it is damaged: 0 bytes", ""},
		{"spoilt", func(path, _ string) error { return spoil(refs.IndexPath(path), 3000) }, false, "it is damaged: its checksum does not fit", ""},
	} {
		dir := t.TempDir()
		path, taxonomy := filepath.Join(dir, "refs.fasta"), filepath.Join(dir, "ranks.tsv")
		require.NoError(t, os.WriteFile(path, []byte(twoRecords), 0o644))
		require.NoError(t, os.WriteFile(taxonomy, []byte("genus\tfamily\nRussula\tOwnaceae\n"), 0o644))
		require.NoError(t, os.Chtimes(path, hour, hour))
		named := ""
		if tt.withRank {
			named = taxonomy
		}
		writeIndex(t, path, named)
		require.NoError(t, tt.change(path, taxonomy), tt.what)
		lib, info, problems, err := batch.OpenLibrary(path, named)
		require.NoError(t, err, tt.what)
		_, err = batch.OpenIndex(path, named)
		require.Equal(t, tt.says == "", err == nil, tt.what)
		if tt.says != "" {
			require.Len(t, batch.LibraryProblems("", lib), info.Records, "each of the short records is remarked on")
			require.Equal(t, "refs.fasta.forayindex", problems[0].File, "%s: %v", tt.what, problems)
			require.Contains(t, problems[0].What, "the cached index was not used, and the library read instead: "+tt.says)
			require.Contains(t, problems[0].Hint, tt.hint)
			require.False(t, problems[0].Unread)
			problems = problems[1:]
		}
		require.NoError(t, os.RemoveAll(refs.IndexPath(path)))
		fresh, freshInfo, freshProblems, err := batch.OpenLibrary(path, named)
		require.NoError(t, err)
		require.Equal(t, freshInfo, info, tt.what)
		require.Equal(t, freshProblems, problems, tt.what)
		for i, r := range fresh.All() {
			require.Equal(t, r, lib.Record(i), tt.what)
		}
	}
}

// A library that was written just before it was indexed may be written again
// within the grain of the clock.
func TestIndexOfALibraryInTheWriting(t *testing.T) {
	path := filepath.Join(t.TempDir(), "refs.fasta")
	require.NoError(t, os.WriteFile(path, []byte(twoRecords), 0o644))
	info, err := os.Stat(path)
	require.NoError(t, err)
	writeIndex(t, path, "")
	require.NoError(t, os.WriteFile(path, bytes.Replace([]byte(twoRecords), []byte("TTTTT"), []byte("TTTTA"), 1), 0o644))
	require.NoError(t, os.Chtimes(path, info.ModTime(), info.ModTime()))
	lib, _, problems, err := batch.OpenLibrary(path, "")
	require.NoError(t, err)
	require.Equal(t, "ACGTTTTA", string(lib.Record(1).Seq))
	require.Contains(t, problems[0].What, "the library has changed")

	// One that changes while it is read is not indexed at all.
	require.NoError(t, os.Remove(refs.IndexPath(path)))
	written := false
	_, err = batch.WriteIndex(t.Context(), batch.IndexOptions{Refs: path, Progress: func(p batch.Progress) {
		if p.Doing == "reading percent" && !written {
			written = true
			if err := appendTo(path, "A"); err != nil {
				t.Error(err)
			}
		}
	}})
	require.ErrorContains(t, err, "changed while it was read")
	require.NoFileExists(t, refs.IndexPath(path))
}

func TestWriteIndexCannot(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "refs.fasta")
	_, err := batch.WriteIndex(t.Context(), batch.IndexOptions{Refs: path})
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, []byte(twoRecords), 0o644))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = batch.WriteIndex(ctx, batch.IndexOptions{Refs: path})
	require.ErrorIs(t, err, context.Canceled)
	// The name is taken by what cannot be replaced.
	require.NoError(t, os.MkdirAll(filepath.Join(refs.IndexPath(path), "x"), 0o755))
	_, err = batch.WriteIndex(t.Context(), batch.IndexOptions{Refs: path})
	var hinted *batch.HintError
	require.ErrorAs(t, err, &hinted)
	require.ErrorContains(t, err, "refs.fasta.forayindex is a folder, and no index can be written there")
	_, _, problems, err := batch.OpenLibrary(path, "")
	require.NoError(t, err)
	for _, p := range problems {
		require.NotContains(t, p.What, "index", "a folder of that name is no index that could not be used")
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2, "nothing is left beside")
}

func appendTo(path, text string) error {
	data, err := os.ReadFile(path)
	return errors.Join(err, os.WriteFile(path, append(data, text...), 0o644))
}

func spoil(path string, at int) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	data[at] ^= 1
	return os.WriteFile(path, data, 0o644)
}
