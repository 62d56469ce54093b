package refs

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLabel(t *testing.T) {
	for written, want := range map[string]string{
		"Russula cf. emetica (Schaeff.) Pers.":                       "Russula cf. emetica",
		"Russula aff. emetica":                                       "Russula aff. emetica",
		"Wilcoxina sp. voucher X1, small subunit ribosomal RNA gene": "Wilcoxina sp.",
		"RUSSULA":                  "Russula",
		"Russula emetica group":    "Russula emetica group",
		"Russula emetica s.l.":     "Russula emetica s.l.",
		"Boletaceae sp.":           "Boletaceae",
		"Uncultured fungus":        "Uncultured fungus",
		"Russula?":                 "Russula?",
		"Amanita muscaria clone 3": "Amanita muscaria",
	} {
		require.Equal(t, want, ParseName(written).Label(), written)
	}
}

func TestDoubtInWords(t *testing.T) {
	require.Equal(t, "", Doubt(0).String())
	require.Equal(t, "cf. group", (DoubtCf | DoubtGroup).String())
	require.Equal(t, "aff. ? sp. s.l.", (DoubtAff | DoubtQuestion | DoubtSp | DoubtSensuLato).String())
}
