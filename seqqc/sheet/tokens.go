package sheet

import (
	"path"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"forayseq/seqqc"
)

// mask is what a token of a name was recognised as; such a token is no
// voucher code unless nothing else is.
type mask int

const (
	plain mask = iota
	datePart
	primerPart
	wellPart
	runPart
	directionPart
	wordPart // a word of the trade that says nothing about the voucher
)

// join is what stands before a token.
type join byte

const (
	joinStart  join = iota
	joinGlue        // nothing: a primer or direction was split off a token
	joinHyphen      // a single hyphen, which binds the parts of a code
	joinOther       // anything else
)

// token is a stretch of letters and digits of a name, in lower case.
type token struct {
	text string
	join join
	mask mask
	// group numbers the masks, so that the three tokens of a date are one.
	group int
}

// name is a file name or the like as tokens.
type name struct {
	tokens []token
	groups int
}

// extensions are those of read files; others may be part of a code.
var extensions = map[string]bool{".ab1": true, ".abi": true, ".abd": true, ".ab": true, ".scf": true, ".zip": true,
	".fastq": true, ".fq": true, ".fasta": true, ".fa": true, ".fas": true, ".fna": true, ".seq": true, ".gz": true,
	".txt": true, ".qual": true, ".phd": true}

// copyNumber is what browsers and file managers add to a second copy.
var copyNumber = regexp.MustCompile(`\s*\(\d{1,2}\)$`)

// longestName bounds the names that are looked at, in bytes. Files have at most
// 255; what is longer stands in the header of a record or inside a trace, and
// each of its many tokens would be held against every other.
const longestName = 1000

// splitName splits a name to tokens and masks what is no voucher code. A name
// beyond longestName gives no token.
func splitName(s string, primers map[string]primer) *name {
	if len(s) > longestName {
		return &name{}
	}
	for extensions[strings.ToLower(path.Ext(s))] {
		s = strings.TrimSuffix(s, path.Ext(s))
	}
	n := &name{tokens: tokens(copyNumber.ReplaceAllString(s, ""))}
	n.unglue(primers)
	n.maskDates()
	n.maskPrimers(primers)
	n.mask58S()
	n.maskRuns()
	for i := range n.tokens {
		t := &n.tokens[i]
		switch {
		case t.mask != plain:
		case primerVariant.MatchString(t.text), i > 0 && n.tokens[i-1].mask == primerPart && variantMark.MatchString(t.text):
			n.set(primerPart, i, i+1)
		case wellToken.MatchString(t.text):
			n.set(wellPart, i, i+1)
		case direction(t.text) != seqqc.UnknownDirection:
			n.set(directionPart, i, i+1)
		case words[t.text]:
			n.set(wordPart, i, i+1)
		}
	}
	return n
}

func tokens(s string) []token {
	var out []token
	var b strings.Builder
	before := joinStart
	flush := func() {
		if b.Len() > 0 {
			out = append(out, token{text: b.String(), join: before})
			b.Reset()
			before = joinGlue
		}
	}
	for _, r := range strings.ToLower(norm.NFC.String(s)) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r):
			b.WriteRune(r)
			continue
		case b.Len() == 0 && len(out) == 0:
			continue
		}
		flush()
		if r == '-' && before == joinGlue {
			before = joinHyphen
		} else {
			before = joinOther
		}
	}
	flush()
	return out
}

// set masks the tokens [from, to) as one.
func (n *name) set(m mask, from, to int) {
	n.groups++
	for i := from; i < to; i++ {
		n.tokens[i].mask, n.tokens[i].group = m, n.groups
	}
}

// gluedEnd is a direction letter behind a number: "FC-0123F".
var gluedEnd = regexp.MustCompile(`^(.*\d)([fr])$`)

