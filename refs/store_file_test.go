package refs

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"hash/crc32"
	"io"
	"iter"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:8])
}

// indexBytes is the cached index of a library in memory, with a taxonomy of a
// few names that it may be short.
func indexBytes(t testing.TB) []byte {
	t.Helper()
	lib := awkwardLibrary(t)
	taxa := map[string]Lineage{"Russula": {Family: "Russulaceae", Genus: "Russula"}, "Russulaceae": {Family: "Russulaceae"}}
	lib.Taxonomy = lazyTaxonomy(func() map[string]Lineage { return taxa })
	path := filepath.Join(t.TempDir(), "index")
	_, err := WriteIndex(path, lib, Origin{})
	require.NoError(t, err)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return inPlace(data)
}

// spots are the places of an index to be spoilt: all of them but most of its
// words, each of which is as good as another.
func spots(t testing.TB, whole []byte) iter.Seq[int] {
	c, err := openContainer(whole)
	require.NoError(t, err)
	words := c.entries["words"]
	return func(yield func(int) bool) {
		for i := 0; i < len(whole); i++ {
			if from := int(words.Start); i > from && i < from+int(words.Count)*8 && i%997 != 0 {
				continue
			}
			if !yield(i) {
				return
			}
		}
	}
}

// inPlace copies data to where a container can lie.
func inPlace(data []byte) []byte {
	at := alignedBytes(len(data))
	copy(at, data)
	return at
}

// mend makes the checksum and the size fit what the bytes have become.
func mend(data []byte) {
	if len(data) < containerAlign+containerCRC {
		return
	}
	body := data[:len(data)-containerCRC]
	binary.NativeEndian.PutUint64(body[16:], uint64(len(data)))
	binary.NativeEndian.PutUint32(data[len(body):], crc32.Checksum(body, castagnoli))
}

// useAll asks a library everything.
func useAll(lib *Library) {
	for i, r := range lib.All() {
		_ = r.Name.Label()
		_ = lib.GenusNumberOf(r.Lineage.Genus) + lib.GenusNumber(i)
		_ = len(lib.OfGenus(r.Name.Genus)) + len(lib.OfSpecies(r.Lineage.Species)) + len(lib.SpeciesOf(r.Name.Genus))
		_ = lib.Taxonomy.LineageOf(lib.Taxonomy.Respell(r.Name))
	}
	_, _ = lib.Info(), lib.CountAt(Genus, "Russula")
}

// The examples of RFC 3720, appendix B.4, for 32 bytes of zeros and of ones,
// and the check value in common use, all from memory.
func TestContainerChecksum(t *testing.T) {
	require.Equal(t, uint32(0xe3069283), crc32.Checksum([]byte("123456789"), castagnoli))
	require.Equal(t, uint32(0x8a9136aa), crc32.Checksum(make([]byte, 32), castagnoli))
	require.Equal(t, uint32(0x62a8ab43), crc32.Checksum(bytes.Repeat([]byte{0xff}, 32), castagnoli))
}

func TestContainerSections(t *testing.T) {
	bytes8, words16, signed, words32, words64 := []uint8{1, 2, 3}, []uint16{4, 5}, []int32{-6, 7, 8}, []uint32{}, []uint64{1 << 63}
	arrays := func() []array {
		return []array{arrayOf("a", &bytes8), arrayOf("b", &words16), arrayOf("c", &signed), arrayOf("d", &words32), arrayOf("e", &words64)}
	}
	var b bytes.Buffer
	n, err := writeContainer(&b, arrays())
	require.NoError(t, err)
	require.EqualValues(t, b.Len(), n)
	c, err := openContainer(inPlace(b.Bytes()))
	require.NoError(t, err)
	for name, e := range c.entries {
		require.Zero(t, e.Start%64, name)
	}
	bytes8, words16, signed, words32, words64 = nil, nil, nil, nil, nil
	require.NoError(t, c.fill(arrays()))
	require.Equal(t, []uint8{1, 2, 3}, bytes8)
	require.Equal(t, []uint16{4, 5}, words16)
	require.Equal(t, []int32{-6, 7, 8}, signed)
	require.Empty(t, words32)
	require.Equal(t, []uint64{1 << 63}, words64)

	var other []uint16
	require.EqualError(t, c.fill([]array{arrayOf("a", &other)}), `it is damaged: section "a" is missing`)
	require.EqualError(t, c.fill([]array{arrayOf("f", &other)}), `it is damaged: section "f" is missing`)
}

