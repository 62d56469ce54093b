package refs

import "strings"

// orWords leave the choice between two names: Latin, English, German, French,
// Dutch and Polish words, as on labels; "x" joins the parents of a hybrid.
var orWords = wordSet(`or vs versus vel aut oder bzw ou eller lub / | x xx ×`)

// andWords put two names side by side. Between authors they stand too, so that
// what follows counts only where it is a known genus.
var andWords = wordSet(`and und et en og & + - plus`)

// doubtfulWords before a second genus offer it as another name.
var doubtfulWords = wordSet(`possible possibly probable probably prob poss maybe perhaps likely cf cfr aff near nr vielleicht wohl eventuell
	evtl peut-etre also auch aussi`)

// remarkWords begin what is no longer the name: the host or the place, a
// synonym, the misuse of a name by others.
var remarkWords = wordSet(`on auf sur an am bei mit aus sous avec chez sobre su pa op host parasitic parasitising parasite growing beside by
	unter over non nec not sensu auct = syn synonym formerly was as ex`)

// alternatives looks past the genus or higher taxon that was understood, at
// token first, for a second one that the text names beside it. A text that
// names two is no name; Several then lists them.
func (p *nameParser) alternatives(first int) {
	n := p.name
	own, joined := n.Taxon(), ""
	if n.Genus != "" {
		own = n.Genus
	}
	doubtful := p.tokens[first].query
	for i := first + 1; i < len(p.tokens); i++ {
		t, before := p.tokens[i], p.tokens[i-1]
		switch {
		case t.text == "" || doubtfulWords[t.lower]:
			doubtful = true
			continue
		case remarkWords[t.lower] || sourceWords[t.lower] && !orWords[t.lower]:
			return
		case orWords[t.lower] || andWords[t.lower]:
			joined = t.lower
			continue
		}
		other := ""
		switch {
		case orWords[joined]:
			other = p.eitherOr(i, i == first+2)
		case joined != "" && t.dotted && len(t.lower) < 4 && n.Epithet != "" && p.lowerFollows(i):
			// "Laccaria laccata and L. bicolor": two species, and so none.
			if other = p.eitherOr(i, false); other == "" {
				p.name.Epithet, p.name.Infra, p.name.Rank = "", "", Genus
				p.doubt(DoubtSp | DoubtQuestion)
				return
			}
		case joined != "" || doubtful || t.query || before.comma || i > first+1 && p.epithetFollows(i):
			// Between authors and places only a known genus counts.
			other = p.besides(i)
		}
		if other != "" && other != own && !p.sameGroup(own, other) {
			p.name = Name{Verbatim: n.Verbatim, Several: own + ", " + other}
			return
		}
		joined, doubtful = "", t.query
	}
}

// besides reads token i as a known genus. Plants do not count: beside a fungus
// they are its host.
func (p *nameParser) besides(i int) string {
	t := p.tokens[i]
	genus := titleCase(t.lower)
	if t.dotted && i+1 < len(p.tokens) && !isOpenSpecies(p.tokens[i+1]) || !isLetters(t.lower) || !p.known(genus) {
		return ""
	}
	if isHost(genus) && !isHost(p.name.Genus) {
		return ""
	}
	return genus
}

// eitherOr reads token i, after a word that leaves the choice, as a genus or
// a name above it. A word in no table counts where it stands right beside the
// first genus or goes on as a name does.
func (p *nameParser) eitherOr(i int, beside bool) string {
	t := p.tokens[i]
	if genus := p.besides(i); genus != "" {
		return genus
	}
	if t.text == "" || t.text[0] < 'A' || t.text[0] > 'Z' || !isLetters(t.lower) || isHost(titleCase(t.lower)) {
		return ""
	}
	named := p.epithetFollows(i)
	switch {
	case t.dotted && len(t.lower) < 4: // "Russula emetica / R. silvicola", "Amanita rubens / R. emetica"
		if named && p.name.Genus != "" && !strings.HasPrefix(strings.ToLower(p.name.Genus), t.lower) {
			return t.text
		}
		return ""
	case t.dotted, plainWords[t.lower]:
		return ""
	}
	if higher, _, ok := higherName(t.text); ok {
		return higher
	}
	if beside || named && latinEnding(t.lower, false) {
		return titleCase(t.lower)
	}
	return ""
}

// epithetFollows reports whether a lower-case epithet or an open species
// stands after token i.
func (p *nameParser) epithetFollows(i int) bool {
	if i+1 >= len(p.tokens) {
		return false
	}
	next := p.tokens[i+1]
	epithet, ok := p.epithet(next)
	return isOpenSpecies(next) || ok && strings.HasPrefix(next.text, epithet[:1])
}

// lowerFollows reports whether the word after token i is an epithet in lower
// case.
func (p *nameParser) lowerFollows(i int) bool {
	return p.epithetFollows(i) && !isOpenSpecies(p.tokens[i+1])
}

// sameGroup reports whether one name is the family, or another higher taxon,
// of the other, as far as the built-in table knows.
func (p *nameParser) sameGroup(a, b string) bool {
	for _, pair := range [2][2]string{{a, b}, {b, a}} {
		l := builtinTaxa()[pair[0]]
		if g, ok := builtinGenera()[pair[0]]; ok {
			l = g.lineage
		}
		if _, r, ok := higherName(pair[1]); ok && r != NoRank && l.At(r) == pair[1] {
			return true
		}
	}
	return false
}

func isHost(genus string) bool {
	habit := builtinGenera()[genus].habit
	return habit == Plant || habit == Alga
}

// bracketAlternative sees "Russula (Lactarius?)" and "Russula (or Lactarius)".
// A genus alone in brackets is a subgenus or an older name and says nothing.
func (p *nameParser) bracketAlternative(inside string) {
	words := tokenize(inside)
	doubtful := false
	for i, t := range words {
		if t.text == "" || doubtfulWords[t.lower] || orWords[t.lower] {
			doubtful = true
			continue
		}
		q := nameParser{tokens: words, known: p.known, name: p.name}
		genus := q.besides(i)
		asked := t.query || i+1 < len(words) && words[i+1].query
		if genus != "" && genus != p.name.Genus && (doubtful || asked) {
			p.name = Name{Verbatim: p.name.Verbatim, Several: p.name.Genus + ", " + genus}
		}
		return
	}
}

// abbreviated reports whether the text gives a species with the genus cut
// short: "L. synprima", "A muscaria", "Russ. emetica", "A.muscaria".
func (p *nameParser) abbreviated() bool {
	if p.at >= len(p.tokens) {
		return false
	}
	t, next := p.tokens[p.at], p.peek(1)
	if initial, rest, ok := strings.Cut(t.text, "."); ok && rest != "" {
		t.text, t.lower, t.dotted = initial, strings.ToLower(initial), true
		next = token{text: rest, lower: strings.ToLower(rest)}
	}
	t.text = strings.TrimRight(t.text, ".")
	if next.lower == "cf" || next.lower == "aff" {
		next = p.peek(2)
	}
	if !isLetters(t.lower) || len(t.lower) > 5 || t.text[1:] != t.lower[1:] || !t.dotted && (len(t.text) > 1 || t.text == t.lower) {
		return false
	}
	if len(t.lower) > 1 && openWords[t.lower] || doubtfulWords[t.lower] {
		return false
	}
	if t.dotted && isOpenSpecies(next) {
		return true
	}
	epithet, ok := p.epithet(next)
	return ok && next.text == epithet && latinEnding(epithet, true) && !p.known(titleCase(epithet))
}
