package refs

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// awkward has headers of every dialect, names of every kind, equal and
// ambiguous sequences of all lengths around the ends of words, and records
// that cannot be used.
func awkward() string {
	headers := []string{
		"X1 Russula emetica (Schaeff.) Pers. 1796", "X2 Russula cf. emetica", "X3 Lactarius sp.", "X4 Uncultured fungus", "X5 Boletaceae sp.",
		"gi|817736093|ref|NR_131891.1| Cortinarius armillatus S F256861 ITS region", "X6 k__Fungi;p__Basidiomycota;f__Headeraceae;g__Russula;s__Russula_nigricans",
		"Russula_emetica|X7|refs|k__Fungi;g__Russula", "X8 [organism=Amanita muscaria var. formosa] [family=Amanitaceae]", "X9 R. emetica",
		"X10 Russula or Lactarius", "X11 Russula k\xfchneri group", "X12 Blåbær", "X13 f__Otheraceae;g__Russula", "Russula emetica FC12", "X14", "X1 Russula twice",
		"X15 Amanita muscaria beta-tubulin gene", "X16 Inocybe synthetica", "X17 Inocybe alia",
	}
	var b strings.Builder
	for i, h := range headers {
		fmt.Fprintf(&b, ">%s\n%s\n", h, strings.Repeat("ACGTRYSWKMBDHVNTT", 10)[:i*8+1])
	}
	b.WriteString(">Y1 Mycena synthetica\nACGTTGCA\n>Y2 Hebeloma synthetica\nACGTTGCA\n>Y3 Mycena synthetica\nACGTTGCA\n>P1 Russula emetica\nMKE\n>E1\n\n")
	return b.String()
}

func awkwardLibrary(t testing.TB) *Library {
	t.Helper()
	user, err := ReadTaxonomy(strings.NewReader("id\tfamily\tgenus\tspecies\nX12\tOwnaceae\tSyngenus\tSyngenus alpha\nX14\tOwnaceae\t\t\n"))
	require.NoError(t, err)
	lib, err := Read(strings.NewReader(awkward()), ReadOptions{Taxonomy: user})
	require.NoError(t, err)
	require.Equal(t, 23, lib.Len())
	return lib
}

// throughIndex writes the cached index of a library and opens it.
func throughIndex(t testing.TB, lib *Library) *Library {
	t.Helper()
	path := IndexPath(filepath.Join(t.TempDir(), "refs.fasta"))
	size, err := WriteIndex(path, lib, Origin{})
	require.NoError(t, err)
	require.Equal(t, lib.Len()-copiesIn(lib), lib.Unique())
	file, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, file.Size(), size)
	got, err := OpenIndex(path, Origin{}, sumIs(lib.SHA256))
	require.NoError(t, err)
	require.Nil(t, got.Records)
	return got
}

// copiesIn counts the records whose sequence stands before.
func copiesIn(lib *Library) (n int) {
	seen := map[string]bool{}
	for _, r := range lib.All() {
		if seen[string(r.Seq)] {
			n++
		}
		seen[string(r.Seq)] = true
	}
	return n
}

func sumIs(sum string) func() (string, error) {
	return func() (string, error) { return sum, nil }
}

