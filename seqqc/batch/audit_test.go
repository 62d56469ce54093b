package batch_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/refs/phylogeny"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/match"
)

// fastaOf writes a library and gives its path.
func fastaOf(t *testing.T, records []refs.Record) string {
	t.Helper()
	var b strings.Builder
	for _, r := range records {
		fmt.Fprintf(&b, ">%s\n%s\n", r.Header, r.Seq)
	}
	path := filepath.Join(t.TempDir(), "lib.fasta")
	require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o644))
	return path
}

// invented gives an invented library of named records (synthetic).
func invented(n int, seed uint64) []refs.Record {
	tree := phylogeny.New(phylogeny.Shape{Records: n, Seed: seed})
	var out []refs.Record
	for i := range tree.Len() {
		r := tree.Record(i)
		id, name, lineage := refs.ParseHeader(r.Header)
		if name.Genus != "" {
			out = append(out, refs.Record{ID: id, Header: r.Header, Name: name, Lineage: lineage, Seq: r.Seq})
		}
	}
	return out
}

func audit(t *testing.T, path string, only ...batch.AuditCheck) *batch.Audit {
	t.Helper()
	a, err := batch.AuditLibrary(context.Background(), batch.AuditOptions{Refs: path, Only: only, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	return a
}

// wholeOf gives the records that are long enough to be a whole ITS.
func wholeOf(records []refs.Record) []refs.Record {
	return slices.DeleteFunc(slices.Clone(records), func(r refs.Record) bool { return len(r.Seq) < 500 })
}

// TestAuditFindsPlantedFaults plants each fault once and asks for it.
func TestAuditFindsPlantedFaults(t *testing.T) {
	records := wholeOf(invented(500, 5))
	byGenus := map[string][]refs.Record{}
	for _, r := range records {
		byGenus[r.Name.Genus] = append(byGenus[r.Name.Genus], r)
	}
	var genera []string
	for g, of := range byGenus {
		if len(of) >= 12 {
			genera = append(genera, g)
		}
	}
	slices.Sort(genera)
	require.GreaterOrEqual(t, len(genera), 2)
	a, b := byGenus[genera[0]][0], byGenus[genera[len(genera)-1]][0]
	plant := func(header string, seq []byte) {
		records = append(records, refs.Record{Header: header, Seq: seq})
	}
	half := func(r refs.Record) int { return strings.Index(string(r.Seq), "GATGAAGAACG") }
	require.Positive(t, half(a))
	require.Positive(t, half(b))
	clear := slices.Clone(a.Seq)
	for i := 0; i < len(clear); i += 10 {
		clear[i] = 'N'
	}
	plant("COPY1 "+a.Name.Verbatim, a.Seq)
	plant("TURN1 "+a.Name.Verbatim, align.ReverseComplement(mutate(a.Seq, 3)))
	plant("SHORT1 "+a.Name.Verbatim, a.Seq[:120])
	plant("UNCLEAR1 "+a.Name.Verbatim, clear)
	plant("NONAME1 uncultured fungus", mutate(a.Seq, 5))
	plant("GENE1 "+a.Name.Verbatim+" translation elongation factor 1-alpha (tef1) gene, partial cds", random(9, 700))
	plant("CHIMERA1 "+a.Name.Verbatim, slices.Concat(a.Seq[:half(a)], b.Seq[half(b):]))
	plant("SAME1 Fictomyces secundus", b.Seq)

	audited := audit(t, fastaOf(t, records))
	found := map[string][]batch.AuditCheck{}
	for _, f := range audited.Findings {
		found[f.ID] = append(found[f.ID], f.Check)
		require.NotEmpty(t, f.What)
		require.NotEmpty(t, f.Hint)
		require.Positive(t, f.Line)
	}
	require.Contains(t, found["COPY1"], batch.CheckCopies)
	require.Contains(t, found["TURN1"], batch.CheckReversed)
	require.Contains(t, found["SHORT1"], batch.CheckShort)
	require.Contains(t, found["UNCLEAR1"], batch.CheckAmbiguous)
	require.Contains(t, found["NONAME1"], batch.CheckUnnamed)
	require.Contains(t, found["GENE1"], batch.CheckRegion)
	require.Contains(t, found["CHIMERA1"], batch.CheckChimeras)
	require.Contains(t, found[b.ID], batch.CheckGenera)
	require.Equal(t, 1, audited.Of(batch.CheckChimeras))

	again := audit(t, fastaOf(t, records), batch.CheckShort, batch.CheckCopies)
	for _, f := range again.Findings {
		require.Contains(t, []batch.AuditCheck{batch.CheckShort, batch.CheckCopies}, f.Check)
	}
	require.Zero(t, again.Searched)
}

// mutate changes n bases, well spread.
func mutate(seq []byte, n int) []byte {
	out := slices.Clone(seq)
	for i := range n {
		at := (2*i + 1) * len(seq) / (2 * n)
		out[at] = map[byte]byte{'A': 'C', 'C': 'A', 'G': 'T', 'T': 'G'}[out[at]]
	}
	return out
}

func random(seed uint64, n int) []byte {
	rng := rand.New(rand.NewPCG(seed, 1))
	seq := make([]byte, n)
	for i := range seq {
		seq[i] = "ACGT"[rng.IntN(4)]
	}
	return seq
}

// TestAuditOfWrongLabels changes labels in an invented library and asks for
// them: those with at least four right neighbours at the genus threshold or
// nearer must be found, and right ones left alone. It also holds the seeds to a
// search of every third record.
func TestAuditOfWrongLabels(t *testing.T) {
	notUnderShort(t)
	records := wholeOf(invented(1500, 11))
	right := refs.NewLibrary(slices.Clone(records), nil)
	rng := rand.New(rand.NewPCG(59, 1))
	wrong := map[string]bool{}
	asked := map[string]bool{} // wrong ones with four right neighbours
	for i := range records {
		if rng.IntN(20) > 0 {
			continue
		}
		other := records[rng.IntN(len(records))].Name
		if other.Genus == records[i].Name.Genus || len(right.OfGenus(other.Genus)) < 4 {
			continue
		}
		r := &records[i]
		wrong[r.ID] = true
		r.Header = r.ID + " " + other.Verbatim
		r.Name, r.Lineage = other, refs.Lineage{}
	}
	lib := refs.NewLibrary(slices.Clone(records), nil)
	p := match.Defaults()
	for i, r := range lib.All() {
		if !wrong[r.ID] {
			continue
		}
		scan, err := refs.NewScan(context.Background(), lib, refs.Query{Seq: r.Seq}, p.Gate)
		require.NoError(t, err)
		genus := right.GenusNumber(i)
		near, err := scan.BestFrom(p.Thresholds.Genus, 4, nil, func(o int) bool {
			return o != i && right.GenusNumber(o) == genus && !wrong[lib.Record(o).ID]
		})
		require.NoError(t, err)
		asked[r.ID] = len(near) >= 4
	}
	a := audit(t, fastaOf(t, records), batch.CheckLabels)
	told := map[string]bool{}
	accused := 0
	for _, f := range a.Findings {
		told[f.ID] = true
		if !wrong[f.ID] {
			accused++
			t.Log("accused: ", f.ID, f.What)
		}
	}
	found, of := 0, 0
	for id, is := range asked {
		if !is {
			continue
		}
		of++
		if told[id] {
			found++
		}
	}
	t.Logf("%d of %d wrong labels found, %d of %d right ones accused, %d records searched", found, of, accused, len(records)-len(wrong), a.Searched)
	require.GreaterOrEqual(t, of, 20)
	require.GreaterOrEqual(t, 100*found, 95*of)
	require.Less(t, 100*accused, len(records)-len(wrong))
	require.Less(t, a.Searched, len(records), "seeds leave searches out")
	for id, is := range batch.LabelsWithoutSeeds(t, lib) {
		require.Equal(t, is, told[id], "%s: asked without seeds", id)
	}
}

func TestWriteClean(t *testing.T) {
	records := wholeOf(invented(120, 3))
	a := records[0]
	records = append(records,
		refs.Record{Header: "COPY1 " + a.Name.Verbatim, Seq: a.Seq},
		refs.Record{Header: "TURN1 " + a.Name.Verbatim, Seq: align.ReverseComplement(mutate(a.Seq, 3))},
		refs.Record{Header: "BAD1 Russula emetica", Seq: []byte("MKTAFE")})
	path := fastaOf(t, records)
	audited := audit(t, path)
	out := filepath.Join(t.TempDir(), "clean.fasta")
	info, err := audited.WriteClean(out, path)
	require.NoError(t, err)
	require.Equal(t, len(records), info.Kept+info.LeftOut)
	clean, _, problems, err := batch.OpenLibrary(out, "")
	require.NoError(t, err)
	require.Empty(t, problems)
	require.Equal(t, info.Kept, clean.Len())
	again := audit(t, out)
	for _, f := range again.Findings {
		require.False(t, f.LeaveOut || f.Turn, "%s: %s", f.ID, f.What)
	}
	list, err := os.ReadFile(info.List)
	require.NoError(t, err)
	require.Contains(t, string(list), "COPY1\t")
	require.Contains(t, string(list), "TURN1\t")
	require.Contains(t, string(list), "\tleft out\tunreadable\tBAD1: ")

	for _, onto := range []string{path, path + ".forayindex"} {
		_, err = audited.WriteClean(onto, path)
		require.ErrorContains(t, err, "is the library")
	}
}
