package cmd_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// kept is a folder for what several tests begin with; TestMain removes it.
var kept = sync.OnceValues(func() (string, error) { return os.MkdirTemp("", "forayseq-test-") })

// ran tells what a line of an example came to after the lines before it, by all
// of these lines, and which folder is a copy of the one it left.
var ran = map[string]struct {
	outcome
	folder string
}{}

// runExample runs lines as helps print them, in an empty folder which becomes
// the current one, and gives what the last came to. Many examples begin with
// the same lines, whole batches are run in them: those that have run already
// are not run again, the others go on with a copy of what they left.
func runExample(t *testing.T, lines ...string) outcome {
	t.Helper()
	root, err := kept()
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	key := func(n int) string { return strings.Join(lines[:n], "\n") }
	done := len(lines)
	for ; done > 0; done-- {
		if earlier, ok := ran[key(done)]; ok {
			copyFolder(t, earlier.folder, ".")
			break
		}
	}
	for ; done < len(lines); done++ {
		words := strings.Fields(lines[done])
		require.Equal(t, "forayseq", words[0], lines[done])
		out := call(t, "", words[1:]...)
		require.Zero(t, out.status, "%s\n%s", lines[done], out.stderr)
		folder, err := os.MkdirTemp(root, "")
		require.NoError(t, err)
		copyFolder(t, ".", folder)
		line := ran[key(done+1)]
		line.outcome, line.folder = out, folder
		ran[key(done+1)] = line
	}
	return ran[key(len(lines))].outcome
}

// exampleOf gives the lines of the example in a command's help.
func exampleOf(t *testing.T, command ...string) []string {
	t.Helper()
	_, rest, found := strings.Cut(call(t, "", append(command, "--help")...).stdout, "Examples:\n")
	require.True(t, found, "%v has no example", command)
	rest, _, _ = strings.Cut(rest, "\n\n")
	lines := strings.Split(strings.TrimSpace(rest), "\n")
	require.NotEmpty(t, lines[0], command)
	return lines
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

// notUnderShort leaves a test to the plain run: it starts nothing at the same
// time that the small batches of TestRunsAreRepeatable and TestPipes and the
// searches of TestMatchIsRepeatable do not.
func notUnderShort(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("runs batches of which others run one")
	}
}
