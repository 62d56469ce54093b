package refs

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/biogo/biogo/alphabet"
	"github.com/biogo/biogo/io/seqio/fasta"
	"github.com/biogo/biogo/seq/linear"
	"github.com/stretchr/testify/require"
)

func read(t *testing.T, text string) *Library {
	t.Helper()
	lib, err := Read(strings.NewReader(text), ReadOptions{})
	require.NoError(t, err)
	return lib
}

func zipped(t *testing.T, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := io.WriteString(w, text)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.Bytes()
}

const small = ">X1 Russula emetica\nACGT\nacgu\n\n>X2 Lactarius sp.\nNRYK\n>X3 Uncultured fungus\nAC GT\n"

func TestRead(t *testing.T) {
	lib := read(t, small)
	require.Len(t, lib.Records, 3)
	require.Empty(t, faults(lib))
	r := lib.Records[0]
	require.Equal(t, "X1", r.ID)
	require.Equal(t, "X1 Russula emetica", r.Header)
	require.Equal(t, "ACGTACGT", string(r.Seq))
	require.Equal(t, 1, r.Line)
	require.Equal(t, "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/Russula emetica", lineageText(r.Lineage))
	require.Equal(t, 5, lib.Records[1].Line)
	require.Equal(t, "NRYK", string(lib.Records[1].Seq))
	require.Equal(t, "ACGT", string(lib.Records[2].Seq))
	require.True(t, lib.Records[2].Name.Unnamed)
	require.Equal(t, Info{Records: 3, Named: 2, Genera: 2, Species: 1}, lib.Info())
	require.Equal(t, []int{0}, lib.OfGenus("Russula"))
	require.Equal(t, []int{0}, lib.OfSpecies("Russula emetica"))
	require.Equal(t, []string{"Russula emetica"}, lib.SpeciesOf("Russula"))
	require.Empty(t, lib.SpeciesOf("Lactarius"))
	require.Empty(t, lib.OfGenus("Amanita"))
	sum := sha256.Sum256([]byte(small))
	require.Equal(t, hex.EncodeToString(sum[:]), lib.SHA256)
}

// The same records come of every line end, compression, mark and end of file.
func TestReadForms(t *testing.T) {
	want := read(t, small)
	forms := map[string][]byte{
		"CR LF":        []byte(strings.ReplaceAll(small, "\n", "\r\n")),
		"CR":           []byte(strings.ReplaceAll(small, "\n", "\r")),
		"byte order":   []byte("\xef\xbb\xbf" + small),
		"no last line": []byte(strings.TrimSuffix(small, "\n")),
		"gzip":         zipped(t, small),
		"two members":  append(zipped(t, small[:25]), zipped(t, small[25:])...),
		"remarks":      []byte("; a remark > of old\n" + small),
	}
	for what, form := range forms {
		lib, err := Read(iotest.OneByteReader(bytes.NewReader(form)), ReadOptions{})
		require.NoError(t, err, what)
		require.Len(t, lib.Records, 3, what)
		for i, r := range lib.Records {
			w := want.Records[i]
			if what == "remarks" {
				w.Line++
			}
			require.Equal(t, w, r, what)
		}
		if what == "gzip" || what == "two members" {
			require.Equal(t, want.SHA256, lib.SHA256, "of the uncompressed content")
		}
		sum, err := Sum(bytes.NewReader(form))
		require.NoError(t, err, what)
		require.Equal(t, lib.SHA256, sum, what)
	}
}

