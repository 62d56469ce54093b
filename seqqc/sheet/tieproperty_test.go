package sheet_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/sheet"
)

// randomCode makes codes of the shapes that clubs use (common practice).
func randomCode(rng *rand.Rand) string {
	letters := []string{"FC", "JD", "A", "MO", "herb", "K"}[rng.IntN(6)]
	switch rng.IntN(6) {
	case 0:
		return fmt.Sprint(1 + rng.IntN(150))
	case 1:
		return fmt.Sprintf("%s-%04d", letters, 1+rng.IntN(150))
	case 2:
		return fmt.Sprintf("%s%d", letters, 1+rng.IntN(150))
	case 3:
		return fmt.Sprintf("%s 2026 %03d", letters, 1+rng.IntN(50))
	case 4:
		return fmt.Sprintf("%s-%d%c", letters, 1+rng.IntN(30), 'A'+rune(rng.IntN(6)))
	}
	return fmt.Sprintf("%s-%d-%d", letters, 1+rng.IntN(30), 1+rng.IntN(9))
}

// randomName writes a code as a laboratory might.
func randomName(rng *rand.Rand, code string) string {
	sep := []string{"_", "-", " ", "."}[rng.IntN(4)]
	switch rng.IntN(4) {
	case 0:
		code = strings.ToLower(code)
	case 1:
		code = strings.NewReplacer("-", "_", " ", "_").Replace(code)
	case 2:
		code = strings.Replace(code, "-", "", 1)
	}
	parts := []string{code}
	for _, p := range []string{"ITS1F", "ITS4", "A01", "H12", "2026-10-03", "run3", "F", "Amanita", "7", "plate 2"} {
		if rng.IntN(5) == 0 {
			parts = slices.Insert(parts, rng.IntN(len(parts)+1), p)
		}
	}
	return strings.Join(parts, sep) + ".ab1"
}

// letters of a code, without punctuation and zeros before numbers: what the
// loosest reading of a name could see of it.
func bare(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -_.0", r) {
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// TestMoreVouchersNeverMoveATie adds vouchers whose codes do not stand in the
// name in any reading: a read may lose its voucher, but gets no other.
func TestMoreVouchersNeverMoveATie(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	tied, lost, moved := 0, 0, 0
	for range 4000 {
		code := randomCode(rng)
		file := randomName(rng, code)
		before := tieOne(club(code), file).Voucher
		if before == "" {
			continue
		}
		tied++
		codes := []string{code}
		for range 12 {
			if c := randomCode(rng); !strings.Contains(bare(file), bare(c)) {
				codes = append(codes, c)
			}
		}
		rng.Shuffle(len(codes), func(i, j int) { codes[i], codes[j] = codes[j], codes[i] })
		switch after := tieOne(club(codes...), file).Voucher; after {
		case before:
		case "":
			lost++
		default:
			moved++
			t.Errorf("%s: %s became %s with %q", file, before, after, codes)
		}
	}
	t.Logf("%d of 4000 names tied alone, %d of them lost and %d moved among more vouchers", tied, lost, moved)
	require.Greater(t, tied, 2000, "most names must tie for the check to mean something")
	require.Less(t, lost, tied/20)
}

// TestTieIsTrueToTheName ties names made from one code of a full sheet: the
// voucher found is the one meant, or none is.
func TestTieIsTrueToTheName(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	right, none := 0, 0
	const rounds = 1500
	for range rounds {
		seen := map[string]bool{}
		var codes []string
		for len(codes) < 24 {
			if c := randomCode(rng); !seen[bare(c)] {
				seen[bare(c)] = true
				codes = append(codes, c)
			}
		}
		file := randomName(rng, codes[0])
		switch r := tieOne(club(codes...), file); r.Voucher {
		case codes[0]:
			right++
		case "":
			none++
		default:
			t.Errorf("%s, made from %s, tied to %s of %q", file, codes[0], r.Voucher, codes)
		}
	}
	t.Logf("%d right, %d not tied of %d", right, none, rounds)
	require.Greater(t, right, rounds*3/4)
}

// TestNamesOfRealReads ties the 26 reads of the open data folder
// abif/fungal_its1f (SubalpineMyco, MIT), whose names are cleaned_1-ITS1F.ab1
// and so on, to a sheet of the numbers 1 to 99.
func TestNamesOfRealReads(t *testing.T) {
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	files, err := filepath.Glob(filepath.Join(root, "abif", "fungal_its1f", "*.ab1"))
	require.NoError(t, err)
	require.Len(t, files, 26)
	var codes []string
	for i := 1; i < 100; i++ {
		codes = append(codes, fmt.Sprint(i))
	}
	for _, f := range files {
		base := filepath.Base(f)
		r := tieOne(club(codes...), "reads/"+base)
		var number int
		_, err := fmt.Sscanf(base, "cleaned_%d-ITS1F.ab1", &number)
		require.NoError(t, err)
		require.Equal(t, fmt.Sprint(number), r.Voucher, r.Untied)
		require.Equal(t, "ITS1-F", r.Primer)
	}
}

func FuzzTie(f *testing.F) {
	for _, h := range habits {
		f.Add(h.voucher, "FC-12", "2", "reads/"+h.file, h.file)
	}
	f.Add("1", "12", "", "cleaned_1-ITS1F.ab1", "A01")
	f.Fuzz(func(t *testing.T, code1, code2, sample, file, inner string) {
		vouchers := club(code1, code2)
		vouchers[1].Samples = append(vouchers[1].Samples, seqqc.Sample{ID: sample, SeqWell: "A01", PrimerForward: sample})
		r := &seqqc.Read{File: file, Trace: &seqqc.Trace{Name: inner, Well: inner}}
		table := &sheet.Table{Name: "reads.csv", Rows: []sheet.TableRow{{File: inner, Voucher: code2, Sample: sample, Row: 2}}}
		for _, tab := range []*sheet.Table{nil, table} {
			sheet.Tie(vouchers, []*seqqc.Read{r}, tab)
			if r.Untied != "" && r.Voucher != "" {
				t.Fatalf("%q is tied to %q and untied: %s", file, r.Voucher, r.Untied)
			}
			if r.Untied == "" && r.Voucher != code1 && r.Voucher != vouchers[1].Code && r.Voucher != vouchers[0].Code {
				t.Fatalf("%q is tied to %q, which is no voucher", file, r.Voucher)
			}
		}
	})
}

func BenchmarkTie(b *testing.B) {
	rng := rand.New(rand.NewPCG(5, 6))
	var codes []string
	var reads []*seqqc.Read
	for i := range 1000 {
		codes = append(codes, fmt.Sprintf("FC-%04d", i))
		reads = append(reads, &seqqc.Read{File: randomName(rng, codes[i])})
	}
	vouchers := club(codes...)
	for b.Loop() {
		sheet.Tie(vouchers, reads, nil)
	}
}
