package cmd_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A library is looked through, and written without what misleads; what was read
// is never written over.
func TestRefsCheck(t *testing.T) {
	notUnderShort(t)
	library := filepath.Join(demoBatch(t), "refs.fasta")
	out := call(t, "", "refs", "check", library)
	require.Zero(t, out.status, out.stderr)
	require.Empty(t, out.stderr, "no progress where nobody looks")
	require.Regexp(t, `^refs\.fasta: 195 records read, 0 could not be read; 19 findings about 19 records, none about 176\n`, out.stdout)
	require.Regexp(t, `\nOf \d+ different sequences \d+ had to be compared with all others\.\n`, out.stdout)
	require.Contains(t, out.stdout, "the label Trametes syntertia seems wrong: its 4 nearest references of another genus")

	clean := filepath.Join(t.TempDir(), "clean.fasta")
	out = call(t, "", "refs", "check", library, "--only", "labels,reversed", "--write", clean)
	require.Zero(t, out.status, out.stderr)
	require.Contains(t, out.stdout, "194 records kept, 13 of them turned; 1 left out")
	require.Equal(t, 194, strings.Count(readFile(t, clean), ">"))
	require.Contains(t, readFile(t, clean+".left-out.tsv"), "\tleft out\tlabels\t")
	require.NotContains(t, call(t, "", "refs", "check", clean).stdout, "seems wrong")

	before := readFile(t, library)
	out = call(t, "", "refs", "check", library, "--write", library)
	require.Equal(t, 1, out.status)
	require.Contains(t, out.stderr, "hint: name another file: what was read is never written over")
	require.Equal(t, before, readFile(t, library))

	require.Equal(t, 2, call(t, "", "refs", "check", library, "--only", "nonsense").status)
	require.Equal(t, 2, call(t, "", "refs", "check", library, "--only", "labels", "--quick").status)

	require.NoError(t, os.WriteFile(library, []byte(before+">BAD1 Russula emetica\nMKTAFE\n"), 0o644))
	require.Equal(t, 3, call(t, "", "refs", "check", library, "--quick").status)
}
