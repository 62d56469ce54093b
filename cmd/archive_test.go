package cmd_test

import (
	"archive/zip"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// printed runs the example in a command's help as it is printed, and gives what
// its last call came to.
func printed(t *testing.T, command ...string) outcome {
	t.Helper()
	return runExample(t, exampleOf(t, command...)...)
}

func TestDepositExample(t *testing.T) {
	notUnderShort(t)
	last := printed(t, "deposit")
	require.Regexp(t, `sequences\.fsa: 1\d sequences, no faults\n$`, last.stdout)
	require.Contains(t, call(t, "", "deposit", "demo-batch").stdout, "39 of them without an institution's code")
	require.NotContains(t, call(t, "", "deposit", "demo-batch", "--institution", "QMC").stdout, "without an institution's code")
	dir := filepath.Join("demo-batch", "deposit")
	fasta := readFile(t, dir, "sequences.fsa")
	sources := table(t, readFile(t, dir, "source_modifiers.tsv"))
	require.Len(t, sources, strings.Count(fasta, ">"))
	for _, row := range sources {
		require.Contains(t, fasta, ">"+row["Sequence_ID"]+" [organism="+row["organism"]+"]")
		require.Equal(t, "missing: synthetic construct", row["geo_loc_name"])
	}
	// Every voucher of the sheet goes or stays, none both.
	seen := map[string]bool{}
	for _, row := range sources {
		seen[row["isolate"]] = true
	}
	for _, row := range table(t, readFile(t, dir, "left_out.tsv")) {
		require.False(t, strings.Contains(fasta, ">"+row["voucher"]+" "), row["voucher"])
		seen[row["voucher"]] = true
	}
	for _, row := range table(t, readFile(t, "demo-batch", "results", "verdicts.tsv")) {
		require.True(t, seen[row["voucher"]], row["voucher"])
	}
	// The archive's rows of DNA join its specimens.
	z, err := zip.OpenReader(filepath.Join(dir, "occurrences.zip"))
	require.NoError(t, err)
	defer func() { require.NoError(t, z.Close()) }()
	rows := func(name string) [][]string {
		f, err := z.Open(name)
		require.NoError(t, err)
		defer func() { require.NoError(t, f.Close()) }()
		r := csv.NewReader(f)
		r.Comma = '\t'
		all, err := r.ReadAll()
		require.NoError(t, err)
		return all[1:]
	}
	specimens := map[string]bool{}
	for _, row := range rows("occurrence.txt") {
		require.False(t, specimens[row[0]], row[0])
		specimens[row[0]] = true
	}
	dna := rows("dna.txt")
	require.Len(t, dna, len(sources))
	for _, row := range dna {
		require.True(t, specimens[row[0]], row[0])
	}
	require.Contains(t, readFile(t, dir, "checklist.txt"), "Before you submit")

	// A fault in a FASTA is told with its line, and gives a status of its own.
	require.NoError(t, os.WriteFile("bad.fsa", []byte(strings.Replace(fasta, "[collection-date=", "[collection-date=32-", 1)), 0o644))
	bad := call(t, "", "deposit", "--check", "bad.fsa")
	require.Equal(t, 4, bad.status)
	require.Contains(t, bad.stdout, "line 1, ")
	require.Contains(t, bad.stdout, "collection-date")
}

func TestLettersExample(t *testing.T) {
	notUnderShort(t)
	last := printed(t, "letters")
	require.Contains(t, last.stdout, "3 letters in "+filepath.Join("demo-batch", "letters"))
	for _, collector := range []string{"fern-placeholder", "moss-testwright", "hazel-sample"} {
		for _, ending := range []string{".txt", ".html"} {
			text := readFile(t, "demo-batch", "letters", collector+ending)
			require.Contains(t, text, "QM-1", collector)
			require.Contains(t, text, "safe to eat", collector)
		}
	}
}

func TestLedgerExamples(t *testing.T) {
	notUnderShort(t)
	t.Run("add", func(t *testing.T) {
		require.Contains(t, printed(t, "ledger", "add").stdout, "batch demo-batch added: 42 vouchers")
		require.Contains(t, call(t, "", "ledger", "add", "demo-batch").stdout, "was there already, unchanged")
	})
	t.Run("ledger", func(t *testing.T) {
		rows := table(t, printed(t, "ledger").stdout)
		require.NotEmpty(t, rows)
		for _, row := range rows {
			require.Equal(t, "conflict", row["verdict"])
		}
	})
	t.Run("list", func(t *testing.T) {
		near := table(t, printed(t, "ledger", "list").stdout)
		first := map[string]bool{}
		for _, row := range near { // nearest first, and each is in the ledger itself
			if !first[row["query"]] {
				require.Equal(t, "100.00", row["identity_pct"], row["query"])
			}
			first[row["query"]] = true
		}
		require.Greater(t, len(first), 20)
	})
	t.Run("export", func(t *testing.T) {
		lines := strings.Split(strings.TrimSpace(printed(t, "ledger", "export").stdout), "\n")
		require.Len(t, lines, 42)
		for _, line := range lines {
			var v struct {
				Batch   string
				Voucher struct{ Voucher string }
				Verdict struct{ Verdict string }
			}
			require.NoError(t, json.Unmarshal([]byte(line), &v))
			require.Equal(t, "demo-batch", v.Batch)
			require.NotEmpty(t, v.Voucher.Voucher)
			require.NotEmpty(t, v.Verdict.Verdict, line)
		}
	})
	t.Run("codes", func(t *testing.T) {
		rows := table(t, printed(t, "ledger", "codes").stdout)
		require.Len(t, rows, 6)
		require.Regexp(t, `^club-\d{4}-01$`, rows[0]["code"])
		require.Contains(t, rows[0]["what"], "given to QM-")
	})
	t.Run("recheck", func(t *testing.T) {
		same := printed(t, "ledger", "recheck")
		require.Empty(t, table(t, same.stdout), "the same library changes nothing")
		require.Contains(t, same.stderr, "nothing changed among 40 vouchers")
		refs := filepath.Join("demo-batch", "refs.fasta")
		require.NoError(t, os.WriteFile("names.csv", []byte("name,accepted\nAgaricus synprima,Suillus synsecunda\n"), 0o644))
		renamed := call(t, "", "ledger", "recheck", "--refs", refs, "--names", "names.csv")
		require.Zero(t, renamed.status, renamed.stderr)
		rows := table(t, renamed.stdout)
		require.NotEmpty(t, rows)
		for _, row := range rows {
			require.Contains(t, row["before"]+row["field_id"], "Agaricus synprima")
			require.NotEqual(t, row["before"], row["after"])
		}
		again := call(t, "", "ledger", "recheck", "--refs", refs, "--names", "names.csv")
		require.Equal(t, renamed.stdout, again.stdout)
		require.Contains(t, again.stderr, "40 answers known from an earlier recheck")
		alone := call(t, "", "ledger", "recheck", "--names", "names.csv")
		require.Zero(t, alone.status, alone.stderr)
		for _, row := range table(t, alone.stdout) {
			require.Equal(t, "renamed", row["change"])
			require.Contains(t, row["after"], "Suillus synsecunda")
		}
		require.Contains(t, alone.stdout, "label Agaricus synprima")
		require.Equal(t, 2, call(t, "", "ledger", "recheck", "--names", "names.csv", "--keep").status)
		require.NoError(t, os.WriteFile("names.csv", []byte("name,accepted\n???,Suillus\n"), 0o644))
		odd := call(t, "", "ledger", "recheck", "--refs", refs, "--names", "names.csv")
		require.Equal(t, 3, odd.status)
		require.Contains(t, odd.stderr, "names.csv")
		missing := call(t, "", "ledger", "recheck", "--refs", refs, "--names", "missing.csv")
		require.Equal(t, 1, missing.status)
		require.Contains(t, missing.stderr, "missing.csv")
	})
}

// An error that has nothing to do with the ledger file is not told as one of it.
func TestLedgerErrors(t *testing.T) {
	notUnderShort(t)
	dir := smallBatch(t)
	require.Zero(t, call(t, "", "run", dir).status)
	t.Chdir(t.TempDir())
	require.Zero(t, call(t, "", "ledger", "add", dir).status)
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"ledger", "list", "--near", "missing.fasta"}, 1, "missing.fasta"},
		{[]string{"ledger", "recheck", "--refs", "missing.fasta"}, 1, "missing.fasta"},
		{[]string{"ledger", "recheck", "--refs", filepath.Join(dir, "refs.fasta"), "--taxonomy", "missing.tsv"}, 1, "missing.tsv"},
		{[]string{"ledger", "list", "--ledger", "missing.ledger"}, 1, "there is no ledger missing.ledger"},
		{[]string{"ledger", "list", "--ledger", filepath.Join(dir, "vouchers.csv")}, 1, "vouchers.csv: it is no ledger"},
		{[]string{"ledger", "list", "--verdict", "sadness"}, 2, "--verdict"},
		{[]string{"ledger", "list", "--from", "31.12.2026"}, 2, "YYYY-MM-DD"},
		{[]string{"ledger", "codes", "club-1999-01"}, 1, "no code"},
		{[]string{"run", dir, "--ledger", "missing.ledger"}, 1, "there is no ledger missing.ledger"},
	} {
		out := call(t, "", c.args...)
		require.Equal(t, c.status, out.status, "%v: %s", c.args, out.stderr)
		require.Contains(t, out.stderr, c.says, "%v", c.args)
		require.NotContains(t, strings.Replace(out.stderr, c.says, "", 1), "there is no ledger", "%v", c.args)
	}
}
