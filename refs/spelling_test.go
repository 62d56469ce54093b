package refs

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRespell(t *testing.T) {
	taxonomy := NewTaxonomy(nil, []Lineage{{Genus: "Fictomyces"}, {Genus: "Fictomycus"}})
	for written, want := range map[string]string{
		"Corttinarius":  "Cortinarius", // doubled
		"Cortinarus":    "Cortinarius", // left out
		"Cortinatius":   "Cortinarius", // wrong
		"Cortianrius":   "Cortinarius", // exchanged
		"Russulla":      "Russula",
		"Lepista":       "Lepista", // in a list, one letter from Lepiota or not
		"Lepiota":       "Lepiota",
		"Russula":       "Russula",
		"Fictomycis":    "Fictomycis", // two candidates
		"Cottinarrius":  "Cottinarrius",
		"Bolet":         "Bolet", // too short to tell
		"Grumbleshroom": "Grumbleshroom",
	} {
		got := taxonomy.Respell(Name{Genus: written, Rank: Genus})
		require.Equal(t, want, got.Genus, written)
		require.Equal(t, want != written, got.Respelt, written)
	}
	require.Equal(t, Name{}, taxonomy.Respell(Name{}))
}

// slipApart against the plain distance with exchanges of neighbours, on all
// words of up to four letters of a small alphabet.
func TestSlipApartIsDistanceOne(t *testing.T) {
	words := []string{""}
	for from := 0; len(words[from]) < 4; from++ {
		for _, c := range "abc" {
			words = append(words, words[from]+string(c))
		}
	}
	for _, a := range words {
		for _, b := range words {
			require.Equal(t, exchangeDistance(a, b) == 1, slipApart(a, b), "%q %q", a, b)
		}
	}
}

// exchangeDistance is the optimal string alignment distance by its recurrence.
func exchangeDistance(a, b string) int {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		for j := range d[i] {
			switch {
			case i == 0:
				d[i][j] = j
			case j == 0:
				d[i][j] = i
			default:
				cost := 1
				if a[i-1] == b[j-1] {
					cost = 0
				}
				d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+cost)
				if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
					d[i][j] = min(d[i][j], d[i-2][j-2]+1)
				}
			}
		}
	}
	return d[len(a)][len(b)]
}

// An epithet of two parts may be written without its hyphen, or apart.
func TestRespellHyphens(t *testing.T) {
	var records []Record
	for _, n := range []string{"Auricularia auricula-judae", "Hygrocybe coccineocrenata", "Hygrocybe coccinea"} {
		records = append(records, Record{ID: n, Name: ParseName(n), Seq: []byte("ACGT")})
	}
	lib := NewLibrary(records, nil)
	for written, want := range map[string]string{
		"Auricularia auricula judae":   "auricula-judae",
		"Auricularia auriculajudae":    "auricula-judae",
		"Auricularia auricula-judae":   "auricula-judae",
		"Auricularia auricula":         "auricula", // one word of two is none of them
		"Hygrocybe coccineo-crenata":   "coccineocrenata",
		"Hygrocybe coccinea crenata":   "coccinea", // is in the list, with something below it
		"Hygrocybe coccinea var. nova": "coccinea",
	} {
		got := lib.RespellEpithet(ParseName(written), nil)
		require.Equal(t, want, got.Epithet, written)
		require.Equal(t, want != ParseName(written).Epithet, got.Respelt, written)
	}
}
