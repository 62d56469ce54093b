package refs

import (
	"regexp"
	"strings"
)

// ParseName reads a taxon name as written on a label or in a header. It never
// fails: what is not understood leaves Genus and Higher empty.
//
//	written                                      understood as
//	Russula emetica, RUSSULA emetica             genus and epithet, whatever the case
//	russula_emetica                              the same; underscores are spaces
//	Russula emetica (Schaeff.) Pers. 1796        authors and years are passed over
//	Amanita muscaria var. formosa Pers.          Infra formosa (var. subsp. ssp. f. forma, or nothing)
//	Cortinarius (Dermocybe) sanguineus           the subgenus is passed over
//	Russula, Russula Pers.                       genus, nothing said of the species
//	Russula sp., spp., sp. FC12, sp.4, spC       genus, DoubtSp; the code is passed over
//	Russula 'sierra red', Russula sect. X        genus, DoubtSp: a provisional name is no epithet
//	Russula FC12, Armillaria 00-13               genus; the code is passed over
//	Peziza vesiculosa2                           genus and epithet; the number is passed over
//	Russula cf. emetica, cf. Russula emetica     epithet with DoubtCf
//	Russula aff. emetica, near emetica           epithet with DoubtAff
//	Russula emetica?, ?Russula, possibly Russula DoubtQuestion
//	Russula emetica group, agg., complex, clade  DoubtGroup; so is "ex gr. emetica"
//	Russula emetica s.l., 'Clitocybe' connata    DoubtSensuLato; s. str. changes nothing
//	[Candida] boidinii                           the same, as archives write it
//	×Salix alba, Salix × fragilis                the named hybrid; Salix alba × fragilis: genus, DoubtSp
//	Russula emetica or silvicola                 genus, DoubtSp | DoubtQuestion
//	Russula or Lactarius, Russula sp./Lactarius  nothing but Several: two genera are no name
//	Russula (Lactarius?), Lactarius? Russula?    the same; so do "oder", "x", "possibly", "and"
//	Hypomyces lactifluorum on Lactarius          the first; after "on" stands the host
//	Russulaceae sp., Agaricales, Agaricomycetes  Higher with its rank; between our ranks NoRank
//	Fungi sp., fungus, fungal endophyte          Unnamed, Higher Fungi
//	Uncultured Cenococcum clone 7                Unnamed: nobody saw the fungus
//	unidentified, environmental sample, ?        Unnamed
//	Unidentified Russula                         genus, DoubtSp
//	Fly agaric (Amanita muscaria)                the name in the brackets
//	Fly agaric - Amanita muscaria                the name behind the mark, where the genus is known
//	coral fungus, brown mushroom, FC-0123        nothing
//	R. emetica                                   nothing but Abbreviated: the genus is not written out
//
// A one-word name is taken for a genus only where the built-in table knows it
// or it ends as Latin genera do; Taxonomy.Resolve looks again with the names
// of a library.
func ParseName(text string) Name { return parseName(text, isBuiltinGenus) }

func parseName(text string, known func(genus string) bool) Name {
	n := Name{Verbatim: strings.TrimSpace(text)}
	main, brackets := splitBrackets(plainMarks(n.Verbatim))
	p := nameParser{tokens: tokenize(main), known: known, name: n}
	p.parse()
	if p.name.Genus != "" {
		for _, b := range brackets {
			p.bracketAlternative(b)
		}
	}
	if p.name.Rank != NoRank || p.name.Higher != "" || p.name.Unnamed || p.name.Several != "" {
		return p.name
	}
	for _, b := range brackets {
		q := nameParser{tokens: tokenize(b), known: known, name: n}
		q.parse()
		if q.name.Genus != "" || q.name.Several != "" || q.name.Abbreviated {
			return q.name
		}
	}
	if last := behindMark(main); last != "" && !p.name.Abbreviated {
		q := nameParser{tokens: tokenize(last), known: known, name: n}
		if q.parse(); q.name.Genus != "" && known(q.name.Genus) && (q.name.Epithet != "" || q.name.Doubt&DoubtSp != 0) {
			return q.name
		}
	}
	return p.name
}

// behindMark gives what follows the last hyphen with blanks, comma, semicolon,
// colon or equals sign of a text, "Lilac bonnet - Mycena pura"; empty where a word
// before it says that it may be something else ("host: Betula pendula").
func behindMark(s string) string {
	m := betweenNames.FindAllStringIndex(s, -1)
	if m == nil {
		return ""
	}
	last := m[len(m)-1]
	for _, t := range tokenize(s[:last[0]]) {
		if remarkWords[t.lower] || doubtfulWords[t.lower] {
			return ""
		}
	}
	return s[last[1]:]
}

