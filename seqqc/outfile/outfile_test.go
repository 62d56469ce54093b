package outfile_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/outfile"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

func ExampleWriteAll() {
	dir, err := os.MkdirTemp("", "")
	if err != nil {
		panic(err)
	}
	defer func() { _ = os.RemoveAll(dir) }()
	fmt.Println(outfile.WriteAll(filepath.Join(dir, "new"), []outfile.File{
		{Name: "list.txt", Write: func(w io.Writer) error { _, err := fmt.Fprintln(w, "one"); return err }},
	}))
	// Output: <nil>
}

func TestAFailureLeavesTheOldFiles(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, outfile.WriteAll(dir, []outfile.File{{"a", text("old a")}, {"b", text("old b")}}))
	full := errors.New("no room")
	err := outfile.WriteAll(dir, []outfile.File{{"a", text("new a")}, {"b", func(io.Writer) error { return full }}})
	require.ErrorIs(t, err, full)
	require.ErrorContains(t, err, "write b")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2, "files written aside are taken away")
	for _, name := range []string{"a", "b"} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		require.Equal(t, "old "+name, string(data))
	}
}

// Where a rename fails half-way, as a kill would leave it, the last file is
// gone and so vouches for nothing.
func TestTheLastFileVouchesForTheOthers(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, outfile.WriteAll(dir, []outfile.File{{"a", text("old")}, {"b", text("old")}, {"last", text("old")}}))
	require.NoError(t, os.Remove(filepath.Join(dir, "b")))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "b", "in the way"), 0o755))
	require.Error(t, outfile.WriteAll(dir, []outfile.File{{"a", text("new")}, {"b", text("new")}, {"last", text("new")}}))
	require.NoFileExists(t, filepath.Join(dir, "last"))
	data, err := os.ReadFile(filepath.Join(dir, "a"))
	require.NoError(t, err)
	require.Equal(t, "new", string(data))
}