// unglue splits a primer or a direction off the end of a token, where it
// stands behind a digit: "FC0123ITS1F" is FC0123 and ITS1F. The border from
// digit to letter makes both whole.
func (n *name) unglue(primers map[string]primer) {
	var out []token
	for _, t := range n.tokens {
		head, tail := "", ""
		if _, primer := primers[t.text]; !primer {
			head, tail = gluedPrimer(t.text, primers)
			if m := gluedEnd.FindStringSubmatch(t.text); head == "" && m != nil {
				head, tail = m[1], m[2]
			}
		}
		if head == "" {
			out = append(out, t)
			continue
		}
		out = append(out, token{text: head, join: t.join}, token{text: tail, join: joinGlue})
	}
	n.tokens = out
}

// gluedPrimer finds the longest primer name at the end of a token.
func gluedPrimer(text string, primers map[string]primer) (head, tail string) {
	for i := 1; i < len(text); i++ {
		if text[i-1] < '0' || text[i-1] > '9' || text[i] < 'a' || text[i] > 'z' {
			continue
		}
		if _, ok := primers[text[i:]]; ok {
			return text[:i], text[i:]
		}
	}
	return "", ""
}

// maskPrimers masks primer names, also such as ITS1-F.
func (n *name) maskPrimers(primers map[string]primer) {
	for i := 0; i < len(n.tokens); {
		end := 0
		text := ""
		for j := i; j < min(i+3, len(n.tokens)) && n.tokens[j].mask == plain; j++ {
			// "ITS_1" is no voucher 1 either, and "5.8SR" no voucher 5.
			if j > i && n.tokens[j].join != joinHyphen && text != "its" && text != "5" {
				break
			}
			text += n.tokens[j].text
			if _, ok := primers[text]; ok {
				end = j + 1
			}
		}
		if end == 0 {
			i++
			continue
		}
		n.set(primerPart, i, end)
		i = end
	}
}

// after5 is what stands behind the dot of 5.8S and of the primers 5.8S and
// 5.8SR, which are named after it. From memory, no source.
var after5 = regexp.MustCompile(`^8s[fr]?$`)

// mask58S masks "5.8S" and "5.8SR", whose dot parts no code from another. The
// sheet's own primer of that name is masked before, and has a direction.
func (n *name) mask58S() {
	for i := range n.tokens {
		if i > 0 && n.tokens[i].mask == plain && n.tokens[i-1].mask == plain && n.tokens[i-1].text == "5" && after5.MatchString(n.tokens[i].text) {
			n.set(wordPart, i-1, i+1)
		}
	}
}

// primerVariant is a later variant of an ITS primer, as ITS1Fngs and ITS4ngs;
// variantMark what its author put behind the name, as in ITS1-F_KYO2. Their
// sequences are not in the table, so they say nothing but that they are no
// voucher. From memory, no source.
var (
	primerVariant = regexp.MustCompile(`^[fg]?its\d[a-z]{2,}\d?$`)
	variantMark   = regexp.MustCompile(`^(kyo|ngs)\d$`)
)

var (
	wellToken = regexp.MustCompile(`^[a-p](0?[1-9]|1\d|2[0-4])$`)
	runToken  = regexp.MustCompile(`^(run|lane|plate|pl|batch|set|order|job|cap|capillary)(\d+)?$`)
	// laneToken is a lane of three digits with an L.
	laneToken = regexp.MustCompile(`^l00\d$`)
)

// maskRuns masks "run3", "plate 2" and the like.
func (n *name) maskRuns() {
	for i := range n.tokens {
		m := runToken.FindStringSubmatch(n.tokens[i].text)
		switch {
		case n.tokens[i].mask != plain:
		case laneToken.MatchString(n.tokens[i].text) || m != nil && m[2] != "":
			n.set(runPart, i, i+1)
		case m != nil && i+1 < len(n.tokens) && n.tokens[i+1].mask == plain && isNumber(n.tokens[i+1].text) && len(n.tokens[i+1].text) <= 3:
			n.set(runPart, i, i+2)
		}
	}
}

