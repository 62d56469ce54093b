package cmd_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// An index is written when asked for, serves from then on, and is told about
// where it cannot.
func TestRefsIndex(t *testing.T) {
	library := filepath.Join(demoBatch(t), "refs.fasta")
	query, _, _ := strings.Cut(readFile(t, library)[1:], ">")
	query = ">" + query
	match := func() outcome { return call(t, query, "match", "-", "--refs", library) }
	want := match()
	require.Zero(t, want.status, want.stderr)
	require.Contains(t, call(t, "", "refs", "info", library).stdout, "index         none\n")
	require.NoFileExists(t, library+".forayindex", "only when asked for")

	out := call(t, "", "refs", "index", library)
	require.Zero(t, out.status, out.stderr)
	require.Regexp(t, `refs\.fasta\.forayindex: 195 records, \d+ different sequences, \d+\.\d MB, \d+\.\d s\n$`, out.stdout)
	require.Empty(t, out.stderr, "no progress where nobody looks")
	info := call(t, "", "refs", "info", library)
	require.Contains(t, info.stdout, "index         valid\n")
	require.Equal(t, want, match())

	index, err := os.ReadFile(library + ".forayindex")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(library+".forayindex", index[:len(index)-1], 0o644))
	require.Contains(t, call(t, "", "refs", "info", library).stdout, "index         not used: it is damaged: ")
	spoilt := match()
	require.Equal(t, want.status, spoilt.status)
	require.Equal(t, want.stdout, spoilt.stdout)
	require.Contains(t, spoilt.stderr, "refs.fasta.forayindex")
	require.Contains(t, spoilt.stderr, "'forayseq refs index refs.fasta' makes it again")

	require.NoError(t, os.Remove(library+".forayindex"))
	require.NoError(t, os.Mkdir(library+".forayindex", 0o755))
	out = call(t, "", "refs", "index", library)
	require.Equal(t, 1, out.status)
	require.Regexp(t, `^error: .*refs\.fasta\.forayindex is a folder.*\nhint: move or rename the folder`, out.stderr)
	require.Contains(t, call(t, "", "refs", "info", library).stdout, "index         none\n")

	out = call(t, "", "refs", "index", library+".none")
	require.Equal(t, 1, out.status)
	require.Regexp(t, `(?s)^error: .*no such file.*\nhint: `, out.stderr)
}
