package batch_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// openData gives the folder of open data, or skips.
func openData(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no open data to check against")
	}
	return dir
}

// The 26 real reads of a 3730xl, primer ITS1-F, with the 110 archive records
// near them (SubalpineMyco, MIT licence), as a batch: every row is there, reads
// and vouchers find one another (1 is not the 1 of ITS1F), and what the traces
// say is told.
func TestRealReads(t *testing.T) {
	notUnderShort(t)
	data := openData(t)
	reads := filepath.Join(data, "abif", "fungal_its1f")
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "reads"), os.DirFS(reads)))
	entries, err := filepath.Glob(filepath.Join(reads, "*.ab1"))
	require.NoError(t, err)
	require.Len(t, entries, 26)
	sheet := "voucher,field_id,primer_f\n"
	var codes []string
	for _, e := range entries {
		code := strings.TrimSuffix(strings.TrimPrefix(filepath.Base(e), "cleaned_"), "-ITS1F.ab1")
		codes = append(codes, code)
		sheet += fmt.Sprintf("%s,Wilcoxina sp.,ITS1-F\n", code)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, batch.SheetName), []byte(sheet), 0o644))
	res, err := batch.Run(t.Context(), batch.Options{
		Dir: dir, Refs: filepath.Join(data, "its", "subalpine_references.fasta"), Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	require.Len(t, res.Vouchers, 26)
	usable, species, kinds := 0, 0, map[seqqc.VerdictKind]int{}
	for i, v := range res.Vouchers {
		require.Equal(t, codes[i], v.Voucher.Code)
		require.Equal(t, []string{"reads/cleaned_" + codes[i] + "-ITS1F.ab1"}, v.Samples[0].ReadFiles, "the .seq beside a trace is no second read")
		kinds[v.Verdict.Kind]++
		s := v.ChosenSample()
		if s == nil {
			require.Equal(t, seqqc.Undetermined, v.Verdict.Kind)
			continue
		}
		usable++
		require.Contains(t, v.Verdict.Flags, seqqc.OneStrandOnly, codes[i])
		if s.Match.Supported == refs.Species {
			species++
		}
	}
	// Of the five others trimming keeps fewer than 100 bases.
	require.GreaterOrEqual(t, usable, 19)
	require.GreaterOrEqual(t, kinds[seqqc.Agrees], 8, "%v", kinds)
	// Most of the other fungi of these roots are such as live in plants and turn up
	// in anything (Phialocephala and others), which is no word against the label.
	require.GreaterOrEqual(t, kinds[seqqc.Conflict]+kinds[seqqc.Overgrowth], 7, "%v", kinds)
	require.GreaterOrEqual(t, species, 8)
	for _, p := range res.Problems {
		require.False(t, p.Unread, "%v", p)
	}
	t.Logf("%d of 26 usable, verdicts %v, %d to species", usable, kinds, species)
}

// Nine records of the archive's ITS set are mRNA and no ITS (RefSeq, by way of
// metacoder): against published ITS sequences none may reach a genus. The 290
// true ones are the other side of the check. A query that nothing passes costs
// the most there is, so each eighth of the 4,276 sequences serves as library;
// with FORAYSEQ_LONG set all do (some minutes).
func TestWhatIsNoITSMatchesNoGenus(t *testing.T) {
	notUnderShort(t)
	data := openData(t)
	text, err := os.ReadFile(filepath.Join(data, "its", "refseq_its.fasta"))
	require.NoError(t, err)
	var its, other bytes.Buffer
	for _, record := range strings.SplitAfter(string(text), "\n>") {
		record = ">" + strings.TrimSuffix(strings.TrimPrefix(record, ">"), ">")
		if strings.Contains(strings.SplitN(record, "\n", 2)[0], "mRNA") {
			other.WriteString(record)
		} else if its.Len() < 40_000 { // some 60 records are enough here
			its.WriteString(record)
		}
	}
	library := filepath.Join(data, "its", "macrofungi_its.fasta")
	if os.Getenv("FORAYSEQ_LONG") == "" {
		all, err := os.ReadFile(library)
		require.NoError(t, err)
		var some strings.Builder
		for i, record := range strings.Split(string(all), ">")[1:] {
			if i%8 == 0 {
				some.WriteString(">" + record)
			}
		}
		library = filepath.Join(t.TempDir(), "library.fasta")
		require.NoError(t, os.WriteFile(library, []byte(some.String()), 0o644))
	}
	settings := batch.DefaultSettings()
	settings.Match.ListFrom = 0 // the gate is asked for, not what is near
	match := func(queries string) []batch.Matched {
		var got []batch.Matched
		require.NoError(t, batch.Match(t.Context(), batch.MatchOptions{
			Queries: "-", Stdin: strings.NewReader(queries),
			Refs: library, Settings: settings,
		}, func(m batch.Matched) error {
			if m.Problem == nil { // of the library
				got = append(got, m)
			}
			return nil
		}))
		return got
	}
	none := match(other.String())
	require.Len(t, none, 9)
	for _, m := range none {
		require.Less(t, m.Match.Supported, refs.Genus, "%s is named %s", m.Query, m.Match.Taxon)
	}
	gated := 0
	for _, m := range match(its.String()) {
		if len(m.Match.Hits) > 0 {
			gated++
		}
	}
	require.Greater(t, gated, 40, "true ITS sequences find something to compare with")
}