// Marks of several words, brought to one token each before the text is cut up.
var (
	latoMark     = regexp.MustCompile(`(?i)(^|[\s(,])(s\.\s?l\.?|s\.\s?lat[oa]?\.?|sensu\s+lat[oa]\.?|s\s+lat[oa]\.?|in the (?:wide|broad) sense)($|[\s),;?])`)
	strictoMark  = regexp.MustCompile(`(?i)(^|[\s(,])(s\.\s?s\.?|s\.\s?str\.?|sensu\s+strict[oa]\.?|s\.\s?strict[oa]\.?)($|[\s),;?])`)
	markSpaces   = regexp.MustCompile(`(?i)(^|[\s(])((?:n|gen|spec)\.\s?sp\.|sp\.\s?nov\.?|gen\.\s?(?:et\s)?sp\.(?:\s?nov\.?)?)`)
	gluedMark    = regexp.MustCompile(`(?i)(^|\s)(cf|aff|var|subsp|ssp|sect|subgen|agg)\.(\pL)`)
	gluedGroup   = regexp.MustCompile(`(?i)(\pL{3})-(group|grp|gruppe|groupe|agg|complex|komplex)\b`)
	exGrege      = regexp.MustCompile(`(?i)(^|\s)(?:e|ex)\.?\s(?:gr|gre?ge)\.?\s`)
	betweenNames = regexp.MustCompile(`\s-+\s|[,;:=]\s`)
	joint        = regexp.MustCompile(`([\pL.?])\s*([/+&])\s*(\pL)`)
)

const latoToken = "s.l."

// plainMarks brings quotation marks, spaces and compound marks to one form.
func plainMarks(s string) string {
	s = strings.Map(func(c rune) rune {
		switch c {
		case '“', '”', '„', '«', '»', '"':
			return '"'
		case '‘', '’', '‚', '`', '´':
			return '\''
		case '_', '\t', '\n', '\r', '\u00a0', '\u2009', '\u202f':
			return ' '
		case '‐', '‑', '–', '—':
			return '-'
		}
		return c
	}, s)
	if len(s) > 2 && (s[0] == '"' || s[0] == '\'') && s[len(s)-1] == s[0] && strings.Count(s, s[:1]) == 2 {
		s = s[1 : len(s)-1] // the cell was quoted, not the name
	}
	if strings.Contains(s, "-") {
		s = gluedGroup.ReplaceAllString(s, "$1 $2")
	}
	if strings.Contains(s, " gr") {
		s = exGrege.ReplaceAllString(s, "$1 group ")
	}
	if !strings.ContainsAny(s, "./+&×") && !strings.Contains(s, "sens") && !strings.Contains(s, "Sens") && !strings.Contains(s, "s lat") && !strings.Contains(s, "s strict") {
		return s // most names of a library: nothing to look for
	}
	s = latoMark.ReplaceAllString(s, "$1 "+latoToken+" $3")
	s = strictoMark.ReplaceAllString(s, "$1 $3")
	s = markSpaces.ReplaceAllString(s, "$1 sp. ")
	s = gluedMark.ReplaceAllString(s, "$1$2. $3")
	s = joint.ReplaceAllString(s, "$1 $2 $3")
	return strings.ReplaceAll(s, "×", " × ")
}

// splitBrackets takes round brackets out of s: authors, subgenera and remarks.
// Brackets that hold a mark of doubt stay, without the brackets.
func splitBrackets(s string) (main string, inside []string) {
	if !strings.Contains(s, "(") {
		return s, nil
	}
	var b strings.Builder
	for {
		open := strings.IndexByte(s, '(')
		if open < 0 {
			break
		}
		end := strings.IndexByte(s[open:], ')')
		if end < 0 {
			break
		}
		content := strings.TrimSpace(s[open+1 : open+end])
		b.WriteString(s[:open])
		b.WriteByte(' ')
		first, _, _ := strings.Cut(strings.ToLower(content), " ")
		first = strings.TrimRight(first, ".")
		switch {
		case content == "?" || first == "cf" || first == "aff" || first == "s.l" || groupMarks[first] && len(first) > 2:
			b.WriteString(content)
			b.WriteByte(' ')
		default:
			inside = append(inside, content)
		}
		s = s[open+end+1:]
	}
	b.WriteString(s)
	return b.String(), inside
}

// token is one word of a name.
type token struct {
	text   string // as written, without surrounding punctuation
	lower  string // lower case, accents folded, a closing full stop removed
	dotted bool   // ended in a full stop
	query  bool   // had a question mark
	quoted bool   // stood in quotation marks, alone or with others
	boxed  bool   // stood in square brackets
	comma  bool   // a comma, semicolon or colon followed
}

