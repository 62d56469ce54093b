package refs

// belowGenus reads what follows the genus: marks of doubt, the epithet, and
// then, past authors, names below species and more marks. It stops at the
// first word that has no place in a name ("voucher", "ITS", "on").
func (p *nameParser) belowGenus() {
	for p.at < len(p.tokens) && p.name.Epithet == "" {
		t := p.tokens[p.at]
		if !p.beforeEpithet(t) {
			return
		}
		p.at++
		if p.name.Epithet != "" && t.comma {
			p.afterEpithet(true)
			return
		}
	}
	p.afterEpithet(false)
}

// beforeEpithet takes one token between genus and epithet, or the epithet. It
// reports false where the name ends.
func (p *nameParser) beforeEpithet(t token) bool {
	p.query(t)
	if t.text == "" {
		return true
	}
	switch {
	case t.text == latoToken:
		p.doubt(DoubtSensuLato)
		return true
	case t.quoted:
		p.doubt(DoubtSp)
		return false
	case isOpenSpecies(t):
		p.doubt(DoubtSp)
		// "sp. aff. emetica" and "sp. cf. emetica" go on.
		next := p.peek(1).lower
		return next == "aff" || next == "cf" || next == "nov" || next == "" && p.peek(1).query
	case openRankMarks[t.lower]:
		p.doubt(DoubtSp)
		return false
	case groupMarks[t.lower]:
		p.doubt(DoubtGroup)
		return true
	}
	switch t.lower {
	case "cf", "cfr":
		p.doubt(DoubtCf)
		return true
	case "aff", "afn", "affin", "near", "nr":
		p.doubt(DoubtAff)
		return true
	case "×", "x", "nov":
		return true
	}
	if undeterminedWords[t.lower] {
		p.doubt(DoubtSp)
		return false
	}
	if orWords[t.lower] && hasLetter(t.text) { // "Russula or something like it"
		p.doubt(DoubtSp | DoubtQuestion)
		return false
	}
	if epithet, ok := p.epithet(numberedEpithet(t)); ok {
		if t.text[0] != t.lower[0] && isOpenSpecies(p.peek(1)) {
			return true // "Cortinarius Dermocybe sp.": a subgenus
		}
		p.name.Epithet = epithet
		return true
	}
	// Subgenera and authors of the genus: "Cortinarius Phlegmacium varius".
	return t.text[0] >= 'A' && t.text[0] <= 'Z' && !hasDigit(t.text) && p.mayFollowAuthor()
}

// mayFollowAuthor reports whether the next token can still belong to the name
// after a capitalised word that was no epithet.
func (p *nameParser) mayFollowAuthor() bool {
	next := p.peek(1)
	if isOpenSpecies(next) || next.lower == "cf" || next.lower == "aff" {
		return true
	}
	_, ok := p.epithet(next)
	return ok && p.known(titleCase(p.tokens[p.at].lower))
}

// afterEpithet takes what may follow the epithet. Once authors have been seen,
// or a comma, a bare Latin word is no epithet below species any more.
func (p *nameParser) afterEpithet(authors bool) {
	for ; p.at < len(p.tokens); p.at++ {
		t := p.tokens[p.at]
		switch {
		case t.text == "" && t.query:
			p.doubt(DoubtQuestion)
			continue
		case t.text == latoToken:
			p.doubt(DoubtSensuLato)
			continue
		case t.lower == "×" || t.lower == "x":
			// A formula names two species and so none.
			p.name.Epithet, p.name.Infra = "", ""
			p.doubt(DoubtSp)
			return
		case orWords[t.lower]:
			p.name.Epithet, p.name.Infra = "", ""
			p.doubt(DoubtSp | DoubtQuestion)
			return
		case groupMarks[t.lower]:
			p.doubt(DoubtGroup)
			continue
		case t.lower == "cf" || t.lower == "aff":
			if t.lower == "cf" {
				p.doubt(DoubtCf)
			} else {
				p.doubt(DoubtAff)
			}
			continue
		case infraMarks[t.lower]:
			if infra, ok := p.epithet(p.peek(1)); ok && p.peek(1).text[0] == p.peek(1).lower[0] {
				p.name.Infra = infra
				p.at++
				p.query(p.tokens[p.at])
				continue
			}
			if t.lower == "f" || t.lower == "v" || p.peek(1).text == "" { // filius, von; "var. ?"
				continue
			}
			return
		case t.lower == "sp" && p.peek(1).lower == "nov":
			continue
		}
		if infra, ok := p.epithet(t); ok && !authors && p.name.Infra == "" && t.text[0] == t.lower[0] && latinEnding(t.lower, true) {
			p.name.Infra = infra // "Amanita muscaria flavivolvata"
			p.query(t)
			continue
		}
		if !isAuthor(t) {
			return
		}
		authors = true
		p.query(t)
	}
}

// isAuthor reports whether a token can be a part of the authors and year of a
// name: a capitalised word, a word that joins authors, a year.
func isAuthor(t token) bool {
	if authorWords[t.lower] || t.dotted && !hasDigit(t.text) {
		return true
	}
	if len(t.text) == 4 && (t.text[:2] == "17" || t.text[:2] == "18" || t.text[:2] == "19" || t.text[:2] == "20") {
		return true
	}
	c := t.text[0]
	return (c >= 'A' && c <= 'Z' || c >= 0x80) && !hasDigit(t.text)
}

func hasDigit(s string) bool {
	for i := range len(s) {
		if s[i] >= '0' && s[i] <= '9' {
			return true
		}
	}
	return false
}