func TestReadProblems(t *testing.T) {
	tests := []struct {
		what, text string
		want       Problem
		kept       int
	}{
		{"protein", small + ">P1 Russula emetica\nMKT\nAFE\n", Problem{Line: 11, Record: "P1", What: "the letter F is no nucleotide code", Rejected: true}, 3},
		{"digit", small + ">P1 Russula emetica\n1 ACGT\n", Problem{Line: 10, Record: "P1", What: "the character '1' is no nucleotide code", Rejected: true}, 3},
		{"no bases", small + ">E1 Russula emetica\n\n", Problem{Line: 9, Record: "E1", What: "the record has no bases", Rejected: true}, 3},
		{"no bases, in the middle", ">E1\n" + small, Problem{Line: 1, Record: "E1", What: "the record has no bases", Rejected: true}, 3},
		{"nothing but N", small + ">E1\nNNNN\n", Problem{Line: 9, Record: "E1", What: "the record has no bases", Rejected: true}, 3},
		{"no header", small + ">\nACGT\n", Problem{Line: 9, What: "the header is empty", Rejected: true}, 3},
		{"twice", small + ">X1 Russula nigricans\nAAAA\n", Problem{Line: 9, Record: "X1", What: "the id is also that of the record at line 1; both are kept"}, 4},
		{"and more", small + ">X1 Russula nigricans\nAAAA\n>X1 Russula vesca\nAAAC\n>X2 Russula vesca\nAAAG\n", Problem{Line: 9, Record: "X1", What: "the id is also that of the record at line 1; both are kept, and so for 2 more"}, 6},
		{"aligned", small + ">A1\nAC--GT..A?\n", Problem{Line: 9, Record: "A1", What: "gap characters were removed, and '?' read as N"}, 4},
		{"Latin-1", small + ">L1 Russula k\xfchneri\nACGT\n", Problem{Line: 9, Record: "L1", What: "the header holds bytes that are not UTF-8, or control characters; they were replaced"}, 4},
		{"control characters", small + ">L1\x01Russula\x07 emetica\u202e\nACGT\n", Problem{Line: 9, Record: "L1", What: "the header holds bytes that are not UTF-8, or control characters; they were replaced"}, 4},
		{"too long", small + ">G1\n" + strings.Repeat("ACGT", 25_001) + "\n", Problem{Line: 9, Record: "G1", What: "longer than 100000 bases", Rejected: true}, 3},
		{"contradiction", ">X1 f__Aaceae;g__Inventia\nA\n>X2 f__Aaceae;g__Inventia\nA\n>X3 f__Baceae;g__Inventia\nA\n",
			Problem{Line: 5, Record: "X3", What: "genus Inventia stands in more than one family: Aaceae (2 records), Baceae (1 record); Aaceae is used"}, 3},
	}
	for _, tt := range tests {
		lib := read(t, tt.text)
		require.Len(t, faults(lib), 1, tt.what)
		p := faults(lib)[0]
		require.NotEmpty(t, p.Hint, tt.what)
		p.Hint = ""
		require.Equal(t, tt.want, p, tt.what)
		require.Len(t, lib.Records, tt.kept, tt.what)
		rejected := 0
		if tt.want.Rejected {
			rejected = 1
		}
		require.Equal(t, rejected, lib.Info().Rejected, tt.what)
	}
	lib := read(t, small+">A1\nAC--GT..A?\n>L1 Russula k\xfchneri\tgroup\nACGT\n")
	require.Equal(t, "ACGTAN", string(lib.Records[3].Seq))
	require.Equal(t, "L1 Russula kühneri group", lib.Records[4].Header)
	require.Equal(t, "Russula kuehneri", lib.Records[4].Name.Binomial())
}

// A fault in every record is told twenty times and then counted.
func TestReadManyProblems(t *testing.T) {
	text := small + strings.Repeat(">P1 x\nEEEE\n", 100)
	lib := read(t, text)
	require.Len(t, faults(lib), maxListed+1)
	require.Equal(t, "80 more records with characters that are no nucleotide codes", faults(lib)[maxListed].What)
	require.Equal(t, 100, lib.Info().Rejected)
}

