package refs

import "strings"

// otherLoci are words by which headers name a gene that is not the ITS region,
// in lower case. They are whole words; '#' after one asks for a word that says
// that a gene is meant, since codes of collections look alike.
var otherLoci = []string{
	"mrna", "partial cds", "complete cds",
	"translation elongation factor", "elongation factor 1-alpha", "elongation factor 1 alpha", "tef1", "tef-1", "tef1-alpha", "ef1a", "ef-1a",
	"rna polymerase ii", "rpb1", "rpb2", "beta-tubulin", "beta tubulin", "tubulin", "calmodulin", "actin", "chitin synthase", "mcm7",
	"glyceraldehyde-3-phosphate dehydrogenase", "gapdh", "cytochrome", "cox1", "coi#", "atp6", "atpase", "rbcl", "matk", "hypothetical protein",
	"large subunit", "lsu#", "28s", "26s", "25s", "small subunit", "ssu#", "18s", "intergenic spacer",
}

// itsWords say that a record holds ITS, whatever else it holds. The 5.8S gene
// lies between the two spacers.
var itsWords = []string{"its", "its1", "its2", "its-1", "its-2", "its region", "internal transcribed", "transcribed spacer", "5.8s", "5.8 s"}

// geneWords follow an abbreviation that is a gene's.
var geneWords = wordSet("rrna rdna gene ribosomal region sequence partial")

// otherLocus gives the word by which a header names a gene other than ITS,
// empty where it names none, or ITS too.
func otherLocus(header string) string {
	text := lowerLetters(header)
	for _, w := range itsWords {
		if wordAt(text, w) >= 0 {
			return ""
		}
	}
	for _, w := range otherLoci {
		word, short := strings.CutSuffix(w, "#")
		i := wordAt(text, word)
		if i < 0 {
			continue
		}
		next, _, _ := strings.Cut(strings.TrimLeft(text[i+len(word):], " ,"), " ")
		if short && !geneWords[strings.TrimRight(next, ",;.")] {
			continue
		}
		return header[i : i+len(word)]
	}
	return ""
}

// wordAt gives where word stands in text with no letter or digit at either
// side, -1 where it does not.
func wordAt(text, word string) int {
	for from := 0; ; {
		i := strings.Index(text[from:], word)
		if i < 0 {
			return -1
		}
		i += from
		end := i + len(word)
		if (i == 0 || !isAlnum(text[i-1])) && (end == len(text) || !isAlnum(text[end])) {
			return i
		}
		from = i + 1
	}
}

// lowerLetters makes the letters A to Z lower case and keeps every position.
func lowerLetters(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c >= 'A' && c <= 'Z' {
			b[i] = c | 0x20
		}
	}
	return string(b)
}
