// Package country knows the names that public archives take for a country, and
// finds them from what people write.
package country

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
)

// Country is an entry of the archives' list: a country, a territory, an ocean.
type Country struct {
	// Name is as the archives write it.
	Name string
	// Code is that of ISO 3166-1 alpha-2, empty where there is none.
	Code string
}

//go:embed countries.tsv
var table string

// All lists the countries in the order of their names.
func All() []Country {
	var all []Country
	for line := range strings.Lines(table) {
		name, code, ok := strings.Cut(strings.TrimRight(line, "\r\n"), "\t")
		if ok && !strings.HasPrefix(name, "#") && name != "name" {
			all = append(all, Country{name, code})
		}
	}
	return all
}

// Listed reports whether a name is in the list letter for letter.
func Listed(name string) bool {
	return slices.ContainsFunc(All(), func(c Country) bool { return c.Name == name })
}

// Find gives the country that a text means: its name in the list, its usual
// names in English and other languages (Unicode CLDR, by way of x/text), its
// code in capitals, or one of a few short forms in use. Otherwise case, accents
// and punctuation do not matter. A text that more than one country goes by finds
// none.
func Find(written string) (Country, bool) {
	// NA, for Namibia, is how most people write that there is nothing.
	if written != "NA" {
		for _, c := range All() {
			if c.Code != "" && c.Code == written {
				return c, true
			}
		}
	}
	c, ok := byWord()[key(written)]
	return c, ok && c.Name != ""
}

// byWord maps every word for a country to it, and to the zero Country where a
// word means several.
var byWord = sync.OnceValue(func() map[string]Country {
	words := map[string]Country{}
	all := All()
	byCode := map[string]Country{}
	for _, c := range all {
		words[key(c.Name)] = c
		if c.Code != "" {
			byCode[c.Code] = c
		}
	}
	// What the list calls by a name stays with it ("Georgia"); other words are
	// taken only where they mean one country.
	own := make(map[string]bool, len(words))
	for w := range words {
		own[w] = true
	}
	add := func(word string, c Country) {
		k := key(word)
		if k == "" || own[k] {
			return
		}
		if old, ok := words[k]; ok && old != c {
			words[k] = Country{}
			return
		}
		words[k] = c
	}
	for code, c := range byCode {
		region, err := language.ParseRegion(code)
		if err != nil {
			continue
		}
		for _, tag := range languages {
			add(display.Regions(tag).Name(region), c)
		}
	}
	for word, code := range shortForms {
		add(word, byCode[code])
	}
	return words
})

// languages are those whose names for countries are understood: those with
// many mushroom clubs, as far as they use Latin letters, and some more.
var languages = []language.Tag{
	language.English, language.German, language.French, language.Spanish, language.Italian, language.Portuguese,
	language.Dutch, language.Danish, language.Swedish, language.Norwegian, language.Finnish, language.Polish,
	language.Czech, language.Slovak, language.Slovenian, language.Croatian, language.Hungarian, language.Romanian,
	language.Estonian, language.Latvian, language.Lithuanian, language.Catalan, language.Turkish, language.Icelandic,
	language.Ukrainian, language.Russian, language.Japanese, language.SimplifiedChinese, language.Korean,
}

// shortForms are words for countries that no list of the above has.
var shortForms = map[string]string{
	"U.S.": "US", "United States of America": "US", "America": "US", "UK": "GB", "Great Britain": "GB", "England": "GB",
	"Scotland": "GB", "Wales": "GB", "Northern Ireland": "GB", "The Netherlands": "NL", "Holland": "NL",
	"Czech Republic": "CZ", "Republic of Ireland": "IE", "Eire": "IE", "Macedonia": "MK", "Burma": "MM", "Swaziland": "SZ",
	"Ivory Coast": "CI", "Russian Federation": "RU", "Republic of Korea": "KR", "The Gambia": "GM", "The Bahamas": "BS",
	"Turkiye": "TR", "Vietnam": "VN", "Cabo Verde": "CV", "East Timor": "TL", "Palestine": "PS", "Macao": "MO",
	"Falkland Islands": "FK", "Micronesia": "FM", "BRD": "DE",
}

// key folds a text so that only its letters and digits count: case, accents,
// blanks and punctuation do not.
func key(s string) string {
	s, _, err := transform.String(transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn)), norm.NFC), s)
	if err != nil {
		return ""
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}
