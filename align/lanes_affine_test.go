package align

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// plainLaneBlock gives what a laneForm works out, lane by lane, for any width.
func plainLaneBlock(width int) func(rows, columns, kinds int, kind []uint32, letters, tables, profile, state, top, bottom []int32) {
	type value struct{ key, one, two int32 }
	return func(rows, columns, _ int, kind []uint32, letters, tables, _, state, top, bottom []int32) {
		for lane := range width {
			get := func(cells []int32, cell, word int) value {
				at := cells[(cell*cellWords+word)*width+lane:]
				return value{at[0], at[width], at[2*width]}
			}
			put := func(cells []int32, cell, word int, v value) {
				at := cells[(cell*cellWords+word)*width+lane:]
				at[0], at[width], at[2*width] = v.key, v.one, v.two
			}
			gap := func(h, g value, two int32) value {
				h.key -= laneOpen
				g.key -= laneExt
				if g.key > h.key {
					h = g
				}
				h.two += two
				return h
			}
			for j := range columns {
				diagonal, above, f := get(top, j, laneKey), get(top, j+1, laneKey), get(top, j+1, laneGapKey)
				for i := range rows {
					add := func(word int) int32 {
						n := int(kind[i]) / (kindWords * 4 * width)
						return tables[(n*kindWords+word)*16+int(letters[j*width+lane])]
					}
					f = gap(above, f, add(kindOnlyATwo))
					left := get(state, i, laneKey)
					e := gap(left, get(state, i, laneGapKey), add(kindOnlyBTwo))
					h := value{diagonal.key + add(kindPairKey), diagonal.one + add(kindPairOne), diagonal.two + add(kindPairTwo)}
					if e.key > h.key {
						h = e
					}
					if f.key > h.key {
						h = f
					}
					put(state, i, laneKey, h)
					put(state, i, laneGapKey, e)
					diagonal, above = left, h
				}
				put(bottom, j+1, laneKey, above)
				put(bottom, j+1, laneGapKey, f)
			}
		}
	}
}

// testForms are the forms of this machine and the plain one.
func testForms() []laneForm {
	return append(laneForms(), laneForm{3, plainLaneBlock(3)})
}

// withForm is NewLanes with another form.
func withForm(t testing.TB, form laneForm, a []byte, exclude Interval) *Lanes {
	t.Helper()
	l, err := newLanes(a, exclude, form)
	require.NoError(t, err)
	return l
}

// scalarOutline is the outline by Overlap and Count.
func scalarOutline(t testing.TB, g *Aligner, a, b []byte, exclude Interval) Outline {
	t.Helper()
	al, err := g.Overlap(a, b)
	require.NoError(t, err)
	c, err := al.Count(a, b, exclude)
	require.NoError(t, err)
	return outline(al, c)
}

// requireOutlines holds every form against the scalar way.
func requireOutlines(t testing.TB, a []byte, exclude Interval, seqs [][]byte) {
	t.Helper()
	g, err := NewAligner(ITS)
	require.NoError(t, err)
	var want []Outline
	for _, b := range seqs {
		want = append(want, scalarOutline(t, g, a, b, exclude))
	}
	for _, form := range append(testForms(), laneForm{width: 1}) {
		got, err := withForm(t, form, a, exclude).Outlines(seqs)
		require.NoError(t, err)
		for i := range want {
			require.Equal(t, want[i], got[i], "width %d, %s against %s, without %v", form.width, a, seqs[i], exclude)
		}
	}
}

// randomInterval gives an interval of m letters, at times empty or beyond them.
func randomInterval(r *rand.Rand, m int) Interval {
	v := Interval{r.IntN(m+2) - 1, r.IntN(m + 3)}
	if r.IntN(3) == 0 {
		return Interval{}
	}
	return v
}

