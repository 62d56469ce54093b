package region

import (
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
)

// yeastSSUHead is the SSU of Saccharomyces cerevisiae before yeastSSU, from
// memory; the two together have the 1,800 bases of the gene.
const yeastSSUHead = "TATCTGGTTGATCCTGCCAGTAGTCATATGCTTGTCTCAAAGATTAAGCCATGCATGTCTAAGTATAAGC" +
	"AATTTATACAGTGAAACTGCGAATGGCTCATTAAATCAGTTATCGTTTATTTGATAGTTCCTTTACTACA" +
	"TGGTATAACTGTGGTAATTCTAGAGCTAATACATGCTTAAAATCTCGACCCTTTGGAAGAGATGTATTTA" +
	"TTAGATAAAAAATCAATGTCTTCGGACTCTTTGATGATTCATAATAACTTTTCGAATCGCATGGCCTTGT" +
	"GCTGGCGATGGTTCATTCAAATTTCTGCCCTATCAACTTTCGATGGTAGGATAGTGGCCTACCATGGTTT" +
	"CAACGGGTAACGGGGAATAAGGGTTCGATTCCGGAGAGGGAGCCTGAGAAACGGCTACCACATCCAAGGA" +
	"AGGCAGCAGGCGCGCAAATTACCCAATCCTAATTCAGGGAGGTAGTGACAATAAATAACGATACAGGGCC" +
	"CATTCGGGTCTTGTAATTGGAATGAGTACAATGTAAATACCTTAACGAGGAACAATTGGAGGGCAAGTCT" +
	"GGTGCCAGCAGCCGCGGTAATTCCAGCTCCAATAGCGTATATTAAAGTTGTTGCAGTTAAAAAGCTCGTA" +
	"GTTGAACTTTGGGCCCGGTTGGCCGGTCCGATTTTTTCGTGTACTGGATTTCCAACGGGGCCTTTCCTTC" +
	"TGGCTAACCTTGAGTCCTTGTGGCTCTTGGCGAACCAGGACTTTTACTTTGAAAAAATTAGAGTGTTCAA" +
	"AGCAGGCGTATTGCTCGAATATATTAGCATGGAATAATAGAATAGGACGTTTGGTTCTATTTTGTTGGTT" +
	"TCTAGGACCATCGTAATGATTAATAGGGACGGTCGGGGGCATCAGTATTCAATTGTCAGAGGTGAAATTC" +
	"TTGGATTTATTGAAGACTAACTACTGCGAAAGCATTTGCCAAGGACGTTTTCATTAATCAAGAACGAAAG" +
	"TTAGGGGATCGAAGATGATCAGATACCGTCGTAGTCTTAACCATAAACTATGCCGACTAGGGATCGGGTG" +
	"GTGTTTTTTTAATGACCCACTCGGCACCTTACGAGAAATCAAAGTCTTTGGGTTCTGGGGGGAGTATGGT" +
	"CGCAAGGCTGAAACTTAAAGGAATTGACGGAAGGGCACCACCAGGAGTGGAGCCTGCGGCTTAATTTGAC" +
	"TCAACACGGGGAAACTCACCAGGTCCAGACACAATAAGGATTGACAGATTGAGAGCTCTTTCTTGATTTT" +
	"GTGGGTGGTGGTGCATGGCCGTTCTTAGTTGGTGGAGTGATTTGTCTGCTTAATTGCGATAACGAACGAG" +
	"ACCTTAACCTACTAAATAGTGGTGCTAGCATTTGCTGGTTATCCACTTCTTAGAGGGACTATCGGTTTCA" +
	"AGCCGATGGAAGTTT"

// Every motif lies where the tables say on the whole gene.
func TestDeepMotifPlaces(t *testing.T) {
	gene58 := sets([]byte(yeastSSUHead + yeastSSU))
	require.Len(t, gene58, 1800)
	for i := range patterns {
		p := &patterns[i]
		if p.gene != ssu {
			continue
		}
		found := false
		for _, h := range p.inside(nil, i, gene58) {
			found = found || h.edits <= 1 && max(h.start-1800-p.at, p.at-h.start+1800) <= p.slack
		}
		require.True(t, found, p.name)
	}
}

// pieces counts how many of the pieces of genes are told as what.
type pieces struct{ all, told, nothing, wrong int }

// cutUp asks of every piece of width bases, a piece each step bases on
// alternating strands, and counts as told those with the wanted NotITS.
func (n *pieces) cutUp(gene string, width, step int, want string) {
	for k, start := 0, 0; start+width <= len(gene); k, start = k+1, start+step {
		piece := []byte(gene[start : start+width])
		if k%2 == 1 {
			piece = align.ReverseComplement(piece)
		}
		n.all++
		switch r := Locate(piece); {
		case r.NotITS == want:
			n.told++
		case !r.Located && r.NotITS == "":
			n.nothing++
		default:
			n.wrong++
		}
	}
}

// A piece of the SSU alone is told from 200 bases on almost anywhere. Measured
// on the gene of yeast as remembered, motifs of which most were taken from it:
// 159 of 161 pieces of 200 bases, all of 300.
func TestPiecesOfSSU(t *testing.T) {
	var short, long pieces
	short.cutUp(yeastSSUHead+yeastSSU, 200, 10, "small subunit (18S) only")
	long.cutUp(yeastSSUHead+yeastSSU, 300, 10, "small subunit (18S) only")
	t.Logf("200 bases %+v, 300 bases %+v", short, long)
	require.Zero(t, short.wrong+long.wrong)
	require.GreaterOrEqual(t, short.told, short.all-2)
	require.Equal(t, long.all, long.told)
}

// The same for the LSU of published sequences with at least 500 bases of it
// (TreeBASE): 31 records of Lactarius and Tuber. Measured: 1,295 of 1,313 pieces
// of 200 bases, the rest in the variable part; all of 300.
func TestPiecesOfRealLSU(t *testing.T) {
	const step = 10
	if testing.Short() {
		t.Skip("thousands of pieces")
	}
	var short, long pieces
	records := 0
	for _, rec := range openFasta(t, "its/macrofungi_its.fasta") {
		if len(rec.seq) < 700 {
			continue
		}
		if r := locateOnce(rec.seq); r.LSU.Len() >= 500 {
			records++
			short.cutUp(rec.seq[r.LSU.Start:], 200, step, "large subunit (28S) only")
			long.cutUp(rec.seq[r.LSU.Start:], 300, step, "large subunit (28S) only")
		}
	}
	t.Logf("%d records, 200 bases %+v, 300 bases %+v", records, short, long)
	require.GreaterOrEqual(t, records, 30)
	require.Zero(t, short.wrong+long.wrong)
	require.Greater(t, short.told, short.all*97/100)
	require.Equal(t, long.all, long.told)
}
