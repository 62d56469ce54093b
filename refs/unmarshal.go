package refs

import (
	"fmt"
	"strings"
)

// UnmarshalText reads what MarshalText writes; no text is NoRank.
func (r *Rank) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*r = NoRank
		return nil
	}
	rank, ok := ParseRank(string(text))
	if !ok {
		return fmt.Errorf("%q is no rank", text)
	}
	*r = rank
	return nil
}

// UnmarshalText reads what MarshalText writes: doubt words with blanks between.
func (d *Doubt) UnmarshalText(text []byte) error {
	var all Doubt
words:
	for _, word := range strings.Fields(string(text)) {
		for i, w := range doubtWords {
			if w == word {
				all |= 1 << i
				continue words
			}
		}
		return fmt.Errorf("%q is no doubt of a name", word)
	}
	*d = all
	return nil
}
