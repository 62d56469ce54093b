package batch_test

import (
	"encoding/csv"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/demo"
)

// demoFiles are the files of the invented club's batch, simulated once.
var demoFiles = sync.OnceValues(func() (fstest.MapFS, error) {
	tmp, err := os.MkdirTemp("", "forayseq-test-")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(tmp) }()
	dir := filepath.Join(tmp, "demo")
	if err := demo.Write(dir, demo.Options{}); err != nil {
		return nil, err
	}
	files := fstest.MapFS{}
	return files, fs.WalkDir(os.DirFS(dir), ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(dir, path))
		files[path] = &fstest.MapFile{Data: data, Mode: 0o644}
		return err
	})
})

// writeDemo writes the invented club's batch and gives its folder.
func writeDemo(t testing.TB) string {
	t.Helper()
	files, err := demoFiles()
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "demo")
	require.NoError(t, os.CopyFS(dir, files))
	return dir
}

// wholeDemo is what a run of the whole demo finds; who changes it asks for a
// run of his own.
var wholeDemo *seqqc.Result

func runDemo(t *testing.T) *seqqc.Result {
	t.Helper()
	if wholeDemo == nil {
		var err error
		wholeDemo, err = batch.Run(t.Context(), batch.Options{Dir: writeDemo(t), Settings: batch.DefaultSettings()})
		require.NoError(t, err)
	}
	return wholeDemo
}

// notUnderShort leaves runs of whole batches and measurements to the plain run;
// -short is for what runs at the same time, which a part of the demo shows.
func notUnderShort(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("a whole batch, or hundreds of tubes")
	}
}

// truth reads the demo's table of what was built into each voucher.
func truth(t *testing.T, dir string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, "truth.tsv"))
	require.NoError(t, err)
	r := csv.NewReader(f)
	r.Comma = '\t'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.NoError(t, f.Close())
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, cell := range row {
			m[rows[0][i]] = cell
		}
		out = append(out, m)
	}
	return out
}

// The simulator knows what it built into each voucher; the run has only the
// reads, the sheet and the references.
func TestDemoVerdictsAreTheTruth(t *testing.T) {
	notUnderShort(t)
	res := runDemo(t)
	want := truth(t, writeDemo(t))
	require.Len(t, res.Vouchers, len(want))
	seen := map[seqqc.VerdictKind]bool{}
	for i, row := range want {
		v := res.Vouchers[i].Verdict
		seen[v.Kind] = true
		got := map[string]string{
			"voucher":     res.Vouchers[i].Voucher.Code,
			"verdict":     string(v.Kind),
			"reason_code": string(v.ReasonCode),
			"agree_rank":  v.AgreeRank.String(),
			"parts_at":    v.PartsAt.String(),
			"flags":       seqqc.JoinFlags(v.Flags),
		}
		for column, cell := range got {
			require.Equal(t, row[column], cell, "%s, %s (%s): %s", row["voucher"], column, row["built_in"], v.Reason)
		}
		require.NotEmpty(t, v.Reason)
		require.NotEmpty(t, v.NextStep)
	}
	for _, kind := range seqqc.VerdictKinds {
		require.True(t, seen[kind], "the demo has no voucher that is %s", kind)
	}
}

func BenchmarkDemoRun(b *testing.B) {
	dir := writeDemo(b)
	for b.Loop() {
		if _, err := batch.Run(b.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()}); err != nil {
			b.Fatal(err)
		}
	}
}

func TestPartners(t *testing.T) {
	read := func(d seqqc.Direction, primer string) *seqqc.Read { return &seqqc.Read{Direction: d, Primer: primer} }
	for name, c := range map[string]struct {
		sheet seqqc.Sample
		reads []*seqqc.Read
		want  []string
	}{
		"from the sheet":      {seqqc.Sample{PrimerForward: "ITS5", PrimerReverse: "ITS4-B"}, []*seqqc.Read{read(1, "ITS1"), read(-1, "ITS4"), read(0, "")}, []string{"ITS4-B", "ITS5", ""}},
		"from one another":    {seqqc.Sample{}, []*seqqc.Read{read(1, "ITS1"), read(-1, "ITS4"), read(1, "ITS1")}, []string{"ITS4", "ITS1", "ITS4"}},
		"two say two things":  {seqqc.Sample{}, []*seqqc.Read{read(1, "ITS1"), read(-1, "ITS4"), read(-1, "ITS2")}, []string{"", "ITS1", "ITS1"}},
		"alone":               {seqqc.Sample{}, []*seqqc.Read{read(1, "ITS1")}, []string{""}},
		"direction not known": {seqqc.Sample{}, []*seqqc.Read{read(0, ""), read(-1, "ITS4")}, []string{"", ""}},
	} {
		batch.NamePartners(c.sheet, c.reads)
		for i, r := range c.reads {
			require.Equal(t, c.want[i], r.Partner, "%s, read %d", name, i)
		}
	}
}
