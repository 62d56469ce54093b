package trace

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// readZip gives the items of an archive that lies alone in a folder.
func readZip(data []byte, lim Limits) ([]string, []Item) {
	return listing(fstest.MapFS{"lab.zip": file(data), "z.fa": file([]byte(">z\nA\n"))}, ".", lim)
}

func TestArchiveThatIsNone(t *testing.T) {
	good := zipOf(t, "a.ab1", string(encodeABIF(t, synthetic(1, 5))), "b.fa", ">b\nA\n")
	for name, data := range map[string][]byte{
		"empty": nil, "text": []byte("hello"), "cut": good[:len(good)-30], "half": good[:len(good)/2], "magic": []byte(zipMagic),
	} {
		lines, items := readZip(data, Limits{})
		assert.Equal(t, []string{"unreadable lab.zip", "usable z.fa"}, lines, name)
		require.ErrorIs(t, items[0].Err, ErrTruncated, name)
		assert.Contains(t, items[0].Hint, "copy the file again")
	}
}

// TestArchiveCutAnywhere: every shorter copy is one unreadable archive.
func TestArchiveCutAnywhere(t *testing.T) {
	good := zipOf(t, "a.fa", ">a\nACGT\n")
	for n := range len(good) {
		lines, _ := readZip(good[:n], Limits{})
		require.Equal(t, []string{"unreadable lab.zip", "usable z.fa"}, lines, "cut at %d", n)
	}
}

func TestArchiveMembers(t *testing.T) {
	inner := zipOf(t, "x.fa", ">x\nA\n")
	lines, items := readZip(zipOf(t,
		"../../up.fa", ">u\nA\n", "/etc/abs.fa", ">v\nA\n", "a/../b.fa", ">w\nA\n",
		"in.zip", string(inner), "twice.fa", ">t\nAC\n", "twice.fa", ">t\nAG\n", "none.fa", "", "ok.fa", ">k\nACC\n",
	), Limits{})
	assert.Equal(t, []string{
		"unreadable lab.zip", "unreadable lab.zip", "unreadable lab.zip",
		"unreadable lab.zip/in.zip", "unreadable lab.zip/none.fa", "usable lab.zip/ok.fa",
		"usable lab.zip/twice.fa", "unreadable lab.zip/twice.fa", "usable z.fa",
	}, lines)
	assert.Contains(t, items[0].Why, `member "../../up.fa": its path leads out of the archive`)
	assert.Contains(t, items[1].Why, `member "/etc/abs.fa"`)
	assert.Contains(t, items[0].Hint, "do not unpack this archive")
	assert.Contains(t, items[3].Why, "an archive inside an archive is not opened")
	assert.Equal(t, "unpack the outer archive into the folder", items[3].Hint)
	assert.Contains(t, items[4].Why, "the file is empty")
	assert.Contains(t, items[7].Why, "two members have this name")
}

// TestArchiveBomb: 16 MB of one letter deflate to 16 kB.
func TestArchiveBomb(t *testing.T) {
	bomb := zipOf(t, "a.fa", ">a\n"+strings.Repeat("A", 16<<20), "ok.fa", ">k\nACC\n")
	require.Less(t, len(bomb), 1<<15)
	lines, items := readZip(bomb, Limits{})
	assert.Equal(t, []string{"unreadable lab.zip/a.fa", "usable lab.zip/ok.fa", "usable z.fa"}, lines)
	require.ErrorIs(t, items[0].Err, ErrTooLarge)
	assert.Contains(t, items[0].Why, "200 times its size in the archive")
}

func TestArchiveLimits(t *testing.T) {
	var pairs []string
	for i := range 10 {
		pairs = append(pairs, fmt.Sprintf("%d.fa", i), ">a\n"+strings.Repeat("ACGT"[i%4:i%4+1], 100+i)+"\n")
	}
	data := zipOf(t, pairs...)
	lines, items := readZip(data, Limits{ArchiveMembers: 9})
	assert.Equal(t, []string{"unreadable lab.zip", "usable z.fa"}, lines)
	assert.Contains(t, items[0].Why, "members: 10, and the limit is 9")

	lines, items = readZip(data, Limits{ArchiveBytes: 100})
	assert.Equal(t, []string{"unreadable lab.zip", "usable z.fa"}, lines)
	assert.Contains(t, items[0].Why, "and the limit is 100")

	packed := int64(len(zipOf(t, "0.fa", strings.Repeat("A", 5000), "1.fa", ">a\nA\n")))
	lines, items = readZip(zipOf(t, "0.fa", strings.Repeat("A", 5000), "1.fa", ">a\nA\n"), Limits{ArchiveBytes: packed + 10})
	assert.Equal(t, []string{"unreadable lab.zip/0.fa", "unreadable lab.zip/1.fa", "usable z.fa"}, lines)
	assert.Contains(t, items[0].Why, "bytes left for this archive")
	require.ErrorIs(t, items[1].Err, ErrTooLarge)

	lines, items = readZip(data, Limits{FileBytes: 107})
	assert.Equal(t, []string{"usable lab.zip/0.fa", "usable lab.zip/1.fa", "usable lab.zip/2.fa", "usable lab.zip/3.fa"}, lines[:4])
	assert.Equal(t, "unreadable lab.zip/4.fa", lines[4])
	assert.Contains(t, items[4].Why, "more than 107 bytes in one file")
}

