package refs

import (
	"slices"
	"strings"
	"unicode/utf8"
)

const (
	// leastRespelt is the length, in letters, of the shortest genus that is
	// ever taken for a slip of the pen: in shorter ones a letter is too much of
	// the name.
	leastRespelt = 6
	// leastEpithet is the same of an epithet. Epithets of one genus lie nearer
	// to one another than genera (Russula nana and rana).
	leastEpithet = 8
)

// Respell repairs a slip of the pen in the genus of a field name: one letter
// missing, doubled, wrong, or two neighbours in the wrong order; or letters
// that sound alike (see sound). It does so only where the genus as written is
// in no list and exactly one genus of all lists is that near; what came of it
// has Respelt set. A genus that is in a list is never touched, however near
// another is (Lepista and Lepiota).
func (t *Taxonomy) Respell(n Name) Name {
	if t == nil || n.Genus == "" || utf8.RuneCountInString(n.Genus) < leastRespelt || t.RankOf(n.Genus) != NoRank {
		return n
	}
	found, soundOf := "", sound(n.Genus)
	for name, l := range t.byName() {
		if l.Deepest() != Genus || !slipApart(n.Genus, name) && soundOf != sound(name) {
			continue
		}
		if found != "" {
			return n
		}
		found = name
	}
	if found != "" {
		n.Genus, n.Respelt = found, true
	}
	return n
}

// RespellEpithet repairs the epithet of a field name among the species of its
// genus: those of the library, of which it may be written in another gender
// ("Boletus luridum"), with letters that sound alike (ii and i, y and i, one
// letter or two, a hyphen or none), or, if it is long, with one slip of the pen,
// also where its second part stands apart ("auricula judae"); also holds
// further epithets of the genus that are known. It does so only where exactly
// one species is that near, never where the library or also has the epithet as
// written; what came of it has Respelt set.
func (l *Library) RespellEpithet(n Name, also []string) Name {
	if n.Genus == "" || n.Epithet == "" {
		return n
	}
	known := slices.Clone(also)
	for _, s := range l.SpeciesOf(n.Genus) {
		known = append(known, strings.TrimPrefix(s, n.Genus+" "))
	}
	// A record may bear it with a doubt ("cf.").
	written := func(i int) bool { return l.bare(i).Name.Epithet == n.Epithet }
	if slices.Contains(known, n.Epithet) || slices.ContainsFunc(l.OfGenus(n.Genus), written) {
		return n
	}
	slices.Sort(known)
	known = slices.Compact(known)
	if joined := n.Epithet + "-" + n.Infra; n.Infra != "" && slices.Contains(known, joined) {
		n.Epithet, n.Infra, n.Respelt = joined, "", true
		return n
	}
	for _, near := range []func(string) bool{
		func(e string) bool { return sameButForGender(n.Epithet, e) },
		func(e string) bool { return sound(stem(n.Epithet)) == sound(stem(e)) },
		func(e string) bool { return len(n.Epithet) >= leastEpithet && slipApart(n.Epithet, e) },
	} {
		var found []string
		for _, e := range known {
			if near(e) {
				found = append(found, e)
			}
		}
		switch len(found) {
		case 0:
			continue
		case 1:
			n.Epithet, n.Respelt = found[0], true
		}
		return n
	}
	return n
}

// genderEndings are the endings of Latin adjectives in the three genders; an
// epithet follows the gender of its genus (Shenzhen Code, Art. 23.5).
var genderEndings = [][]string{{"us", "a", "um"}, {"er", "ra", "rum"}, {"is", "e"}, {"or", "us"}}

// Genders gives the other forms that an epithet may have with a genus of
// another gender, none where its ending tells of none. Some of them are no
// words.
func Genders(epithet string) []string {
	var out []string
	for _, endings := range genderEndings {
		for _, e := range endings {
			root, ok := strings.CutSuffix(epithet, e)
			if !ok || len(root) < 2 {
				continue
			}
			for _, other := range endings {
				if form := root + other; form != epithet && !slices.Contains(out, form) {
					out = append(out, form)
				}
			}
		}
	}
	return out
}

func sameButForGender(a, b string) bool { return slices.Contains(Genders(a), b) }

// stem takes the ending of gender, or that of a genitive, off an epithet.
func stem(epithet string) string {
	for _, e := range []string{"us", "um", "is", "ii", "a", "e", "i"} {
		if root, ok := strings.CutSuffix(epithet, e); ok && len(root) > 2 {
			if e == "ii" || e == "i" {
				return root + "-i" // a person's name, no adjective
			}
			return root
		}
	}
	return epithet
}

// sound brings spellings that are often exchanged to one: y and i, ph and f,
// th and t, ae or oe and e, ck and k, two letters and one (Shenzhen Code, Art.
// 60.8 to 60.10 and 61 count many of them as variants of one name).
func sound(word string) string {
	s := soundAlike.Replace(strings.ToLower(word))
	var b strings.Builder
	for i := range len(s) {
		if i == 0 || s[i] != s[i-1] {
			b.WriteByte(s[i])
		}
	}
	return b.String()
}

var soundAlike = strings.NewReplacer("y", "i", "ph", "f", "th", "t", "rh", "r", "ae", "e", "oe", "e", "ck", "k", "ch", "c", "j", "i", "-", "")

// slipApart reports whether two words differ by exactly one slip: a letter
// put in, left out or replaced, or two neighbours exchanged (Damerau 1964,
// Communications of the ACM 7: 171-176, DOI 10.1145/363958.363994).
func slipApart(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	if len(y)-len(x) > 1 || a == b {
		return false
	}
	i := 0
	for i < len(x) && x[i] == y[i] {
		i++
	}
	if len(x) < len(y) {
		return slices.Equal(x[i:], y[i+1:])
	}
	if slices.Equal(x[i+1:], y[i+1:]) {
		return true
	}
	return i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && slices.Equal(x[i+2:], y[i+2:])
}
