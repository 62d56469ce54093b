package trace

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// listing gives one line an item: status, file, and what goes with it.
func listing(fsys fs.FS, dir string, lim Limits) (lines []string, items []Item) {
	for it := range Folder(fsys, dir, lim) {
		line := string(it.Status) + " " + it.File
		if it.SameAs != "" {
			line += " = " + it.SameAs
		}
		lines, items = append(lines, line), append(items, it)
	}
	return lines, items
}

func file(data []byte) *fstest.MapFile { return &fstest.MapFile{Data: data} }

// zipOf packs pairs of name and content.
func zipOf(t testing.TB, pairs ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		f, err := w.Create(pairs[i])
		require.NoError(t, err)
		_, err = io.WriteString(f, pairs[i+1])
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

func TestFolder(t *testing.T) {
	a := encodeABIF(t, synthetic(1, 20))
	b := encodeABIF(t, synthetic(2, 20))
	c := encodeABIF(t, synthetic(3, 20))
	fsys := fstest.MapFS{
		"vouchers.csv":                  file([]byte("voucher\n")),
		"reads/B02_FC-2.AB1":            file(b),
		"reads/A01_FC-1.ab1":            file(a),
		"reads/A01_FC-1.seq":            file([]byte(">A01_FC-1\nACGT\n")),
		"reads/A01_FC-1.scf":            file(encodeSCF(t, synthetic(1, 20), 3, 2)),
		"reads/alone.seq":               file([]byte("ACGTACGT\n")),
		"reads/broken.ab1":              file(a[:100]),
		"reads/broken.seq":              file([]byte(">broken\nACGTTT\n")),
		"reads/many.fasta":              file([]byte(">x\nACGT\n>y\nAC\n>x\nA\n>\nG\n")),
		"reads/one.fa":                  file([]byte(">one\nACG\n")),
		"reads/one.qual":                file([]byte(">one\n1 2 3\n")),
		"reads/two.fasta":               file([]byte(">two\nACGG\n")),
		"reads/two.fasta.qual":          file([]byte(">two\n1 2 3\n")),
		"reads/lone.qual":               file([]byte(">lone\n1 2 3\n")),
		"reads/plate.pdf":               file([]byte("%PDF")),
		"reads/plate.rar":               file([]byte("Rar!")),
		"reads/AS TEXT/C03_FC-3.seq":    file([]byte(">any\n" + string(synthetic(3, 20).Bases))),
		"reads/AS TEXT/FC-1.seq":        file([]byte(">another read of this name\nACCC\n")),
		"reads/run 2/alone.seq":         file([]byte("ACGTACGT\n")),
		"reads/run 2/other.seq":         file([]byte("ACGTACGT\n")),
		"reads/.DS_Store":               file([]byte("x")),
		"reads/._A01_FC-1.ab1":          file([]byte("x")),
		"reads/.old/C.ab1":              file(c),
		"reads/run 2/deep/er/FC-1.ab1":  file(a),
		"reads/run 2/deep/B02_FC-2.ab1": file(b),
		"reads/lab.zip": file(zipOf(t,
			"inner/A01_FC-1.ab1", string(a), "inner/C03_FC-3.ab1", string(c), "inner/readme.txt", "hello",
			"__MACOSX/inner/._C03_FC-3.ab1", "x", "empty/", "", `win\D04.seq`, "ACGTT",
			"inner/z.fasta", ">z\nAC\n", "inner/z.qual", ">z\n7 8\n")),
	}
	lines, items := listing(fsys, "reads", Limits{})
	assert.Equal(t, []string{
		"usable reads/A01_FC-1.ab1",
		"duplicate reads/A01_FC-1.scf = reads/A01_FC-1.ab1",
		"duplicate reads/A01_FC-1.seq = reads/A01_FC-1.ab1",
		"usable reads/B02_FC-2.AB1",
		"unreadable reads/broken.ab1",
		"usable reads/broken.seq",
		"duplicate reads/lab.zip/inner/A01_FC-1.ab1 = reads/A01_FC-1.ab1",
		"usable reads/lab.zip/inner/C03_FC-3.ab1",
		"ignored reads/lab.zip/inner/readme.txt",
		"ignored reads/lone.qual",
		"ignored reads/plate.pdf",
		"unreadable reads/plate.rar",
		"duplicate reads/run 2/deep/B02_FC-2.ab1 = reads/B02_FC-2.AB1",
		"duplicate reads/run 2/deep/er/FC-1.ab1 = reads/A01_FC-1.ab1",
		// stems with text only
		"usable reads/alone.seq",
		"usable reads/lab.zip/inner/z.fasta",
		"joined reads/lab.zip/inner/z.qual = reads/lab.zip/inner/z.fasta",
		"usable reads/lab.zip/win/D04.seq",
		"usable reads/many.fasta#x",
		"usable reads/many.fasta#y",
		"usable reads/many.fasta#x(record 3)",
		"usable reads/many.fasta#(record 4)",
		"usable reads/one.fa",
		"joined reads/one.qual = reads/one.fa",
		"usable reads/two.fasta",
		"unreadable reads/two.fasta.qual",
		"duplicate reads/AS TEXT/C03_FC-3.seq = reads/lab.zip/inner/C03_FC-3.ab1",
		"usable reads/AS TEXT/FC-1.seq",
		"duplicate reads/run 2/alone.seq = reads/alone.seq",
		"usable reads/run 2/other.seq",
	}, lines)

	by := map[string]Item{}
	for _, it := range items {
		by[it.File] = it
		assert.Equal(t, it.Status == Usable, it.Trace != nil, it.File)
		assert.Equal(t, it.Status == Unreadable, it.Err != nil, it.File)
		assert.Equal(t, it.Status == Usable || it.Status == Joined, it.Why == "", it.File)
	}
	assert.Equal(t, []byte{1, 2, 3}, by["reads/one.fa"].Trace.Quals)
	assert.Equal(t, []byte{7, 8}, by["reads/lab.zip/inner/z.fasta"].Trace.Quals)
	assert.Nil(t, by["reads/two.fasta"].Trace.Quals, "a .qual that does not fit costs its values only")
	assert.Equal(t, []string{`the name "x" comes more than once in the file`}, by["reads/many.fasta#x(record 3)"].Trace.Notes)

	bad := by["reads/broken.ab1"].Problem()
	require.NotNil(t, bad)
	assert.Equal(t, "reads/broken.ab1", bad.File)
	assert.Equal(t, "it would end at byte 2800, and the file ends at 100", bad.What)
	assert.Equal(t, "directory", bad.Field)
	assert.ErrorIs(t, by["reads/broken.ab1"].Err, ErrTruncated)
	assert.Contains(t, bad.Hint, "copy the file again")
	assert.True(t, bad.Unread)
	bad = by["reads/two.fasta.qual"].Problem()
	require.NotNil(t, bad)
	assert.Equal(t, 2, bad.Line)
	misnamed := by["reads/run 2/deep/er/FC-1.ab1"].Problem()
	require.NotNil(t, misnamed, "the same content under another name is one read with a wrong name")
	assert.False(t, misnamed.Unread)
	assert.Contains(t, misnamed.Hint, "wrong name")
	for _, quiet := range []string{"reads/lab.zip/inner/A01_FC-1.ab1", "reads/A01_FC-1.seq", "reads/plate.pdf", "reads/alone.seq"} {
		assert.Nil(t, by[quiet].Problem(), quiet)
	}

	again, _ := listing(fsys, "reads", Limits{})
	assert.Equal(t, lines, again, "one order")
}

// A read counts once, whatever form it comes in a second time.
func TestCopiesOfAChromatogram(t *testing.T) {
	called := synthetic(1, 40)
	edited := synthetic(1, 40)
	edited.Bases = slices.Clone(called.Bases)
	edited.Bases[3], edited.Edited, edited.Called = 'N', true, called.Bases
	fsys := fstest.MapFS{
		"ab1/FC-1.ab1":     file(encodeABIF(t, called)),
		"ab1/FC-1.ab1.seq": file([]byte("ACGT\n")),
		"edited/FC-1.ab1":  file(encodeABIF(t, edited)),
		"edited/FC-2.ab1":  file(encodeABIF(t, synthetic(2, 40))),
		"scf/FC-1.scf":     file(encodeSCF(t, called, 3, 2)),
		"scf/FC-3.scf":     file(encodeSCF(t, called, 3, 2)),
	}
	lines, items := listing(fsys, ".", Limits{})
	assert.Equal(t, []string{
		"usable ab1/FC-1.ab1",
		"duplicate ab1/FC-1.ab1.seq = ab1/FC-1.ab1",
		"duplicate edited/FC-1.ab1 = ab1/FC-1.ab1",
		"usable edited/FC-2.ab1",
		"duplicate scf/FC-1.scf = ab1/FC-1.ab1",
		"duplicate scf/FC-3.scf = scf/FC-1.scf", // the same content under another name
	}, lines)
	assert.Contains(t, items[2].Problem().What, "one is edited")
	assert.Nil(t, items[4].Problem())
}

func TestFolderOfOneFile(t *testing.T) {
	a := encodeABIF(t, synthetic(1, 20))
	fsys := fstest.MapFS{"x.ab1": file(a), "x.seq": file([]byte("ACGT")), "lab.zip": file(zipOf(t, "y.ab1", string(a)))}
	lines, _ := listing(fsys, "x.seq", Limits{})
	assert.Equal(t, []string{"usable x.seq"}, lines, "named alone it is read")
	lines, _ = listing(fsys, "lab.zip", Limits{})
	assert.Equal(t, []string{"usable lab.zip/y.ab1"}, lines)
}

func TestFolderStopsWhenAsked(t *testing.T) {
	fsys := fstest.MapFS{
		"a.fa": file([]byte(">a\nA\n>b\nC\n")), "b.zip": file(zipOf(t, "a.fa", ">c\nA\n", "b.txt", "")), "c.pdf": file(nil),
		"d.fa": file([]byte(">d\nA\n")), "d.seq": file([]byte("A")), "d.qual": file(nil), "e.ab1": file(nil),
	}
	all, _ := listing(fsys, ".", Limits{})
	for stop := range all {
		n := 0
		for range Folder(fsys, ".", Limits{}) {
			if n++; n > stop {
				break
			}
		}
		assert.Equal(t, stop+1, n)
	}
}

func TestFolderThatIsNotThere(t *testing.T) {
	lines, items := listing(fstest.MapFS{}, "reads", Limits{})
	require.Equal(t, []string{"unreadable reads"}, lines)
	require.ErrorIs(t, items[0].Err, fs.ErrNotExist)
	lines, _ = listing(fstest.MapFS{"reads/.keep": file(nil)}, "reads", Limits{})
	assert.Empty(t, lines)
}

// refusing is a file system in which one file cannot be opened.
type refusing struct {
	fstest.MapFS
	name string
}

func (r refusing) Open(name string) (fs.File, error) {
	if name == r.name {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	return r.MapFS.Open(name)
}

func (r refusing) ReadDir(name string) ([]fs.DirEntry, error) {
	if name == r.name {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	return r.MapFS.ReadDir(name)
}

func TestFolderGoesOnAfterAFileItMayNotOpen(t *testing.T) {
	for _, name := range []string{"a.fa", "a.zip", "a"} {
		fsys := refusing{fstest.MapFS{"z.fa": file([]byte(">z\nA\n"))}, name}
		fsys.MapFS[name] = file([]byte("x"))
		if name == "a" {
			fsys.MapFS[name] = &fstest.MapFile{Mode: fs.ModeDir}
		}
		lines, items := listing(fsys, ".", Limits{})
		assert.Equal(t, []string{"unreadable " + name, "usable z.fa"}, lines)
		assert.True(t, errors.Is(items[0].Err, fs.ErrPermission))
		assert.Contains(t, items[0].Hint, "can be opened")
	}
}

func TestFolderDoesNotFollowLinks(t *testing.T) {
	dir := t.TempDir()
	outside := filepath.Join(t.TempDir(), "secret.fa")
	require.NoError(t, os.WriteFile(outside, []byte(">s\nA\n"), 0o600))
	if err := os.Symlink(outside, filepath.Join(dir, "link.fa")); err != nil {
		t.Skip("no links on this system:", err)
	}
	require.NoError(t, os.Symlink(dir, filepath.Join(dir, "circle")))
	lines, items := listing(os.DirFS(dir), ".", Limits{})
	slices.Sort(lines)
	assert.Equal(t, []string{"unreadable circle", "unreadable link.fa"}, lines)
	assert.Equal(t, "put the file itself into the folder", items[0].Hint)
	assert.NotContains(t, strings.Join([]string{items[0].Why, items[1].Why}, ""), dir, "no host path in a message")
}
