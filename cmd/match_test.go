package cmd_test

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/cmd"
)

// asProgram makes the test binary the program itself, for tests of what only a
// process of its own can show.
const asProgram = "FORAYSEQ_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		os.Exit(cmd.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}
	status := m.Run()
	if dir, err := kept(); err == nil {
		_ = os.RemoveAll(dir)
	}
	os.Exit(status)
}

func program(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	c := exec.Command(self, args...)
	c.Env = append(os.Environ(), asProgram+"=1")
	return c
}

// someQueries gives the demo's library and FASTA of a part of it, changed so
// that nothing is found at 100 %.
func someQueries(t *testing.T) (library, queries string) {
	t.Helper()
	library = filepath.Join(demoBatch(t), "refs.fasta")
	var b strings.Builder
	each := 30
	if testing.Short() {
		each = 60
	}
	for i, record := range strings.Split(readFile(t, library), ">")[1:] {
		if i%each != 0 {
			continue
		}
		head, body, _ := strings.Cut(record, "\n")
		bases := []byte(strings.ReplaceAll(body, "\n", ""))
		for at := 100 + i; at < len(bases); at += 90 + i {
			bases[at] = 'A'
		}
		fmt.Fprintf(&b, ">q%d of %s\n%s\n", i, head, bases)
	}
	return library, b.String()
}

// Neither the threads nor the way of the search nor bad records between the
// others change a row.
func TestMatchIsRepeatable(t *testing.T) {
	library, queries := someQueries(t)
	want := call(t, queries, "match", "-", "--refs", library, "--threads", "1")
	require.Zero(t, want.status, want.stderr)
	rows := table(t, want.stdout)
	last := ""
	var order []string
	for _, row := range rows {
		if row["query"] != last {
			last = row["query"]
			order = append(order, last)
		}
	}
	require.Len(t, order, strings.Count(queries, ">"), "each in one block")
	for i, m := range regexp.MustCompile(`(?m)^>(\S+)`).FindAllStringSubmatch(queries, -1) {
		require.Equal(t, m[1], order[i])
	}
	bad := ">x\nACGT!!\n" + strings.ReplaceAll(queries, ">q", ">none\n>q") + ">y\n"
	for _, threads := range []string{"2", "8"} {
		require.Equal(t, want.stdout, call(t, queries, "match", "-", "--refs", library, "--threads", threads).stdout)
		spoilt := call(t, bad, "match", "-", "--refs", library, "--threads", threads)
		require.Equal(t, 3, spoilt.status)
		require.Equal(t, want.stdout, spoilt.stdout)
		require.Equal(t, strings.Count(queries, ">"), strings.Count(spoilt.stderr, "none: the record has no sequence"))
	}
	every := call(t, queries, "match", "-", "--refs", library, "--every")
	require.Zero(t, every.status, every.stderr)
	require.Equal(t, want.stdout, every.stdout)
}

func TestMatchBadInput(t *testing.T) {
	library, queries := someQueries(t)
	good := queries[:strings.Index(queries[1:], ">")+1]
	want := call(t, good, "match", "-", "--refs", library, "--top", "2").stdout
	heading, _, _ := strings.Cut(want, "\n")
	heading += "\n"
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	_, err := io.WriteString(w, good+queries)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	long := strings.Repeat("ACGTTGCAAG", 10_000)
	for name, c := range map[string]struct {
		stdin  string
		status int
		stdout string
		says   string
	}{
		"nothing":          {"", 3, heading, "line 1: there is no sequence in it"},
		"header only":      {">a\n", 3, heading, "line 1: a: the record has no sequence"},
		"old line ends":    {strings.ReplaceAll(good, "\n", "\r"), 0, want, ""},
		"CR LF, lower, U":  {strings.ReplaceAll(strings.ToLower(strings.ReplaceAll(good, "\n", "\r\n")), "t", "u"), 0, want, ""},
		"no final newline": {strings.TrimSpace(good), 0, want, ""},
		"100,000 bases":    {">a\n" + long + "\n" + good, 3, want, "line 1: a: the part to compare"},
		"more than that":   {good + ">a\n" + long + "\nA\n", 3, want, "bases: 100001, and the limit is 100000"},
		"all unknown":      {">a\n" + strings.Repeat("N", 500) + "\n", 0, heading + "a" + strings.Repeat("\t", 14) + "no reference can be compared\n", ""},
		"junk after":       {good + ">\x00\x01\xff\x1b[2J\n", 3, want, "line 3: "},
		"junk":             {"\x00\x01\xff", 1, "", "this is no sequencing file"},
		"cut gzip":         {packed.String()[:packed.Len()/2], 3, want, "the file ends too early"},
	} {
		t.Run(name, func(t *testing.T) {
			out := call(t, c.stdin, "match", "-", "--refs", library, "--top", "2")
			require.Equal(t, c.status, out.status, out.stderr)
			require.Contains(t, out.stderr, c.says)
			require.NotContains(t, out.stderr, "\x1b")
			if name == "cut gzip" {
				require.Greater(t, len(out.stdout), len(c.stdout), "the second comes as well")
				out.stdout = out.stdout[:len(c.stdout)]
			}
			// Names keep their case.
			require.Equal(t, strings.ToLower(c.stdout), strings.ToLower(out.stdout))
		})
	}
}

