package cmd_test

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/cmd"
	"forayseq/seqqc"
)

// outcome is what a call of the command line came to.
type outcome struct {
	status         int
	stdout, stderr string
}

func call(t *testing.T, stdin string, args ...string) outcome {
	t.Helper()
	var stdout, stderr bytes.Buffer
	status := cmd.Main(args, strings.NewReader(stdin), &stdout, &stderr)
	return outcome{status, stdout.String(), stderr.String()}
}

// demo is the demo as the command writes it, made once.
var demo = sync.OnceValues(func() (string, error) {
	root, err := kept()
	if err != nil {
		return "", err
	}
	dir := filepath.Join(root, "demo")
	var stderr bytes.Buffer
	if cmd.Main([]string{"demo", dir}, strings.NewReader(""), io.Discard, &stderr) != 0 {
		err = errors.New(stderr.String())
	}
	return dir, err
})

// demoBatch gives a folder with the demo that a test may change.
func demoBatch(t *testing.T) string {
	t.Helper()
	made, err := demo()
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "demo")
	copyFolder(t, made, dir)
	return dir
}

func readFile(t *testing.T, parts ...string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(parts...))
	require.NoError(t, err)
	return string(b)
}

// table reads a tab-separated file with a heading into rows by column.
func table(t *testing.T, text string) []map[string]string {
	t.Helper()
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	heading := strings.Split(lines[0], "\t")
	var rows []map[string]string
	for _, line := range lines[1:] {
		cells := strings.Split(line, "\t")
		require.Len(t, cells, len(heading), line)
		row := map[string]string{}
		for i, c := range cells {
			row[heading[i]] = c
		}
		rows = append(rows, row)
	}
	return rows
}

func TestUsageErrors(t *testing.T) {
	for _, args := range [][]string{
		{"nonsense"},
		{"run"},
		{"run", "a", "b"},
		{"run", "a", "--no-such-flag"},
		{"run", "a", "--fail-on", "sadness"},
		{"run", "a", "--top", "-3"},
		{"run", "a", "--threads", "0"},
		{"match", "a", "--refs", "b", "--threads", "1025"},
		{"match", "a", "--refs", "b", "--top", "0"},
		{"match", "a", "--refs", "b", "--min-coverage", "101"},
		{"match", "a", "--refs", "b", "--every=perhaps"},
		{"match", "x.fasta"},
		{"qc"},
		{"new"},
		{"demo"},
		{"refs", "check"},
		{"refs", "nonsense"},
	} {
		out := call(t, "", args...)
		require.Equal(t, 2, out.status, "%v: %s", args, out.stderr)
		require.Empty(t, out.stdout, "%v", args)
		require.Regexp(t, `(?s)^error: .+\nhint: .+\n$`, out.stderr, "%v", args)
	}
}

func TestWhatCannotBeDone(t *testing.T) {
	empty := t.TempDir()
	sheetOnly := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(sheetOnly, "vouchers.csv"), []byte("voucher,field_id\nX-1,Russula\n"), 0o644))
	emptyLibrary := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(emptyLibrary, "vouchers.csv"), []byte("voucher,field_id\nX-1,Russula\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(emptyLibrary, "refs.fasta"), nil, 0o644))
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"run", filepath.Join(empty, "missing")}, "missing"},
		{[]string{"run", empty}, "no voucher sheet"},
		{[]string{"run", sheetOnly}, "no reference library"},
		{[]string{"run", emptyLibrary}, "refs.fasta"},
		{[]string{"run", sheetOnly, "--out", sheetOnly}, "among the inputs"},
		{[]string{"refs", "info", filepath.Join(empty, "missing.fasta")}, "missing.fasta"},
		{[]string{"demo", sheetOnly}, "not empty"},
		{[]string{"new", sheetOnly}, "not empty"},
	} {
		out := call(t, "", c.args...)
		require.Equal(t, 1, out.status, "%v: %s", c.args, out.stderr)
		require.Contains(t, out.stderr, c.says, "%v", c.args)
		require.NotContains(t, out.stderr, "goroutine", "%v", c.args)
	}
}

func TestEveryHelpHasAnExampleThatRuns(t *testing.T) {
	notUnderShort(t)
	var commands [][]string
	var walk func(path []string)
	walk = func(path []string) {
		out := call(t, "", append(path, "--help")...)
		require.Zero(t, out.status)
		commands = append(commands, path)
		_, list, found := strings.Cut(out.stdout, "Available Commands:\n")
		if !found {
			return
		}
		for line := range strings.Lines(list) {
			if strings.TrimSpace(line) == "" {
				break
			}
			if name := strings.Fields(line)[0]; name != "help" {
				walk(append(append([]string{}, path...), name))
			}
		}
	}
	walk(nil)
	require.Greater(t, len(commands), 6)
	for _, path := range commands[1:] {
		runExample(t, exampleOf(t, path...)...)
	}
}

// The words that keep somebody from eating a mushroom on the strength of a
// match stand in the help and in what a run prints and writes.
func TestCautionsStand(t *testing.T) {
	notUnderShort(t)
	readme := readFile(t, "..", "README.md")
	run := runExample(t, exampleOf(t, "run")...)
	dir := "demo-batch"
	// README shows the beginning of what it promises.
	_, sample, _ := strings.Cut(readme, "beginning of the demo's:\n\n")
	sample, _, found := strings.Cut(sample, "\n## Caution")
	require.True(t, found)
	for line := range strings.Lines(sample) {
		if strings.TrimSpace(line) != "..." {
			require.Contains(t, run.stdout, strings.TrimPrefix(line, "    "))
		}
	}
	squeeze := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	for name, text := range map[string]string{
		"help":         call(t, "", "--help").stdout,
		"run help":     call(t, "", "run", "--help").stdout,
		"match help":   call(t, "", "match", "--help").stdout,
		"summary":      run.stdout,
		"results.json": readFile(t, dir, "results", "results.json"),
		"README":       readme,
	} {
		for _, caution := range seqqc.Cautions {
			require.Contains(t, squeeze(text), caution, name)
		}
	}
}
