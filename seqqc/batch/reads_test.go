package batch_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/batch"
)

// Files that are no reads are named in one line, which asks for nothing.
func TestFilesNotLookedAtAreNamed(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "reads")
	require.NoError(t, os.Mkdir(dir, 0o755))
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	write("F-1.txt", ">F-1\n"+strings.Repeat("ACGTTGCA", 40)+"\n")
	write("a.docx", "x")
	write("b.qual", ">b\n1\n")
	write("c.phd.1", "x")
	reads, problems, err := batch.QC(t.Context(), []string{dir}, nil, batch.DefaultSettings())
	require.NoError(t, err)
	require.Len(t, reads, 1)
	require.Len(t, problems, 1)
	require.Equal(t, "reads", problems[0].File)
	require.Equal(t, "not looked at: a.docx, b.qual, c.phd.1 (3 files)", problems[0].What)
	require.False(t, problems[0].Unread)

	for i := range 20 {
		write(fmt.Sprintf("d%02d.pdf", i), "x")
	}
	_, problems, err = batch.QC(t.Context(), []string{dir}, nil, batch.DefaultSettings())
	require.NoError(t, err)
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].What, "d06.pdf ... (23 files)")

	// Whoever names a file has it read.
	_, problems, err = batch.QC(t.Context(), []string{filepath.Join(dir, "a.docx")}, nil, batch.DefaultSettings())
	require.NoError(t, err)
	require.Len(t, problems, 1)
	require.True(t, problems[0].Unread)
	require.Equal(t, "this is no sequencing file (ABIF, SCF, FASTQ or FASTA)", problems[0].What)
}