// number reports whether a token that is not masked, outside the match, has a
// digit: it may be a code that the sheet does not have.
func (n *name) number(outside match) bool {
	for i, t := range n.tokens {
		if t.mask == plain && (i < outside.from || i >= outside.to) && strings.ContainsAny(t.text, "0123456789") {
			return true
		}
	}
	return false
}

// only gives the mask that all tokens have in common, plain where they have
// none.
func (n *name) only() mask {
	for _, t := range n.tokens {
		if t.mask != n.tokens[0].mask {
			return plain
		}
	}
	if len(n.tokens) == 0 {
		return plain
	}
	return n.tokens[0].mask
}

// well gives the one well that a name carries, empty where it has none or
// several.
func (n *name) well() string {
	found := ""
	for _, t := range n.tokens {
		if t.mask != wellPart {
			continue
		}
		w, ok := normalWell(t.text)
		if !ok || found != "" && found != w {
			return ""
		}
		found = w
	}
	return found
}

// run gives the run token of the name, such as "run3".
func (n *name) run() string {
	run := ""
	for i, t := range n.tokens {
		if t.mask == runPart && strings.HasPrefix(t.text, "run") {
			run = t.text
			if i+1 < len(n.tokens) && n.tokens[i+1].group == t.group {
				run += n.tokens[i+1].text
			}
		}
	}
	return run
}

// words are words that stand in file names beside a code: what was done to
// the file and which part of the DNA it is. Common practice, no source.
var words = map[string]bool{"its": true, "lsu": true, "ssu": true, "nrits": true, "rdna": true, "28s": true, "18s": true,
	"cleaned": true, "clean": true, "trimmed": true, "trim": true, "edited": true, "final": true, "raw": true,
	"copy": true, "seq": true, "sequence": true, "sample": true, "voucher": true, "specimen": true, "no": true,
	"nr": true, "sanger": true, "pcr": true, "dna": true, "fungus": true, "fungi": true, "reads": true}

func direction(text string) seqqc.Direction {
	switch text {
	case "f", "fw", "fwd", "for", "forward":
		return seqqc.Forward
	case "r", "rv", "rev", "reverse":
		return seqqc.Reverse
	}
	return seqqc.UnknownDirection
}

var (
	dateToken  = regexp.MustCompile(`^(?:(\d{1,2})([a-z]{3,9})(\d{4}|\d{2})|(\d{4})([a-z]{3,9})(\d{1,2}))$`)
	eightToken = regexp.MustCompile(`^\d{8}$`)
	sixToken   = regexp.MustCompile(`^\d{6}$`)
)

// maskDates masks dates, and a time of day behind one.
func (n *name) maskDates() {
	for i := 0; i < len(n.tokens); i++ {
		end := i
		switch {
		case oneTokenDate(n.tokens[i].text):
			end = i + 1
		case i+3 <= len(n.tokens) && n.threeTokenDate(i):
			end = i + 3
		}
		if end == i {
			continue
		}
		n.set(datePart, i, end)
		if end+3 <= len(n.tokens) && n.clock(end) {
			n.set(datePart, end, end+3)
			end += 3
		} else if end < len(n.tokens) && sixToken.MatchString(n.tokens[end].text) && clockDigits(n.tokens[end].text) {
			n.set(datePart, end, end+1)
			end++
		}
		i = end - 1
	}
}

// oneTokenDate knows 20261003, 03102026, 261003, 3oct2026 and 2026oct3.
func oneTokenDate(s string) bool {
	switch {
	case eightToken.MatchString(s):
		return realDate(s[:4], s[4:6], s[6:]) || realDate(s[4:], s[2:4], s[:2]) || realDate(s[4:], s[:2], s[2:4])
	case sixToken.MatchString(s):
		return realDate("20"+s[:2], s[2:4], s[4:])
	}
	if m := dateToken.FindStringSubmatch(s); m != nil {
		return monthByName(m[2]+m[5]) > 0
	}
	return false
}

