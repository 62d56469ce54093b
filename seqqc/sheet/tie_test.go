package sheet_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/sheet"
)

// club makes vouchers of codes; "FC-7:a,b" has the samples a and b.
func club(codes ...string) []seqqc.Voucher {
	var out []seqqc.Voucher
	for i, code := range codes {
		code, list, _ := strings.Cut(code, ":")
		v := seqqc.Voucher{Code: code, Kind: seqqc.Specimen, Row: i + 2}
		for _, id := range strings.Split(list, ",") {
			v.Samples = append(v.Samples, seqqc.Sample{ID: id, Row: i + 2})
		}
		out = append(out, v)
	}
	return out
}

func tieOne(vouchers []seqqc.Voucher, file string) *seqqc.Read {
	r := &seqqc.Read{File: file}
	sheet.Tie(vouchers, []*seqqc.Read{r}, nil)
	return r
}

// habits are the codes of an invented club and how laboratories and members
// might name the files of its reads. The forms are common practice, no source.
var habits = []struct {
	file, voucher, primer, direction string
}{
	{"A01_FC-0123_ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC0123-ITS4_B02_2026-10-03.ab1", "FC-0123", "ITS4", "reverse"},
	{"FC-0123.ab1", "FC-0123", "", "unknown"},
	{"fc_0123.AB1", "FC-0123", "", "unknown"},
	{"FC 0123 ITS1-F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC.0123.ITS4.scf", "FC-0123", "ITS4", "reverse"},
	{"FC-123_ITS4.ab1", "FC-0123", "ITS4", "reverse"},
	{"FC-0123_5.8SR.fasta", "FC-0123", "", "unknown"},
	{"FC-0123-5.8S.ab1", "FC-0123", "", "unknown"},
	{"FC0123 5.8SR C01.ab1", "FC-0123", "", "unknown"},
	{"FC-0123_F.ab1", "FC-0123", "", "forward"},
	{"FC-0123_R.ab1", "FC-0123", "", "reverse"},
	{"FC-0123F.ab1", "FC-0123", "", "forward"},
	{"FC0123R.ab1", "FC-0123", "", "reverse"},
	{"FC-0123_fwd.ab1", "FC-0123", "", "forward"},
	{"FC-0123_rev_1.ab1", "FC-0123", "", "reverse"},
	{"FC0123ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC0123_ITS5.ab1", "FC-0123", "ITS5", "forward"},
	{"ITS4_FC-0123.ab1", "FC-0123", "ITS4", "reverse"},
	{"ITS4-FC-0123-H12.ab1", "FC-0123", "ITS4", "reverse"},
	{"H12-FC-0123-ITS4.ab1", "FC-0123", "ITS4", "reverse"},
	{"03_FC-0123_ITS1F_C01.ab1", "FC-0123", "ITS1-F", "forward"},
	{"Plate2_A01_FC-0123_ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"plate 2 FC-0123 ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"run17_FC-0123_ITS4_G03.ab1", "FC-0123", "ITS4", "reverse"},
	{"FC-0123_ITS1F_lane3.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123_ITS1F_L001.fastq.gz", "FC-0123", "ITS1-F", "forward"},
	{"20261003_FC-0123_ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123_03-10-2026.ab1", "FC-0123", "", "unknown"},
	{"FC-0123_3Oct2026_ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"2026-10-03_14-22-33_FC-0123_ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123_261003_ITS4.ab1", "FC-0123", "ITS4", "reverse"},
	{"FC-0123-ITS1F (1).ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123_ITS1F - Copy.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123_Amanita_sp_ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"Club-FC-0123-ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"order_55512_FC-0123_ITS4-B.ab1", "FC-0123", "ITS4-B", "reverse"},
	{"FC-0123_M13F.ab1", "FC-0123", "M13F", "forward"},
	{"FC-0123_ITS1F_M13-F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123_ITS1F-ITS4_R.ab1", "FC-0123", "ITS4", "reverse"},
	{"FC-0123_gITS7.ab1", "FC-0123", "gITS7", "forward"},
	{"FC-0123-LROR.ab1", "FC-0123", "LR0R", "forward"},
	{"FC-0123_ITS1-F_KYO2.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123-ITS4R.ab1", "FC-0123", "ITS4", "reverse"},
	{"ITS1Fngs-FC-0123.ab1", "FC-0123", "", "unknown"},
	{"FC-0123/A01_ITS4ngs.ab1", "FC-0123", "", "unknown"}, // no number of a voucher
	{"FC-0123/ITS4_KYO3.ab1", "FC-0123", "ITS4", "reverse"},
	{"lab.zip/results/A01_FC-0123_ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123/ITS1F.ab1", "FC-0123", "ITS1-F", "forward"},
	{"FC-0123/A01_ITS4.ab1", "FC-0123", "ITS4", "reverse"},
	{"batch.fasta#FC-0123_ITS4", "FC-0123", "ITS4", "reverse"},
	{"FC-0012_ITS4.ab1", "FC-0012", "ITS4", "reverse"},
	{"FC12_ITS4.ab1", "FC-0012", "ITS4", "reverse"},
	{"NTC_ITS1F_H12.ab1", "NTC", "ITS1-F", "forward"},
	{"Blank-1_ITS1F.ab1", "Blank 1", "ITS1-F", "forward"},
	{"JD 2026 012-ITS1F.ab1", "JD 2026 012", "ITS1-F", "forward"},
	{"JD-2026-012_A01.ab1", "JD 2026 012", "", "unknown"},
	{"JD2026012_ITS4.ab1", "JD 2026 012", "ITS4", "reverse"},
	{"jd_2026_12_ITS4.ab1", "JD 2026 012", "ITS4", "reverse"},
	{"Å-7_ITS1F.ab1", "Å7", "ITS1-F", "forward"},
	{"A\u030a-7_ITS4.ab1", "Å7", "ITS4", "reverse"}, // as some file systems spell it
}

func TestNamingHabits(t *testing.T) {
	for _, h := range habits {
		t.Run(h.file, func(t *testing.T) {
			r := tieOne(club("FC-0012", "FC-0123", "FC-0999", "NTC", "Blank 1", "JD 2026 012", "Å7"), "reads/"+h.file)
			require.Equal(t, h.voucher, r.Voucher, r.Untied)
			require.Equal(t, h.primer, r.Primer)
			require.Equal(t, h.direction, r.Direction.String())
			require.Empty(t, r.Untied)
		})
	}
}

// A record's header may be of any length.
func TestVeryLongNames(t *testing.T) {
	r := tieOne(club("1", "12"), "reads/x.fasta#"+strings.Repeat("1-a1_", 2_000_000))
	require.Empty(t, r.Voucher)
	require.Contains(t, r.Untied, "no voucher code")
	require.Equal(t, "12", tieOne(club("1", "12"), "reads/12.fasta#"+strings.Repeat("x", 2_000_000)).Voucher)
}

// TestAdversarialNames tries names that a careless search would tie wrongly.
func TestAdversarialNames(t *testing.T) {
	tests := []struct {
		codes   []string
		file    string
		voucher string // empty: not tied
		say     string // part of Untied
	}{
		// The 1 in ITS1F is no voucher.
		{[]string{"1", "12"}, "cleaned_1-ITS1F.ab1", "1", ""},
		{[]string{"1", "12"}, "cleaned_12-ITS1F.ab1", "12", ""},
		{[]string{"1", "4"}, "ITS1F.ab1", "", "no voucher code"},
		{[]string{"1", "4"}, "ITS1_ITS4.ab1", "", "no voucher code"},
		{[]string{"1", "4"}, "ITS 1.ab1", "", "no voucher code"},
		{[]string{"1", "12"}, "ITS4ngs-12.ab1", "12", ""},
		{[]string{"1", "2"}, "ITS1-F_KYO-2.ab1", "", "part of what may be a longer code"},
		{[]string{"ITS12", "ITS13"}, "ITS12_ITS4.ab1", "ITS12", ""},
		{[]string{"1", "4"}, "cleaned_7-ITS-1.ab1", "", "no voucher code"},
		// A code that is part of another.
		{[]string{"FC-12", "FC-123"}, "FC-123_ITS4.ab1", "FC-123", ""},
		{[]string{"FC-12", "FC-123"}, "FC-12_ITS4.ab1", "FC-12", ""},
		{[]string{"FC-12"}, "FC-123_ITS4.ab1", "", "no voucher code"},
		{[]string{"FC-12"}, "FC-12-3_ITS4.ab1", "", "FC-12 stands in the name only as part"},
		{[]string{"FC-12", "FC-12-3"}, "FC-12-3_ITS4.ab1", "FC-12-3", ""},
		{[]string{"FC-123"}, "FC-12-3_ITS4.ab1", "", "no voucher code"},
		{[]string{"FC-12-3"}, "FC-123_ITS4.ab1", "", "no voucher code"},
		{[]string{"FC-12"}, "XFC-12_ITS4.ab1", "", "no voucher code"},
		{[]string{"FC-12"}, "FC-12b.ab1", "", "no voucher code"},
		{[]string{"FC-12"}, "FC-12-b.ab1", "", "part of what may be a longer code"},
		{[]string{"FC-12", "FC-12A"}, "FC-12F.ab1", "", "part of what may be a longer code"},
		{[]string{"FC-12", "FC-12F"}, "FC-12F.ab1", "FC-12F", ""},
		{[]string{"12"}, "FC-12_ITS4.ab1", "", "part of what may be a longer code"},
		{[]string{"12", "FC-7"}, "FC_12_ITS4.ab1", "", "part of what may be a longer code"},
		{[]string{"1"}, "12-1_ITS4.ab1", "", "part of what may be a longer code"},
		{[]string{"1"}, "1-12_ITS4.ab1", "", "part of what may be a longer code"},
		{[]string{"FC"}, "FC-0123_ITS4.ab1", "", "part of what may be a longer code"},
		{[]string{"FC-2026-10"}, "FC-2026-10-03.ab1", "", "part of what may be a longer code"},
		// Leading zeros only where that stays unique.
		{[]string{"FC-0012"}, "FC-12.ab1", "FC-0012", ""},
		{[]string{"FC-12"}, "FC-0012.ab1", "FC-12", ""},
		{[]string{"FC-0012", "FC-012"}, "FC-12.ab1", "", "the name fits FC-0012 and FC-012"},
		{[]string{"FC-0012", "FC-012"}, "FC-012.ab1", "FC-012", ""},
		// Two vouchers.
		{[]string{"FC-12", "FC-13"}, "FC-12_FC-13_ITS4.ab1", "", "the name fits FC-12 and FC-13"},
		{[]string{"FC-12", "fc_12"}, "FC12_ITS4.ab1", "", "the name fits FC-12 and fc_12"},
		{[]string{"2", "FC-12"}, "2_FC-12.ab1", "", "the name fits 2 and FC-12"},
		// Masked numbers are no codes.
		{[]string{"2", "3", "10"}, "plate_2_run 3_lane10_ITS4.ab1", "", "no voucher code"},
		{[]string{"3", "10", "2026"}, "2026-10-03_ITS4.ab1", "", "no voucher code"},
		// A folder or a well does not go before a code that the sheet lacks.
		{[]string{"FC-12"}, "FC-12/FC-99_ITS4.ab1", "", "no voucher code"},
		// Codes that look like something else.
		{[]string{"A01"}, "A01_ITS1F.ab1", "A01", ""},
		{[]string{"A01", "FC-12"}, "A01_FC-12_ITS1F.ab1", "FC-12", ""},
		{[]string{"A01"}, "A01_FC-12_ITS1F.ab1", "", "A01 may be a well"},
		{[]string{"A01", "B02"}, "A01_B02_ITS1F.ab1", "", "the name fits A01 and B02"},
		{[]string{"C-12"}, "C12_Amanita_ITS1F.ab1", "C-12", ""},
		{[]string{"2026-10-03"}, "2026-10-03_ITS1F.ab1", "2026-10-03", ""},
		{[]string{"2026-10-03", "FC-12"}, "2026-10-03_FC-12.ab1", "FC-12", ""},
		{[]string{"ITS1"}, "ITS1.ab1", "", "no voucher code"},
		{[]string{"run 3", "FC-12"}, "run3_FC-12.ab1", "FC-12", ""},
		{[]string{"FC-12"}, "", "", "no voucher code"},
		{[]string{"FC-12"}, "---.ab1", "", "no voucher code"},
		{[]string{"--"}, "--.ab1", "", "no voucher code"},
	}
	for _, tt := range tests {
		t.Run(strings.Join(tt.codes, ",")+" "+tt.file, func(t *testing.T) {
			r := tieOne(club(tt.codes...), "reads/"+tt.file)
			require.Equal(t, tt.voucher, r.Voucher, r.Untied)
			require.Contains(t, r.Untied, tt.say)
			require.Equal(t, tt.voucher == "", r.Untied != "")
		})
	}
}

func TestCodesThatLookLikeSomethingElseAreNamed(t *testing.T) {
	for code, what := range map[string]string{"A01": "a plate's well", "ITS1": "a primer", "2026-10-03": "a date", "run 3": "a run number"} {
		problems := sheet.Tie(club(code, "FC-12"), nil, nil)
		require.Contains(t, problems[0].What, what)
		require.Equal(t, 2, problems[0].Line)
	}
	require.Empty(t, sheet.Tie(club("FC-12", "1", "JD 2026 012"), nil, nil))
}

func TestSamples(t *testing.T) {
	tests := []struct{ code, file, sample, note string }{
		{"FC-12:", "FC-12_ITS4.ab1", "", ""},
		{"FC-12:x", "FC-12_ITS4.ab1", "x", ""},
		{"FC-12:1,2", "FC-12_2_ITS4.ab1", "2", ""},
		{"FC-12:1,2", "FC-12-2_ITS4.ab1", "2", ""},
		{"FC-12:1,2", "FC-12_ITS4_2.ab1", "2", ""},
		{"FC-12:1,2", "FC-12_02_ITS4.ab1", "2", "leading zeros"},
		{"FC-12:a,b", "FC-12b_ITS4.ab1", "b", ""},
		{"FC-12:a,b", "FC-12-b_ITS4.ab1", "b", ""},
		{"FC-12:a,b", "FC-12_ITS4.ab1", "a", "carries no sample"},
		{"FC-12:first,rerun", "rerun_FC-12_ITS4.ab1", "rerun", ""},
		{"FC-12:DNA0457,DNA0611", "DNA0611_ITS4.ab1", "DNA0611", ""},
		// The 2 of the well, the date or the primer is no sample.
		{"FC-12:1,2", "FC-12_ITS2_A02_2026-02-02.ab1", "1", "carries no sample"},
	}
	for _, tt := range tests {
		t.Run(tt.code+" "+tt.file, func(t *testing.T) {
			r := tieOne(club(tt.code, "FC-1", "FC-122"), tt.file)
			require.Equal(t, "FC-12", r.Voucher, r.Untied)
			require.Equal(t, tt.sample, r.Sample)
			require.Equal(t, tt.note == "", len(r.Notes) == 0, "%v", r.Notes)
			require.Contains(t, strings.Join(r.Notes, "\n"), tt.note)
		})
	}
	// A sample's name that two vouchers have stands for neither.
	require.Empty(t, tieOne(club("FC-1:DNA0457", "FC-2:DNA0457"), "DNA0457.ab1").Voucher)
	// "1" and "2" of one voucher are not the number 12.
	require.Empty(t, tieOne(club("1:1,2"), "12_ITS4.ab1").Voucher)
}

func TestTraceNameAndWellAreFallbacks(t *testing.T) {
	vouchers := club("FC-12", "FC-13")
	vouchers[1].Samples[0].SeqWell = "B02"
	tie := func(file, inner, well string) (*seqqc.Read, []seqqc.Problem) {
		r := &seqqc.Read{File: file, Trace: &seqqc.Trace{Name: inner, Well: well}}
		return r, sheet.Tie(vouchers, []*seqqc.Read{r}, nil)
	}
	r, _ := tie("55512.ab1", "FC-12_ITS4", "")
	require.Equal(t, "FC-12", r.Voucher)
	require.Equal(t, "ITS4", r.Primer)
	require.Contains(t, r.Notes[0], `sample name "FC-12_ITS4"`)

	r, _ = tie("FC-99.ab1", "FC-12_ITS4", "B2")
	require.Empty(t, r.Voucher, "the file's own code is not in the sheet")

	r, problems := tie("FC-13.ab1", "FC-12_ITS4", "")
	require.Equal(t, "FC-13", r.Voucher)
	require.Contains(t, problems[0].What, "FC-12")

	for _, tt := range []struct{ file, inner, well, voucher string }{
		{"B02.ab1", "", "", "FC-13"},
		{"B2_ITS4.ab1", "", "", "FC-13"},
		{"ITS4.ab1", "", "b2", "FC-13"},
		{"A01.ab1", "", "", ""},
		{"B02_FC-99.ab1", "", "", ""},
		{"B02_77.ab1", "", "", ""},
		{"B02.ab1", "FC-99", "", ""},
	} {
		r, _ := tie(tt.file, tt.inner, tt.well)
		require.Equal(t, tt.voucher, r.Voucher, tt.file)
		if tt.voucher != "" {
			require.Contains(t, r.Notes, "tied by its well B02 alone")
		}
	}
	// On two plates a well is no one's.
	vouchers[0].Samples[0].SeqWell = "B02"
	r, _ = tie("B02.ab1", "", "")
	require.Empty(t, r.Voucher)
	// A well that contradicts the sheet is told.
	vouchers[0].Samples[0].SeqWell = "A01"
	r, _ = tie("B02_FC-12.ab1", "", "")
	require.Equal(t, "FC-12", r.Voucher)
	require.Contains(t, r.Notes, "its name says well B02, the sheet says A01")
}

func TestPrimersOfTheSheet(t *testing.T) {
	vouchers := club("FC-12")
	vouchers[0].Samples[0].PrimerForward = "Ours9-f"
	vouchers[0].Samples[0].PrimerReverse = "ITS4"
	r := tieOne(vouchers, "FC-12-Ours9-F.ab1")
	require.Equal(t, "Ours9-f", r.Primer)
	require.Equal(t, seqqc.Forward, r.Direction)
	// The direction says which of the sheet's primers it was.
	require.Equal(t, "ITS4", tieOne(vouchers, "FC-12_R.ab1").Primer)
	// A pair without a direction does not say.
	r = tieOne(vouchers, "FC-12_ITS1F-ITS4.ab1")
	require.Empty(t, r.Primer)
	require.Equal(t, seqqc.UnknownDirection, r.Direction)
	require.Contains(t, r.Notes[0], "several primers")
	require.Equal(t, "run3", tieOne(vouchers, "FC-12_Run 3.ab1").Run)
}

func TestProblemsOfTying(t *testing.T) {
	vouchers := club("FC-12", "FC-13", "NTC")
	vouchers[2].Kind = seqqc.Blank
	reads := []*seqqc.Read{{File: "reads/FC-12.ab1"}, {File: "reads/FC-14.ab1"}}
	problems := sheet.Tie(vouchers, reads, nil)
	require.Len(t, problems, 1, "a voucher without reads says so in its own row of the results")
	require.Equal(t, "reads/FC-14.ab1", problems[0].File)
	require.True(t, problems[0].Unread)
	require.False(t, slices.ContainsFunc(problems, func(p seqqc.Problem) bool { return p.Hint == "" }))
}

// The sheet's own primer 5.8SR has a direction, and a voucher 5 is not told from
// its name.
func TestPrimerWithADot(t *testing.T) {
	vouchers := club("FC-0123:a", "5")
	require.Equal(t, "FC-0123", tieOne(vouchers, "FC-0123_5.8SR.ab1").Voucher)
	vouchers[0].Samples[0].PrimerForward = "5.8SR"
	r := tieOne(vouchers, "FC-0123_5.8SR.ab1")
	require.Equal(t, []any{"FC-0123", "5.8SR", seqqc.Forward}, []any{r.Voucher, r.Primer, r.Direction})
	require.Equal(t, "5", tieOne(vouchers, "5_ITS4.ab1").Voucher)
}
