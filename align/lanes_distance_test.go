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

// read gives a text in a direction, as Packed reads it.
func read(text []byte, reading Reading) []byte {
	text = slices.Clone(text)
	if reading == OtherStrand || reading == OtherStrandBackward {
		for i, c := range text {
			if text[i] = complements[c]; masks[c] == 0 {
				text[i] = '-'
			}
		}
	}
	if reading == Backward || reading == OtherStrand {
		slices.Reverse(text)
	}
	return text
}

func TestPackedReads(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 1))
	for n := range 70 {
		text := randomSeq(r, n, letters[1:]+"acgtu-")
		p := Pack(text)
		require.Equal(t, n, p.Len())
		for _, reading := range []Reading{Forward, Backward, OtherStrand, OtherStrandBackward} {
			var got, want []uint8
			for i := 0; i < n; i += 16 {
				w := p.letters(i, reading)
				for k := range 16 {
					got = append(got, uint8(w>>(4*k)&15))
				}
			}
			for _, c := range read(text, reading) {
				want = append(want, masks[c])
			}
			for len(want) < len(got) {
				want = append(want, 0)
			}
			require.Equal(t, want, got, "%s read %d", text, reading)
		}
	}
	require.Equal(t, ReverseComplement([]byte("ACGTRYNNK")), read([]byte("ACGTRYNNK"), OtherStrand))
}

// sameAsPattern holds what Find gives in every form against the scalar.
func sameAsPattern(t testing.TB, q []byte, texts [][]byte, readings []Reading, reaches []Reach, limit int) {
	t.Helper()
	p, err := NewPattern(q)
	require.NoError(t, err)
	l, err := NewPatternLanes(q)
	require.NoError(t, err)
	in := make([]LaneText, len(texts))
	for i, text := range texts {
		in[i] = LaneText{Text: Pack(text), Reading: readings[i], Reach: reaches[i]}
		if i%3 == 2 {
			in[i].Longest = len(q) / 2
		}
	}
	for _, form := range distanceForms() {
		l.form = form.run
		l.Find(in, limit)
		for i, text := range texts {
			text = read(text, readings[i])
			why := fmt.Sprintf("%s: lane %d, %s %s %+v limit %d", form.name, i, q, text, reaches[i], limit)
			whole, column := p.Ends(text, reaches[i], limit, nil)
			require.Equal(t, whole, l.Whole(i), why)
			if in[i].Longest == 0 {
				require.Equal(t, p.Distance(text, reaches[i], limit), l.Distance(i), why)
			}
			var want []End
			least := limit + 1
			for row := len(q) - 1; row >= 0; row-- {
				if column[row] < least && (in[i].Longest == 0 || row <= in[i].Longest) {
					least = column[row]
					want = append(want, End{row, least})
				}
			}
			require.Equal(t, fmt.Sprint(want), fmt.Sprint(l.Ends(i)), why)
		}
	}
}

func TestLanesEqualPattern(t *testing.T) {
	r := rand.New(rand.NewPCG(32, 1))
	for trial := range trials(1500) {
		size := []int{10, 70, 140, 300, 700}[trial%5]
		q, _ := randomPair(r, size)
		var texts [][]byte
		var readings []Reading
		var reaches []Reach
		for range 1 + r.IntN(TextLanes) {
			reading := Reading(r.IntN(4))
			var text []byte
			switch r.IntN(6) {
			case 0:
				_, text = randomPair(r, size)
			case 1:
				text = randomSeq(r, r.IntN(2*size), "ACGT-")
			case 2: // the query in the middle of something longer
				text = slices.Concat(randomSeq(r, r.IntN(200), "ACGT"), q, randomSeq(r, r.IntN(200), "ACGT"))
			default:
				text = mutated(r, q, []float64{0.001, 0.05, 0.2}[r.IntN(3)], "ACGT")
				from := r.IntN(len(text)/3 + 1)
				text = text[from : len(text)-r.IntN(len(text)/3+1)]
			}
			texts, readings = append(texts, read(text, [4]Reading{Forward, Backward, OtherStrand, OtherStrandBackward}[reading])), append(readings, reading)
			reaches = append(reaches, randomReach(r, len(q), len(text)))
		}
		if trial%3 == 0 { // alike in all lanes, as a search asks
			for i := range reaches {
				reaches[i] = Reach{QStart: len(q) / 5, QEnd: len(q) / 3, TStart: 1 << 40}
			}
		}
		for _, limit := range []int{0, r.IntN(20), r.IntN(len(q) + 1), 2 * (len(q) + 400)} {
			sameAsPattern(t, q, texts, readings, reaches, limit)
		}
	}
}