func TestOutlinesEqualOverlapAndCount(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 1))
	many := trials(500)
	pairs := 0
	for trial := range many {
		n := []int{3, 12, 80, 80, 200}[trial%5]
		a, b := randomPair(r, n)
		seqs := [][]byte{b}
		for range r.IntN(20) {
			switch r.IntN(3) {
			case 0:
				_, b = randomPair(r, n)
				seqs = append(seqs, b)
			case 1:
				seqs = append(seqs, mutated(r, a, 0.1, "ACGTACGTNR"))
			default:
				seqs = append(seqs, mutated(r, b, 0.05, "ACGT"))
			}
		}
		pairs += len(seqs)
		requireOutlines(t, a, randomInterval(r, len(a)), seqs)
	}
	require.Greater(t, pairs, many*8)
}

// Pairs with many alignments of one score, at the edges of blocks and vectors.
func TestOutlinesOfTies(t *testing.T) {
	repeat := func(s string, n int) []byte { return slices.Repeat([]byte(s), n) }
	seqs := [][]byte{nil, []byte("N"), []byte("A"), repeat("A", 63), repeat("A", 64), repeat("A", 65), repeat("A", 200),
		repeat("N", 100), repeat("AC", 40), repeat("CA", 64), repeat("ACN", 43), repeat("RY", 50), repeat("ACGT", 33),
		slices.Concat(repeat("A", 40), repeat("N", 30), repeat("A", 40)), slices.Concat(repeat("AC", 30), repeat("G", 12), repeat("AC", 30)),
		slices.Concat(repeat("T", 90), repeat("AC", 30)), slices.Concat(repeat("AC", 30), repeat("T", 90)), repeat("T", 128), repeat("G", 129)}
	for _, a := range seqs {
		for _, v := range []Interval{{}, {0, 64}, {30, 70}, {60, 200}} {
			requireOutlines(t, a, v, seqs)
		}
	}
}

// The limits of the words, and one beyond: there the scalar way is gone.
func TestOutlinesAtTheLimits(t *testing.T) {
	if testing.Short() {
		t.Skip("long sequences")
	}
	r := rand.New(rand.NewPCG(21, 2))
	for _, m := range []int{maxLaneA, maxLaneA + 1} {
		a := randomSeq(r, m, "ACGT")
		near := mutated(r, a, 0.02, "ACGT")
		longer := slices.Concat(randomSeq(r, maxLaneB-len(near), "ACGT"), near)
		require.Len(t, longer, maxLaneB)
		// As many columns as there can be: gaps of both with identical
		// columns between them.
		far := mutated(r, a, 0.4, "ACGT")
		gap := slices.Concat(a[:m/2], randomSeq(r, m/2-10, "ACGT"), a[m/2:])
		seqs := [][]byte{near, longer, append([]byte("A"), longer...), far, gap[:min(len(gap), maxLaneB)], a[:1]}
		requireOutlines(t, a, Interval{0, m}, seqs)
		require.Equal(t, m > maxLaneA, withForm(t, testForms()[0], a, Interval{}).Width() == 1)
	}
	for _, ns := range []int{maxLaneBN, maxLaneBN + 1, maxLaneAN, maxLaneAN + 1} {
		a := randomSeq(r, ns+100, "ACGT")
		b := slices.Clone(a)
		for _, i := range r.Perm(len(b))[:ns] {
			b[i] = 'N'
		}
		run := slices.Concat(a[:ns/2], slices.Repeat([]byte("N"), ns), a[ns/2:])
		requireOutlines(t, a, Interval{100, 500}, [][]byte{a, b, run})
		requireOutlines(t, b, Interval{100, 500}, [][]byte{a, b, run})
		requireOutlines(t, run[:min(len(run), maxLaneA)], Interval{100, 500}, [][]byte{a, b, run})
	}
}

func TestLanesRefuse(t *testing.T) {
	_, err := NewLanes([]byte("AC-T"), Interval{})
	require.ErrorIs(t, err, ErrLetter)
	require.ErrorContains(t, err, "position 2 of the first sequence")
	for _, form := range append(testForms(), laneForm{width: 1}) {
		_, err = withForm(t, form, []byte("ACGT"), Interval{}).Outlines([][]byte{[]byte("ACGT"), []byte("ACGTX")})
		require.ErrorIs(t, err, ErrLetter)
		require.ErrorContains(t, err, "position 4 of the second sequence")
	}
}

