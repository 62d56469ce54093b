package deposit_test

import (
	"bufio"
	"bytes"
	"cmp"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/country"
	"forayseq/seqqc/deposit"
	"forayseq/seqqc/region"
)

// published reads the published macrofungal ITS that come with a country; where
// they name no voucher, the accession stands for it: TreeBASE, by way of supertreebase at d9efa865.
func published(t *testing.T) []seqqc.VoucherResult {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA does not name the folder of open data")
	}
	lib := map[string][]byte{}
	f, err := os.Open(filepath.Join(dir, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	id := ""
	scan := bufio.NewScanner(f)
	scan.Buffer(nil, 1<<20)
	for scan.Scan() {
		if head, ok := strings.CutPrefix(scan.Text(), ">"); ok {
			id = strings.FieldsFunc(head, func(r rune) bool { return r == ' ' || r == '|' || r == ';' })[0]
			continue
		}
		lib[id] = append(lib[id], bytes.ToUpper(scan.Bytes())...)
	}
	require.NoError(t, scan.Err())

	raw, err := os.ReadFile(filepath.Join(dir, "its", "macrofungi_its.tsv"))
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(raw)), "\n")
	heads := strings.Split(lines[0], "\t")
	var out []seqqc.VoucherResult
	for _, line := range lines[1:] {
		cell := map[string]string{}
		for i, c := range strings.Split(line, "\t") {
			cell[heads[i]] = c
		}
		if cell["country"] == "" || len(lib[cell["id"]]) == 0 {
			continue
		}
		bases := lib[cell["id"]]
		name := refs.ParseName(cell["otu_label"])
		v := seqqc.VoucherResult{
			Voucher: seqqc.Voucher{
				Code: cmp.Or(cell["catalogNumber"], cell["accession"], cell["id"]), FieldID: cell["otu_label"], Field: name, Kind: seqqc.Specimen,
				Institution: cell["institutionCode"], Collector: cell["recordedBy"], Country: cell["country"], Locality: cell["locality"],
			},
			Samples: []seqqc.SampleResult{{
				Contig: &seqqc.Contig{Bases: bases, Quals: bytes.Repeat([]byte{30}, len(bases)), Region: region.Locate(bases)},
				Match:  &seqqc.Match{Supported: refs.Genus, Taxon: cell["genus"], Lineage: refs.Lineage{Kingdom: "Fungi", Genus: cell["genus"]}},
			}},
			Verdict: seqqc.Verdict{Kind: seqqc.Agrees, AgreeRank: refs.Genus},
		}
		for _, b := range bases {
			if !strings.ContainsRune("ACGT", rune(b)) {
				v.Samples[0].Contig.Ambiguous++
			}
		}
		lat, err1 := strconv.ParseFloat(cell["decimalLatitude"], 64)
		lon, err2 := strconv.ParseFloat(cell["decimalLongitude"], 64)
		if err1 == nil && err2 == nil {
			v.Voucher.Latitude, v.Voucher.Longitude = &lat, &lon
		}
		out = append(out, v)
	}
	return out
}

// Published sequences as a club would hand them on. They come without a
// collection date, which archives ask for: without a decision all stay, for
// that reason; with one, what goes passes the check, and what the check refuses
// is refused for what can be seen in the sequence.
func TestPublishedSequencesAsADeposit(t *testing.T) {
	vouchers := published(t)
	require.GreaterOrEqual(t, len(vouchers), 300)
	res := &seqqc.Result{Vouchers: vouchers}
	first := deposit.Prepare(res, deposit.Defaults())
	require.Empty(t, first.Entries)
	other := map[string]bool{}
	for _, l := range first.LeftOut {
		rules := map[string]string{}
		for _, r := range l.Reasons {
			rules[r.Rule] = r.What
			other[r.Rule] = true
		}
		require.Contains(t, rules, "no-date", l.Voucher)
	}
	t.Logf("%d vouchers; rules met: %v", len(vouchers), other)

	reasons := map[string]string{} // voucher -> its reasons beside the date
	for _, l := range first.LeftOut {
		for _, r := range l.Reasons {
			if r.Rule != "no-date" {
				reasons[l.Voucher] += r.Rule + " "
			}
		}
	}
	for i := range vouchers {
		vouchers[i].Reviewed = &seqqc.Reviewed{Submission: "submit"}
	}
	second := deposit.Prepare(res, deposit.Defaults())
	require.Len(t, second.Entries, len(vouchers))
	var fasta bytes.Buffer
	require.NoError(t, second.WriteFile(deposit.FASTAName, &fasta))
	found, err := deposit.Check(&fasta, time.Time{})
	require.NoError(t, err)
	require.Equal(t, len(vouchers), found.Sequences)
	byID := map[string]string{}
	for _, e := range second.Entries {
		byID[e.SeqID] = e.Voucher
	}
	faulty := map[string]bool{}
	for _, f := range found.Faults {
		require.Contains(t, []string{"length", "ambiguous", "ends", "tails", "strand"}, f.Rule, f)
		require.NotEmpty(t, reasons[byID[f.SeqID]], "%s: not foreseen", f)
		faulty[f.SeqID] = true
	}
	t.Logf("%d of %d pass the check", len(vouchers)-len(faulty), len(vouchers))
	places := 0
	for _, e := range second.Entries {
		for _, m := range e.Modifiers {
			if m.Name == "geo_loc_name" && m.Value != "not provided" {
				name, _, _ := strings.Cut(m.Value, ":")
				require.True(t, country.Listed(name), name)
				places++
			}
		}
	}
	require.GreaterOrEqual(t, places, len(vouchers)*9/10, "countries of the published table are known")
}

// The archives' modifiers and terms as copied from their published pages
// (standards/facts.md of the open data, the INSDC lines read in a page).
func TestPublishedNamesAreKnown(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA does not name the folder of open data")
	}
	raw, err := os.ReadFile(filepath.Join(dir, "standards", "facts.md"))
	require.NoError(t, err)
	list := func(line, between string) []string {
		_, rest, found := strings.Cut(string(raw), line)
		require.True(t, found, line)
		rest, _, _ = strings.Cut(rest, "\n")
		var out []string
		for _, word := range strings.Split(rest, between) {
			out = append(out, strings.Trim(strings.TrimSpace(word), "."))
		}
		return out
	}
	modifiers := list("V modifier names incl.: ", ",")
	require.Len(t, modifiers, 19)
	for _, name := range modifiers {
		name, _, _ = strings.Cut(name, " ")
		found, err := deposit.Check(strings.NewReader(">a ["+name+"=x]\nACGT\n"), time.Time{})
		require.NoError(t, err)
		for _, f := range found.Faults {
			if f.Rule == "modifier-name" {
				require.Equal(t, "country", name, "it has another name since June 2024")
			}
		}
	}
	missing := list("V missing values (13): ", ";")
	require.Len(t, missing, 13)
	for _, term := range missing {
		require.True(t, deposit.IsMissingTerm(term), term)
	}
}