// TestArchiveThatLies: a member that claims 4 bytes and inflates to 8 MB, one
// with a wrong checksum, one encrypted, one packed by an unknown method.
func TestArchiveThatLies(t *testing.T) {
	raw := func(name string, method, flags uint16, claimed uint64, sum uint32, body []byte) []byte {
		var b bytes.Buffer
		w := zip.NewWriter(&b)
		f, err := w.CreateRaw(&zip.FileHeader{
			Name: name, Method: method, Flags: flags, CRC32: sum,
			CompressedSize64: uint64(len(body)), UncompressedSize64: claimed,
		})
		require.NoError(t, err)
		_, err = f.Write(body)
		require.NoError(t, err)
		require.NoError(t, w.Close())
		return b.Bytes()
	}
	text := []byte(">a\nACGT\n")
	long := bytes.Repeat([]byte("A"), 8<<20)
	deflated := zipOf(t, "a.fa", string(long))
	start := 30 + len("a.fa")
	size := binary.LittleEndian.Uint32(deflated[len(deflated)-22-46-4+20:])
	for name, c := range map[string]struct {
		data []byte
		want error
		says string
	}{
		"claims 4 bytes":  {raw("a.fa", zip.Deflate, 0, 4, crc32.ChecksumIEEE(long), deflated[start:start+int(size)]), ErrTruncated, "cannot be unpacked"},
		"wrong checksum":  {raw("a.fa", zip.Store, 0, uint64(len(text)), 1, text), ErrTruncated, "checksum"},
		"encrypted":       {raw("a.fa", zip.Store, 1, uint64(len(text)), crc32.ChecksumIEEE(text), text), ErrUnsupported, "it is encrypted"},
		"unknown method":  {raw("a.fa", 99, 0, uint64(len(text)), crc32.ChecksumIEEE(text), text), ErrUnsupported, "a method that is not known"},
		"claims too much": {raw("a.fa", zip.Store, 0, 1<<40, crc32.ChecksumIEEE(text), text), ErrTruncated, "cannot be unpacked"},
	} {
		t.Run(name, func(t *testing.T) {
			lines, items := readZip(c.data, Limits{})
			assert.Equal(t, []string{"unreadable lab.zip/a.fa", "usable z.fa"}, lines)
			require.ErrorIs(t, items[0].Err, c.want)
			assert.Contains(t, items[0].Why, c.says)
			assert.NotEmpty(t, items[0].Hint)
		})
	}
	lines, _ := readZip(raw("a.fa", zip.Store, 0, uint64(len(text)), crc32.ChecksumIEEE(text), text), Limits{})
	assert.Equal(t, []string{"usable lab.zip/a.fa", "usable z.fa"}, lines, "the same, honest")
}

// plain is a file system whose files can only be read from the start.
type plain struct{ fstest.MapFS }

type plainFile struct{ fs.File }

func (p plain) Open(name string) (fs.File, error) {
	f, err := p.MapFS.Open(name)
	if info, statErr := fs.Stat(p.MapFS, name); err == nil && statErr == nil && !info.IsDir() {
		return plainFile{f}, nil
	}
	return f, err
}

func TestArchiveWithoutRandomAccess(t *testing.T) {
	fsys := plain{fstest.MapFS{
		"lab.zip":   file(zipOf(t, "a.ab1", string(encodeABIF(t, synthetic(1, 5))), "b.fq", "@b\nA\n+\nI\n")),
		"empty.zip": file(nil),
	}}
	lines, _ := listing(fsys, ".", Limits{})
	assert.Equal(t, []string{"unreadable empty.zip", "usable lab.zip/a.ab1", "usable lab.zip/b.fq"}, lines)
}
