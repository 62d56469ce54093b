package trace

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// fragments is a file of fragment analysis: traces without bases.
var fragments = string(buildABIF(shorts("DATA", 1, 1, 2, 3)))

func TestFilesWithoutTheEndingOfARead(t *testing.T) {
	ab1, scf := string(encodeABIF(t, synthetic(1, 30))), string(encodeSCF(t, synthetic(2, 30), 3, 2))
	file := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	fsys := fstest.MapFS{
		"reads/F-105_ITS1F.txt": file("\n>F-105\nACGT\n"),
		"reads/F-106.TXT":       file("@F-106\nAC\n+\nII\n"),
		"reads/F-107.txt":       file("> is what I wrote in the mail, 7 reads\n"),
		"reads/F-108":           file(">F-108\nACGT\n"),
		"reads/F-115_ITS1F":     file(ab1),
		"reads/F-116.5.8S":      file(scf),
		"reads/F-117.download":  file(ab1[:200]),
		"reads/F-118.fsa":       file(fragments),
		"reads/F-119.ab1":       file(ab1 + "y"),
		"reads/F-119.txt":       file(">F-119\nACGT\n"),
		"reads/F-120.phd.1":     file("BEGIN_SEQUENCE"),
		"reads/lab.zip":         file(string(zipOf(t, "in/F-121", ab1+"x", "in/report.pdf", "%PDF"))),
	}
	lines, items := listing(fsys, "reads", Limits{})
	require.ElementsMatch(t, []string{
		"usable reads/F-105_ITS1F.txt",
		"usable reads/F-106.TXT",
		"ignored reads/F-107.txt",
		"ignored reads/F-108",
		"usable reads/F-115_ITS1F",
		"usable reads/F-116.5.8S",
		"unreadable reads/F-117.download",
		"ignored reads/F-118.fsa",
		"usable reads/F-119.ab1",
		"duplicate reads/F-119.txt = reads/F-119.ab1",
		"ignored reads/F-120.phd.1",
		"usable reads/lab.zip/in/F-121",
		"ignored reads/lab.zip/in/report.pdf",
	}, lines)
	for _, it := range items {
		if it.Status == Usable && it.File != "reads/F-119.ab1" {
			require.Contains(t, it.Trace.Notes[len(it.Trace.Notes)-1], "does not have the ending of a read", it.File)
		}
	}
}

// A file that is named itself is never passed over.
func TestNamedFileThatIsNoRead(t *testing.T) {
	fsys := fstest.MapFS{
		"test.fsa":      {Data: []byte(fragments)},
		"not_abif.bin":  {Data: []byte("\x01\x02")},
		"x.qual":        {Data: []byte(">x\n1 2\n")},
		"F-1.sequences": {Data: []byte(">F-1\nACGT\n")},
	}
	for name, says := range map[string]string{
		"test.fsa":     "it holds no base calls (PBAS): a fragment-analysis file is not a sequence",
		"not_abif.bin": "this is no sequencing file (ABIF, SCF, FASTQ or FASTA)",
		"x.qual":       "'1' is no nucleotide code",
	} {
		_, items := listing(fsys, name, Limits{})
		require.Len(t, items, 1)
		p := items[0].Problem()
		require.NotNil(t, p, name)
		require.True(t, p.Unread)
		require.Equal(t, says, p.What)
		require.NotEmpty(t, p.Hint)
	}
	lines, _ := listing(fsys, "F-1.sequences", Limits{})
	require.Equal(t, []string{"usable F-1.sequences"}, lines)
}

// The place of a problem stands in fields of its own, and the kind of error is
// no part of its text.
func TestProblemsSayEverythingOnce(t *testing.T) {
	fsys := fstest.MapFS{
		"r/cut.ab1":   {Data: encodeABIF(t, synthetic(1, 30))[:200]},
		"r/empty.ab1": {},
		"r/two.fastq": {Data: []byte("@x\nACGT\n+\nII\n")},
		"r/big.zip":   {Data: zipOf(t, "a.fasta", ">a\nACGTACGTACGTACGTACGT\n")},
	}
	want := map[string]struct {
		kind      error
		why, what string
	}{
		"r/cut.ab1":   {ErrTruncated, "ABIF, directory, byte 6: it would end at byte 3840, and the file ends at 200", "it would end at byte 3840, and the file ends at 200"},
		"r/empty.ab1": {ErrTruncated, "the file is empty", "the file is empty"},
		"r/two.fastq": {ErrTruncated, `FASTQ, record "x", line 4: 2 qualities for 4 bases`, "2 qualities for 4 bases"},
		"r/big.zip":   {ErrTooLarge, "zip: bytes: 144, and the limit is 140", "bytes: 144, and the limit is 140"},
	}
	_, items := listing(fsys, "r", Limits{ArchiveBytes: 140})
	require.Len(t, items, len(want))
	for _, it := range items {
		w := want[it.File]
		require.ErrorIs(t, it.Err, w.kind, it.File)
		require.Equal(t, w.why, it.Why)
		require.Equal(t, w.what, it.Problem().What)
		require.NotContains(t, it.Hint, "limit", "there is no setting for it")
	}
}
