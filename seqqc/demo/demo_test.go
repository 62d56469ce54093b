package demo_test

import (
	"bytes"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/demo"
	"forayseq/seqqc/trace"
)

var update = flag.Bool("update", false, "rewrite testdata/demo")

const kept = "../../testdata/demo"

// The batch kept in testdata/demo is what the generator writes, byte for byte:
// on another machine this test says whether the demo is the same there.
func TestTestdataIsWhatTheGeneratorWrites(t *testing.T) {
	files, err := batch()
	require.NoError(t, err)
	if *update {
		for _, f := range files {
			path := filepath.Join(kept, filepath.FromSlash(f.Path))
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, f.Data, 0o644))
		}
	}
	want := map[string]bool{"README.md": true}
	for _, f := range files {
		want[f.Path] = true
		got, err := os.ReadFile(filepath.Join(kept, filepath.FromSlash(f.Path)))
		require.NoError(t, err)
		require.True(t, bytes.Equal(f.Data, got), "%s differs from what the generator writes; -update rewrites it", f.Path)
	}
	// What a run leaves there is not looked at.
	require.NoError(t, fs.WalkDir(os.DirFS(kept), ".", func(path string, d fs.DirEntry, err error) error {
		if path == "results" {
			return fs.SkipDir
		}
		if err == nil && !d.IsDir() {
			require.True(t, want[path], "%s is not written by the generator", path)
		}
		return err
	}))
}

// The demo is kept in the repository and written in seconds: it stays small.
func TestSize(t *testing.T) {
	files, err := batch()
	require.NoError(t, err)
	total := 0
	for _, f := range files {
		total += len(f.Data)
	}
	require.Less(t, total, 5_000_000)
}

func TestWrite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "club")
	require.NoError(t, demo.Write(dir, demo.Options{}))
	sheet, err := os.ReadFile(filepath.Join(dir, "vouchers.csv"))
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(sheet, []byte("voucher,field_id,")))

	empty := t.TempDir()
	require.NoError(t, demo.Write(empty, demo.Options{}))
	require.FileExists(t, filepath.Join(empty, "truth.tsv"))
}

// What is there already is never touched, and a failure leaves nothing behind.
func TestWriteRefuses(t *testing.T) {
	parent := t.TempDir()
	full := filepath.Join(parent, "full")
	require.NoError(t, os.Mkdir(full, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(full, "mine.txt"), []byte("mine"), 0o644))
	require.ErrorIs(t, demo.Write(full, demo.Options{}), demo.ErrNotEmpty)

	file := filepath.Join(parent, "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	require.Error(t, demo.Write(file, demo.Options{}))
	require.Error(t, demo.Write(filepath.Join(file, "below"), demo.Options{}))

	entries, err := os.ReadDir(parent)
	require.NoError(t, err)
	require.Len(t, entries, 2)
	entries, err = os.ReadDir(full)
	require.NoError(t, err)
	require.Len(t, entries, 1)
}

// table reads a table of the demo into one map a row.
func table(t *testing.T, name, comma string) []map[string]string {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(string(file(t, name))), "\n")
	heads := strings.Split(lines[0], comma)
	var rows []map[string]string
	for _, l := range lines[1:] {
		cells := strings.Split(l, comma) // no cell of the demo needs quotes
		require.Len(t, cells, len(heads), l)
		row := map[string]string{}
		for i, c := range cells {
			row[heads[i]] = c
		}
		rows = append(rows, row)
	}
	return rows
}

// batch is the demo, drawn once for all tests.
var batch = sync.OnceValues(func() ([]demo.File, error) { return demo.Files(demo.Options{}) })

func file(t *testing.T, name string) []byte {
	t.Helper()
	files, err := batch()
	require.NoError(t, err)
	i := slices.IndexFunc(files, func(f demo.File) bool { return f.Path == name })
	require.GreaterOrEqual(t, i, 0, name)
	return files[i].Data
}

// Every verdict, every reason code, every row of the sheet.
func TestTruthCoversTheDesign(t *testing.T) {
	seen := map[string]bool{}
	var codes []string
	for _, row := range table(t, "truth.tsv", "\t") {
		require.NotContains(t, codes, row["voucher"])
		codes = append(codes, row["voucher"])
		seen[row["verdict"]] = true
		seen[row["reason_code"]] = true
		require.NotEmpty(t, row["built_in"])
		require.Equal(t, row["verdict"] == string(seqqc.Undetermined), row["reason_code"] != "", row["voucher"])
		require.Equal(t, row["verdict"] == string(seqqc.Agrees), row["agree_rank"] != "", row["voucher"])
	}
	for _, k := range seqqc.VerdictKinds {
		require.True(t, seen[string(k)], k)
	}
	for _, c := range []seqqc.ReasonCode{seqqc.NoSequence, seqqc.PoorSequence, seqqc.NotITS, seqqc.SamplesDisagree, seqqc.NoMatch,
		seqqc.TooDistant, seqqc.ReferencesDisagree, seqqc.ReferencesUnnamed, seqqc.LineageUnknown, seqqc.FieldGenusNotInLibrary,
		seqqc.NoFieldName, seqqc.FieldNameUnknown, seqqc.Control} {
		require.True(t, seen[string(c)], c)
	}
	var sheet []string
	for _, row := range table(t, "vouchers.csv", ",") {
		if len(sheet) == 0 || sheet[len(sheet)-1] != row["voucher"] { // two samples, two rows
			sheet = append(sheet, row["voucher"])
		}
	}
	require.Equal(t, sheet, codes)
}