func TestMatchTop(t *testing.T) {
	notUnderShort(t)
	library, queries := someQueries(t)
	// Every record twice: each hit is tied.
	double := filepath.Join(t.TempDir(), "double.fasta")
	text := readFile(t, library)
	require.NoError(t, os.WriteFile(double, []byte(text+strings.ReplaceAll(text, ">", ">again_")), 0o644))
	all := table(t, call(t, queries, "match", "-", "--refs", double, "--top", "9").stdout)
	one := table(t, call(t, queries, "match", "-", "--refs", double, "--top", "1").stdout)
	var want []map[string]string
	best := map[string]string{}
	for _, row := range all {
		if row["rank"] == "1" {
			best[row["query"]] = row["identity_pct"]
			want = append(want, row)
		} else if row["rank"] == "" && row["identity_pct"] >= best[row["query"]] {
			want = append(want, row)
		}
	}
	require.Equal(t, want, one)
	require.Len(t, best, strings.Count(queries, ">"))
	require.GreaterOrEqual(t, len(one), 2*len(best), "ties are listed")
}

// A coverage asked for decides which hits have a rank.
func TestMatchCoverage(t *testing.T) {
	_, queries := someQueries(t)
	query := queries[:strings.Index(queries[1:], ">")+1]
	_, bases, _ := strings.Cut(query, "\n")
	part := filepath.Join(t.TempDir(), "part.fasta")
	require.NoError(t, os.WriteFile(part, []byte(">part Russula synprima\n"+bases[len(bases)/6:len(bases)*2/5]+"\n"), 0o644))
	for coverage, gate := range map[string]string{"10": "pass", "90": "it shares only"} {
		out := call(t, query, "match", "-", "--refs", part, "--min-columns", "10", "--min-coverage", coverage)
		require.Zero(t, out.status, out.stderr)
		require.Contains(t, table(t, out.stdout)[0]["gate"], gate, coverage)
	}
}

// stoppable starts match on an input that does not end and gives what it has
// printed after some rows.
func stoppable(t *testing.T) (c *exec.Cmd, stdout io.ReadCloser, stderr *bytes.Buffer) {
	t.Helper()
	library, queries := someQueries(t)
	c = program(t, "match", "-", "--refs", library)
	in, err := c.StdinPipe()
	require.NoError(t, err)
	stdout, err = c.StdoutPipe()
	require.NoError(t, err)
	stderr = &bytes.Buffer{}
	c.Stderr = stderr
	require.NoError(t, c.Start())
	go func() {
		for {
			if _, err := io.WriteString(in, queries); err != nil {
				return // it has ended
			}
		}
	}()
	return c, stdout, stderr
}

func TestMatchInterrupted(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt on Windows")
	}
	t.Run("at work", func(t *testing.T) {
		c, stdout, stderr := stoppable(t)
		var printed bytes.Buffer
		_, err := io.CopyN(&printed, stdout, 5000)
		require.NoError(t, err)
		at := time.Now()
		require.NoError(t, c.Process.Signal(os.Interrupt))
		_, err = printed.ReadFrom(stdout)
		require.NoError(t, err)
		require.Equal(t, 1, exitStatus(t, c))
		t.Logf("ended %v after the interrupt", time.Since(at))
		require.True(t, bytes.HasSuffix(printed.Bytes(), []byte("\n")), "whole rows")
		blocks, last := 0, ""
		for _, row := range table(t, printed.String()) {
			if row["query"] != last {
				last = row["query"]
				blocks++
			}
		}
		require.Contains(t, stderr.String(), fmt.Sprintf("error: stopped before the end, sequences answered: %d\n", blocks))
		require.NotContains(t, stderr.String(), "goroutine")
	})
	t.Run("waiting for input", func(t *testing.T) {
		c := program(t, "match", "-", "--refs", filepath.Join(demoBatch(t), "refs.fasta"))
		_, err := c.StdinPipe()
		require.NoError(t, err)
		stderr := &watched{seen: make(chan struct{})}
		c.Stderr = stderr
		require.NoError(t, c.Start())
		<-stderr.seen // the remarks about the library: it has been read
		require.NoError(t, c.Process.Signal(os.Interrupt))
		require.Equal(t, 1, exitStatus(t, c))
		require.Contains(t, stderr.text.String(), "sequences answered: 0\n")
	})
}

// watched is a writer that tells of the first line.
type watched struct {
	text bytes.Buffer
	seen chan struct{}
}

func (w *watched) Write(p []byte) (int, error) {
	if w.text.Len() == 0 {
		close(w.seen)
	}
	return w.text.Write(p)
}

// exitStatus waits for the end, -1 where a signal brought it.
func exitStatus(t *testing.T, c *exec.Cmd) int {
	t.Helper()
	timer := time.AfterFunc(time.Minute, func() { _ = c.Process.Kill() })
	defer timer.Stop()
	err := c.Wait()
	if exit := (*exec.ExitError)(nil); !errors.As(err, &exit) {
		require.NoError(t, err)
	}
	return c.ProcessState.ExitCode()
}

// Where nobody reads on, the work ends.
func TestMatchIntoAClosedPipe(t *testing.T) {
	c, stdout, stderr := stoppable(t)
	_, err := io.CopyN(io.Discard, stdout, 100)
	require.NoError(t, err)
	require.NoError(t, stdout.Close())
	require.NotZero(t, exitStatus(t, c))
	require.NotContains(t, stderr.String(), "goroutine")
}
