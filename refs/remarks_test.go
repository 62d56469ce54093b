package refs

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// faults are the problems of a library without the remarks.
func faults(lib *Library) []Problem { return problemsWhere(lib, false) }

// remarks are the remarks on a library's records.
func remarks(lib *Library) []Problem { return problemsWhere(lib, true) }

func problemsWhere(lib *Library, remark bool) []Problem {
	var list []Problem
	for _, p := range lib.Problems {
		if p.Remark == remark {
			list = append(list, p)
		}
	}
	return list
}

// bases makes a synthetic sequence, another for every seed.
func bases(seed uint64, n int) string {
	rng := rand.New(rand.NewPCG(seed, 0))
	b := make([]byte, n)
	for i := range b {
		b[i] = "ACGT"[rng.IntN(4)]
	}
	return string(b)
}

func TestRemarks(t *testing.T) {
	long := func(seed uint64) string { return "\n" + bases(seed, leastBases) + "\n" }
	tests := []struct {
		what, text string
		want       []Problem
	}{
		{"nothing", ">A Russula emetica" + long(1) + ">B Boletaceae sp." + long(2) + ">C Russula cf. vesca" + long(3), nil},
		{"short", ">A Russula emetica\n" + bases(1, leastBases-1) + "NNNN\n", []Problem{{Line: 1, Record: "A", What: "149 bases are too few to support a name"}}},
		{"no name", ">A Uncultured fungus" + long(1) + ">B coral fungus" + long(2) + ">C Russula or Lactarius" + long(3) + ">D R. emetica" + long(4) + ">E" + long(5), []Problem{
			{Line: 1, Record: "A", What: "it is a record of an unnamed organism"},
			{Line: 3, Record: "B", What: "no name was found in the header"},
			{Line: 5, Record: "C", What: "the header names more than one genus: Russula, Lactarius"},
			{Line: 7, Record: "D", What: "the genus is cut short"},
			{Line: 9, Record: "E", What: "no name was found in the header"},
		}},
		{"one sequence, two genera", ">A Russula emetica" + long(1) + ">B Lactarius rufus" + long(1) + ">C Russula" + long(1) + ">D Russulaceae sp." + long(1), []Problem{
			{Line: 1, Record: "A", What: "one sequence stands under more than one genus: Russula (A, C), Lactarius (B)"},
		}},
		{"one sequence, two species", ">A Russula emetica" + long(1) + ">B Russula vesca" + strings.ToLower(long(1)), []Problem{
			{Line: 1, Record: "A", What: "one sequence stands under more than one species: Russula emetica (A), Russula vesca (B)"},
		}},
		{"one sequence, a doubtful species", ">A Russula emetica" + long(1) + ">B Russula cf. vesca" + long(1) + ">C Russula emetica" + long(1), nil},
		{"another gene", ">A Russula emetica voucher X translation elongation factor 1-alpha (tef1) gene, partial cds" + long(1), []Problem{
			{Line: 1, Record: "A", What: "the header says partial cds and nothing of ITS"},
		}},
	}
	for _, tt := range tests {
		lib := read(t, tt.text)
		require.Empty(t, faults(lib), tt.what)
		require.Zero(t, lib.Info().Rejected, tt.what)
		got := remarks(lib)
		for i := range got {
			require.NotEmpty(t, got[i].Hint, tt.what)
			got[i].Hint, got[i].Remark = "", false
		}
		require.Equal(t, tt.want, got, tt.what)
	}
}

// Remarks are bounded: twenty of a kind, six ids of a name, and then counts.
func TestRemarksAreBounded(t *testing.T) {
	var text strings.Builder
	for i := range 30 {
		fmt.Fprintf(&text, ">U%d Uncultured fungus\nACGT\n", i)
	}
	for i := range 9 {
		fmt.Fprintf(&text, ">R%d Russula\nACGA\n", i)
	}
	text.WriteString(">L Lactarius\nACGA\n")
	got := remarks(read(t, text.String()))
	require.Len(t, got, 2*(maxListed+1)+1)
	require.Equal(t, "one sequence stands under more than one genus: Russula (R0, R1, R2, R3, R4, R5 and 3 more), Lactarius (L)", got[2*maxListed].What)
	var counts []string
	for _, p := range got[2*maxListed+1:] {
		counts = append(counts, p.What)
	}
	require.Equal(t, []string{"10 more records without a usable name", "20 more records of fewer than 150 bases"}, counts)
}

