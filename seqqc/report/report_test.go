package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// example is a result with one voucher of each shape a row can have: with a
// match, with a contig that matched nothing, without any sequence.
func example() *seqqc.Result {
	hit := seqqc.Hit{
		Rank: 1, Reference: "SYN1", Name: refs.Name{Verbatim: "Russula ficticia", Genus: "Russula", Epithet: "ficticia", Rank: refs.Species},
		Strand: seqqc.Forward, IdentityPct: 99.8456, IdentityStrictPct: 99.8456, CoveragePct: 100, Columns: 648,
		Substitutions: 1, Score: 1291, Gate: seqqc.GatePass,
	}
	next := hit
	next.Rank, next.Reference, next.IdentityPct = 2, "SYN2", 88.5
	next.Name = refs.Name{Verbatim: "Lactarius sp. 3", Genus: "Lactarius", Rank: refs.Genus, Doubt: refs.DoubtSp}
	next.Lineage = refs.Lineage{Genus: "Lactarius"}
	contig := &seqqc.Contig{
		Bases: []byte("ACGTR"), Quals: []byte{40, 40, 40, 40, 3}, Sequence: "ACGTR", Phred33: "IIII$",
		Reads: []seqqc.ReadPlacement{{File: "reads/a.ab1"}}, PredictedErrors: 0.5015, Ambiguous: 1,
		Region: seqqc.Region{Text: "ITS1-5.8S-ITS2"},
	}
	return &seqqc.Result{
		SchemaVersion: seqqc.SchemaVersion,
		Program:       "forayseq test",
		Library:       seqqc.LibraryInfo{Name: "refs.fasta", SHA256: "00", Records: 2, Genera: 2},
		Settings:      []seqqc.Setting{{Name: "hits", Value: "10", Source: "a reader's patience", About: "how many are listed"}},
		Vouchers: []seqqc.VoucherResult{
			{
				Voucher: seqqc.Voucher{Code: "X-1", FieldID: "Russula", Field: refs.Name{Genus: "Russula", Rank: refs.Genus}},
				Samples: []seqqc.SampleResult{{
					Contig: contig,
					Match: &seqqc.Match{
						Hits: []seqqc.Hit{hit, next}, NextGenus: &next, Supported: refs.Species, Taxon: "Russula ficticia",
						Field: seqqc.FieldEvidence{GenusRecords: 1},
					},
				}},
				Verdict: seqqc.Verdict{Kind: seqqc.Agrees, AgreeRank: refs.Genus, Reason: "same genus", NextStep: "nothing to do"},
			},
			{
				Voucher: seqqc.Voucher{Code: "=X-2", FieldID: "coral\tfungus\x1b[31m"},
				Samples: []seqqc.SampleResult{{Sample: seqqc.Sample{ID: "re run"}, Contig: contig}},
				Verdict: seqqc.Verdict{
					Kind: seqqc.Undetermined, ReasonCode: seqqc.NoMatch, Attention: true,
					Flags:  []seqqc.Flag{seqqc.Short, seqqc.OneStrandOnly},
					Reason: "no reference could be compared over enough of the sequence to say anything at all about the find", NextStep: "use a larger library",
				},
			},
			{
				Voucher: seqqc.Voucher{Code: "X-3"},
				Samples: []seqqc.SampleResult{{}},
				Chosen:  -1,
				Verdict: seqqc.Verdict{Kind: seqqc.Undetermined, ReasonCode: seqqc.NoSequence, Attention: true, Reason: "no read", NextStep: "look for it"},
			},
		},
		Reads: []seqqc.Read{
			{File: "reads/a.ab1", Format: "ABIF", Voucher: "X-1", Direction: seqqc.Forward, Usable: true, Stats: seqqc.ReadStats{Bases: 5, Qualities: true, MeanQuality: 32.6}},
			{File: "reads/b.seq", Format: "FASTA", Untied: "fits X-1 and X-3", Stats: seqqc.ReadStats{Bases: 7}},
		},
		Problems: []seqqc.Problem{
			{File: "reads/c.ab1", Offset: 26, What: "the file ends too early", Hint: "ask the laboratory for it again", Unread: true},
			{File: "vouchers.csv", Line: 4, Field: "date", What: "31.02.2026 is no date", Hint: "mend the cell"},
		},
		Cautions: seqqc.Cautions,
	}
}

