package batch_test

import (
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// stored writes a voucher down and reads it again, as a ledger does.
func stored(t *testing.T, v seqqc.VoucherResult) seqqc.VoucherResult {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err)
	var out seqqc.VoucherResult
	require.NoError(t, json.Unmarshal(data, &out))
	require.NoError(t, out.Restore())
	return out
}

// A barcode that is looked at again without its batch has the causes that it
// allows, and those that its batch told; it claims nothing of what is not at hand.
func TestCausesWithoutTheBatch(t *testing.T) {
	notUnderShort(t)
	dir := writeDemo(t)
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	lib, _, _, err := batch.OpenLibrary(filepath.Join(dir, batch.RefsName), "")
	require.NoError(t, err)
	problems, err := batch.TakeNames(lib, "")
	require.NoError(t, err)
	require.Empty(t, problems)
	n, told := 0, 0
	for _, v := range res.Vouchers {
		if v.Chosen < 0 {
			continue // a ledger looks only at what has a sequence
		}
		again, err := batch.Again(t.Context(), lib, stored(t, v), batch.DefaultSettings())
		require.NoError(t, err)
		twice, err := batch.Again(t.Context(), lib, stored(t, again), batch.DefaultSettings())
		require.NoError(t, err)
		code := v.Voucher.Code
		require.Equal(t, again.Verdict, twice.Verdict, code)
		require.Equal(t, v.Verdict.Kind, again.Verdict.Kind, code)
		require.Equal(t, v.Verdict.Attention, again.Verdict.Attention, code)
		require.Equal(t, v.Verdict.Attention, len(again.Verdict.Causes) > 0, code)
		if !v.Verdict.Attention {
			continue
		}
		n++
		require.Equal(t, v.Verdict.Causes[0].Code, again.Verdict.Causes[0].Code, "%s: %s", code, again.Verdict.Reason)
		require.Equal(t, again.Verdict.Causes[0].NextStep, again.Verdict.NextStep, code)
		for _, c := range again.Verdict.Causes {
			for _, line := range slices.Concat(c.For, c.Against) {
				require.NotContains(t, line, "found no sign of it", code)
				if strings.HasPrefix(line, "When its batch was run: ") {
					told++
				}
			}
		}
	}
	require.Greater(t, n, 5)
	require.Positive(t, told, "the demo has patterns between vouchers")
}
