package region

import (
	"cmp"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// logCounts writes counts in the order of their keys.
func logCounts[K cmp.Ordered](t *testing.T, what string, counts map[K]int) {
	t.Helper()
	t.Log(what)
	for _, k := range slices.Sorted(maps.Keys(counts)) {
		t.Logf("  %v: %d", k, counts[k])
	}
}

// Where authors put the ends of the 5.8S: Du et al. 2012 (Morchella, TreeBASE
// S12489, 178 sequences) and den Bakker, Gravendeel & Kuyper (Leccinum,
// TreeBASE S1033, 19 sequences). Both in Mycologia.
func TestBordersOfPublishedAlignments(t *testing.T) {
	seqs := map[string]string{}
	for _, r := range openFasta(t, "its/boundaries_5_8S.fasta") {
		seqs[r.id] = r.seq
	}
	type offset struct{ start, end map[int]int }
	studies := map[string]offset{"S12489": {map[int]int{}, map[int]int{}}, "S1033": {map[int]int{}, map[int]int{}}}
	within2, all := 0, 0
	lines := strings.Split(strings.TrimSpace(openFile(t, "its/boundaries_5_8S.tsv")), "\n")
	for _, line := range lines[1:] {
		c := strings.Split(line, "\t")
		start, err := strconv.Atoi(c[6])
		require.NoError(t, err)
		end, err := strconv.Atoi(c[7])
		require.NoError(t, err)
		r := Locate([]byte(seqs[c[0]]))
		require.True(t, r.Located, c[0])
		require.False(t, r.Complemented, c[0])
		a, b := r.R58S.Start-(start-1), r.R58S.End-end
		studies[c[2]].start[a]++
		studies[c[2]].end[b]++
		all++
		if max(a, -a) <= 2 && max(b, -b) <= 2 {
			within2++
		}
	}
	require.Equal(t, 197, all)
	logCounts(t, "Morchella, 5.8S start, ours - theirs", studies["S12489"].start)
	logCounts(t, "Morchella, 5.8S end", studies["S12489"].end)
	logCounts(t, "Leccinum, 5.8S start", studies["S1033"].start)
	logCounts(t, "Leccinum, 5.8S end", studies["S1033"].end)
	// Measured: Morchella equal in all 178 at both ends. Leccinum +1 at the
	// start in 17 of 19 (the authors count the base before AACTTTCA as 5.8S;
	// two sequences lack a base there) and +2 at the end in all.
	require.Equal(t, map[int]int{0: 178}, studies["S12489"].start)
	require.Equal(t, map[int]int{0: 178}, studies["S12489"].end)
	require.GreaterOrEqual(t, studies["S1033"].start[1], 17)
	require.Equal(t, map[int]int{2: 19}, studies["S1033"].end)
	require.Equal(t, 197, within2)
}

// 4,276 mushroom sequences as published (TreeBASE). Some authors cut columns
// out, so a 5.8S may lack bases.
func TestMacrofungi(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of sequences")
	}
	recs := openFasta(t, "its/macrofungi_its.fasta")
	texts, lengths := map[string]int{}, map[int]int{}
	kingdoms := map[string]int{}
	usual, whole := 0, 0
	for k, rec := range recs {
		r := locateOnce(rec.seq)
		require.False(t, r.R58S.Empty(), rec.title)
		require.False(t, r.Complemented, rec.title)
		require.Empty(t, r.NotITS, rec.title)
		requireTiled(t, []byte(rec.seq), r)
		if k%10 == 0 { // measured: none of all 4,276
			require.False(t, again58S([]byte(rec.seq), r.R58S), rec.title)
		}
		texts[r.Text]++
		kingdoms[r.Kingdom]++
		if strings.Contains(r.Text, "5.8S-") {
			lengths[r.R58S.Len()]++
			whole++
			if n := r.R58S.Len(); n >= 153 && n <= 160 {
				usual++
			}
		}
		other := Locate(reversed(rec.seq))
		require.True(t, other.Complemented, rec.title)
		other.Complemented = false
		require.Equal(t, r, other, rec.title)
	}
	logCounts(t, "parts", texts)
	logCounts(t, "length of a whole 5.8S", lengths)
	t.Logf("%d sequences, %d of %d whole 5.8S of 153-160 bases", len(recs), usual, whole)
	// Measured: 62 of 4,275 shorter, all but a few cut by their authors between
	// the motifs: 34 of one study of Mycena lack 20 bases, 16 of one of Tuber 46.
	require.GreaterOrEqual(t, whole, 4270)
	require.GreaterOrEqual(t, usual, whole-70)
	require.Equal(t, 34, lengths[136]-1)
	require.Equal(t, 16, lengths[110]+lengths[111])
	logCounts(t, "kingdom by the 5.8S", kingdoms)
	// Measured: Fungi 4,139, cannot tell 137, another kingdom none.
	require.Len(t, kingdoms, 2)
	require.GreaterOrEqual(t, kingdoms["Fungi"], 4100)
}

