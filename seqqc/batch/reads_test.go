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

// Files that are no reads are named in one line, which asks for nothing.
func TestFilesNotLookedAtAreNamed(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "reads")
	require.NoError(t, os.Mkdir(dir, 0o755))
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	write("F-1.txt", ">F-1\n"+strings.Repeat("ACGTTGCA", 40)+"\n")
	write("a.docx", "x")
	write("b.qual", ">b\n1\n")
	write("c.phd.1", "x")
	reads, problems, err := batch.QC(t.Context(), []string{dir}, nil, batch.DefaultSettings())
	require.NoError(t, err)
	require.Len(t, reads, 1)
	require.Len(t, problems, 1)
	require.Equal(t, "reads", problems[0].File)
	require.Equal(t, "not looked at: a.docx, b.qual, c.phd.1 (3 files)", problems[0].What)
	require.False(t, problems[0].Unread)

	for i := range 20 {
		write(fmt.Sprintf("d%02d.pdf", i), "x")
	}
	_, problems, err = batch.QC(t.Context(), []string{dir}, nil, batch.DefaultSettings())
	require.NoError(t, err)
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].What, "d06.pdf ... (23 files)")

	// Whoever names a file has it read.
	_, problems, err = batch.QC(t.Context(), []string{filepath.Join(dir, "a.docx")}, nil, batch.DefaultSettings())
	require.NoError(t, err)
	require.Len(t, problems, 1)
	require.True(t, problems[0].Unread)
	require.Equal(t, "this is no sequencing file (ABIF, SCF, FASTQ or FASTA)", problems[0].What)
}

// Chromatograms without qualities get estimated ones, which count and are
// told of all the way to the verdict.
func TestQualitiesAreEstimatedFromTraces(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, batch.ReadsName), 0o755))
	write := func(name string, content []byte) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), content, 0o644))
	}
	rng := rand.New(rand.NewPCG(5, 6))
	locus := simulate.NewLocus(rng, 180, 190)
	forward, reverse, err := simulate.Amplicon(locus.Seq(), "ITS1-F", "ITS4")
	require.NoError(t, err)
	for name, template := range map[string][]byte{"F-1_ITS1F.ab1": forward, "F-1_ITS4.ab1": reverse} {
		tr := simulate.Read(rng, template, simulate.Good())
		tr.Quals = nil
		var b bytes.Buffer
		require.NoError(t, trace.EncodeABIF(&b, tr))
		write(filepath.Join(batch.ReadsName, name), b.Bytes())
	}
	write("vouchers.csv", []byte("voucher,field_id\nF-1,Russula emetica\n"))
	write("refs.fasta", fmt.Appendf(nil, ">SYN1 Russula emetica\n%s\n>SYN2 Russula emetica\n%s\n", locus.ITS(), locus.Seq()))
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	require.Len(t, res.Reads, 2)
	for _, r := range res.Reads {
		require.True(t, r.Usable, r.Why)
		require.NotNil(t, r.Signal)
		require.Equal(t, []seqqc.Flag{seqqc.QualityEstimated}, r.Flags)
		require.True(t, r.Stats.Qualities)
		require.Contains(t, r.Notes, "the file has no qualities; they were estimated from its traces")
	}
	v := res.Vouchers[0]
	require.Equal(t, []seqqc.Flag{seqqc.QualityEstimated}, v.Samples[0].Contig.Flags)
	require.Contains(t, v.Samples[0].Contig.Sequence, string(locus.ITS()))
	require.Equal(t, seqqc.Agrees, v.Verdict.Kind)
	require.Contains(t, v.Verdict.Flags, seqqc.QualityEstimated)
	require.Contains(t, v.Verdict.Reason, "estimated from the traces")
}
