package letters_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/letters"
)

func voucher(code, collector string, kind seqqc.VerdictKind) seqqc.VoucherResult {
	return seqqc.VoucherResult{
		Voucher: seqqc.Voucher{Code: code, FieldID: "Russula sp.", Collector: collector, Kind: seqqc.Specimen, Date: "2026-09-03", Locality: "Old Tarn Bank"},
		Samples: []seqqc.SampleResult{{Match: &seqqc.Match{
			Supported: refs.Species, Taxon: "Lactarius ficticius", Lineage: refs.Lineage{Genus: "Lactarius", Species: "Lactarius ficticius"},
			Hits: []seqqc.Hit{{IdentityPct: 99.87, Name: refs.ParseName("Lactarius ficticius")}},
		}}},
		Verdict: seqqc.Verdict{Kind: kind, NextStep: "Look again.", Attention: kind != seqqc.Agrees},
	}
}

func text(t *testing.T, l letters.Letter) string {
	t.Helper()
	tmpl, err := letters.Parse(letters.Builtin())
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, tmpl.WriteText(&b, l))
	return b.String()
}

func ExampleNew() {
	res := &seqqc.Result{Vouchers: []seqqc.VoucherResult{voucher("QM-1", "Fern Placeholder", seqqc.Agrees), voucher("QM-2", "Fern  Placeholder", seqqc.Conflict)}}
	for _, l := range letters.New(res, nil) {
		fmt.Println(l.Collector, l.Settled, l.Open)
	}
	// Output: Fern Placeholder 1 1
}

func TestEachVerdictHasItsWords(t *testing.T) {
	for kind, want := range map[seqqc.VerdictKind]string{
		seqqc.Agrees: "agrees with the genus", seqqc.Refines: "right as far as it went", seqqc.Consistent: "Nothing speaks against it",
		seqqc.Renamed: "names were changed", seqqc.Conflict: "need not mean that the label was wrong", seqqc.Overgrowth: "grew on the find",
		seqqc.NonFungal: "is no fungus", seqqc.Undetermined: "could not test the label",
	} {
		res := &seqqc.Result{Vouchers: []seqqc.VoucherResult{voucher("QM-1", "Fern Placeholder", kind)}}
		got := strings.Join(strings.Fields(text(t, letters.New(res, map[string]string{"QM-1": "club-2026-07"})[0])), " ")
		require.Contains(t, got, want)
		require.Contains(t, got, "99.8 % alike")
		require.Contains(t, got, "club-2026-07")
		require.Equal(t, kind != seqqc.Agrees, strings.Contains(got, "Still open"), got)
		for _, c := range seqqc.Cautions {
			require.Contains(t, got, c)
		}
		require.NotContains(t, got, "<no value>")
	}
}

func TestLettersAreOnePerCollector(t *testing.T) {
	blank := voucher("B", "Fern Placeholder", seqqc.Undetermined)
	blank.Voucher.Kind = seqqc.Blank
	reviewed := voucher("QM-4", "Moss Testwright", seqqc.Conflict)
	reviewed.Reviewed = &seqqc.Reviewed{FinalName: "Russula ficticia"}
	res := &seqqc.Result{Vouchers: []seqqc.VoucherResult{
		voucher("QM-1", "", seqqc.Agrees), voucher("QM-2", "Moss Testwright", seqqc.Agrees), voucher("QM-3", "Fern Placeholder", seqqc.Agrees), reviewed, blank,
	}}
	all := letters.New(res, nil)
	require.Len(t, all, 3)
	require.Equal(t, []string{"moss-testwright", "fern-placeholder", "finds-without-a-collector"}, letters.FileNames(all))
	require.Len(t, all[0].Finds, 2)
	require.Zero(t, all[0].Open, "a reviewed find is settled")
	require.Contains(t, text(t, all[0]), "is now Russula ficticia")
}

func TestFileNamesAreSafeAndTheirOwn(t *testing.T) {
	all := []letters.Letter{{Collector: "../../etc"}, {Collector: "É. Tester"}, {Collector: "e tester"}, {Collector: "***"}, {}, {Collector: strings.Repeat("x", 500)}}
	seen := map[string]bool{}
	for _, name := range letters.FileNames(all) {
		require.NotContains(t, name, "/")
		require.NotContains(t, name, ".")
		require.LessOrEqual(t, len(name), 70)
		require.False(t, seen[name])
		seen[name] = true
	}
}