// Headers in the wording of the archives (GenBank definition lines).
func TestOtherLocus(t *testing.T) {
	for header, want := range map[string]string{
		"X1 Russula emetica":                       "",
		"X1 Russula emetica voucher LSU 123 COI 7": "",
		"X1 Actinomucor elegans strain EF1":        "",
		"X1 Russula emetica 18S ribosomal RNA gene, partial sequence; internal transcribed spacer 1": "",
		"X1 Russula emetica genes for 18S rRNA, ITS1, 5.8S rRNA, ITS2, 26S rRNA, partial sequence":   "",
		"X1 Russula emetica small subunit ribosomal RNA gene, partial sequence; ITS region":          "",
		"X1 Russula emetica 28S ribosomal RNA gene, partial sequence":                                "28S",
		"X1 Russula emetica large subunit ribosomal RNA gene, partial sequence":                      "large subunit",
		"X1 Russula emetica 18S small subunit rRNA gene":                                             "small subunit",
		"X1 Russula emetica LSU rRNA gene":                                                           "LSU",
		"X1 Russula emetica RNA polymerase II second largest subunit (RPB2) gene":                    "RNA polymerase II",
		"X1 Russula emetica RPB2 gene":                                                               "RPB2",
		"X1 Russula emetica beta-tubulin":                                                            "beta-tubulin",
		"X1 Russula kühneri ribosomal protein S12, mRNA":                                             "mRNA",
	} {
		require.Equal(t, want, otherLocus(header), header)
	}
}

// Outside check: of the RefSeq records by way of metacoder nine are of a
// protein and no ITS (accessions XM_, messenger RNA by RefSeq's convention);
// the other 290 and the GenBank records of SubalpineMyco are ITS.
func TestOtherLocusOfArchives(t *testing.T) {
	seen := 0
	for _, h := range append(headersOf(t, openData(t, "its", "refseq_its.fasta")), headersOf(t, openData(t, "its", "subalpine_references.fasta"))...) {
		other := otherLocus(h) != ""
		require.Equal(t, strings.Contains(h, "|XM_"), other, h)
		if other {
			seen++
		}
	}
	require.Equal(t, 9, seen)
}

// Outside check: the groups of equal sequences in 4,276 TreeBASE records are
// those found by comparing the sequences as strings, three of them, and each
// stands under two genera; nothing else in the records is remarked on.
func TestEqualSequencesOfPublishedMacrofungi(t *testing.T) {
	data, err := os.ReadFile(openData(t, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	lib, err := Read(bytes.NewReader(data), ReadOptions{})
	require.NoError(t, err)
	byText := make(map[string][]int)
	for i, r := range lib.Records {
		byText[string(r.Seq)] = append(byText[string(r.Seq)], i)
	}
	groups := lib.EqualSequences()
	for _, g := range groups {
		text := string(lib.Records[g[0]].Seq)
		require.Equal(t, byText[text], g)
		delete(byText, text)
	}
	for _, g := range byText {
		require.Len(t, g, 1)
	}
	var got []string
	for _, p := range remarks(lib) {
		got = append(got, p.What)
	}
	const what = "one sequence stands under more than one genus: "
	require.Equal(t, []string{
		what + "Xerocomus (TB00028), Boletus (TB02607)",
		what + "Chlorophyllum (TB00681), Macrolepiota (TB04190)",
		what + "Fomitopsis (TB02823), Antrodia (TB02824)",
	}, got)
	require.Len(t, groups, 3)
}
