package outfile_test

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/outfile"
)

// childDir names the folder that a child of the test writes into until it is
// killed.
const childDir = "FORAYSEQ_TEST_OUTFILE"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		for version := 0; ; version++ {
			if err := outfile.WriteAll(dir, versioned(version)); err != nil {
				fmt.Println("error:", err)
				return
			}
			fmt.Println("wrote", version)
		}
	}
	os.Exit(m.Run())
}

const lines = 2000

// versioned gives six files, as a deposit has, each line of which tells the
// version.
func versioned(version int) []outfile.File {
	var files []outfile.File
	for i := range 6 {
		files = append(files, outfile.File{Name: fmt.Sprint("file", i), Write: func(w io.Writer) error {
			for range lines {
				if _, err := fmt.Fprintln(w, "version", version); err != nil {
					return err
				}
			}
			return nil
		}})
	}
	return files
}

// Killed at any moment, no file is there by half, and where the last one is,
// all are of its version.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 100
	if testing.Short() {
		kills = 10
	}
	rng := rand.New(rand.NewPCG(6, 7))
	reported, vouched := 0, 0
	for range kills {
		dir := filepath.Join(t.TempDir(), "deposit")
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childDir+"="+dir)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		// The first report starts the clock, so that the kill falls into writing
		// over what is there.
		last := ""
		for scan := bufio.NewScanner(out); scan.Scan(); {
			require.True(t, strings.HasPrefix(scan.Text(), "wrote "), scan.Text())
			if last == "" {
				time.AfterFunc(time.Duration(rng.IntN(40_000))*time.Microsecond, func() { _ = child.Process.Kill() })
			}
			last = scan.Text()
		}
		require.Error(t, child.Wait(), "the child was killed")
		if last != "" {
			reported++
		}
		versions := map[string]string{}
		for i := range 6 {
			name := fmt.Sprint("file", i)
			raw, err := os.ReadFile(filepath.Join(dir, name))
			if os.IsNotExist(err) {
				continue
			}
			require.NoError(t, err)
			first, _, _ := strings.Cut(string(raw), "\n")
			require.Equal(t, strings.Repeat(first+"\n", lines), string(raw))
			versions[name] = first
		}
		if of, there := versions["file5"]; there {
			vouched++
			for i := range 6 {
				require.Equal(t, of, versions[fmt.Sprint("file", i)])
			}
		}
	}
	require.Equal(t, kills, reported)
	t.Logf("%d kills, the last file was there after %d", kills, vouched)
}

// What a killed process had written aside goes with the next writing, and what
// one that still lives has written aside stays.
func TestLeftOversAreRemoved(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("nothing is removed there, see claim")
	}
	parts := func(dir string) int {
		names, err := filepath.Glob(filepath.Join(dir, ".unfinished-*"))
		require.NoError(t, err)
		return len(names)
	}
	one := []outfile.File{{Name: "one", Write: text("one")}}

	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o600))
	for try := 0; parts(dir) == 0; try++ {
		require.Less(t, try, 50, "no kill fell into the writing")
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childDir+"="+dir)
		require.NoError(t, child.Start())
		require.Eventually(t, func() bool { return parts(dir) > 0 }, 10*time.Second, time.Millisecond)
		require.NoError(t, child.Process.Kill())
		require.Error(t, child.Wait())
	}
	require.NoError(t, outfile.WriteAll(dir, one))
	require.Zero(t, parts(dir))
	require.FileExists(t, filepath.Join(dir, "mine.txt"))

	// Another writes into the folder while this one is half done.
	err := outfile.WriteAll(dir, []outfile.File{{Name: "two", Write: text("two")}, {Name: "three", Write: func(w io.Writer) error {
		require.Equal(t, 2, parts(dir))
		require.NoError(t, outfile.WriteAll(dir, one))
		require.Equal(t, 2, parts(dir))
		return text("three")(w)
	}}})
	require.NoError(t, err)
	require.Zero(t, parts(dir))
	require.FileExists(t, filepath.Join(dir, "two"))
}
