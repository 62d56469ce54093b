package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"forayseq/refs"
	"forayseq/seqqc"
)

// full is a result with something in every part of the page: a doubt with
// traces, causes, findings between vouchers, wells, a tree, work to send back.
func full() *seqqc.Result {
	res := example()
	const bases = "ACGTTGCAAGGCTATCCGATTACGTGCAATGC"
	trace := func() *seqqc.Trace {
		t := &seqqc.Trace{Bases: []byte(bases)}
		for k := range t.Channels {
			t.Channels[k] = make([]int32, 12*(len(bases)+2))
		}
		for i := range bases {
			at := 12 * (i + 1)
			t.Peaks, t.Quals = append(t.Peaks, at), append(t.Quals, 30)
			t.Channels[strings.IndexByte("ACGT", bases[i])][at] = 900
		}
		return t
	}
	whole := seqqc.Interval{Start: 0, End: len(bases)}
	v := &res.Vouchers[0]
	v.Voucher.Samples = []seqqc.Sample{{ID: "1", PCRWell: "A1", SeqWell: "B2"}}
	v.Voucher.Collector, v.Voucher.Notes = "a collector", "notes"
	v.Voucher.Observed = []seqqc.Observation{{Trait: seqqc.TraitMilk, Written: "white"}}
	v.Chosen = 0
	s := &v.Samples[0]
	s.Sample = v.Voucher.Samples[0]
	s.ReadFiles = []string{"f.ab1", "r.ab1"}
	quals := bytes.Repeat([]byte{40}, len(bases))
	quals[10] = 9
	s.Contig = &seqqc.Contig{
		Bases: []byte(bases), Quals: quals, Notes: []string{"a note"},
		Reads: []seqqc.ReadPlacement{{File: "f.ab1", On: whole, Of: whole}},
		Disagreements: []seqqc.Disagreement{
			{At: 10, Code: "G", Quality: 9, Calls: []seqqc.ReadCall{{File: "f.ab1", At: 10, Base: "G", Quality: 9}, {File: "r.ab1", Base: "A"}}},
			{At: 12, Code: "T", Quality: 40, Calls: []seqqc.ReadCall{{File: "f.ab1", At: 12, Base: "T", Quality: 9}, {File: "r.ab1", Base: "A"}}},
		},
		Region: seqqc.Region{Located: true, ITS1: seqqc.Interval{Start: 2, End: 30}, Text: "ITS1"},
	}
	s.Match.Hits[0].OnContig = whole
	s.Match.Hits[0].Differences = []seqqc.Difference{{At: seqqc.Interval{Start: 3, End: 4}, Contig: "T", Reference: "C", Before: "ACG", After: "TG", Part: "ITS1", Quality: 40}}
	s.Match.Votes = []seqqc.Vote{{Rank: refs.Genus, Threshold: 94.3}, {Rank: refs.Species, Threshold: 99.6}}
	s.Match.Apart = []seqqc.Hit{{Reference: "SYN9", Gate: "too short"}}
	s.Minor = &seqqc.MinorTemplate{Contig: s.Contig, Match: &seqqc.Match{Taxon: "Russula", Hits: []seqqc.Hit{{Reference: "SYN8"}}}}
	v.Verdict = seqqc.Verdict{
		Kind: seqqc.Conflict, PartsAt: refs.Genus, Attention: true, Flags: []seqqc.Flag{seqqc.OneStrandOnly}, Reason: "a reason", NextStep: "a step",
		Others: []seqqc.Finding{{Reason: "another reason", NextStep: "another step"}},
		Causes: []seqqc.Cause{
			{Code: seqqc.CauseExchanged, For: []string{"for"}, Against: []string{"against"}, Says: "says", NextStep: "step", Action: seqqc.ActSequenceAgain, Primer: "ITS4"},
			{Code: seqqc.CauseFieldName, Says: "says too", NextStep: "a step"},
		},
	}
	v.Power = &seqqc.Power{Text: "power"}
	res.Vouchers[1].Reviewed = &seqqc.Reviewed{By: "somebody", When: "2026-01-01T00:00:00Z", Accepted: true, FinalName: "a name", Why: "why"}
	res.Vouchers[1].Verdict.Attention = true
	res.Reads = append(res.Reads, seqqc.Read{File: "f.ab1", Primer: "ITS1-F", Trace: trace()}, seqqc.Read{File: "u.ab1", Untied: "no voucher"})
	res.Between = []seqqc.Between{{Pattern: seqqc.PatternExchange, Vouchers: []string{"X-1", "X-2"}, Evidence: []string{"evidence"}, Expected: .01, Reason: "between", NextStep: "do"}}
	res.Power = "batch power"
	res.Trees = []seqqc.Tree{{Taxon: "Russulales", LeftOut: []string{"left out"}, Nodes: []seqqc.TreeNode{
		{Parent: -1}, {Parent: 0, Length: 1, Voucher: "X-1", Name: "Russula"}, {Parent: 0, Length: 2, References: []string{"SYN1"}, Name: "Russula ficticia"},
	}}}
	res.Spreads = []seqqc.Spread{{Genus: "Russula", Within: []float64{97, 99}, OtherGenus: []float64{90}}}
	res.Problems = append(res.Problems, seqqc.Problem{File: "bad.ab1", What: "what", Hint: "hint", Unread: true}, seqqc.Problem{File: "odd.ab1", What: "what"})
	res.Cautions = slices.Clone(seqqc.Cautions)
	return res
}