// The plain table, without the scalar between.
func TestLanesEqualPlainTable(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 1))
	for range trials(300) {
		q, text := randomPair(r, 150)
		reach := randomReach(r, len(q), len(text))
		l, err := NewPatternLanes(q)
		require.NoError(t, err)
		want := plainDistance(q, text, reach)
		for _, form := range distanceForms() {
			l.form = form.run
			for _, limit := range []int{max(0, want-1), want, want + 5} {
				l.Find([]LaneText{{Text: Pack(text), Reach: reach}}, limit)
				require.Equal(t, min(want, limit+1), l.Distance(0), "%s: %s %s %+v limit %d", form.name, q, text, reach, limit)
			}
		}
	}
}

func TestLanesLetters(t *testing.T) {
	_, err := NewPatternLanes([]byte("AC-T"))
	require.ErrorIs(t, err, ErrLetter)
}

func FuzzLanes(f *testing.F) {
	f.Add([]byte("ACGTACGTNNACGT"), []byte("ACGTRYACGT"), []byte("TTTT"), 3, 8, 10, 0, 4, uint8(1))
	f.Fuzz(func(t *testing.T, q, a, b []byte, qs, qe, ts, te, limit int, reading uint8) {
		q, a, b = q[:min(len(q), 300)], a[:min(len(a), 300)], b[:min(len(b), 300)]
		if Invalid(q) >= 0 {
			return
		}
		for i := range a {
			a[i] = Code(a[i])
		}
		reach := Reach{qs, qe, ts, te}
		way := Reading(reading % 4)
		sameAsPattern(t, q, [][]byte{a, b, q, nil}, []Reading{way, Forward, way, way},
			[]Reach{reach, {QStart: qs, TStart: 1 << 40}, reach, reach}, max(0, min(limit, 1000)))
	})
}

// The committed assembly is what the generator writes.
func TestLanesAssemblyIsGenerated(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the generator")
	}
	goTool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go command")
	}
	dir := t.TempDir()
	code, stubs := filepath.Join(dir, "lanes_distance_amd64.s"), filepath.Join(dir, "lanes_distance_stubs_amd64.go")
	// The head of the files holds the command, so the arguments are those of go:generate.
	out, err := exec.Command(goTool, "run", "./gen/distance", "-out", code, "-stubs", stubs, "-pkg", "align").CombinedOutput()
	require.NoError(t, err, "%s", out)
	for _, path := range []string{code, stubs} {
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		want, err := os.ReadFile(filepath.Base(path))
		require.NoError(t, err)
		require.Equal(t, afterHead(want), afterHead(got), "%s is stale: go generate ./align", filepath.Base(path))
	}
}

// afterHead leaves out the first line, which holds the command.
func afterHead(file []byte) string {
	i := slices.Index(file, '\n')
	return string(file[i+1:])
}

func ExamplePatternLanes_Find() {
	l, err := NewPatternLanes([]byte("ACGTTTGCA"))
	if err != nil {
		fmt.Println(err)
		return
	}
	// At most 2 letters of the query may lie before the overlap, and 2 after.
	reach := Reach{QStart: 2, QEnd: 7, TStart: 9}
	l.Find([]LaneText{
		{Text: Pack([]byte("GTTAGCACC")), Reach: reach},
		{Text: Pack([]byte("TGCAAACGT")), Reading: OtherStrand, Reach: reach},
	}, 5)
	fmt.Println(l.Distance(0), l.Distance(1))
	// Output: 1 0
}

// BenchmarkLanes is a query of 600 bases against texts of about 700 that are
// like it or not, with limits as a search sets them. GCUPS are cells of the
// whole table, worked out or not, in 10^9 a second.
func BenchmarkLanes(b *testing.B) {
	r := rand.New(rand.NewPCG(34, 1))
	q := randomSeq(r, 600, "ACGT")
	for _, rate := range []float64{0.2, 1} {
		var plain [][]byte
		var texts []LaneText
		cells := 0
		for i := range TextLanes {
			text := randomSeq(r, 680+5*i, "ACGT")
			if rate < 1 {
				text = mutated(r, q, rate, "ACGT")
			}
			plain = append(plain, text)
			texts = append(texts, LaneText{Text: Pack(text), Reach: Reach{QStart: 120, QEnd: 230, TStart: len(text)}})
			cells += len(q) * len(text)
		}
		for _, limit := range []int{25, 75, 150, 1400} {
			p, err := NewPattern(q)
			require.NoError(b, err)
			report := func(b *testing.B) {
				b.ReportMetric(float64(cells)*float64(b.N)/float64(b.Elapsed().Nanoseconds()), "GCUPS")
			}
			b.Run(fmt.Sprintf("rate=%g/limit=%d/scalar", rate, limit), func(b *testing.B) {
				var column []int
				for b.Loop() {
					for i, text := range plain {
						_, column = p.Ends(text, texts[i].Reach, limit, column)
					}
				}
				report(b)
			})
			l, err := NewPatternLanes(q)
			require.NoError(b, err)
			for _, form := range distanceForms() {
				b.Run(fmt.Sprintf("rate=%g/limit=%d/%s", rate, limit, form.name), func(b *testing.B) {
					l.form = form.run
					for b.Loop() {
						l.Find(texts, limit)
					}
					report(b)
				})
			}
		}
	}
}
