package main

import (
	"io"
	"log"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The command starts itself for its jobs: here that is the test.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == "job" {
		exit(runJob(os.Args[2:]))
	}
	os.Exit(m.Run())
}

func TestRunMeasuresAndChecks(t *testing.T) {
	opt, err := parse([]string{"-sizes", "150", "-queries", "1", "-pairs", "1", "-repeat", "1", "-dir", t.TempDir(),
		"-only", "biogo,edlib,distances,search,every"})
	require.NoError(t, err)
	var out strings.Builder
	require.NoError(t, run(opt, &out, log.New(io.Discard, "", 0)))
	for _, words := range []string{"150 references", "~ biogo", "distances, right bound", "other strand", "checked: 8 queries", "reached"} {
		require.Contains(t, out.String(), words)
	}
	if !strings.Contains(out.String(), "edlib: ") { // said where it is missing
		require.Contains(t, out.String(), "edlib, right bound")
	}
	left, err := os.ReadDir(opt.dir)
	require.NoError(t, err)
	for _, entry := range left {
		require.False(t, entry.IsDir(), "the library %s is left", entry.Name())
	}
}

func TestFlags(t *testing.T) {
	for flags, complaint := range map[string]string{
		"-sizes 20k":   "no number of references",
		"-sizes 0":     "no number of references",
		"-only speed":  `no column "speed"`,
		"-queries 0":   "must be positive",
		"-every -1":    "must be positive",
		"-only search": "",
	} {
		_, err := parse(strings.Fields(flags))
		if complaint == "" {
			require.NoError(t, err)
		} else {
			require.ErrorContains(t, err, complaint)
		}
	}
}

func TestFiguresAreWrittenWithTheirUnit(t *testing.T) {
	for s, want := range map[float64]string{
		0: "-", 0.000_04: "40 us", 0.001_234: "1.23 ms", 0.0561: "56.1 ms", 0.9: "900 ms", 2.5: "2.50 s", 1280: "1280 s",
	} {
		require.Equal(t, want, seconds(s))
	}
	require.Equal(t, 2.5, median([]float64{4, 1, 3, 2}))
}