// A writer that fails after any number of bytes gives its error.
func TestWriteContainerFails(t *testing.T) {
	data := bytes.Repeat([]byte{7}, 1<<19)
	full := errors.New("no space left on device")
	for _, room := range []int{0, 10, 1 << 18, 1<<19 + 130, 1<<19 + 131} {
		_, err := writeContainer(&limitedWriter{room, full}, []array{arrayOf("a", &data)})
		require.ErrorIs(t, err, full, "room for %d", room)
	}
	_, err := writeContainer(&limitedWriter{1<<19 + 132, full}, []array{arrayOf("a", &data)})
	require.NoError(t, err)
}

type limitedWriter struct {
	room int
	err  error
}

var _ io.Writer = (*limitedWriter)(nil)

func (w *limitedWriter) Write(p []byte) (int, error) {
	if len(p) > w.room {
		return w.room, w.err
	}
	w.room -= len(p)
	return len(p), nil
}

// No file cut short, longer, or with one bit turned is taken.
func TestIndexIsNeverDamaged(t *testing.T) {
	whole := indexBytes(t)
	_, _, err := libraryIn(whole)
	require.NoError(t, err)
	for n := range spots(t, whole) {
		_, _, err := libraryIn(whole[:n])
		require.ErrorIs(t, err, errDamaged, "cut at %d", n)
	}
	_, _, err = libraryIn(inPlace(append(bytes.Clone(whole), 0)))
	require.ErrorIs(t, err, errDamaged)
	for i := range spots(t, whole) {
		whole[i] ^= 1 << (i % 8)
		_, _, err := libraryIn(whole)
		require.Error(t, err, "bit %d of byte %d", i%8, i)
		whole[i] ^= 1 << (i % 8)
	}

	for at, want := range map[int]string{
		0:  "it is damaged: it does not begin as a cached index does",
		8:  "it was written on a machine with another byte order",
		12: "it has format 0, and this program writes format 1",
	} {
		data := inPlace(whole)
		data[at] ^= 1
		mend(data)
		_, _, err := libraryIn(data)
		require.EqualError(t, err, want)
	}
}

// Where the checksum fits, whatever the bytes are, a library is refused or can
// be used.
func TestIndexOfAnyBytes(t *testing.T) {
	whole := indexBytes(t)
	query := Query{Seq: []byte("ACGTRYSWKMBDHVNTTACGTRYSWKMBDHVNTTACGTTGCA")}
	refused, used := 0, 0
	try := func(data []byte) {
		mend(data)
		lib, _, err := libraryIn(data)
		if err != nil {
			refused++
			return
		}
		useAll(lib)
		if used++; used%50 == 0 {
			scan, err := NewScan(t.Context(), lib, query, Gate{MinCoveragePct: 10})
			require.NoError(t, err)
			_, err = scan.Best(5, nil, nil)
			_ = err // letters that are no codes are told
		}
	}
	spoilt := inPlace(whole)
	for i := range spots(t, whole) {
		for _, c := range []byte{whole[i] + 1, 0xff} {
			spoilt[i] = c
			try(spoilt)
		}
		spoilt[i] = whole[i]
	}
	require.Greater(t, refused, 2000)
	r := rand.New(rand.NewPCG(5, 5))
	for range 500 {
		data := inPlace(whole)
		for range 1 + r.IntN(8) {
			data[r.IntN(len(data))] = byte(r.Uint32())
		}
		try(data)
		try(inPlace(data[:r.IntN(len(data))]))
	}
}

func FuzzIndex(f *testing.F) {
	whole := indexBytes(f)
	f.Add(uint32(70), []byte{0xff, 0xff, 0xff}, uint32(0))
	f.Add(uint32(80), []byte{0, 0, 0, 0, 0, 0, 1}, uint32(0))
	f.Add(uint32(0), []byte{}, uint32(100))
	f.Fuzz(func(t *testing.T, at uint32, with []byte, cut uint32) {
		data := inPlace(whole[:len(whole)-int(cut)%len(whole)])
		if len(data) > 0 {
			copy(data[int(at)%len(data):], with)
		}
		mend(data)
		if lib, _, err := libraryIn(data); err == nil {
			useAll(lib)
		}
	})
}