// requireSame holds that two libraries answer alike whatever they are asked.
func requireSame(t *testing.T, want, got *Library) {
	t.Helper()
	require.Equal(t, want.Len(), got.Len())
	require.Equal(t, want.SHA256, got.SHA256)
	require.Equal(t, want.Problems, got.Problems)
	require.Equal(t, want.Info(), got.Info())
	names := map[string]bool{"": true, "Nosuchgenus": true}
	for i, r := range want.All() {
		require.Equal(t, r, got.Record(i))
		require.Equal(t, want.GenusNumber(i), got.GenusNumber(i))
		names[r.Name.Genus], names[r.Lineage.Genus], names[r.Lineage.Species], names[r.Name.Verbatim] = true, true, true, true
	}
	for name, lineage := range want.Taxonomy.byName() {
		names[name] = true
		l, ok := got.Taxonomy.Lookup(name)
		require.True(t, ok, name)
		require.Equal(t, lineage, l)
	}
	require.Len(t, got.Taxonomy.byName(), len(want.Taxonomy.byName()))
	for name := range names {
		require.Equal(t, want.GenusNumberOf(name), got.GenusNumberOf(name), name)
		require.Equal(t, want.OfGenus(name), got.OfGenus(name), name)
		require.Equal(t, want.OfSpecies(name), got.OfSpecies(name), name)
		require.Equal(t, want.SpeciesOf(name), got.SpeciesOf(name), name)
		n := ParseName(name)
		require.Equal(t, want.Taxonomy.Resolve(n), got.Taxonomy.Resolve(n), name)
		require.Equal(t, want.Taxonomy.Habit(name), got.Taxonomy.Habit(name), name)
	}
	require.Equal(t, want.CountAt(Family, "Russulaceae"), got.CountAt(Family, "Russulaceae"))
	misspelt := Name{Genus: "Lactarrius", Verbatim: "Lactarrius", Rank: Genus}
	require.Equal(t, want.Taxonomy.Respell(misspelt), got.Taxonomy.Respell(misspelt))
}

func TestIndexGivesTheLibrary(t *testing.T) {
	lib := awkwardLibrary(t)
	require.NotZero(t, lib.CountAt(Family, "Russulaceae"))
	kinds := map[string]bool{}
	for _, r := range lib.All() {
		kinds["unnamed"] = kinds["unnamed"] || r.Name.Unnamed
		kinds["several"] = kinds["several"] || r.Name.Several != ""
		kinds["abbreviated"] = kinds["abbreviated"] || r.Name.Abbreviated
		kinds["doubt"] = kinds["doubt"] || r.Name.Doubt != 0
		kinds["infra"] = kinds["infra"] || r.Name.Infra != ""
		kinds["higher"] = kinds["higher"] || r.Name.Higher != ""
		kinds["id outside"] = kinds["id outside"] || !strings.Contains(r.Header, r.ID)
		kinds["name outside"] = kinds["name outside"] || !strings.Contains(r.Header, r.Name.Verbatim)
	}
	require.Len(t, kinds, 8)
	for kind, there := range kinds {
		require.True(t, there, kind)
	}
	require.Equal(t, 2, copiesIn(lib))
	got := throughIndex(t, lib)
	requireSame(t, lib, got)
	// An index made of an opened index is the same again.
	requireSame(t, lib, throughIndex(t, got))

	demo, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "refs.fasta"))
	require.NoError(t, err)
	lib, err = Read(bytes.NewReader(demo), ReadOptions{})
	require.NoError(t, err)
	requireSame(t, lib, throughIndex(t, lib))
}

// Outside check: published sequences as others wrote their headers (TreeBASE,
// RefSeq and GenBank records).
func TestIndexGivesPublishedLibraries(t *testing.T) {
	for _, file := range []string{"macrofungi_its.fasta", "refseq_its.fasta", "subalpine_references.fasta", "boundaries_5_8S.fasta"} {
		data, err := os.ReadFile(openData(t, "its", file))
		require.NoError(t, err)
		lib, err := Read(bytes.NewReader(data), ReadOptions{})
		require.NoError(t, err)
		requireSame(t, lib, throughIndex(t, lib))
	}
}

func TestGenusNumber(t *testing.T) {
	lib := read(t, ">A Russula emetica\nA\n>B Uncultured Russula\nA\n>C Amanita sp.\nA\n>D Boletaceae\nA\n>E Russula sp.\nA\n")
	var numbers []int32
	for i := range lib.Len() {
		numbers = append(numbers, lib.GenusNumber(i))
	}
	require.Equal(t, []int32{2, 0, 1, 0, 2}, numbers)
	require.Equal(t, int32(1), lib.GenusNumberOf("Amanita"))
	require.Equal(t, int32(2), lib.GenusNumberOf("Russula"))
	require.Zero(t, lib.GenusNumberOf("Lactarius"))
	require.Zero(t, lib.GenusNumberOf(""))
}

