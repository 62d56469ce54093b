package report

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"reflect"
	"slices"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/draw"
	"forayseq/seqqc/workorder"
)

//go:embed page/*.tmpl page/report.css
var pageFiles embed.FS

// page is what the HTML report shows, in the order in which it does. Text is as
// it came; the templates escape it.
type page struct {
	Model   *Model
	Result  *seqqc.Result
	Head    template.HTML // policy and style
	Key     template.HTML
	Summary string
	Counts  []countView
	// Attention are the vouchers to look at, the gravest first, those together of
	// which the same is to be said.
	Attention []attentionView
	Attentive int // how many vouchers they are
	Plates    []plateView
	Vouchers  []*voucherView
	Trees     []treeView
	Order     workorder.Order
	ids       map[string]string // of the vouchers' sections, by code
}

// attend puts a voucher on the attention list.
func (p *page) attend(v *voucherView) {
	p.Attentive++
	i := slices.IndexFunc(p.Attention, func(a attentionView) bool {
		return a.Word == v.Word && a.Gravity() == v.Gravity() && a.Verdict.Reason == v.Verdict.Reason && a.Verdict.NextStep == v.Verdict.NextStep &&
			reflect.DeepEqual(a.Causes, v.Causes) && a.Reviewed == nil && v.Reviewed == nil
	})
	if i < 0 {
		p.Attention = append(p.Attention, attentionView{voucherView: v})
		return
	}
	p.Attention[i].Others = append(p.Attention[i].Others, v)
}

// Section gives the ID of a voucher's section, empty where there is none.
func (p *page) Section(code string) string { return p.ids[code] }

type attentionView struct {
	*voucherView
	Others []*voucherView
}

type countView struct {
	Vouchers      int
	Word, Meaning string
}

type treeView struct {
	Title   string
	Picture template.HTML
	LeftOut []string
}

// WriteHTML writes the report as one page that needs nothing beside it: no
// script, nothing fetched, and a policy that forbids both.
func WriteHTML(w io.Writer, m *Model) error {
	files, err := template.New("").Funcs(pageWords).ParseFS(pageFiles, "page/*.tmpl")
	if err != nil {
		return err
	}
	p, err := newPage(m)
	if err != nil {
		return err
	}
	var page bytes.Buffer
	if err := files.ExecuteTemplate(&page, "report.tmpl", p); err != nil {
		return err
	}
	_, err = w.Write(keepUnits(bytes.Map(visible, page.Bytes())))
	return err
}

// units are those that no line begins with.
var units = [][]byte{[]byte("%"), []byte("base"), []byte("bp"), []byte("point"), []byte("column")}

// keepUnits puts a blank at which no line is broken between a number and its
// unit. Attributes hold no such words behind a number.
func keepUnits(page []byte) []byte {
	out := make([]byte, 0, len(page)+len(page)/100)
	for i, c := range page {
		if c == ' ' && i > 0 && page[i-1] >= '0' && page[i-1] <= '9' &&
			slices.ContainsFunc(units, func(u []byte) bool { return bytes.HasPrefix(page[i+1:], u) }) {
			out = append(out, "\u00a0"...)
			continue
		}
		out = append(out, c)
	}
	return out
}

// visible keeps control characters, which could hide text or turn its
// direction, out of a page; line ends and tabs stay.
func visible(r rune) rune {
	if r == '\n' || r == '\t' {
		return r
	}
	return []rune(draw.Clean(string(r)))[0]
}

// pageWords are the functions of the templates.
var pageWords = template.FuncMap{
	"percent": seqqc.Percent,
	"plural":  seqqc.Count,
	"words":   workorder.Words,
	"one":     func(i int) int { return i + 1 },
	"hit":     hitName,
	"problem": ProblemText, "gathered": Gathered,
	"join":  strings.Join,
	"holds": strings.Contains,
}

func newPage(m *Model) (*page, error) {
	res := m.Result
	p := &page{Model: m, Result: res, Key: template.HTML(draw.Key("key")), Order: workorder.New(res), ids: map[string]string{}}
	style, err := pageFiles.ReadFile("page/report.css")
	if err != nil {
		return nil, err
	}
	p.Head = head(draw.Style + string(style))
	p.Summary = fmt.Sprintf("%s, %s, library %s (%s, %s)", seqqc.Count(len(res.Vouchers), "voucher"), seqqc.Count(len(res.Reads), "read"),
		res.Library.Name, seqqc.Count(res.Library.Records, "sequence"), seqqc.Count(res.Library.Genera, "genus"))
	for _, c := range m.Counts {
		n := c.Vouchers
		if c.Verdict == seqqc.Undetermined {
			n -= m.Controls
		}
		if n > 0 {
			word := seqqc.VoucherResult{Verdict: seqqc.Verdict{Kind: c.Verdict}}
			p.Counts = append(p.Counts, countView{n, word.Word(), verdictMeaning[c.Verdict]})
		}
	}
	if m.Controls > 0 {
		p.Counts = append(p.Counts, countView{m.Controls, "control", "blank or positive control; attention only where one fails"})
	}
	reads := map[string]*seqqc.Read{}
	for i := range res.Reads {
		reads[res.Reads[i].File] = &res.Reads[i]
	}
	views := map[*seqqc.VoucherResult]*voucherView{}
	for i := range res.Vouchers {
		v := newVoucherView(i, &res.Vouchers[i], res, reads)
		p.Vouchers = append(p.Vouchers, v)
		p.ids[v.Voucher.Code] = v.ID
		views[&res.Vouchers[i]] = v
	}
	for _, v := range m.Attention {
		p.attend(views[v])
	}
	p.Plates = plates(p.Vouchers, reads)
	for i := range res.Trees {
		t := &res.Trees[i]
		title := "Vouchers whose order is not known"
		if t.Taxon != "" {
			title = t.Taxon
		}
		p.Trees = append(p.Trees, treeView{title, template.HTML(draw.Tree(fmt.Sprintf("tree-%d", i+1), t)), t.LeftOut})
	}
	return p, nil
}

// head makes the policy and the style element. The policy allows this one style
// by its hash, and nothing else.
func head(style string) template.HTML {
	sum := sha256.Sum256([]byte(style))
	return template.HTML(fmt.Sprintf(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'sha256-%s'; base-uri 'none'; form-action 'none'">
<style>%s</style>`, base64.StdEncoding.EncodeToString(sum[:]), style))
}
