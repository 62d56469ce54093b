package refs

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// brief writes a name in one line: the taxon and infraspecific epithet, the
// rank of a higher name in angle brackets, the doubts, "unnamed"; "-" where
// nothing was understood.
func brief(n Name) string {
	var words []string
	if n.Genus != "" {
		words = append(words, n.Taxon())
	}
	if n.Infra != "" {
		words = append(words, n.Infra)
	}
	if n.Higher != "" {
		words = append(words, n.Higher, "<"+n.Rank.String()+">")
	}
	for i, d := range []string{"cf", "aff", "?", "sp", "group", "s.l."} {
		if n.Doubt&(1<<i) != 0 {
			words = append(words, d)
		}
	}
	if n.Unnamed {
		words = append(words, "unnamed")
	}
	if n.Several != "" {
		words = append(words, "several:", n.Several)
	}
	if n.Abbreviated {
		words = append(words, "abbreviated")
	}
	if len(words) == 0 {
		return "-"
	}
	return strings.Join(words, " ")
}

func TestParseName(t *testing.T) {
	rows := 0
	for row := range strings.Lines(nameRows) {
		row = strings.TrimSuffix(row, "\n")
		if row == "" || strings.HasPrefix(row, "#") {
			continue
		}
		rows++
		written, want, ok := strings.Cut(row, " => ")
		require.True(t, ok, row)
		n := ParseName(written)
		if got := brief(n); got != want {
			t.Errorf("%q: got %q, want %q", written, got, want)
		}
		if n.Verbatim != strings.TrimSpace(written) {
			t.Errorf("%q: verbatim %q", written, n.Verbatim)
		}
		checkName(t, n)
	}
	require.Greater(t, rows, 300)
	require.Equal(t, Name{}, ParseName("  "))
}

// checkName holds a name to what its type promises.
func checkName(t testing.TB, n Name) {
	t.Helper()
	switch {
	case (n.Several != "" || n.Abbreviated) && n != Name{Verbatim: n.Verbatim, Several: n.Several, Abbreviated: n.Abbreviated},
		n.Several != "" && n.Abbreviated,
		n.Epithet != "" && (n.Genus == "" || n.Rank != Species),
		n.Infra != "" && n.Epithet == "",
		n.Genus != "" && (n.Higher != "" || n.Unnamed || n.Rank < Genus),
		n.Genus == "" && n.Rank >= Genus,
		n.Genus == "" && n.Higher == "" && n.Rank != NoRank:
		t.Errorf("%q: not a sound name: %+v", n.Verbatim, n)
	}
	if n.Genus != "" && (titleCase(n.Genus) != n.Genus || !isLetters(strings.ToLower(n.Genus))) {
		t.Errorf("%q: genus %q", n.Verbatim, n.Genus)
	}
	if n.Epithet != "" && !isLetters(n.Epithet) || n.Infra != "" && !isLetters(n.Infra) {
		t.Errorf("%q: epithets %q %q", n.Verbatim, n.Epithet, n.Infra)
	}
}

// A name read once and written as its taxon is read as the same taxon.
func TestParseNameOfTaxon(t *testing.T) {
	for row := range strings.Lines(nameRows) {
		written, _, ok := strings.Cut(row, " => ")
		if !ok {
			continue
		}
		n := ParseName(written)
		if n.Genus == "" {
			continue
		}
		require.Equal(t, n.Taxon(), ParseName(n.Taxon()).Taxon(), written)
	}
}

// Every genus of the built-in table is read as a genus, alone and in every
// case, and none is taken for a higher taxon.
func TestParseNameKnowsItsTable(t *testing.T) {
	for genus := range builtinGenera() {
		for _, written := range []string{genus, strings.ToLower(genus), strings.ToUpper(genus), genus + " sp.", genus + "_sp", genus + "?"} {
			require.Equal(t, genus, ParseName(written).Genus, written)
		}
	}
}

func FuzzParseName(f *testing.F) {
	for row := range strings.Lines(nameRows) {
		written, _, _ := strings.Cut(row, " => ")
		f.Add(written)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n := ParseName(text)
		checkName(t, n)
		if n.Genus != "" {
			if again := ParseName(n.Taxon()); again.Genus != "" && again.Taxon() != n.Taxon() {
				t.Errorf("%q: %q reads as %q", text, n.Taxon(), again.Taxon())
			}
		}
	})
}