// What the library, the table and the program are now decides whether an index
// is taken.
func TestIndexIsNeverStale(t *testing.T) {
	lib := awkwardLibrary(t)
	path := filepath.Join(t.TempDir(), "index")
	made := Origin{Size: 1000, ModTime: time.Date(2026, 3, 4, 5, 6, 7, 89, time.Local), Taxonomy: "table"}
	never := func() (string, error) { return "", errors.New("was asked for the sum") }
	for _, tt := range []struct {
		what string
		now  Origin
		sum  func() (string, error)
		want string // of the error
	}{
		{"as it was", made, never, ""},
		{"another zone", Origin{1000, made.ModTime.UTC(), "table"}, never, ""},
		{"copied", Origin{1000, made.ModTime.Add(1), "table"}, sumIs(lib.SHA256), ""},
		{"compressed", Origin{400, made.ModTime, "table"}, sumIs(lib.SHA256), ""},
		{"another library, another time", Origin{1000, made.ModTime.Add(1), "table"}, sumIs("other"), "it is out of date: the library has changed"},
		{"another library, another size", Origin{1001, made.ModTime, "table"}, sumIs("other"), "it is out of date: the library has changed"},
		{"unreadable library", Origin{1001, made.ModTime, "table"}, never, "was asked for the sum"},
		{"another table", Origin{1000, made.ModTime, "other"}, never, "it is out of date: the taxonomy table has changed"},
		{"no table", Origin{1000, made.ModTime, ""}, never, "it is out of date: it was made with a taxonomy table"},
	} {
		_, err := WriteIndex(path, lib, made)
		require.NoError(t, err)
		got, err := OpenIndex(path, tt.now, tt.sum)
		if tt.want != "" {
			require.EqualError(t, err, tt.want, tt.what)
			require.Equal(t, strings.Contains(tt.want, "date"), errors.Is(err, ErrStale))
			continue
		}
		require.NoError(t, err, tt.what)
		require.Equal(t, lib.SHA256, got.SHA256)
	}

	_, err := WriteIndex(path, lib, Origin{Size: 1000, ModTime: made.ModTime})
	require.NoError(t, err)
	_, err = OpenIndex(path, made, never)
	require.EqualError(t, err, "it is out of date: it was made without the taxonomy table")

	// A library that was being written when it was indexed has no time.
	_, err = WriteIndex(path, lib, Origin{Size: 1000})
	require.NoError(t, err)
	_, err = OpenIndex(path, Origin{Size: 1000}, sumIs("other"))
	require.ErrorIs(t, err, ErrStale)

	about := indexAbout{Origin: made, SHA256: lib.SHA256, Rules: "others"}
	require.EqualError(t, about.fits(made, never), "it is out of date: another version of forayseq made it")

	_, err = OpenIndex(path+"none", made, never)
	require.ErrorIs(t, err, fs.ErrNotExist)
}

// The digests change where headers come to be read otherwise, or the arrays of
// the search to be made otherwise: indexes made before then tell what is no
// longer true. Raise rulesVersion, and write the new digests here.
func TestRulesVersion(t *testing.T) {
	var read, made strings.Builder
	for i, r := range awkwardLibrary(t).All() {
		fmt.Fprintf(&read, "%d %+v %+v %s\n", i, r.Name, r.Lineage, r.Seq)
	}
	related := relatedLibrary()
	x := related.scanIndexOf()
	require.Less(t, x.units(), related.Len())
	require.Less(t, x.clusters(), x.units())
	fmt.Fprintf(&made, "%+v", *x)
	require.Equal(t, map[int][]string{6: {"e3bde6a7a50c158d", "27e743fb421e66b9"}}, map[int][]string{rulesVersion: {digest(read.String()), digest(made.String())}})
}

