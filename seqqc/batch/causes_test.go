package batch_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// Each row that needs attention has its causes, the sheet's traits among the
// evidence; the next step is that of the first.
func TestCausesOfABatch(t *testing.T) {
	notUnderShort(t)
	dir := writeDemo(t)
	sheet := filepath.Join(dir, batch.SheetName)
	text, err := os.ReadFile(sheet)
	require.NoError(t, err)
	lines := bytes.Split(bytes.TrimSpace(text), []byte("\n"))
	for i := range lines {
		cell := ",no"
		switch {
		case i == 0:
			cell = ",milk"
		case bytes.HasPrefix(lines[i], []byte("QM-106,")): // labelled Russula, and its DNA is of Lactarius
			cell = ",white milk"
		}
		lines[i] = []byte(string(lines[i]) + cell)
	}
	require.NoError(t, os.WriteFile(sheet, bytes.Join(lines, []byte("\n")), 0o600))
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	first := map[string]seqqc.Cause{}
	for _, v := range res.Vouchers {
		code := v.Voucher.Code
		require.Equal(t, v.Verdict.Attention, len(v.Verdict.Causes) > 0, code)
		if v.Verdict.Attention {
			first[code] = v.Verdict.Causes[0]
			require.Equal(t, first[code].NextStep, v.Verdict.NextStep, code)
		}
	}
	require.Equal(t, seqqc.CauseFieldName, first["QM-106"].Code)
	require.Contains(t, first["QM-106"].For[0], `The milk ("white milk")`)
	for code, want := range map[string]seqqc.CauseCode{
		"QM-108": seqqc.CauseGrowth, "QM-109": seqqc.CauseForeignDNA, "QM-110": seqqc.CauseReadsMissing, "QM-111": seqqc.CausePoorReads,
		"QM-130": seqqc.CauseOtherLocus, "QM-134": seqqc.CauseHost, "QM-BLANK2": seqqc.CauseContamination,
	} {
		require.Equal(t, want, first[code].Code, code)
	}
}
