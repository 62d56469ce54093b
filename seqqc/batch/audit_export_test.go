package batch

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
	"forayseq/seqqc/region"
)

// LabelsWithoutSeeds asks for the standing of every third label of a library.
func LabelsWithoutSeeds(t *testing.T, lib *refs.Library) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	for i, r := range lib.All() {
		if i%3 > 0 {
			continue
		}
		c := &seqqc.Contig{Bases: r.Seq, Quals: make([]byte, len(r.Seq))}
		region.Orient(c)
		if c.Region.NotITS != "" {
			continue
		}
		s, err := match.Stand(context.Background(), lib, i, match.QueryOf(c), match.Defaults())
		require.NoError(t, err)
		out[r.ID] = s.Doubtful
	}
	return out
}
