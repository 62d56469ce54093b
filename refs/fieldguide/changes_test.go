package fieldguide_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
)

func current(n *refs.Names, name string) string {
	to, _, _ := n.Current(refs.ParseName(name))
	return to.Taxon()
}

// Well-known changes, common practice, no source.
func TestBuiltinNames(t *testing.T) {
	n := fieldguide.BuiltinNames()
	for name, want := range map[string]string{
		"Boletus luridus":                      "Suillellus luridus",
		"Boletus lurida":                       "Suillellus luridus", // another gender
		"Boletus badius":                       "Imleria badia",
		"Xerocomus badius (Fr.) E.-J. Gilbert": "Imleria badia",
		"Coprinus micaceus":                    "Coprinellus micaceus",
		"Rozites caperatus":                    "Cortinarius caperatus",
		"Rozites sp.":                          "Cortinarius",
		"Coriolus hirsutus":                    "Trametes hirsutus", // by its genus
		"Lepiota rachodes":                     "Chlorophyllum rhacodes",
		"Coprinus comatus":                     "Coprinus comatus",
		"Boletus edulis":                       "Boletus edulis",
		"Boletus":                              "Boletus",
		"Russula emetica":                      "Russula emetica",
	} {
		require.Equal(t, want, current(n, name), name)
	}
	var parts []string
	for _, c := range n.Splits("Boletus") {
		require.NotEmpty(t, c.Ground)
		parts = append(parts, c.Accepted)
	}
	require.Contains(t, parts, "Neoboletus")
	require.NotContains(t, parts, "Russula")
	require.Equal(t, "Lactarius", n.Holding("Lactifluus")[0].Name)
	require.Empty(t, n.Splits("Russula"))
	var old []string
	for _, c := range n.LeadingTo("Suillellus") {
		old = append(old, c.Name)
	}
	require.Equal(t, []string{"Boletus luridus", "Boletus queletii"}, old)
}

// The table is of one piece: a name leads somewhere, never in a circle, each
// accepted genus has a place, and a genus is in one family with those that it
// was split into, or says otherwise to nobody's surprise.
func TestBuiltinNamesAreOfOnePiece(t *testing.T) {
	tax := refs.NewTaxonomy(nil, nil)
	n := fieldguide.BuiltinNames()
	rows := 0
	for _, genus := range n.Genera() {
		for _, epithet := range append([]string{""}, n.SpeciesOf(genus)...) {
			name := strings.TrimSpace(genus + " " + epithet)
			for _, c := range n.Of(name) {
				rows++
				require.NotEqual(t, c.Name, c.Accepted)
				require.NotEmpty(t, c.Ground, name)
				require.Contains(t, []refs.ChangeKind{refs.Moved, refs.Synonym, refs.Respelling, refs.Split}, c.Kind, name)
				to, _, _ := strings.Cut(c.Accepted, " ")
				require.True(t, tax.Known(to), "%s: %s", name, c.Accepted)
				if c.Kind == refs.Split {
					require.True(t, tax.Known(genus), genus)
					continue
				}
				require.NotEqual(t, name, current(n, name))
				require.Equal(t, current(n, name), current(n, current(n, name)), name)
			}
		}
	}
	require.Greater(t, rows, 300)
}

func TestNamesWith(t *testing.T) {
	n, errs := fieldguide.NamesWith([]refs.Change{
		{Name: "Prima alba", Accepted: "Secunda alba"}, {Name: "Secunda alba", Accepted: "Tertia alba"}, // a chain
		{Name: "Tertia alba", Accepted: "Prima alba"},       // and its circle
		{Name: "Prima alba", Accepted: "Quarta alba"},       // a second word on one species
		{Name: "Imleria badia", Accepted: "Boletus badius"}, // against the built-in table
		{Name: "Xus", Accepted: "Yus"}, {Name: "Xus", Accepted: "Zus"},
		{Name: "Boletus", Accepted: "Novus"},
		{Name: "Coprinus micaceus", Accepted: "Coprinus micaceus"},
	})
	require.Len(t, errs, 2)
	var row *fieldguide.RowError
	require.True(t, errors.As(errs[0], &row))
	require.Equal(t, 2, row.Row)
	require.ErrorContains(t, row, "circle")
	require.ErrorContains(t, errs[1], "earlier row")
	require.Equal(t, "Tertia alba", current(n, "Prima alba"))
	require.Equal(t, "Boletus badius", current(n, "Imleria badia"))
	require.Equal(t, "Boletus badius", current(n, "Xerocomus badius"))
	require.Equal(t, "Coprinus micaceus", current(n, "Coprinus micaceus"))
	require.Len(t, n.Splits("Xus"), 2)
	require.Greater(t, len(n.Splits("Boletus")), 10)
	require.Equal(t, "Suillellus luridus", current(n, "Boletus luridus"))
	require.Equal(t, "Coprinopsis picacea", current(fieldguide.BuiltinNames(), "Coprinus picaceus")) // as before
}
