package fieldguide_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
)

// The names of 4,276 published sequences (TreeBASE, as the data's README says):
// none is taken for a group or a slip of the pen, and a change of names leaves
// a record in a genus that the library has.
func TestPublishedNamesStayNames(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	f, err := os.Open(filepath.Join(dir, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	defer f.Close() //nolint:errcheck // only read
	lib, err := refs.Read(f, refs.ReadOptions{})
	require.NoError(t, err)
	known := func(taxon string) bool { return lib.Taxonomy.RankOf(taxon) != refs.NoRank }
	before := map[int]string{}
	for i, r := range lib.All() {
		before[i] = r.Lineage.Genus
		n := lib.Taxonomy.Resolve(r.Name)
		require.Equal(t, n, fieldguide.BuiltinGroups().Understand(n, known), r.Header)
		require.Equal(t, n, lib.RespellEpithet(lib.Taxonomy.Respell(n), nil), r.Header)
	}
	lib.TakeNames(fieldguide.BuiltinNames())
	renamed := 0
	for i, r := range lib.All() {
		if r.Lineage.Genus == before[i] {
			continue
		}
		renamed++
		require.NotZero(t, lib.GenusNumberOf(r.Lineage.Genus))
		require.Contains(t, lib.OfGenus(r.Lineage.Genus), i)
		require.NotContains(t, lib.OfGenus(before[i]), i)
	}
	t.Logf("%d of %d records stand under another genus", renamed, lib.Len())
	// Another table takes the place of the first.
	lib.TakeNames(refs.NewNames(nil))
	for i, r := range lib.All() {
		require.Equal(t, before[i], r.Lineage.Genus)
	}
}
