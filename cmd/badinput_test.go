package cmd_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// smallBatch makes a batch of three vouchers out of the demo: everyday reads,
// under new names, and the demo's references.
func smallBatch(t *testing.T) string {
	t.Helper()
	demo := demoBatch(t)
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "reads"), 0o755))
	copyFile(t, filepath.Join(demo, "refs.fasta"), filepath.Join(dir, "refs.fasta"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "vouchers.csv"),
		[]byte("voucher,field_id\nTT-1,Russula\nTT-2,Russula\nTT-3,Russula\n"), 0o644))
	copyFile(t, filepath.Join(demo, "reads", "plate_1", "A01_QM-101_ITS1F.ab1"), filepath.Join(dir, "reads", "TT-1.ab1"))
	return dir
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(to, b, 0o644))
}

// Whatever one input is, the others get their verdicts, and a line names the
// file and says what to do.
func TestOneBadInputStopsNothing(t *testing.T) {
	notUnderShort(t)
	good := smallBatch(t)
	abif, err := os.ReadFile(filepath.Join(good, "reads", "TT-1.ab1"))
	require.NoError(t, err)
	patch := func(at int, value uint32) []byte {
		b := bytes.Clone(abif)
		binary.BigEndian.PutUint32(b[at:], value)
		return b
	}
	for name, c := range map[string]struct {
		file string
		data []byte
		says string
	}{
		"empty":                       {"reads/TT-2.ab1", nil, "TT-2.ab1"},
		"cut in the header":           {"reads/TT-2.ab1", abif[:20], "too early"},
		"cut in the middle":           {"reads/TT-2.ab1", abif[:len(abif)/2], "TT-2.ab1"},
		"cut before its last byte":    {"reads/TT-2.ab1", abif[:len(abif)-1], "TT-2.ab1"},
		"wrong magic":                 {"reads/TT-2.ab1", append([]byte("XBIF"), abif[4:]...), "TT-2.ab1"},
		"directory outside the file":  {"reads/TT-2.ab1", patch(26, 1<<30), "TT-2.ab1"},
		"four billion entries":        {"reads/TT-2.ab1", patch(18, 1<<32-1), "TT-2.ab1"},
		"protein in a FASTA":          {"reads/TT-2.fasta", []byte(">TT-2\nMKVLAAGIEFQ\n"), "TT-2.fasta"},
		"zip that is none":            {"reads/plate.zip", []byte("PK\x03\x04 no more"), "plate.zip"},
		"zip that inflates on and on": {"reads/plate.zip", bomb(t), "plate.zip"},
		"duplicate voucher":           {"vouchers.csv", []byte("voucher,field_id\nTT-1,Russula\nTT-1,Amanita\n"), "TT-1"},
		"row without a voucher":       {"vouchers.csv", []byte("voucher,field_id\nTT-1,Russula\n,Amanita\n"), "vouchers.csv line 3"},
		"protein in the library":      {"refs.fasta", append([]byte(">P1 Russula synprima\nMKVLAAGIEFQ\n"), readBytes(t, good, "refs.fasta")...), "P1"},
		"read of two vouchers":        {"reads/TT-2_TT-3.ab1", changed(abif), "TT-2"},
		"read of nobody":              {"reads/TT-9.ab1", changed(abif), "TT-9.ab1"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			require.NoError(t, os.CopyFS(dir, os.DirFS(good)))
			require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.FromSlash(c.file)), c.data, 0o644))
			out := call(t, "", "run", dir)
			require.Equal(t, 3, out.status, "%s%s", out.stdout, out.stderr)
			told := ""
			for _, row := range table(t, readFile(t, dir, "results", "problems.tsv")) {
				if row["left_out"] == "yes" {
					told += fmt.Sprintf("%s line %s: %s\n", row["file"], row["line"], row["problem"])
					require.NotEmpty(t, row["what_to_do"], row)
				}
			}
			require.Contains(t, told, c.says)
			name, _, _ := strings.Cut(told, " line")
			require.Contains(t, strings.Join(strings.Fields(out.stdout), " "), name, "the summary names it too")
			rows := table(t, readFile(t, dir, "results", "verdicts.tsv"))
			require.NotEmpty(t, rows)
			require.Equal(t, "TT-1", rows[0]["voucher"])
			require.Equal(t, "agrees", rows[0]["verdict"], "the good voucher keeps its verdict")
		})
	}
}

func readBytes(t *testing.T, parts ...string) []byte { return []byte(readFile(t, parts...)) }

// changed gives a chromatogram that is another read, so that it is not taken
// for a second copy: one base quality of the file differs.
func changed(abif []byte) []byte {
	b := bytes.Clone(abif)
	at := bytes.LastIndex(b, []byte{40, 40})
	if at < 0 {
		at = len(b) / 2
	}
	b[at]--
	return b
}