func tokenize(s string) []token {
	var tokens []token
	quote := byte(0)
	for word := range strings.FieldsSeq(s) {
		t := token{}
		if quote == 0 && len(word) > 1 && (word[0] == '"' || word[0] == '\'') {
			quote = word[0]
			word = word[1:]
		}
		t.quoted = quote != 0
		if quote != 0 {
			if i := strings.LastIndexByte(word, quote); i >= 0 {
				word = word[:i] + word[i+1:]
				quote = 0
			}
		}
		if word != strings.Trim(word, ",;:") {
			t.comma = strings.TrimRight(word, ",;:") != word
			word = strings.Trim(word, ",;:")
		}
		if len(word) > 2 && word[0] == '[' && word[len(word)-1] == ']' {
			t.boxed = true
		}
		if strings.Contains(word, "?") {
			t.query = true
			word = strings.ReplaceAll(word, "?", "")
		}
		word = strings.Trim(word, "[]{}*\"!")
		if len(word) > 1 {
			word = strings.TrimRight(word, "/")
		}
		t.text = word
		t.dotted = strings.HasSuffix(word, ".")
		t.lower = strings.TrimRight(strings.ToLower(foldLetters.Replace(word)), ".")
		if word != "" || t.query {
			tokens = append(tokens, t)
		}
	}
	return tokens
}

// nameParser walks the tokens of a name from left to right.
type nameParser struct {
	tokens []token
	at     int
	known  func(genus string) bool
	name   Name
}

func (p *nameParser) peek(ahead int) token {
	if i := p.at + ahead; i < len(p.tokens) {
		return p.tokens[i]
	}
	return token{}
}

func (p *nameParser) doubt(d Doubt) { p.name.Doubt |= d }

func (p *nameParser) parse() {
	if len(p.tokens) == 0 {
		p.name.Unnamed = p.name.Verbatim != ""
		return
	}
	lead, stopped := p.leadingWords()
	if stopped || p.at >= len(p.tokens) {
		if !p.unnamed() { // "uncultured Cenococcum"
			p.name = Name{Verbatim: p.name.Verbatim, Unnamed: true}
		}
		return
	}
	p.name.Doubt = lead
	t, first := p.tokens[p.at], p.at
	if genus, ok := p.genus(); ok {
		p.name.Genus, p.name.Rank = genus, Genus
		if t.quoted || t.boxed {
			p.doubt(DoubtSensuLato)
		}
		p.query(t)
		p.at++
		if !t.comma {
			p.belowGenus()
		}
		if p.name.Epithet != "" {
			p.name.Rank = Species
		}
		p.alternatives(first)
		return
	}
	p.name.Doubt = 0
	if p.abbreviated() {
		p.name.Abbreviated = true
		return
	}
	if p.unnamed() {
		return
	}
	if higher, rank, ok := higherName(strings.TrimRight(foldLetters.Replace(t.text), ".")); ok {
		p.name.Higher, p.name.Rank, p.name.Doubt = higher, rank, lead
		p.query(t)
		p.at++
		for ; p.at < len(p.tokens); p.at++ {
			t := p.tokens[p.at]
			p.query(t)
			if t.text == latoToken {
				p.doubt(DoubtSensuLato)
			}
			if isOpenSpecies(t) {
				p.doubt(DoubtSp)
				break
			}
		}
		p.alternatives(first)
	}
}

func (p *nameParser) query(t token) {
	if t.query {
		p.doubt(DoubtQuestion)
	}
}

// leadingWords passes over what may stand before a genus and collects the
// doubt it brings. It reports stopped where the text says that nobody saw the
// fungus.
func (p *nameParser) leadingWords() (d Doubt, stopped bool) {
	for ; p.at < len(p.tokens); p.at++ {
		t := p.tokens[p.at]
		if t.text == "" { // a question mark alone
			d |= DoubtQuestion
			continue
		}
		switch t.lower {
		case "uncultured", "uncultivated", "unculturable", "environmental", "metagenome":
			return d, true
		case "cf", "cfr":
			d |= DoubtCf
		case "aff", "afn", "affin", "near", "nr":
			d |= DoubtAff
		case "possible", "possibly", "probable", "probably", "prob", "poss", "maybe", "perhaps", "likely":
			d |= DoubtQuestion
		case "×", "x", "genus", "gen", "family", "fam", "order", "ord", "species", "section":
		default:
			switch {
			case undeterminedWords[t.lower]:
				d |= DoubtSp
			case hasLetter(t.text):
				return d, false
			}
		}
	}
	return d, false
}