// threeTokenDate knows 2026-10-03, 03.10.2026, 3-Oct-2026 and 03-10-26. Its
// parts are joined alike, and a year of two digits needs hyphens.
func (n *name) threeTokenDate(i int) bool {
	a, b, c := n.tokens[i], n.tokens[i+1], n.tokens[i+2]
	if b.join != c.join || len(b.text) > 9 {
		return false
	}
	month := b.text
	if m := monthByName(b.text); m > 0 {
		month = strconv.Itoa(m)
	}
	if !isNumber(a.text) || !isNumber(month) || !isNumber(c.text) {
		return false
	}
	switch {
	case len(a.text) == 4 && len(b.text) >= 2 && len(c.text) == 2:
		return realDate(a.text, month, c.text)
	case len(c.text) == 4 && len(a.text) <= 2:
		return realDate(c.text, month, a.text) || realDate(c.text, a.text, month)
	case len(c.text) == 2 && len(a.text) == 2 && b.join == joinHyphen && len(b.text) >= 2:
		return realDate("20"+c.text, month, a.text) || realDate("20"+c.text, a.text, month) || realDate("20"+a.text, month, c.text)
	}
	return false
}

// realDate reports whether the parts are a day of the years in which reads
// have files.
func realDate(year, month, dayOfMonth string) bool {
	if year < "1990" || year > "2099" {
		return false
	}
	_, err := day(year, month, dayOfMonth)
	return err == nil
}

func (n *name) clock(i int) bool {
	h, m, s := n.tokens[i], n.tokens[i+1], n.tokens[i+2]
	return m.join == s.join && m.join == joinHyphen && len(h.text)+len(m.text)+len(s.text) == 6 &&
		clockDigits(h.text+m.text+s.text)
}

func clockDigits(s string) bool {
	return len(s) == 6 && isNumber(s) && s[:2] < "24" && s[2:4] < "60" && s[4:] < "60"
}

func isNumber(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// runs splits a code to runs of letters and runs of digits. Letters that only
// punctuation parts are one run, numbers stay apart: FC-0123, fc_0123 and
// FC0123 have the runs fc and 0123, but FC-12-3 is not FC-123.
func runs(code string) []string { return joinRuns(tokens(code)) }

func joinRuns(ts []token) []string {
	var out []string
	for _, t := range ts {
		for k, r := range splitRuns(t.text) {
			if last := len(out) - 1; k == 0 && last >= 0 && !digit(r[0]) && !digit(out[last][len(out[last])-1]) {
				out[last] += r
				continue
			}
			out = append(out, r)
		}
	}
	return out
}

// splitRuns splits a token at the borders of letters and digits.
func splitRuns(s string) []string {
	var out []string
	start := 0
	for i := 1; i <= len(s); i++ {
		if i == len(s) || digit(s[i]) != digit(s[i-1]) {
			out = append(out, s[start:i])
			start = i
		}
	}
	return out
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

func runKey(runs []string) string { return strings.Join(runs, "|") }

// looseKey is runKey without leading zeros.
func looseKey(runs []string) string {
	out := make([]string, len(runs))
	for i, r := range runs {
		out[i] = r
		if digit(r[0]) {
			if out[i] = strings.TrimLeft(r, "0"); out[i] == "" {
				out[i] = "0"
			}
		}
	}
	return runKey(out)
}

// mergedRuns puts a year and the number behind it together, as a file name
// has them whose writer left the punctuation out: FC 2026 012 as FC2026012.
// Other numbers stay apart: FC-12-3 is not FC123.
func mergedRuns(runs []string) []string {
	var out []string
	for _, r := range runs {
		if last := len(out) - 1; last >= 0 && digit(r[0]) && isYear(out[last]) {
			out[last] += r
			continue
		}
		out = append(out, r)
	}
	return out
}

func isYear(s string) bool {
	return len(s) == 4 && isNumber(s) && (s[:2] == "19" || s[:2] == "20")
}