// Whatever stands in the sheet shows as text: the page has the same elements as
// one with harmless words.
func TestHostileTextIsText(t *testing.T) {
	elements := func(word string) []string {
		v := voucher(word, word, seqqc.Conflict)
		v.Voucher.FieldID, v.Voucher.Locality, v.Verdict.NextStep = word, word, word
		v.Samples[0].Match.Taxon = word
		tmpl, err := letters.Parse(letters.Builtin())
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, tmpl.WriteHTML(&b, letters.New(&seqqc.Result{Vouchers: []seqqc.VoucherResult{v}}, map[string]string{word: word})[0]))
		root, err := html.Parse(&b)
		require.NoError(t, err)
		var out []string
		for n := range root.Descendants() {
			if n.Type == html.ElementNode {
				out = append(out, fmt.Sprint(n.Data, n.Attr))
			}
		}
		return out
	}
	plain := elements("harmless")
	for _, word := range []string{`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</title><b>`, `{{.Collector}}`, "a\x00b\u202ec"} {
		require.Equal(t, plain, elements(word), word)
	}
}

// A club's own template, and what is wrong with one.
func TestOwnTemplates(t *testing.T) {
	tmpl, err := letters.Parse(fstest.MapFS{letters.TextTemplate: {Data: []byte("Hallo {{.Collector}}: {{range .Finds}}{{.Voucher}} {{end}}{{range .Cautions}}{{.}}{{end}}")}})
	require.NoError(t, err)
	res := &seqqc.Result{Vouchers: []seqqc.VoucherResult{voucher("QM-1", "Fern", seqqc.Agrees)}}
	l := letters.New(res, nil)[0]
	var b bytes.Buffer
	require.NoError(t, tmpl.WriteText(&b, l))
	require.True(t, strings.HasPrefix(b.String(), "Hallo Fern: QM-1 An ITS match"))
	b.Reset()
	require.NoError(t, tmpl.WriteHTML(&b, l), "the English page stands in for the missing one")
	_, err = letters.Parse(fstest.MapFS{letters.TextTemplate: {Data: []byte("{{if}}")}})
	require.ErrorContains(t, err, letters.TextTemplate)
	tmpl, err = letters.Parse(fstest.MapFS{letters.TextTemplate: {Data: []byte("{{.Nothing}}")}})
	require.NoError(t, err)
	err = tmpl.WriteText(&b, l)
	require.ErrorContains(t, err, "Nothing")
	var bad *letters.TemplateError
	require.ErrorAs(t, err, &bad)
}

// Spellings that look alike are one collector, and the letter says so. The two
// forms of a letter with a mark are those of Unicode (UAX 15, NFC and NFD).
func TestOneCollectorInSeveralSpellings(t *testing.T) {
	res := &seqqc.Result{}
	for i, who := range []string{"b\u00f6rn  placeholder", "B\u00f6rn Placeholder", "Bo\u0308rn Placeholder ", "Born Placeholder", "B\u00d6RN\u00a0PLACE\u200bHOLDER", "B\u00f6rn Placeholder", ""} {
		v := voucher(fmt.Sprint("QM-", i), who, seqqc.Agrees)
		v.Voucher.IdentifiedBy = "Fern Placeholder"
		res.Vouchers = append(res.Vouchers, v)
	}
	all := letters.New(res, nil)
	require.Len(t, all, 3)
	require.Equal(t, "B\u00f6rn Placeholder", all[0].Collector, "the commonest spelling")
	require.Len(t, all[0].Finds, 5)
	require.Equal(t, []string{"B\u00f6rn Placeholder", "b\u00f6rn placeholder", "B\u00d6RN PLACEHOLDER"}, all[0].Spellings)
	require.Contains(t, text(t, all[0]), `several spellings`)
	require.Contains(t, text(t, all[0]), "by Fern Placeholder")
	require.Equal(t, "Born Placeholder", all[1].Collector, "a letter without its mark is another letter")
	require.Nil(t, all[1].Spellings)
	require.NotContains(t, text(t, all[1]), "spellings")
	require.NotContains(t, text(t, all[2]), "your")
}

func TestLongLinesAreBroken(t *testing.T) {
	v := voucher("QM-1", "Fern Placeholder", seqqc.Conflict)
	v.Verdict.NextStep = strings.Repeat("look again ", 30) + strings.Repeat("x", 100)
	for line := range strings.Lines(text(t, letters.New(&seqqc.Result{Vouchers: []seqqc.VoucherResult{v}}, nil)[0])) {
		if !strings.Contains(line, "xxx") {
			require.LessOrEqual(t, len(strings.TrimRight(line, "\n")), 78)
		}
		if strings.Contains(line, "look") {
			require.True(t, strings.HasPrefix(line, "  "), line)
		}
	}
}
