package batch_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// What lies in the folder and is another than what was read is told by name, each
// kind of input and each way in which it may be another; what is no input, and a
// decision, is not.
func TestOutdated(t *testing.T) {
	s, dir := openDemo(t, "QM-101")
	write := func(name, text string) func() {
		return func() { require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644)) }
	}
	reads, err := filepath.Glob(filepath.Join(dir, batch.ReadsName, "*", "*QM-101*"))
	require.NoError(t, err)
	require.NotEmpty(t, reads)
	read, err := filepath.Rel(dir, reads[0])
	require.NoError(t, err)
	read = filepath.ToSlash(read)
	require.Empty(t, s.Outdated())
	decide(t, s, "QM-101", seqqc.DecideNote, func(d *seqqc.Decision) { d.Why = "a note" })
	write("notes.txt", "no input")()
	write(batch.ReadsName+"/.index", "a system's own")()
	require.Empty(t, s.Outdated())

	later := time.Now().Add(time.Hour)
	for _, c := range []struct {
		says   string
		change func()
	}{
		{batch.NamesName + " was added", write(batch.NamesName, "name,accepted\n")},
		{read + " was taken away", func() { require.NoError(t, os.Rename(reads[0], filepath.Join(dir, "aside"))) }},
		{batch.RefsName + " was changed", func() { require.NoError(t, os.Chtimes(filepath.Join(dir, batch.RefsName), later, later)) }},
		{batch.SheetName + " was changed", write(batch.SheetName, "voucher,field_id\n")},
	} {
		c.change()
		require.Contains(t, s.Outdated(), c.says)
	}
	write(batch.TaxonomyName, "genus\n")()
	require.Contains(t, s.Outdated(), "2 more files are others")

	// A decision is written down all the same, and one goes on with what was read.
	before, _, _, err := s.Voucher("QM-101")
	require.NoError(t, err)
	decide(t, s, "QM-101", seqqc.DecideSubmission, func(d *seqqc.Decision) { d.Submission = seqqc.Hold })
	after, _, list, err := s.Voucher("QM-101")
	require.NoError(t, err)
	require.Len(t, list, 2)
	require.Equal(t, before.Verdict, after.Verdict)
}
