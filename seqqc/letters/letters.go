// Package letters writes to each collector of a batch what became of their
// finds, in plain words, as text and as a page of HTML. All words stand in
// templates, so that a club can write in its own language.
package letters

import (
	"embed"
	"errors"
	"fmt"
	htmltemplate "html/template"
	"io"
	"io/fs"
	"slices"
	"strings"
	texttemplate "text/template"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"forayseq/refs"
	"forayseq/seqqc"
)

// The names of the two templates.
const (
	TextTemplate = "letter.txt"
	HTMLTemplate = "letter.html"
)

//go:embed letter.txt letter.html
var builtin embed.FS

// Builtin gives the English templates, to be copied and translated.
func Builtin() fs.FS { return builtin }

// Letter is what the templates get.
type Letter struct {
	// Collector is the name as in the sheet, empty for finds without one.
	Collector string
	Finds     []Find // in sheet order
	// Settled counts the finds whose question is answered, Open the others.
	Settled, Open int
	// Cautions stand in every letter; a translation has its own words for them,
	// and must not leave them out.
	Cautions []string
}

// Find is one specimen in a letter.
type Find struct {
	Voucher, FieldID, Date, Locality string
	// Verdict, ReasonCode, AgreeRank and PartsAt are as in verdicts.tsv.
	Verdict, ReasonCode, AgreeRank, PartsAt string
	// DNATaxon is what the DNA is of, as far as it tells, and DNARank the rank;
	// both empty where it tells nothing.
	DNATaxon, DNARank string
	// IdentityPct is that with the nearest reference, whose name is Nearest;
	// zero where nothing was compared.
	IdentityPct float64
	Nearest     string
	// FinalName is the name a reviewer gave, empty where nobody did.
	FinalName string
	// Reason and NextStep are the program's own sentences, in English.
	Reason, NextStep string
	Flags            []string
	// Open is true where somebody still has to do something.
	Open bool
	// ClubCode is the club's code for a barcode that no reference names.
	ClubCode string
}

// Flag reports whether a find has a flag.
func (f Find) Flag(name string) bool { return slices.Contains(f.Flags, name) }

// New gives a letter a collector, in the order in which the sheet first names
// them; finds without a collector come last. codes gives the club codes by
// voucher, nil for none.
func New(res *seqqc.Result, codes map[string]string) []Letter {
	var out []Letter
	index := map[string]int{}
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		if v.Voucher.Kind == seqqc.Blank || v.Voucher.Kind == seqqc.Positive {
			continue
		}
		who := strings.Join(strings.Fields(v.Voucher.Collector), " ")
		at, ok := index[who]
		if !ok {
			at = len(out)
			index[who] = at
			out = append(out, Letter{Collector: who, Cautions: seqqc.Cautions})
		}
		f := findOf(v)
		f.ClubCode = codes[f.Voucher]
		out[at].Finds = append(out[at].Finds, f)
		if f.Open {
			out[at].Open++
		} else {
			out[at].Settled++
		}
	}
	slices.SortStableFunc(out, func(a, b Letter) int {
		return boolean(a.Collector == "") - boolean(b.Collector == "")
	})
	return out
}

func boolean(b bool) int {
	if b {
		return 1
	}
	return 0
}

func findOf(v *seqqc.VoucherResult) Find {
	x := v.Verdict
	f := Find{
		Voucher: v.Voucher.Code, FieldID: v.Voucher.FieldID, Date: v.Voucher.Date, Locality: v.Voucher.Locality,
		Verdict: string(x.Kind), ReasonCode: string(x.ReasonCode), AgreeRank: x.AgreeRank.String(), PartsAt: x.PartsAt.String(),
		Reason: x.Reason, NextStep: x.NextStep, Open: x.Attention,
	}
	for _, flag := range x.Flags {
		f.Flags = append(f.Flags, string(flag))
	}
	if s := v.ChosenSample(); s != nil && s.Match != nil {
		if s.Match.Supported != refs.NoRank {
			f.DNATaxon, f.DNARank = s.Match.Taxon, s.Match.Supported.String()
		}
		if len(s.Match.Hits) > 0 {
			f.IdentityPct, f.Nearest = s.Match.Hits[0].IdentityPct, s.Match.Hits[0].Name.Label()
		}
	}
	if r := v.Reviewed; r != nil {
		f.FinalName = r.FinalName
		if r.Accepted || r.Kind != "" || r.FinalName != "" {
			f.Open = false
		}
	}
	return f
}

// Templates are a text and an HTML template, read and ready.
type Templates struct {
	text *texttemplate.Template
	html *htmltemplate.Template
}

// Parse reads the two templates of a folder; of one that is not there the
// English one is taken. An error names the file and what is wrong with it.
func Parse(dir fs.FS) (*Templates, error) {
	var t Templates
	for _, name := range []string{TextTemplate, HTMLTemplate} {
		raw, err := fs.ReadFile(dir, name)
		if errors.Is(err, fs.ErrNotExist) {
			raw, err = builtin.ReadFile(name)
		}
		if err != nil {
			return nil, err
		}
		if name == TextTemplate {
			t.text, err = texttemplate.New(name).Funcs(words).Option("missingkey=error").Parse(string(raw))
		} else {
			t.html, err = htmltemplate.New(name).Funcs(words).Option("missingkey=error").Parse(string(raw))
		}
		if err != nil {
			return nil, err
		}
	}
	return &t, nil
}

// words are the functions that templates have beside those of Go.
var words = map[string]any{
	// percent gives one decimal, rounded down: never nearer than it is.
	"percent": func(x float64) string { return fmt.Sprintf("%.1f", float64(int64(x*10+1e-9))/10) },
	// plain takes out what would break a line of text.
	"plain": func(s string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsControl(r) || r == 0x2028 || r == 0x2029 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
				return ' '
			}
			return r
		}, s)
	},
}

// WriteText and WriteHTML write a letter.
func (t *Templates) WriteText(w io.Writer, l Letter) error { return t.text.Execute(w, l) }

// WriteHTML writes a letter as a page; whatever stands in the sheet shows as
// text.
func (t *Templates) WriteHTML(w io.Writer, l Letter) error { return t.html.Execute(w, l) }

// FileNames gives each letter a file name without its ending, made of the
// collector's name, no two alike.
func FileNames(letters []Letter) []string {
	taken := map[string]bool{}
	out := make([]string, len(letters))
	for i, l := range letters {
		name := slug(l.Collector)
		if name == "" {
			name = "finds-without-a-collector"
		}
		for n, try := 2, name; ; n++ {
			if !taken[try] {
				taken[try], out[i] = true, try
				break
			}
			try = fmt.Sprintf("%s-%d", name, n)
		}
	}
	return out
}

// slug keeps the letters and digits of a name, lower case, without accents; at
// most 60 of them.
func slug(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFD.String(strings.ToLower(s)) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(r)
		default:
			gap = true
		}
		if b.Len() >= 60 {
			break
		}
	}
	return b.String()
}