// unnamed reports whether the text is made of words that name nothing, as far
// as the first code or word such as "strain".
func (p *nameParser) unnamed() bool {
	fungi := false
	for i, t := range p.tokens {
		if i > 0 && (hasDigit(t.text) || sourceWords[t.lower]) {
			break
		}
		switch {
		case t.text == "", !hasLetter(t.text):
		case !openWords[t.lower]:
			// "Fungal sp. ARIZ": what follows an open species is a code.
			if i > 0 && isOpenSpecies(p.tokens[i-1]) {
				goto done
			}
			return false
		case higherWords[t.lower].name == "Fungi":
			fungi = true
		case higherWords[t.lower].name != "":
			return false // "ascomycete sp." says more
		}
	}
done:
	p.name = Name{Verbatim: p.name.Verbatim, Unnamed: true}
	if fungi {
		p.name.Higher, p.name.Rank = "Fungi", Kingdom
	}
	return true
}

// genus reads the token at hand as a genus.
func (p *nameParser) genus() (string, bool) {
	t := p.tokens[p.at]
	if !isLetters(t.lower) || len(t.lower) < 3 || strings.Contains(t.lower, "-") {
		return "", false
	}
	genus := titleCase(t.lower)
	if p.known(genus) {
		return genus, true
	}
	if t.dotted && p.at+1 < len(p.tokens) || plainWords[t.lower] || openWords[t.lower] {
		return "", false
	}
	if _, _, higher := higherName(t.text); higher {
		return "", false
	}
	next := p.peek(1)
	_, epithet := p.epithet(next)
	capital := t.text[0] != t.lower[0]
	shout := capital && strings.ToUpper(t.text) == t.text
	strict := latinEnding(t.lower, true)
	switch {
	case shout && !epithet && !isOpenSpecies(next): // an acronym more likely
		return "", false
	case capital && epithet, capital && isOpenSpecies(next):
		return genus, latinEnding(t.lower, false)
	case capital:
		return genus, strict
	default:
		return genus, strict && epithet && latinEnding(next.lower, true)
	}
}

// epithet reads a token as an epithet at or below species.
func (p *nameParser) epithet(t token) (string, bool) {
	if t.quoted || t.dotted && len(t.lower) < 5 || len(t.lower) < 3 || !isLetters(t.lower) || plainWords[t.lower] || authorWords[t.lower] ||
		infraMarks[t.lower] || openRankMarks[t.lower] || groupMarks[t.lower] || !latinEnding(t.lower, false) {
		return "", false
	}
	written := foldLetters.Replace(t.text)
	switch {
	case written == "" || t.dotted && written[0] != t.lower[0]:
		return "", false
	case written[0] == t.lower[0]: // "emetica", "punGens"
		// "bioassay-Tomales" is no epithet: letter case changes after a hyphen.
		if i := strings.IndexByte(written, '-'); i >= 0 && strings.ToLower(written) != written {
			return "", false
		}
		return t.lower, true
	case strings.ToUpper(written) == written: // "EMETICA", not "BRNM"
		return t.lower, len(t.lower) > 4 && latinEnding(t.lower, true)
	case strings.Contains(t.lower, "-"): // "Indo-Malaysia"
		return "", false
	}
	// "Amanita Muscaria": likely a species, unless an author or a subgenus.
	// -on and a plain -i end too many people and places ("Persoon", "Missouri").
	last := t.lower[len(t.lower)-1]
	if len(t.lower) < 5 || t.lower == "linnaeus" || !latinEnding(t.lower, true) || p.known(titleCase(t.lower)) ||
		last == 'n' || last == 'i' && !strings.HasSuffix(t.lower, "ii") {
		return "", false
	}
	return t.lower, true
}

// numberedEpithet takes the number of a collection off an epithet it was
// written onto: "vesiculosa2".
func numberedEpithet(t token) token {
	word := strings.TrimRight(t.lower, "0123456789")
	if cut := len(t.lower) - len(word); cut < 1 || cut > 2 || len(word) < 4 || t.dotted || word != t.text[:min(len(word), len(t.text))] || !latinEnding(word, true) {
		return t
	}
	t.lower, t.text = word, word
	return t
}

// isOpenSpecies reads "sp.", "spp", "sp.4", "spC", "sp-CA01", "species" and
// their like.
func isOpenSpecies(t token) bool {
	switch t.lower {
	case "sp", "spp", "spec", "species", "sps":
		return true
	}
	rest, ok := strings.CutPrefix(t.text, "sp")
	if !ok {
		rest, ok = strings.CutPrefix(t.text, "SP")
	}
	if !ok || rest == "" {
		return false
	}
	c := rest[0]
	return c == '.' || c == '-' || c >= '0' && c <= '9' || t.text[:2] == "sp" && c >= 'A' && c <= 'Z'
}
