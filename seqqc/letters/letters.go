// Package letters writes to each collector of a batch what became of their
// finds, in plain words, as text and as a page of HTML. All words stand in
// templates, so that a club can write in its own language.
package letters

import (
	"bytes"
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
	"unicode/utf8"

	"golang.org/x/text/cases"
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
	// Collector is the name as in the sheet, empty for finds without one; where
	// it stands there in several spellings, the commonest.
	Collector string
	// Spellings are all of them, commonest first, where there are several that
	// differ in case, blanks or the Unicode form of their letters alone.
	Spellings []string
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
	// IdentifiedBy is who named it in the field, as in the sheet.
	IdentifiedBy string
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
// them; finds without a collector come last. Spellings that differ in case,
// blanks or the Unicode form of their letters alone are one collector. codes gives the club codes by
// voucher, nil for none.
func New(res *seqqc.Result, codes map[string]string) []Letter {
	var out []Letter
	index := map[string]int{}
	var spelt []map[string]int // of each letter: how often each spelling stands in the sheet
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		if v.Voucher.Kind == seqqc.Blank || v.Voucher.Kind == seqqc.Positive {
			continue
		}
		who := spelling(v.Voucher.Collector)
		at, ok := index[person(who)]
		if !ok {
			at = len(out)
			index[person(who)] = at
			out = append(out, Letter{Cautions: seqqc.Cautions})
			spelt = append(spelt, map[string]int{})
		}
		if spelt[at][who]++; spelt[at][who] == 1 {
			out[at].Spellings = append(out[at].Spellings, who)
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
	for i := range out {
		l := &out[i]
		slices.SortStableFunc(l.Spellings, func(a, b string) int { return spelt[i][b] - spelt[i][a] })
		if l.Collector = l.Spellings[0]; len(l.Spellings) == 1 {
			l.Spellings = nil
		}
	}
	slices.SortStableFunc(out, func(a, b Letter) int {
		return boolean(a.Collector == "") - boolean(b.Collector == "")
	})
	return out
}

// spelling gives a name without what nobody sees: blanks at its ends, several
// in a row, marks without width, the two ways to write a letter with a mark.
func spelling(name string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, norm.NFC.String(name))), " ")
}

// person gives the same text for two spellings of one name: those that differ
// in case, blanks and the form of their letters (wide ones, say).
func person(name string) string {
	return norm.NFKC.String(cases.Fold().String(strings.ReplaceAll(norm.NFKC.String(name), " ", "")))
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
		IdentifiedBy: v.Voucher.IdentifiedBy,
		Verdict:      string(x.Kind), ReasonCode: string(x.ReasonCode), AgreeRank: x.AgreeRank.String(), PartsAt: x.PartsAt.String(),
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

// TemplateError is a template that cannot be filled in: it asks for a field
// that a letter does not have, for instance.
type TemplateError struct{ Err error }

func (e *TemplateError) Error() string { return e.Err.Error() }

// Unwrap gives what the template package said.
func (e *TemplateError) Unwrap() error { return e.Err }

// WriteText writes a letter; lines longer than a screen or a sheet of paper is
// wide are broken between words. An error of the template is a *TemplateError.
func (t *Templates) WriteText(w io.Writer, l Letter) error {
	var b bytes.Buffer
	if err := t.text.Execute(&b, l); err != nil {
		return &TemplateError{err}
	}
	_, err := io.WriteString(w, broken(b.String()))
	return err
}

// WriteHTML writes a letter as a page; whatever stands in the sheet shows as
// text. An error of the template is a *TemplateError.
func (t *Templates) WriteHTML(w io.Writer, l Letter) error {
	var b bytes.Buffer
	if err := t.html.Execute(&b, l); err != nil {
		return &TemplateError{err}
	}
	_, err := w.Write(b.Bytes())
	return err
}

// width is the most letters of a line of text.
const width = 78

// broken breaks long lines. What follows stands below the line's first word, or
// behind the dash of a list.
func broken(text string) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, " \n")
		if utf8.RuneCountInString(line) <= width {
			out.WriteString(line + "\n")
			continue
		}
		body := strings.TrimLeft(line, " ")
		indent := line[:len(line)-len(body)]
		out.WriteString(indent)
		if strings.HasPrefix(body, "- ") {
			indent += "  "
		}
		n := utf8.RuneCountInString(indent)
		used := n
		for i, word := range strings.Fields(body) {
			long := utf8.RuneCountInString(word)
			switch {
			case i == 0:
			case used+1+long > width:
				out.WriteString("\n" + indent)
				used = n
			default:
				out.WriteByte(' ')
				used++
			}
			out.WriteString(word)
			used += long
		}
		out.WriteByte('\n')
	}
	return out.String()
}

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