// bomb is an archive of one member that inflates a thousand times.
func bomb(t *testing.T) []byte {
	t.Helper()
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	w, err := z.Create("TT-2.ab1")
	require.NoError(t, err)
	zeros := make([]byte, 1<<20)
	for range 100 {
		_, err := w.Write(zeros)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return buf.Bytes()
}

// One chromatogram filed under two vouchers tells of neither; an unreadable file
// tells why its voucher has no sequence.
func TestWhoseReadIsIt(t *testing.T) {
	notUnderShort(t)
	dir := smallBatch(t)
	read := filepath.Join(dir, "reads", "TT-1.ab1")
	copyFile(t, read, filepath.Join(dir, "reads", "TT-2.ab1"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "reads", "TT-3.ab1"), readBytes(t, read)[:200], 0o644))
	out := call(t, "", "run", dir)
	require.Equal(t, 3, out.status)
	rows := table(t, readFile(t, dir, "results", "verdicts.tsv"))
	for i, says := range []string{"No read file", "No read file", "TT-3.ab1"} {
		require.Equal(t, "no_sequence", rows[i]["reason_code"], rows[i])
		require.Contains(t, rows[i]["reason"], says)
	}
	problems := readFile(t, dir, "results", "problems.tsv")
	require.Contains(t, problems, "filed under TT-1 and under TT-2")
	require.Equal(t, 1, strings.Count(problems, "TT-3.ab1"), "one file, one line")

	// A copy whose name tells nothing takes nothing from the one whose name does.
	require.NoError(t, os.Rename(filepath.Join(dir, "reads", "TT-2.ab1"), filepath.Join(dir, "reads", "A-copy-of-it.ab1")))
	call(t, "", "run", dir)
	rows = table(t, readFile(t, dir, "results", "verdicts.tsv"))
	require.Equal(t, "agrees", rows[0]["verdict"], rows[0])
	require.NotContains(t, readFile(t, dir, "results", "problems.tsv"), "no voucher code")
	require.NoError(t, os.Rename(filepath.Join(dir, "reads", "A-copy-of-it.ab1"), filepath.Join(dir, "reads", "TT-2.ab1")))

	// The same content twice under one voucher is one read.
	require.NoError(t, os.Remove(filepath.Join(dir, "reads", "TT-2.ab1")))
	copyFile(t, read, filepath.Join(dir, "reads", "TT-1_copy.ab1"))
	call(t, "", "run", dir)
	rows = table(t, readFile(t, dir, "results", "verdicts.tsv"))
	require.Equal(t, "1", rows[0]["reads_used"])
}

// A run leaves nothing behind but its files, writes them again over old ones,
// and what it writes does not depend on the folder, the hour or the threads.
func TestRunsAreRepeatable(t *testing.T) {
	dir := smallBatch(t)
	require.Zero(t, call(t, "", "run", dir, "--threads", "1").status)
	other := filepath.Join(t.TempDir(), "elsewhere")
	require.Zero(t, call(t, "", "run", dir, "--out", other, "--threads", "3").status)
	entries, err := os.ReadDir(other)
	require.NoError(t, err)
	require.Len(t, entries, 10)
	for _, e := range entries {
		require.Equal(t, readFile(t, dir, "results", e.Name()), readFile(t, other, e.Name()), e.Name())
		require.NotContains(t, readFile(t, other, e.Name()), filepath.Dir(dir), "a path of this machine")
	}
	require.Zero(t, call(t, "", "run", dir).status)
}

func TestFailOn(t *testing.T) {
	notUnderShort(t)
	dir := smallBatch(t)
	require.Equal(t, 4, call(t, "", "run", dir, "--fail-on", "Conflict, Agrees").status)
	require.Zero(t, call(t, "", "run", dir, "--fail-on", "conflict,overgrowth").status)
	require.Equal(t, 4, call(t, "", "run", dir, "--fail-on", "agrees").status)
	require.Equal(t, 4, call(t, "", "run", dir, "--fail-on", "conflict", "--fail-on", "undetermined").status)
}

func TestSettingsFromFileAndFlag(t *testing.T) {
	notUnderShort(t)
	dir := smallBatch(t)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "forayseq.yaml"), []byte("top: 4\n"), 0o644))
	require.Zero(t, call(t, "", "run", dir, "--top", "2").status)
	require.Contains(t, readFile(t, dir, "results", "results.json"), `"name": "top",
   "value": "2"`)
	require.Zero(t, call(t, "", "run", dir).status)
	require.Contains(t, readFile(t, dir, "results", "results.json"), `"name": "top",
   "value": "4"`)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "forayseq.yaml"), []byte("topz: 4\n"), 0o644))
	out := call(t, "", "run", dir)
	require.Equal(t, 1, out.status)
	require.Contains(t, out.stderr, "topz")
}

// qc and match take standard input and agree with what run says.
func TestPipes(t *testing.T) {
	dir := smallBatch(t)
	require.Zero(t, call(t, "", "run", dir).status)
	read := string(readBytes(t, dir, "reads", "TT-1.ab1"))
	piped, named := call(t, read, "qc", "-"), call(t, "", "qc", filepath.Join(dir, "reads", "TT-1.ab1"))
	require.Zero(t, piped.status, piped.stderr)
	require.Zero(t, named.status, named.stderr)
	a, b := table(t, piped.stdout)[0], table(t, named.stdout)[0]
	require.Equal(t, "-", a["file"])
	require.NotEqual(t, "0", a["kept_bases"])
	delete(a, "file")
	delete(b, "file")
	require.Equal(t, a["bases"], b["bases"])
	require.Equal(t, a["mean_quality"], b["mean_quality"])

	contigs := readFile(t, dir, "results", "contigs.fasta")
	matched := call(t, contigs, "match", "-", "--refs", filepath.Join(dir, "refs.fasta"))
	require.Zero(t, matched.status, matched.stderr)
	require.Equal(t, readFile(t, dir, "results", "hits.tsv"), matched.stdout)

	spoilt := call(t, ">bad record\nACGT!!\n"+contigs, "match", "-", "--refs", filepath.Join(dir, "refs.fasta"))
	require.Equal(t, 3, spoilt.status)
	require.Contains(t, spoilt.stderr, "line 2: bad: ")
	require.Equal(t, matched.stdout, spoilt.stdout, "one bad record leaves the others")

	require.Equal(t, 3, call(t, "", "qc", filepath.Join(dir, "missing.ab1")).status)
	require.Equal(t, 3, call(t, "garbage", "qc", "-").status)
	require.Equal(t, 1, call(t, "garbage", "match", "-", "--refs", filepath.Join(dir, "refs.fasta")).status)
}
