package refs

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReadTaxonomy(t *testing.T) {
	tab := table(t, "\ufeff# a remark\r\ngenus\tnotes\tfamily\tKingdom\torder\r\nRussula\tred\trussulaceae\tViridiplantae\tunclassified\r\n\r\n\"lactarius\"\t\tRussulaceae\r\n")
	l, ok := tab.Lookup("Russula")
	require.True(t, ok)
	require.Equal(t, "Plantae/./././Russulaceae/Russula/.", lineageText(l))
	l, ok = tab.Lookup("Lactarius")
	require.True(t, ok)
	require.Equal(t, "././././Russulaceae/Lactarius/.", lineageText(l))
	_, ok = tab.Lookup("Amanita")
	require.False(t, ok)
	_, ok = (*Table)(nil).Lookup("Amanita")
	require.False(t, ok)

	tab = table(t, "id\tgenus\tspecies\nX1\tRussula\temetica\nX1\tRussula\temetica\n")
	l, _ = tab.Lookup("X1")
	require.Equal(t, "./././././Russula/Russula emetica", lineageText(l))
}

func TestReadTaxonomyErrors(t *testing.T) {
	tests := []struct{ what, text, want string }{
		{"empty", "", "the taxonomy table has no row"},
		{"headings only", "genus\tfamily\n", "the taxonomy table has no row"},
		{"no rank columns", "genus\tcolour\nRussula\tred\n", "line 1: no column after the first is named for a rank"},
		{"commas", "genus,family\nRussula,Russulaceae\n", "line 1: no column after the first is named for a rank (separate columns with tabs"},
		{"a rank twice", "genus\tfamily\tFamily\n", "line 1: columns 2 and 3 are both named \"family\""},
		{"too many cells", "genus\tfamily\nRussula\tRussulaceae\tmore\n", "line 2: 3 cells, but the table has 2 columns"},
		{"no key", "genus\tfamily\n\tRussulaceae\n", "line 2: the first cell is empty"},
		{"contradiction", "genus\tfamily\nRussula\tA\n\nrussula\tB\n", "line 4: \"Russula\" is given another lineage than on line 2"},
		{"not UTF-8", "genus\tfamily\nR\xfcssula\tA\n", "line 2: the text is not UTF-8"},
		{"long line", "genus\tfamily\n" + strings.Repeat("x", maxTableLine+1), "line 2: a line of more than 65536 bytes"},
	}
	for _, tt := range tests {
		tab, err := ReadTaxonomy(strings.NewReader(tt.text))
		require.Nil(t, tab, tt.what)
		require.ErrorContains(t, err, tt.want, tt.what)
		var parse *ParseError
		require.ErrorAs(t, err, &parse, tt.what)
	}
}

func FuzzReadTaxonomy(f *testing.F) {
	f.Add("genus\tfamily\nRussula\tRussulaceae\n")
	f.Add("id\tgenus\tspecies\nX1\tRussula\temetica\n")
	f.Fuzz(func(t *testing.T, text string) {
		tab, err := ReadTaxonomy(strings.NewReader(text))
		if (tab == nil) == (err == nil) {
			t.Fatalf("%q: table %v, error %v", text, tab, err)
		}
		if tab != nil {
			NewTaxonomy(tab, nil)
		}
	})
}
