package batch_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// The five guidelines for new fungal ITS sequences, one test each (Nilsson et
// al. 2012, MycoKeys 4: 37-63, DOI 10.3897/mycokeys.4.3606; the wording from
// memory): the right gene, the right strand, no chimera, no technical faults,
// and a name that holds. Sequences are contigs of the demo, so synthetic.
func TestGuidelinesForNewSequences(t *testing.T) {
	notUnderShort(t)
	dir, first := writeDemo(t), runDemo(t)
	contig := func(code string) string {
		i := slices.IndexFunc(first.Vouchers, func(v seqqc.VoucherResult) bool { return v.Voucher.Code == code })
		require.GreaterOrEqual(t, i, 0, code)
		s := first.Vouchers[i].ChosenSample()
		require.NotNil(t, s, code)
		return string(s.Contig.Bases)
	}
	good, other := contig("QM-113"), contig("QM-102") // Suillus and Lactarius
	reads := filepath.Join(dir, "reads")
	require.NoError(t, os.RemoveAll(reads))
	require.NoError(t, os.Remove(filepath.Join(dir, "reads.csv")))
	require.NoError(t, os.Mkdir(reads, 0o755))
	sheet := "voucher,field_id,date\n"
	for _, r := range []struct{ code, name, bases string }{
		{"GENE", "Suillus sp.", contig("QM-130")},
		{"STRAND", "Suillus sp.", turned(good)},
		{"CHIMERA", "Suillus sp.", good[:len(good)/2] + other[len(other)/2:]},
		{"FAULTS", "Suillus sp.", strings.Repeat("N", 60) + good[60:200] + strings.Repeat("ACN", 80) + good[440:]},
		{"NAME", "Suillus sp.", good},
	} {
		require.NoError(t, os.WriteFile(filepath.Join(reads, r.code+".fasta"), []byte(">"+r.code+"\n"+r.bases+"\n"), 0o644))
		sheet += r.code + "," + r.name + ",2026-09-03\n"
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, batch.SheetName), []byte(sheet), 0o644))
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	of := map[string]*seqqc.VoucherResult{}
	for i := range res.Vouchers {
		of[res.Vouchers[i].Voucher.Code] = &res.Vouchers[i]
	}

	t.Run("the right gene", func(t *testing.T) {
		v := of["GENE"].Verdict
		require.Equal(t, seqqc.Undetermined, v.Kind)
		require.Equal(t, seqqc.NotITS, v.ReasonCode, v.Reason)
	})
	t.Run("the right strand", func(t *testing.T) {
		v := of["STRAND"]
		require.Equal(t, seqqc.Agrees, v.Verdict.Kind, v.Verdict.Reason)
		require.Contains(t, v.Verdict.Flags, seqqc.ReverseComplemented)
		require.Contains(t, good, string(v.ChosenSample().Contig.Bases), "it is told and brought to the coding strand")
	})
	t.Run("no chimera", func(t *testing.T) {
		v := of["CHIMERA"].Verdict
		require.NotEqual(t, seqqc.Agrees, v.Kind)
		require.Contains(t, v.Flags, seqqc.ChimeraSuspected, v.Reason)
	})
	t.Run("no technical faults", func(t *testing.T) {
		v := of["FAULTS"].Verdict
		require.Equal(t, seqqc.Undetermined, v.Kind, v.Reason)
		require.Contains(t, []seqqc.ReasonCode{seqqc.PoorSequence, seqqc.NoSequence}, v.ReasonCode)
	})
	t.Run("a name that holds", func(t *testing.T) {
		v := of["NAME"]
		require.Equal(t, seqqc.Agrees, v.Verdict.Kind)
		require.Equal(t, refs.Genus, v.Verdict.AgreeRank, "the label says a genus, and the DNA alone does not make it a species")
		require.NotNil(t, v.Power)
		require.True(t, v.Power.Could, v.Power.Text)
	})
}

// turned gives the other strand.
func turned(s string) string {
	out := []byte(strings.NewReplacer("A", "T", "C", "G", "G", "C", "T", "A").Replace(s))
	slices.Reverse(out)
	return string(out)
}
