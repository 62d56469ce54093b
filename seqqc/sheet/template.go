package sheet

import (
	"slices"
	"strings"
)

// Template gives an empty voucher sheet as comma separated text: the heading
// with every column, and one example row as a comment.
func Template() []byte {
	var heading, example []string
	for _, c := range slices.Concat(known, traitColumns) {
		heading = append(heading, c.name)
		example = append(example, c.example) // none needs quotation marks
	}
	return []byte(strings.Join(heading, ",") + "\n# " + strings.Join(example, ",") + "\n")
}