// relatedLibrary has families of sequences, some of them with ambiguous letters,
// some of them equal.
func relatedLibrary() *Library {
	r := rand.New(rand.NewPCG(8, 2))
	lib := &Library{}
	for range 5 {
		seq := make([]byte, 300+r.IntN(100))
		for i := range seq {
			seq[i] = "ACGT"[r.IntN(4)]
		}
		for range 8 {
			for range r.IntN(5) {
				seq[r.IntN(len(seq))] = "ACGTACGTRYN"[r.IntN(11)]
			}
			lib.Records = append(lib.Records, Record{Seq: bytes.Clone(seq)})
		}
	}
	return lib
}

// Whoever has an index open keeps it, and whoever opens one gets a whole one,
// whatever is written meanwhile.
func TestIndexIsReplacedWhole(t *testing.T) {
	path := filepath.Join(t.TempDir(), "index")
	one, other := awkwardLibrary(t), read(t, small)
	_, err := WriteIndex(path, one, Origin{})
	require.NoError(t, err)
	opened, err := OpenIndex(path, Origin{}, sumIs(one.SHA256))
	require.NoError(t, err)

	var writers, readers sync.WaitGroup
	stop := make(chan struct{})
	readers.Go(func() {
		for {
			for _, lib := range []*Library{one, other} {
				got, err := OpenIndex(path, Origin{}, sumIs(lib.SHA256))
				if err == nil && got.Record(2).Header != lib.Record(2).Header || err != nil && !errors.Is(err, ErrStale) {
					t.Errorf("half an index: %v", err)
				}
			}
			select {
			case <-stop:
				return
			default:
			}
		}
	})
	for _, lib := range []*Library{one, other} {
		writers.Go(func() {
			for range 20 {
				if _, err := WriteIndex(path, lib, Origin{}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	writers.Wait()
	close(stop)
	readers.Wait()
	requireSame(t, one, opened)
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing is left beside")
}

func TestWriteIndexFails(t *testing.T) {
	dir := t.TempDir()
	lib := read(t, small)
	_, err := WriteIndex(filepath.Join(dir, "none", "index"), lib, Origin{})
	require.ErrorIs(t, err, fs.ErrNotExist)
	if os.Geteuid() != 0 { // who may write everywhere
		require.NoError(t, os.Mkdir(filepath.Join(dir, "locked"), 0o555))
		_, err = WriteIndex(filepath.Join(dir, "locked", "index"), lib, Origin{})
		require.ErrorIs(t, err, fs.ErrPermission)
		require.NoError(t, os.Remove(filepath.Join(dir, "locked")))
	}

	// Where the disk is full the old file stays.
	path := filepath.Join(dir, "index")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o644))
	full := errors.New("no space left on device")
	err = writeWhole(path, func(w io.Writer) error {
		_, err := w.Write([]byte("half"))
		return errors.Join(err, full)
	})
	require.ErrorIs(t, err, full)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "old", string(text))

	// A letter that a cached index cannot give back is refused, not changed.
	_, err = WriteIndex(path, NewLibrary([]Record{{ID: "A", Seq: []byte("acgt"), Line: 7}}, nil), Origin{})
	require.EqualError(t, err, "record A (line 7): its letters are no upper-case nucleotide codes")
}

// Two writings of one library are the same file.
func TestWriteIndexIsRepeatable(t *testing.T) {
	path := filepath.Join(t.TempDir(), "index")
	var files [][]byte
	for range 2 {
		_, err := WriteIndex(path, awkwardLibrary(t), Origin{})
		require.NoError(t, err)
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		files = append(files, data)
	}
	require.True(t, bytes.Equal(files[0], files[1]))
	require.Greater(t, len(slices.Collect(maps.Keys(awkwardLibrary(t).Taxonomy.byName()))), 1000)
}

// What stands in the place of an index and is no file is told, and not waited
// for.
func TestIndexIsAFile(t *testing.T) {
	_, err := OpenIndex(t.TempDir(), Origin{}, func() (string, error) { return "", nil })
	require.ErrorContains(t, err, "it is no regular file")
}
