package seqqc

import (
	"fmt"
	"strings"
)

// Count writes a number of things, given one of them: "1 read", "2 reads", "3
// genera".
func Count(n int, one string) string {
	switch {
	case n == 1 || strings.HasSuffix(one, "species"):
	case strings.HasSuffix(one, "genus"):
		one = strings.TrimSuffix(one, "us") + "era"
	case strings.HasSuffix(one, "taxon"):
		one = strings.TrimSuffix(one, "on") + "a"
	default:
		one += "s"
	}
	return fmt.Sprintf("%d %s", n, one)
}
