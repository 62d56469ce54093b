package align

import (
	"os"
	"testing"
)

// trials gives how often a test is made with random input: n times, a twentieth
// of that with -short, and ten times as often with FORAYSEQ_LONG set.
func trials(n int) int {
	switch {
	case testing.Short():
		return max(1, n/20)
	case os.Getenv("FORAYSEQ_LONG") != "":
		return 10 * n
	}
	return n
}
