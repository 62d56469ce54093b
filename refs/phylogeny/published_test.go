package phylogeny

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"forayseq/align"

	"github.com/stretchr/testify/require"
)

// sample is a library with the genus of each record.
type sample struct {
	seqs  [][]byte
	genus []string
}

// published reads 4,276 ITS sequences as published (TreeBASE), in the open
// data as its/macrofungi_its.fasta.
func published(t *testing.T) (s sample) {
	t.Helper()
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no published sequences to compare with")
	}
	text, err := os.ReadFile(filepath.Join(root, "its", "macrofungi_its.fasta"))
	require.NoError(t, err)
	for entry := range bytes.SplitSeq(text[1:], []byte("\n>")) {
		header, seq, _ := bytes.Cut(entry, []byte("\n"))
		s.genus = append(s.genus, string(bytes.Fields(header)[1]))
		s.seqs = append(s.seqs, bytes.ToUpper(bytes.ReplaceAll(seq, []byte("\n"), nil)))
	}
	require.Len(t, s.seqs, 4276)
	return s
}

func invented(tree *Tree) (s sample) {
	for i := range tree.Len() {
		nodes := tree.path(i)
		s.genus = append(s.genus, genusName(nodes[genus]))
		s.seqs = append(s.seqs, tree.Record(i).Seq)
	}
	return s
}

// likeness holds identities in percent, ascending.
type likeness struct {
	nearest         []float64 // of a record, with the nearest other one
	nearestOutside  []float64 // with the nearest of another genus
	within, outside []float64 // of all pairs of one genus, of some pairs of two
}

// compare takes records at random and compares each with all others, by the
// least edits over overlaps of nine tenths of it.
func (s sample) compare(t *testing.T, records int) (l likeness) {
	t.Helper()
	r := rand.New(rand.NewPCG(1, 2))
	packed := make([]align.LaneText, len(s.seqs))
	byLength := make([]int, len(s.seqs))
	for i, seq := range s.seqs {
		packed[i] = align.LaneText{Text: align.Pack(seq)}
		byLength[i] = i
	}
	slices.SortFunc(byLength, func(a, b int) int { return len(s.seqs[a]) - len(s.seqs[b]) })
	for range records {
		at := r.IntN(len(s.seqs))
		q := s.seqs[at]
		lanes, err := align.NewPatternLanes(q)
		require.NoError(t, err)
		nearest, outside := 0.0, 0.0
		for some := range slices.Chunk(byLength, align.TextLanes) {
			var texts []align.LaneText
			for _, i := range some {
				text := packed[i]
				text.Reach = align.Reach{QStart: len(q) / 10, QEnd: len(q) - len(q)/10, TStart: len(s.seqs[i])}
				texts = append(texts, text)
			}
			lanes.Find(texts, len(q))
			for lane, i := range some {
				pct := 100 * (1 - float64(lanes.Distance(lane))/float64(len(q)))
				switch {
				case i == at:
					continue
				case s.genus[i] == s.genus[at]:
					l.within = append(l.within, pct)
				default:
					l.outside = append(l.outside, pct)
					outside = max(outside, pct)
				}
				nearest = max(nearest, pct)
			}
		}
		l.nearest = append(l.nearest, nearest)
		l.nearestOutside = append(l.nearestOutside, outside)
	}
	for _, list := range [][]float64{l.nearest, l.nearestOutside, l.within, l.outside} {
		slices.Sort(list)
	}
	return l
}

// quantiles gives the 10, 25, 50, 75 and 90 % points.
func quantiles(list []float64) (out []float64) {
	for _, q := range []int{10, 25, 50, 75, 90} {
		out = append(out, list[q*(len(list)-1)/100])
	}
	return out
}

// With as many genera as the published sequences have, an invented library is
// about as close-knit: medians within a few points of one another. Real genera
// differ more widely than the usual 1 to 12 %, invented ones a little less so.
func TestLikenessIsThatOfPublishedSequences(t *testing.T) {
	if testing.Short() {
		t.Skip("aligns hundreds of thousands of pairs")
	}
	real := published(t)
	genera := slices.Clone(real.genus)
	slices.Sort(genera)
	tree := New(Shape{Records: len(real.seqs), Seed: 1, Genera: len(slices.Compact(genera))})
	want, got := real.compare(t, 80), invented(tree).compare(t, 80)
	for _, row := range []struct {
		name      string
		want, got []float64
		within    float64 // points between the medians
	}{
		{"nearest", want.nearest, got.nearest, 0.5},
		{"nearest of another genus", want.nearestOutside, got.nearestOutside, 4},
		{"within a genus", want.within, got.within, 12},
		{"of two genera", want.outside, got.outside, 4},
	} {
		w, g := quantiles(row.want), quantiles(row.got)
		t.Logf("%-24s published %.1f invented %.1f", row.name, w, g)
		require.InDelta(t, w[2], g[2], row.within, row.name)
	}
}

// runs counts the runs of five and of eight or more equal bases a thousand
// bases.
func (s sample) runs() (five, eight float64) {
	bases := 0
	for _, seq := range s.seqs {
		bases += len(seq)
		for i := 0; i < len(seq); {
			j := i
			for j < len(seq) && seq[j] == seq[i] {
				j++
			}
			if j-i >= 5 {
				five++
			}
			if j-i >= 8 && seq[i] != 'N' {
				eight++
			}
			i = j
		}
	}
	return 1000 * five / float64(bases), 1000 * eight / float64(bases)
}

func TestRunsOfBasesAreThoseOfPublishedSequences(t *testing.T) {
	wantFive, wantEight := published(t).runs()
	five, eight := invented(New(Shape{Records: 4276, Seed: 1})).runs()
	t.Logf("runs of five or more a thousand bases: published %.2f, invented %.2f; of eight: %.3f, %.3f", wantFive, five, wantEight, eight)
	require.InDelta(t, wantFive, five, wantFive/2)
	require.InDelta(t, wantEight, eight, 0.1)
}