func FuzzOutlines(f *testing.F) {
	f.Add([]byte("ACGTACGTNNACGT"), []byte("ACGTRYACGT"), []byte("AAANNNAAA"), 3, 9)
	f.Add([]byte("A"), []byte("N"), []byte(""), 0, 0)
	f.Fuzz(func(t *testing.T, a, b, c []byte, start, end int) {
		if Invalid(a) >= 0 || Invalid(b) >= 0 || Invalid(c) >= 0 {
			return
		}
		a, b, c = a[:min(len(a), 300)], b[:min(len(b), 300)], c[:min(len(c), 300)]
		requireOutlines(t, a, Interval{start, end}, [][]byte{b, c, a, ReverseComplement(b)})
	})
}

// The assembly is what its generator writes.
func TestLaneAssemblyIsCurrent(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the generator")
	}
	goTool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go command to run the generator with")
	}
	dir := t.TempDir()
	files := []string{"lanes_affine_amd64.s", "lanes_affine_stubs_amd64.go"}
	text, err := exec.Command(goTool, "run", "./gen/affine", "-pkg", "align",
		"-out", filepath.Join(dir, files[0]), "-stubs", filepath.Join(dir, files[1])).CombinedOutput()
	require.NoError(t, err, string(text))
	for _, name := range files {
		want, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		got, err := os.ReadFile(name)
		require.NoError(t, err)
		// The first line tells where the files were to go.
		require.Equal(t, afterLine(want), afterLine(got), "%s: run go generate ./align", name)
	}
}

func afterLine(text []byte) string {
	if i := slices.Index(text, '\n'); i >= 0 {
		text = text[i:]
	}
	return string(text)
}

// BenchmarkOutlines is one pair of about 650 and 700 bases, at the likenesses
// of near and far references: by Overlap and Count, and by each form with all
// lanes in use.
func BenchmarkOutlines(b *testing.B) {
	r := rand.New(rand.NewPCG(21, 3))
	for _, rate := range []float64{0.003, 0.02, 0.05, 0.1, 0.2, 0.3} {
		a := randomSeq(r, 650, "ACGT")
		exclude := Interval{230, 388}
		var seqs [][]byte
		for range 16 {
			seqs = append(seqs, slices.Concat(randomSeq(r, 50, "ACGT"), mutated(r, a, rate, "ACGT")))
		}
		b.Run(fmt.Sprintf("rate=%g/scalar", rate), func(b *testing.B) {
			g, err := NewAligner(ITS)
			require.NoError(b, err)
			for i := 0; b.Loop(); i++ {
				al, err := g.Overlap(a, seqs[i%len(seqs)])
				require.NoError(b, err)
				_, err = al.Count(a, seqs[i%len(seqs)], exclude)
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N), "ns/pair")
		})
		if rate != 0.2 {
			continue // the lanes take the same time for all
		}
		for _, form := range laneForms() {
			b.Run(fmt.Sprintf("rate=%g/lanes=%d", rate, form.width), func(b *testing.B) {
				l := withForm(b, form, a, exclude)
				for b.Loop() {
					_, err := l.Outlines(seqs)
					require.NoError(b, err)
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(seqs)), "ns/pair")
			})
		}
	}
}

func ExampleLanes() {
	l, err := NewLanes([]byte("TTACGTACGTACCGTT"), Interval{})
	if err != nil {
		fmt.Println(err)
		return
	}
	outlines, err := l.Outlines([][]byte{[]byte("ACGTACGTACGTTGG"), []byte("GGCCGGCC")})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range outlines {
		fmt.Printf("score %d, %d of %d columns identical\n", o.Alignment.Score, o.Counts.Identical, o.Counts.Columns)
	}
	// Output:
	// score 20, 13 of 14 columns identical
	// score 0, 0 of 0 columns identical
}