func TestReadErrors(t *testing.T) {
	whole := zipped(t, strings.Repeat(small, 100))
	tests := []struct {
		what string
		data []byte
		lim  Limits
		kind error
		want string
	}{
		{"empty", nil, Limits{}, ErrEmpty, "the library holds no record"},
		{"blank", []byte("\n\n"), Limits{}, ErrEmpty, "the library holds no record"},
		{"empty gzip", zipped(t, ""), Limits{}, ErrEmpty, "the library holds no record"},
		{"all rejected", []byte(">P1\nMKE\n>P2\nMKE\n"), Limits{}, ErrEmpty, "line 2: none of the 2 records can be used: nothing to use; the first, P1: the letter E is no nucleotide code"},
		{"text", []byte("\nRussula emetica\n"), Limits{}, ErrNotFASTA, "line 2: 'R' stands before the first header"},
		{"FASTQ", []byte("@X1\nACGT\n+\nIIII\n"), Limits{}, ErrNotFASTA, "this looks like FASTQ"},
		{"UTF-16", []byte("\xff\xfe>\x00X\x00"), Limits{}, ErrNotFASTA, "UTF-16"},
		{"spreadsheet", []byte("PK\x03\x04 and so on"), Limits{}, ErrNotFASTA, "zip archive or a spreadsheet"},
		{"trace", []byte("ABIF\x00\x65"), Limits{}, ErrNotFASTA, "trace file"},
		{"flat file", []byte("LOCUS       X1"), Limits{}, ErrNotFASTA, "flat file"},
		{"binary", []byte(">X1\x00\x00\x00"), Limits{}, ErrNotFASTA, "no text file"},
		{"gzip, head only", whole[:5], Limits{}, ErrTruncated, "not a whole gzip file"},
		{"gzip, cut", whole[:len(whole)-20], Limits{}, ErrTruncated, "the file ends too early"},
		{"bytes", []byte(small), Limits{Bytes: 30}, ErrTooLarge, "line 4: more than 30 bytes"},
		{"records", []byte(small), Limits{Records: 2}, ErrTooLarge, "line 7: more than 2 records"},
		{"header", []byte(small), Limits{Header: 10}, ErrTooLarge, "line 1: a header of more than 10 bytes"},
	}
	for _, tt := range tests {
		lib, err := Read(bytes.NewReader(tt.data), ReadOptions{Limits: tt.lim})
		require.Nil(t, lib, tt.what)
		require.ErrorIs(t, err, tt.kind, tt.what)
		require.ErrorContains(t, err, tt.want, tt.what)
		var parse *ParseError
		require.ErrorAs(t, err, &parse, tt.what)
	}
	broken := errors.New("the cable was pulled")
	_, err := Read(io.MultiReader(strings.NewReader(small), iotest.ErrReader(broken)), ReadOptions{})
	require.ErrorIs(t, err, broken)

	// At the limit is not over it.
	_, err = Read(strings.NewReader(small), ReadOptions{Limits: Limits{Bytes: int64(len(small)), Records: 3}})
	require.NoError(t, err)
}

func TestReadUserTaxonomy(t *testing.T) {
	text := ">X1.1 Russula emetica\nA\n>X2 Russula emetica\nA\n>X3 coral\nA\n>X4 f__Headeraceae;g__Russula;s__Russula_nigricans\nA\n"
	user := table(t, "id\tfamily\tgenus\tspecies\nX1\t\tLactarius\tLactarius torminosus\nX3\tClavariaceae\tClavaria\t\nX4\tUseraceae\t\t\nRussula\tClubaceae\t\t\n")
	lib, err := Read(strings.NewReader(text), ReadOptions{Taxonomy: user})
	require.NoError(t, err)
	var got []string
	for _, r := range lib.Records {
		got = append(got, brief(r.Name)+" | "+lineageText(r.Lineage))
	}
	require.Equal(t, []string{
		// A record id without its version is understood.
		"Lactarius torminosus | Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Lactarius/Lactarius torminosus",
		"Russula emetica | Fungi/Basidiomycota/Agaricomycetes/Russulales/Clubaceae/Russula/Russula emetica",
		"Clavaria sp | Fungi/Basidiomycota/Agaricomycetes/Agaricales/Clavariaceae/Clavaria/.",
		"Russula nigricans | Fungi/Basidiomycota/Agaricomycetes/Russulales/Useraceae/Russula/Russula nigricans",
	}, got)
	require.Equal(t, []int{1, 3}, lib.OfGenus("Russula"))
}

func TestNewLibrary(t *testing.T) {
	lib := NewLibrary([]Record{
		{ID: "b", Name: ParseName("Russula nigricans")},
		{ID: "a", Name: ParseName("Russula emetica")},
		{ID: "c", Name: ParseName("Russula cf. vesca")},
		{ID: "d", Name: ParseName("Lactarius"), Lineage: Lineage{Kingdom: "Animalia"}},
		{ID: "e", Name: ParseName("Boletaceae sp.")},
	}, nil)
	require.Equal(t, []int{0, 1, 2}, lib.OfGenus("Russula"))
	require.Equal(t, []string{"Russula emetica", "Russula nigricans"}, lib.SpeciesOf("Russula"))
	require.Equal(t, "Animalia/././././Lactarius/.", lineageText(lib.Records[3].Lineage), "a fish of that name is no milk-cap")
	require.Equal(t, "Fungi/Basidiomycota/Agaricomycetes/Boletales/Boletaceae/./.", lineageText(lib.Records[4].Lineage))
	require.Equal(t, Info{Records: 5, Named: 4, Genera: 2, Species: 2}, lib.Info())
	require.Equal(t, Info{}, NewLibrary(nil, nil).Info())
}

