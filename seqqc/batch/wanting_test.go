package batch_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/batch"
)

// What is wanting in the whole batch is told once, and not only of each voucher.
func TestWhatTheWholeBatchLacks(t *testing.T) {
	species := []string{"Russula emetica", "Amanita muscaria"}
	dir := namedBatch(t, species, []named{{"", "Russula emetica"}, {"???", "Amanita muscaria"}}, map[string]string{})
	options := batch.Options{Dir: dir, Settings: batch.DefaultSettings()}
	res, err := batch.Run(t.Context(), options)
	require.NoError(t, err)
	require.Equal(t, "Of 2 specimens, 2 had a sequence to compare, and no label of these has a name to test.", res.Power)

	require.NoError(t, os.RemoveAll(filepath.Join(dir, batch.ReadsName)))
	require.NoError(t, os.Mkdir(filepath.Join(dir, batch.ReadsName), 0o755))
	res, err = batch.Run(t.Context(), options)
	require.NoError(t, err)
	require.Equal(t, "Of 2 specimens, none had a sequence to compare.", res.Power)
	require.Len(t, res.Problems, 1)
	require.Equal(t, batch.ReadsName, res.Problems[0].File)
	require.True(t, res.Problems[0].Unread)
}

// Rows that cannot be used are told in their order.
func TestProblemsOfAListInRows(t *testing.T) {
	dir := namedBatch(t, []string{"Russula emetica"}, []named{{"Russula", "Russula emetica"}}, map[string]string{
		batch.NamesName: "name,accepted\nno name,Russula\n,Amanita\nBoletus,3\nFoo\n",
	})
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	var lines []int
	for _, p := range res.Problems {
		if p.File == batch.NamesName {
			lines = append(lines, p.Line)
		}
	}
	require.Equal(t, []int{2, 3, 4, 5}, lines)
}