// rewrite puts text behind every string of a value that is free text: codes
// have types of their own.
func rewrite(v reflect.Value, text string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			rewrite(v.Elem(), text)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			rewrite(v.Field(i), text)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			rewrite(v.Index(i), text)
		}
	case reflect.String:
		if v.CanSet() && v.Type() == reflect.TypeFor[string]() && v.Len() > 0 {
			v.SetString(v.String() + text)
		}
	}
}

func render(t testing.TB, res *seqqc.Result) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, WriteHTML(&out, New(res)))
	return out.String()
}

// skeleton lists the elements of a page with the names of their attributes.
func skeleton(t *testing.T, page string) []string {
	doc, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	var out []string
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode {
			var names []string
			for _, a := range n.Attr {
				names = append(names, a.Key)
			}
			out = append(out, n.Parent.Data+">"+n.Data+" "+strings.Join(names, ","))
		}
	}
	return out
}

func all(t *testing.T, page string) []*html.Node {
	doc, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	var out []*html.Node
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode {
			out = append(out, n)
		}
	}
	return out
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func words(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// Text that tries to be markup in every field of a result leaves the page with
// the same elements and attributes as plain text of the same length does.
func TestHostileTextStaysText(t *testing.T) {
	for _, text := range []string{
		`"'><script>alert(1)</script>`, `</style><img src=x onerror=alert(1)>`, `</title></svg><a href="javascript:alert(1)">x</a>`,
		`--><!-- ]]> {{.}} &lt;b&gt;`, "\x00\x1b[31m\u202e\u2066\ufeff\x7f", "` onload=alert(1) style=x", `</details></article></main><form action=//x>`,
	} {
		hostile, plain := full(), full()
		rewrite(reflect.ValueOf(hostile).Elem(), text)
		rewrite(reflect.ValueOf(plain).Elem(), strings.Repeat("x", len(text)))
		page := render(t, hostile)
		require.Equal(t, skeleton(t, render(t, plain)), skeleton(t, page), "%q", text)
		require.NotContains(t, page, "\x00")
		require.NotContains(t, page, "\x1b")
		require.NotContains(t, page, "\u202e")
		if strings.HasPrefix(text, "\"") {
			require.Contains(t, words(all(t, page)[0]), "a reason"+text, "it is shown as it is")
		}
	}
}

// Nothing runs, nothing is fetched, and links stay in the page.
func TestPageIsAlone(t *testing.T) {
	page := render(t, full())
	var policy, style string
	for _, n := range all(t, page) {
		require.NotContains(t, []string{"script", "img", "iframe", "object", "embed", "link", "form", "input", "base", "foreignobject", "use", "image"}, n.Data)
		for _, a := range n.Attr {
			require.False(t, strings.HasPrefix(a.Key, "on"), a.Key)
			require.NotContains(t, []string{"src", "style", "srcset", "action", "xlink:href"}, a.Key)
			if a.Key == "href" {
				require.True(t, strings.HasPrefix(a.Val, "#"), a.Val)
			}
		}
		switch {
		case n.Data == "meta" && attr(n, "http-equiv") == "Content-Security-Policy":
			policy = attr(n, "content")
		case n.Data == "style":
			require.Empty(t, style, "one style element only")
			style = words(n)
		}
	}
	sum := sha256.Sum256([]byte(style))
	require.Equal(t, "default-src 'none'; style-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'; base-uri 'none'; form-action 'none'", policy)
	require.NotContains(t, style, "url(")
	require.NotContains(t, style, "@import")
}

// What a screen reader needs: headings without a step left out, every id once,
// every reference to one met, landmarks, scopes of table headers, names of
// pictures (WCAG 2.2: 1.1.1, 1.3.1, 2.4.1, 2.4.6, 3.1.1).
func TestPageIsAccessible(t *testing.T) {
	ids, seen := map[string]bool{}, map[string]int{}
	nodes := all(t, render(t, full()))
	for _, n := range nodes {
		seen[n.Data]++
		if id := attr(n, "id"); id != "" {
			require.False(t, ids[id], "id %s twice", id)
			ids[id] = true
		}
	}
	level := 0
	for _, n := range nodes {
		for _, key := range []string{"aria-labelledby"} {
			for _, id := range strings.Fields(attr(n, key)) {
				require.True(t, ids[id], "%s names %s", n.Data, id)
			}
		}
		switch n.Data {
		case "a":
			require.True(t, ids[strings.TrimPrefix(attr(n, "href"), "#")], attr(n, "href"))
			require.NotEmpty(t, strings.TrimSpace(words(n)))
		case "th":
			require.Contains(t, []string{"col", "row"}, attr(n, "scope"))
		case "svg":
			require.Equal(t, "img", attr(n, "role"))
			require.NotEmpty(t, attr(n, "aria-labelledby"))
		case "html":
			require.Equal(t, "en", attr(n, "lang"))
		case "h1", "h2", "h3", "h4", "h5":
			next := int(n.Data[1] - '0')
			require.LessOrEqual(t, next, level+1, words(n))
			level = next
		}
	}
	for _, once := range []string{"h1", "main", "nav", "header", "footer", "title"} {
		want := 1
		if once == "title" || once == "header" {
			want = seen[once]
		}
		require.Equal(t, want, seen[once], once)
	}
	require.Positive(t, seen["svg"])
}

// Everything a coordinator looks for is there.
func TestPageTellsAll(t *testing.T) {
	page := words(all(t, render(t, full()))[0])
	for _, text := range append([]string{
		"a reason", "a step", "says", "for", "against", "another reason", "between", "evidence", "batch power", "power", "Russulales",
		"left out", "Position 11: G or A?", "4 in ITS1: T here, C there", "SYN9", "too short", "read from one side only", "a note", "Seen: milk",
		"bad.ab1: what (hint)", "u.ab1", "refs.fasta", "a reader's patience", "A1", "B2", "somebody", "SYN8", "What to send back",
		"Places that the evidence settles (1)",
	}, seqqc.Cautions...) {
		require.Contains(t, page, text)
	}
}

func TestPageIsTheSameEachTime(t *testing.T) {
	require.Equal(t, render(t, full()), render(t, full()))
}

func TestAttentionByConsequence(t *testing.T) {
	var vouchers []seqqc.VoucherResult
	add := func(code string, v seqqc.Verdict) {
		v.Attention = true
		vouchers = append(vouchers, seqqc.VoucherResult{Voucher: seqqc.Voucher{Code: code}, Chosen: -1, Verdict: v})
	}
	add("poor", seqqc.Verdict{Kind: seqqc.Undetermined, ReasonCode: seqqc.PoorSequence})
	add("agrees", seqqc.Verdict{Kind: seqqc.Agrees})
	add("genus", seqqc.Verdict{Kind: seqqc.Conflict, PartsAt: refs.Genus})
	add("mould", seqqc.Verdict{Kind: seqqc.Overgrowth})
	add("order", seqqc.Verdict{Kind: seqqc.Conflict, PartsAt: refs.Order})
	add("blank", seqqc.Verdict{Kind: seqqc.Undetermined, ReasonCode: seqqc.Control})
	p, err := newPage(New(&seqqc.Result{Vouchers: vouchers}))
	require.NoError(t, err)
	var got []string
	for _, v := range p.Attention {
		got = append(got, v.Voucher.Code)
	}
	require.Equal(t, []string{"blank", "order", "genus", "mould", "agrees", "poor"}, got)
}

// Vouchers of which the same is to be said stand together on the attention list;
// one whose causes are others, or that was reviewed, stands alone.
func TestAttentionTellsTheSameOnce(t *testing.T) {
	var vouchers []seqqc.VoucherResult
	for i := range 5 {
		vouchers = append(vouchers, seqqc.VoucherResult{
			Voucher: seqqc.Voucher{Code: fmt.Sprintf("X-%d", i+1)}, Chosen: -1,
			Verdict: seqqc.Verdict{Kind: seqqc.Undetermined, ReasonCode: seqqc.NoSequence, Attention: true, Reason: "no read", NextStep: "look for it"},
		})
	}
	vouchers[2].Verdict.Causes = []seqqc.Cause{{Says: "another cause"}}
	vouchers[3].Reviewed = &seqqc.Reviewed{By: "somebody"}
	res := &seqqc.Result{Vouchers: vouchers}
	p, err := newPage(New(res))
	require.NoError(t, err)
	var got []string
	for _, a := range p.Attention {
		line := a.Voucher.Code
		for _, o := range a.Others {
			line += " " + o.Voucher.Code
		}
		got = append(got, line)
	}
	require.Equal(t, []string{"X-1 X-2 X-5", "X-3", "X-4"}, got)
	page := render(t, res)
	require.Contains(t, page, "Needs attention (5)")
	require.Contains(t, page, `The same is to be said of 2 others: <a href="#voucher-2">X-2</a>, <a href="#voucher-5">X-5</a>.`)
}

// Where the sheet tells no well of the sequencing, the reads do, run by run: a
// read that names no run joins the one of its day, and a well that comes again
// begins a new plate.
func TestPlatesOfReads(t *testing.T) {
	res := &seqqc.Result{}
	put := func(code, run, date, well string) {
		file := fmt.Sprintf("%s-%d.ab1", code, len(res.Reads))
		res.Reads = append(res.Reads, seqqc.Read{File: file, Run: run, Trace: &seqqc.Trace{Well: well, RunDate: date}})
		for i := range res.Vouchers {
			if s := &res.Vouchers[i].Samples[0]; res.Vouchers[i].Voucher.Code == code {
				s.ReadFiles = append(s.ReadFiles, file)
				return
			}
		}
		res.Vouchers = append(res.Vouchers, seqqc.VoucherResult{
			Voucher: seqqc.Voucher{Code: code}, Samples: []seqqc.SampleResult{{ReadFiles: []string{file}}}, Chosen: -1})
	}
	put("X-1", "", "2026-09-18", "A01")
	put("X-1", "", "2026-09-18", "B01")
	put("X-2", "one", "2026-09-18", "A2")
	put("X-3", "", "2026-09-18", "a1")
	put("X-4", "", "2026-10-09", "A1")
	put("X-5", "", "2026-10-09", "no well")
	p, err := newPage(New(res))
	require.NoError(t, err)
	var got []string
	for _, plate := range p.Plates {
		line := plate.Title + ":"
		for _, row := range plate.Rows {
			line += " " + row.Well + " " + row.Voucher.Voucher.Code
		}
		got = append(got, line)
	}
	require.Equal(t, []string{
		"Plate of the sequencing, run one: A1 X-1 B1 X-1 A2 X-2",
		"Plate of the sequencing, run 2026-09-18: A1 X-3",
		"Plate of the sequencing, run 2026-10-09: A1 X-4",
	}, got)

	// The sheet goes before the reads.
	for i := range res.Vouchers {
		res.Vouchers[i].Samples[0].Sample.SeqWell = "H12"
	}
	p, err = newPage(New(res))
	require.NoError(t, err)
	require.Len(t, p.Plates, 1)
	require.Len(t, p.Plates[0].Rows, 5)
}

// A number and its unit stay on one line, wherever they stand.
func TestUnitsStayWithNumbers(t *testing.T) {
	res := full()
	res.Vouchers[0].Verdict.Reason = "99.65 % identical over 610 bases, 3.5 points and a % sign."
	page := render(t, res)
	require.Contains(t, page, "99.65\u00a0% identical over 610\u00a0bases, 3.5\u00a0points and a % sign.")
	require.NotRegexp(t, `[0-9] (%|bases)`, page)
}

// Of a genus whose spread was not measured, the picture says so.
func TestUnmeasuredGeneraAreNamed(t *testing.T) {
	res := full()
	res.Vouchers[0].Samples[0].Match.Hits[0].Lineage.Genus = "Russula"
	require.NotContains(t, render(t, res), "not measured for")
	res.Spreads = nil
	require.Contains(t, render(t, res), "(not measured for Russula)")
}

func TestParseWell(t *testing.T) {
	for in, want := range map[string][3]int{
		"A1": {0, 0, 1}, "a01": {0, 0, 1}, "H12": {7, 11, 1}, "P24": {15, 23, 1}, " B2 ": {1, 1, 1},
		"": {}, "A": {}, "A0": {}, "Q1": {}, "A25": {}, "12": {}, "A-1": {}, "AA1": {},
	} {
		row, column, ok := parseWell(in)
		require.Equal(t, want[2] == 1, ok, in)
		require.Equal(t, [2]int{want[0], want[1]}, [2]int{row, column}, in)
	}
}

func ExampleWriteHTML() {
	var page bytes.Buffer
	if err := WriteHTML(&page, New(&seqqc.Result{Cautions: seqqc.Cautions})); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.HasPrefix(page.String(), "<!DOCTYPE html>"))
	// Output: true
}