// Outside check: biogo's FASTA reader gives the same ids and sequences on
// open data (TreeBASE, RefSeq and GenBank records).
func TestReadAgainstBiogo(t *testing.T) {
	for file, want := range map[string]int{"macrofungi_its.fasta": 4276, "refseq_its.fasta": 299, "subalpine_references.fasta": 110, "boundaries_5_8S.fasta": 197} {
		data, err := os.ReadFile(openData(t, "its", file))
		require.NoError(t, err)
		lib, err := Read(bytes.NewReader(data), ReadOptions{})
		require.NoError(t, err)
		require.Empty(t, faults(lib), file)
		require.Len(t, lib.Records, want)
		other := fasta.NewReader(bytes.NewReader(data), linear.NewSeq("", nil, alphabet.DNAredundant))
		for _, r := range lib.Records {
			s, err := other.Read()
			require.NoError(t, err)
			l := s.(*linear.Seq)
			require.Contains(t, l.ID, r.ID)
			require.Equal(t, strings.ToUpper(string(alphabet.LettersToBytes(l.Seq))), string(r.Seq), r.ID)
		}
		_, err = other.Read()
		require.ErrorIs(t, err, io.EOF)
	}
}

// synthetic writes n records of made-up sequences of 600 bases with lineages.
func synthetic(n int) []byte {
	rng := rand.New(rand.NewPCG(1, 2))
	var b bytes.Buffer
	for i := range n {
		fmt.Fprintf(&b, ">SYN%06d k__Fungi;p__Basidiomycota;c__Agaricomycetes;o__Russulales;f__Russulaceae;g__Russula;s__Russula_synthetica%c%c\n", i, 'a'+rune(i%26), 'a'+rune(i/26%26))
		for range 600 {
			b.WriteByte("ACGT"[rng.IntN(4)])
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// BenchmarkRead reports time and the memory kept per record of 600 bases.
func BenchmarkRead(b *testing.B) {
	const n = 50_000
	data := synthetic(n)
	b.SetBytes(int64(len(data)))
	var before, after runtime.MemStats
	for b.Loop() {
		runtime.GC()
		runtime.ReadMemStats(&before)
		lib, err := Read(bytes.NewReader(data), ReadOptions{})
		if err != nil {
			b.Fatal(err)
		}
		runtime.GC()
		runtime.ReadMemStats(&after)
		runtime.KeepAlive(lib)
	}
	b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/n, "kept-B/record")
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(small))
	f.Add([]byte(">A\r>B\rAC-GT\r\n\n>C k__Fungi;g__Russula\nEEE"))
	f.Add([]byte("\x1f\x8b\x08"))
	f.Fuzz(func(t *testing.T, data []byte) {
		lib, err := Read(bytes.NewReader(data), ReadOptions{Limits: Limits{Bytes: 1 << 20}})
		if (lib == nil) == (err == nil) {
			t.Fatalf("library %v, error %v", lib, err)
		}
		if err != nil {
			return
		}
		// Written and read again, the records are the same.
		var b strings.Builder
		for i := range lib.Records {
			r := &lib.Records[i]
			if r.ID == "" || len(r.Seq) == 0 || len(bytes.Trim(r.Seq, "ACGTRYSWKMBDHVN")) > 0 {
				t.Fatalf("record %+v", r)
			}
			fmt.Fprintf(&b, ">%s\n%s\n", r.Header, r.Seq)
		}
		again, err := Read(strings.NewReader(b.String()), ReadOptions{})
		if err != nil {
			t.Fatalf("%q: %v", b.String(), err)
		}
		if len(again.Records) != len(lib.Records) {
			t.Fatalf("%d records, then %d", len(lib.Records), len(again.Records))
		}
		for i := range lib.Records {
			a, r := &again.Records[i], &lib.Records[i]
			if a.ID != r.ID || a.Name != r.Name || a.Lineage != r.Lineage || !bytes.Equal(a.Seq, r.Seq) {
				t.Fatalf("%+v, then %+v", r, a)
			}
		}
	})
}