func TestFilesAreAsBefore(t *testing.T) {
	dir := t.TempDir()
	m := New(example())
	require.NoError(t, Write(dir, m))
	var summary bytes.Buffer
	require.NoError(t, WriteSummary(&summary, m))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "summary.txt"), summary.Bytes(), 0o644))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, len(outputs)+1, "nothing but the outputs is left behind")
	for _, e := range entries {
		got, err := os.ReadFile(filepath.Join(dir, e.Name()))
		require.NoError(t, err)
		golden := filepath.Join("testdata", "golden", e.Name())
		if *update {
			require.NoError(t, os.MkdirAll(filepath.Dir(golden), 0o755))
			require.NoError(t, os.WriteFile(golden, got, 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		require.Equal(t, string(want), string(got), e.Name())
	}
}

// The columns are what other programs read; a change is deliberate or wrong.
func TestVerdictColumns(t *testing.T) {
	require.Equal(t, "voucher field_id field_taxon field_rank reads_used contig_bp predicted_errors ambiguous_bp region "+
		"best_reference best_name identity_pct identity_strict_pct coverage_pct next_genus next_genus_identity_pct "+
		"field_genus_records dna_taxon dna_rank verdict agree_rank parts_at reason_code flags reason next_step test_power reviewed_verdict final_name submission reviewed_by",
		strings.Join(New(example()).Verdicts.Columns, " "))
	require.Equal(t, "query rank reference name strand identity_pct identity_strict_pct coverage_pct columns substitutions "+
		"gap_events gap_bases ambiguous_columns score gate", strings.Join(New(example()).Hits.Columns, " "))
}

// Every table survives a general reader of separated values: as many cells a
// row as headings, whatever was in them.
func TestTablesAreReadable(t *testing.T) {
	m := New(example())
	for name, table := range map[string]Table{"verdicts": m.Verdicts, "hits": m.Hits, "reads": m.Reads} {
		var buf bytes.Buffer
		require.NoError(t, WriteTSV(&buf, table))
		r := csv.NewReader(&buf)
		r.Comma, r.LazyQuotes = '\t', true
		rows, err := r.ReadAll()
		require.NoError(t, err, name)
		require.Len(t, rows, len(table.Rows)+1, name)
	}
}

func TestSafeCell(t *testing.T) {
	for in, want := range map[string]string{
		"":                     "",
		"-":                    "-",
		"plain":                "plain",
		"=HYPERLINK(\"x\")":    "'=HYPERLINK(\"x\")",
		"+1":                   "'+1",
		"-1":                   "'-1",
		"@cmd":                 "'@cmd",
		"\t=1":                 " =1",
		"a\tb\nc\r\x00\x1b[0m": "a b c   [0m",
	} {
		require.Equal(t, want, SafeCell(in), "%q", in)
	}
}

func TestPercentNeverFlatters(t *testing.T) {
	for in, want := range map[float64]string{
		0: "0.00", 100: "100.00", 99.999: "99.99", 99.6: "99.60", 94.3: "94.30", 1.15: "1.15", 0.005: "0.00", 100.0 * 997 / 1000: "99.70",
	} {
		require.Equal(t, want, seqqc.Percent(in), "%v", in)
	}
}

func TestSafeTextKeepsTheTerminal(t *testing.T) {
	require.Equal(t, "a?[31mb?é?", SafeText("a\x1b[31mb\u202eé\xff"))
}

func TestSummaryFitsTheTerminal(t *testing.T) {
	var buf bytes.Buffer
	require.NoError(t, WriteSummary(&buf, New(example())))
	for line := range strings.Lines(buf.String()) {
		require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), summaryWidth, line)
	}
	for _, caution := range seqqc.Cautions {
		require.Contains(t, strings.Join(strings.Fields(buf.String()), " "), caution)
	}
}

func TestResultsReadBack(t *testing.T) {
	var buf bytes.Buffer
	require.NoError(t, writeJSON(&buf, New(example())))
	var back map[string]any
	require.NoError(t, json.Unmarshal(buf.Bytes(), &back))
	require.EqualValues(t, seqqc.SchemaVersion, back["schema_version"])
	require.Len(t, back["vouchers"], 3)
}

// A write that fails half way leaves all old files and nothing beside them.
func TestFailedWriteLeavesTheOldFiles(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, Write(dir, New(example())))
	before, err := os.ReadFile(filepath.Join(dir, "verdicts.tsv"))
	require.NoError(t, err)
	other := example()
	other.Vouchers[0].Verdict.Reason = "another run"
	// JSON has no word for this figure, so the last file fails.
	other.Vouchers[0].Samples[0].Contig.PredictedErrors = math.NaN()
	require.ErrorContains(t, Write(dir, New(other)), "results.json")
	after, err := os.ReadFile(filepath.Join(dir, "verdicts.tsv"))
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, len(outputs))
}

// What comes after a run reads the file: nothing that is in it gets lost.
func TestResultsAreReadBackWhole(t *testing.T) {
	var first, second bytes.Buffer
	require.NoError(t, writeJSON(&first, New(example())))
	res, err := seqqc.ReadResult(bytes.NewReader(first.Bytes()))
	require.NoError(t, err)
	require.NoError(t, writeJSON(&second, New(res)))
	require.Equal(t, first.String(), second.String())
	contig := res.Vouchers[0].Samples[0].Contig
	require.Equal(t, contig.Sequence, string(contig.Bases))
	require.Equal(t, example().Vouchers[0].Samples[0].Contig.Quals, contig.Quals)

	_, err = seqqc.ReadResult(strings.NewReader(`{"schema_version": 99}`))
	var schema *seqqc.SchemaError
	require.ErrorAs(t, err, &schema)
	for _, bad := range []string{"", "{}", "[1]", `{"schema_version":1,"vouchers":[{"chosen":3}]}`,
		`{"schema_version":1,"vouchers":[{"chosen":-1,"samples":[{"contig":{"sequence":"AC","phred33":"!"}}]}]}`} {
		_, err := seqqc.ReadResult(strings.NewReader(bad))
		require.Error(t, err, bad)
	}
}

func TestNoErrorsArePredictedWithoutQualities(t *testing.T) {
	res := example()
	res.Vouchers[0].Samples[0].Contig.Flags = []seqqc.Flag{seqqc.QualityMissing}
	m := New(res)
	require.Equal(t, "predicted_errors", m.Verdicts.Columns[6])
	require.Equal(t, "", m.Verdicts.Rows[0][6])
	var fasta bytes.Buffer
	require.NoError(t, writeFASTA(&fasta, m))
	require.Contains(t, fasta.String(), "predicted_errors=- ")
}
