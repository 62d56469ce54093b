package refs_test

import (
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// long asks for the long form of the tests.
func long() bool { return os.Getenv("FORAYSEQ_LONG") != "" }

// TestExact searches synthetic libraries of every kind in exactKinds.
func TestExact(t *testing.T) {
	for i, kind := range exactKinds {
		t.Run(kind.name, func(t *testing.T) {
			t.Parallel()
			seeds := 12
			switch {
			case testing.Short():
				seeds = 2
			case long():
				seeds = 400
			}
			var done tally
			for seed := range seeds {
				r := rand.New(rand.NewPCG(uint64(i), uint64(seed)))
				cases := kind.make(r)
				lib := cases[0].library()
				for _, c := range cases {
					done.add(checkCase(t, r, lib, c))
				}
			}
			require.Positive(t, done.hits)
			t.Logf("%d queries, %d calls, %d hits and %d records apart compared", done.queries, done.calls, done.hits, done.apart)
		})
	}
}