// A plate of 96 vouchers, each with as many doubts as are drawn: more than any
// batch should have.
func BenchmarkWriteHTML(b *testing.B) {
	res := full()
	one := res.Vouchers[0]
	contig := *one.Samples[0].Contig
	contig.Disagreements = nil
	for range mostCards {
		contig.Disagreements = append(contig.Disagreements, seqqc.Disagreement{
			At: len(contig.Disagreements) % 30, Code: "G", Quality: 9, Calls: []seqqc.ReadCall{{File: "f.ab1", At: 10, Base: "G"}},
		})
	}
	one.Samples[0].Contig = &contig
	res.Vouchers = slices.Repeat([]seqqc.VoucherResult{one}, 96)
	m := New(res)
	var page bytes.Buffer
	for b.Loop() {
		page.Reset()
		if err := WriteHTML(&page, m); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(page.Len()), "bytes")
}

func TestEarlierBarcodesAreTold(t *testing.T) {
	require.Empty(t, earlier(nil))
	list := []seqqc.Earlier{{Batch: "2021", Voucher: "QM-7", FieldID: "Lactarius sp.", Date: "2021-09", Code: "club-2021-03", IdentityPct: 99.876}}
	require.Equal(t, "QM-7 of batch 2021 (Lactarius sp., 2021-09, club-2021-03) is 99.87 % identical", earlier(list))
	for range 6 {
		list = append(list, list[0])
	}
	require.True(t, strings.HasSuffix(earlier(list), "; and 2 more"))
}
