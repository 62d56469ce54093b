package batch_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

// A column of wells, each of a genus of its own. In the third tube a quarter of the
// DNA is of the second, and the reverse read of the sixth is of the fifth.
func TestNeighboursFromFileToVerdict(t *testing.T) {
	const n = 16
	rng := rand.New(rand.NewPCG(21, 21))
	genera := strings.Fields("Amanita Boletus Cantharellus Clitocybe Entoloma Galerina Hebeloma Inocybe Laccaria Lepiota Morchella Mycena Ramaria Stereum Suillus Xylaria")
	dir := t.TempDir()
	var fasta bytes.Buffer
	loci := make([]simulate.Locus, n)
	for i := range loci {
		loci[i] = locusOf(rng)
		for k := range 3 {
			fmt.Fprintf(&fasta, ">SYN%02d%d %s synprima\n%s\n", i, k, genera[i], loci[i].Evolve(rng, 0.001).Seq())
		}
	}
	strands := func(l simulate.Locus) (f, r []byte) {
		f, r, err := simulate.Amplicon(l.Seq(), "ITS1-F", "ITS4")
		require.NoError(t, err)
		return f, r
	}
	sheet := "voucher,field_id,well\n"
	files := map[string][]byte{}
	for i := range n {
		code := fmt.Sprintf("NB-%02d", i+1)
		sheet += fmt.Sprintf("%s,%s synprima,%c%d\n", code, genera[i], 'A'+i%8, 1+i/8)
		f, r := strands(loci[i])
		if i == 5 {
			_, r = strands(loci[4])
		}
		for primer, strand := range map[string][]byte{"ITS1F": f, "ITS4": r} {
			files[code+"_"+primer+".fastq"] = fmt.Appendf(nil, "@%s\n%s\n+\n%s\n", code, strand, strings.Repeat("S", len(strand)-i)+strings.Repeat("R", i))
		}
	}
	f, r := strands(loci[2])
	otherF, otherR := strands(loci[1])
	for primer, templates := range map[string][2][]byte{"ITS1F": {f, otherF}, "ITS4": {r, otherR}} {
		mixed, _ := simulate.Mixture(rand.New(rand.NewPCG(uint64(len(primer)), 1)),
			[]simulate.Template{{Seq: templates[0], Weight: 0.75}, {Seq: templates[1], Weight: 0.25}}, simulate.Good())
		var file bytes.Buffer
		require.NoError(t, trace.EncodeABIF(&file, mixed))
		files["NB-03_"+primer+".ab1"] = file.Bytes()
		delete(files, "NB-03_"+primer+".fastq")
	}
	require.NoError(t, os.Mkdir(filepath.Join(dir, batch.ReadsName), 0o755))
	for name, data := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, batch.ReadsName, name), data, 0o600))
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, batch.SheetName), []byte(sheet), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, batch.RefsName), fasta.Bytes(), 0o600))
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)

	got := map[string]seqqc.Between{}
	for _, b := range res.Between {
		if b.Pattern == seqqc.PatternCarryOver {
			got[strings.Join(b.Vouchers, " ")] = b
		}
	}
	require.Len(t, got, 2, "%+v", res.Between)
	below, read := got["NB-03 NB-02"], got["NB-06 NB-05"]
	require.InDelta(t, 25, below.SharePct, 10)
	require.Contains(t, below.NextStep, "Nothing to do for the name of NB-03")
	require.Contains(t, read.NextStep, "NB-06_ITS4.fastq out, and have NB-06 sequenced again")
	for i, v := range res.Vouchers {
		if i != 5 { // either of its reads may become its sequence
			require.Equal(t, seqqc.Agrees, v.Verdict.Kind, v.Voucher.Code)
		}
		want := i == 2 || i == 5
		require.Equal(t, want, strings.Contains(seqqc.JoinFlags(v.Verdict.Flags), string(seqqc.CarryOver)), "%s: %+v", v.Voucher.Code, v.Verdict)
	}
	crossed := res.Vouchers[5].Verdict
	require.Equal(t, seqqc.CauseContamination, crossed.Causes[0].Code, "%+v", crossed.Causes)
	require.Equal(t, read.NextStep, crossed.NextStep)
}
