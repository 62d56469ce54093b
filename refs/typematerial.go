package refs

import "regexp"

var (
	// typeWords are the kinds of type of the International Code of Nomenclature
	// for algae, fungi, and plants (Shenzhen Code 2018, article 9), ex-types of
	// cultures, and "TYPE material" as archives put it behind a title.
	typeWords = regexp.MustCompile(`(?i)\b(?:ex[ -]?)?(?:holo|iso|lecto|neo|epi|syn|para)type\b|\bex[ -]type\b|\btype[ _](?:material|specimen)\b|(?:\bfrom |\[)TYPE\b`)
	// noType takes back what only sounds like it.
	noType = regexp.MustCompile(`(?i)\b(?:wild|mating|not|non)[ -]type[ _](?:material|specimen)\b`)
)

// TypeMaterial reports whether a header marks its record as sequenced from
// type material: the specimen, or a part or culture of it, on which a name
// rests. Such a record cannot bear a wrong name as long as it is what it says.
func TypeMaterial(header string) bool {
	return typeWords.MatchString(noType.ReplaceAllString(header, ""))
}