// 290 archive records of the ITS and 9 of messenger RNA (RefSeq).
func TestArchiveRecords(t *testing.T) {
	located, mrna, bothWhole, coding := 0, 0, 0, 0
	for _, rec := range openFasta(t, "its/refseq_its.fasta") {
		r := locateOnce(rec.seq)
		if strings.Contains(rec.title, "mRNA") {
			mrna++
			if r.NotITS != "" {
				coding++
				require.Contains(t, r.NotITS, "protein-coding", rec.title)
			}
			require.Equal(t, seqqc.Region{Text: r.Text, NotITS: r.NotITS}, r, rec.title)
			continue
		}
		require.Contains(t, []string{"Fungi", ""}, r.Kingdom, rec.title)
		require.True(t, r.Located, rec.title)
		require.InDelta(t, 156, r.R58S.Len(), 4, rec.title)
		located++
		if r.ITS1Whole && r.ITS2Whole {
			bothWhole++
		}
	}
	require.Equal(t, 290, located)
	require.Equal(t, 9, mrna)
	// The two others, of 687 and 692 bases, have frames of 462 and 480 bases and
	// too even a composition.
	require.Equal(t, 7, coding)
	t.Logf("both spacers whole: %d of %d", bothWhole, located)
	require.GreaterOrEqual(t, bothWhole, 285)
}

// 110 archive records near one survey of subalpine fungi (GenBank).
func TestSubalpineRecords(t *testing.T) {
	texts := map[string]int{}
	for _, rec := range openFasta(t, "its/subalpine_references.fasta") {
		r := locateOnce(rec.seq)
		texts[r.Text]++
		require.Equal(t, 156, r.R58S.Len(), rec.title)
		// Vaucheria, an alga, is nearer to fungi than to the other profiles, but
		// not near.
		if strings.Contains(rec.title, "Vaucheria") {
			require.Empty(t, r.Kingdom, rec.title)
		}
		require.Contains(t, []string{"Fungi", ""}, r.Kingdom, rec.title)
	}
	logCounts(t, "parts", texts)
}

// The hardest random sequences: real ones read backwards without taking the
// complement keep every local composition and hold no gene. Every second is
// asked, all with FORAYSEQ_LONG set, every twentieth with -short.
func TestBackwardSequencesAreNotLocated(t *testing.T) {
	step := 2
	switch {
	case testing.Short():
		step = 20
	case os.Getenv("FORAYSEQ_LONG") != "":
		step = 1
	}
	located, n := 0, 0
	for _, file := range []string{"its/macrofungi_its.fasta", "its/refseq_its.fasta"} {
		for k, rec := range openFasta(t, file) {
			if k%step != 0 {
				continue
			}
			seq := []byte(rec.seq)
			slices.Reverse(seq)
			n++
			if Locate(seq).Located {
				located++
				t.Logf("located backwards: %s", rec.title)
			}
		}
	}
	t.Logf("%d of %d", located, n)
	require.LessOrEqual(t, located, 4/step)
}

// LSU cut out of archive records of the repeat is told from an ITS.
func TestLSUOfRealRecords(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of sequences")
	}
	n := 0
	for _, file := range []string{"its/macrofungi_its.fasta", "its/subalpine_references.fasta"} {
		for _, rec := range openFasta(t, file) {
			r := locateOnce(rec.seq)
			if r.LSU.Len() < 200 || !r.ITS2Whole {
				continue
			}
			n++
			cut := Locate([]byte(rec.seq[r.LSU.Start:]))
			require.Equal(t, "large subunit (28S) only", cut.NotITS, rec.title)
			require.Equal(t, "LSU", cut.Text, rec.title)
		}
	}
	t.Logf("%d records with at least 200 bases of LSU", n)
	require.Positive(t, n)
}

// The 26 base calls of real reads of fungi, made with ITS1-F (one strand,
// good and bad), are all on the coding strand where they are located.
func TestRealReads(t *testing.T) {
	texts := map[string]int{}
	for _, name := range openNames(t, "abif/fungal_its1f", ".seq") {
		var seq strings.Builder
		for line := range strings.Lines(openFile(t, name)) {
			if !strings.HasPrefix(line, ">") {
				seq.WriteString(strings.ToUpper(strings.TrimSpace(line)))
			}
		}
		r := Locate([]byte(seq.String()))
		texts[r.Text]++
		require.False(t, r.Complemented, name)
		require.Empty(t, r.NotITS, name)
	}
	logCounts(t, "parts", texts)
}
