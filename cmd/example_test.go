package cmd_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// examples runs the examples of helps as they are printed. Nearly all begin by
// making the demo batch and running it: that is done for the first, and the
// others begin with copies of what came of it.
type examples struct {
	dir  string            // for the copies
	made map[string]string // command -> a copy of demo-batch after it
	told map[string]outcome
}

func newExamples(t *testing.T) *examples {
	if testing.Short() {
		t.Skip("every example takes a minute and more")
	}
	return &examples{t.TempDir(), map[string]string{}, map[string]outcome{}}
}

// run runs a line of an example in the current folder.
func (e *examples) run(t *testing.T, line string) outcome {
	t.Helper()
	words := strings.Fields(line)
	require.Equal(t, "forayseq", words[0], line)
	command := strings.Join(words[1:], " ")
	shared := command == "demo demo-batch" || command == "run demo-batch"
	if from, ok := e.made[command]; ok && shared {
		copyFolder(t, from, "demo-batch")
		return e.told[command]
	}
	out := call(t, "", words[1:]...)
	if shared && out.status == 0 {
		dir := filepath.Join(e.dir, words[1])
		copyFolder(t, "demo-batch", dir)
		e.made[command], e.told[command] = dir, out
	}
	return out
}

// copyFolder copies files with their times, which tell whether results are of
// the sheet beside them.
func copyFolder(t *testing.T, from, to string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(from, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		if entry.IsDir() {
			return os.MkdirAll(filepath.Join(to, rel), 0o755)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(to, rel), data, 0o644); err != nil {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		return os.Chtimes(filepath.Join(to, rel), info.ModTime(), info.ModTime())
	}))
}