// Every read can be read, holds what the simulator gives, and names its well
// as its file does.
func TestReadsAreGoodFiles(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, demo.Write(dir, demo.Options{}))
	n := 0
	for it := range trace.Folder(os.DirFS(dir), "reads", trace.Limits{}) {
		require.Nil(t, it.Problem(), it.File)
		require.Equal(t, trace.Usable, it.Status, it.File)
		require.Equal(t, "ABIF", it.Trace.Format)
		require.True(t, it.Trace.HasChannels() && it.Trace.HasQuals(), it.File)
		require.Contains(t, it.File, it.Trace.Well)
		require.Contains(t, it.File, it.Trace.Name)
		require.Contains(t, []string{"2026-09-18", "2026-10-09"}, it.Trace.RunDate)
		n++
	}
	require.Greater(t, n, 60)
}

// Names in the library are real genera with epithets of no language, and each
// record says that it is synthetic.
func TestLibraryIsMarkedSynthetic(t *testing.T) {
	lib, err := refs.Read(bytes.NewReader(file(t, "refs.fasta")), refs.ReadOptions{})
	require.NoError(t, err)
	for _, p := range lib.Problems {
		require.True(t, p.Remark, "%s: %s", p.Record, p.What)
	}
	require.True(t, lib.Len() >= 150 && lib.Len() <= 300, "%d records", lib.Len())
	for _, r := range lib.All() {
		require.Contains(t, r.Header, "synthetic", r.ID)
		require.True(t, strings.HasPrefix(r.ID, "SYN"), r.ID)
		if r.Name.Epithet != "" {
			require.True(t, strings.HasPrefix(r.Name.Epithet, "syn"), r.Header)
		}
	}
}

// The ranks in the library's headers are those of the built-in genus table,
// so that records with and without a lineage agree.
func TestLineagesAreThoseOfTheGenusTable(t *testing.T) {
	plain := refs.NewTaxonomy(nil, nil)
	lib, err := refs.Read(bytes.NewReader(file(t, "refs.fasta")), refs.ReadOptions{})
	require.NoError(t, err)
	checked := 0
	for _, r := range lib.All() {
		if !strings.Contains(r.Header, "k__") {
			continue
		}
		own, ok := plain.Lookup(r.Name.Genus)
		require.True(t, ok, r.Name.Genus)
		_, _, lineage := refs.ParseHeader(r.Header)
		require.Equal(t, own, lineage.Upto(refs.Genus), r.Header)
		checked++
	}
	require.Greater(t, checked, 50)
}

func TestSeedDrawsAnotherBatch(t *testing.T) {
	a, err := batch()
	require.NoError(t, err)
	b, err := demo.Files(demo.Options{Seed: 7})
	require.NoError(t, err)
	require.Len(t, b, len(a))
	for i := range a {
		require.Equal(t, a[i].Path, b[i].Path)
		same := slices.Contains([]string{"truth.tsv", "vouchers.csv", "reads.csv"}, a[i].Path)
		require.Equal(t, same, bytes.Equal(a[i].Data, b[i].Data), a[i].Path)
	}
}

func ExampleWrite() {
	parent, err := os.MkdirTemp("", "demo")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(parent) //nolint:errcheck // a temporary folder
	dir := filepath.Join(parent, "club")
	if err := demo.Write(dir, demo.Options{}); err != nil {
		fmt.Println(err)
		return
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range entries {
		fmt.Println(e.Name())
	}
	// Output:
	// README.txt
	// reads
	// reads.csv
	// refs.fasta
	// truth.tsv
	// vouchers.csv
}

func ExampleFiles() {
	files, err := demo.Files(demo.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	last := files[len(files)-1]
	heading, _, _ := strings.Cut(string(last.Data), "\n")
	fmt.Println(last.Path + ": " + heading)
	// Output:
	// vouchers.csv: voucher,field_id,sample,kind,collector,identified_by,date,locality,substrate,habitat,primer_f,primer_r,notes,country
}
