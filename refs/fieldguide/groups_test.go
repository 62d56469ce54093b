package fieldguide_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
)

func TestFindGroup(t *testing.T) {
	for label, want := range map[string]string{
		"coral fungus": "coral fungus", "Coral fungi": "coral fungus", "white coral": "coral fungus", "Coral-fungus?": "coral fungus",
		"Unidentified bolete": "bolete", "BOLETES": "bolete", "bolete sp.": "bolete", "Röhrling": "bolete", "Röhrlinge": "bolete",
		"milk-cap": "milk-cap", "Milkcaps": "milk-cap", "milk cap": "milk-cap", "Täublinge": "brittlegill", "brittle gill": "brittlegill",
		"little brown mushroom": "mushroom", "LBM": "mushroom", "LBMs": "mushroom", "small brown mushrooms": "mushroom",
		"polypore": "polypore", "bracket fungi": "polypore", "Porling": "polypore", "puffballs": "puffball", "bird’s nest": "bird's nest fungus",
		"false morel": "false morel", "black morel": "morel", "jelly fungus": "jelly fungus", "orange cup fungus": "cup fungus",
		"scarlet elf cup": "cup fungus", "Täubling, rot": "brittlegill", "Lactaire délicieux": "milk-cap", "Bolet bai": "bolete", "pézize brune": "cup fungus",
		"Amanite tue-mouches": "amanite", "Fliegenpilz": "amanite", "fly agaric": "amanite", "Cèpe de Bordeaux": "bolete",
		"Birkenröhrling": "bolete", "Satans-Röhrling": "bolete", "Ziegelroter Risspilz": "fibrecap", "Speisetäublinge": "brittlegill", "Spitzmorcheln": "morel",
		"Stinkmorchel": "stinkhorn", "Birch polypore": "birch polypore",
		"Goldschimmel auf Röhrling": "", "Röhrling oder Täubling": "", "falscher Pfifferling": "", "Tricholome de la Saint-Georges": "", "kein Röhrling": "",
		"bearded hedgehog": "", "Körnchenschirmling": "", "Holzritterling": "", "Morchelbecherling sp.": "", "bolet sur chêne": "",
		"Russula": "", "bolete or Russula": "", "coral snake": "", "jelly tooth": "", "king of the forest": "", "": "", "FC-0123": "",
	} {
		group, _, ok := fieldguide.BuiltinGroups().Find(label)
		require.Equal(t, want != "", ok, label)
		require.Equal(t, want, group.Name, label)
	}
	_, doubt, _ := fieldguide.BuiltinGroups().Find("maybe a bolete")
	require.Equal(t, refs.DoubtQuestion, doubt)
}

// Every taxon of the built-in table has a place, so that DNA can be told to be
// inside or outside of it.
func TestBuiltinGroupsNameTaxaWithAPlace(t *testing.T) {
	tax := refs.NewTaxonomy(nil, nil)
	groups := 0
	for label := range strings.FieldsSeq("agaric bolete milkcap brittlegill waxcap webcap inkcap polypore crust puffball earthstar stinkhorn coral tooth jelly cup morel chanterelle truffle rust") {
		g, _, ok := fieldguide.BuiltinGroups().Find(label)
		require.True(t, ok, label)
		require.NotEmpty(t, g.Taxa, label)
		for _, taxon := range g.Taxa {
			require.NotEqual(t, refs.NoRank, tax.RankOf(taxon), "%s: %s", label, taxon)
			groups++
		}
	}
	require.Greater(t, groups, 100)
}

// Facts of the trade, common practice, no source: tubes tell a family and no
// more; coral shapes are not one lineage; milk-caps and brittle-gills are one
// family, and only the first give milk.
func TestGroupsAgreeWithFactsOfTheTrade(t *testing.T) {
	tax := refs.NewTaxonomy(nil, nil)
	at := func(label string, r refs.Rank) []string {
		g, _, ok := fieldguide.BuiltinGroups().Find(label)
		require.True(t, ok, label)
		var out []string
		for _, taxon := range g.Taxa {
			l, ok := tax.Lookup(taxon)
			require.True(t, ok, taxon)
			if name := l.At(r); name != "" && !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
		return out
	}
	bolete, _, _ := fieldguide.BuiltinGroups().Find("bolete")
	require.Contains(t, bolete.Taxa, "Boletaceae")
	require.Greater(t, len(at("bolete", refs.Family)), 1)
	require.GreaterOrEqual(t, len(at("coral fungus", refs.Order)), 4)
	require.GreaterOrEqual(t, len(at("coral fungus", refs.Class)), 3)
	require.Equal(t, []string{"Russulaceae"}, at("milk-cap", refs.Family))
	require.Equal(t, []string{"Russulaceae"}, at("brittlegill", refs.Family))
	milk, _, _ := fieldguide.BuiltinGroups().Find("milk-cap")
	require.NotContains(t, milk.Taxa, "Russula")
	for _, genus := range milk.Taxa {
		if genus == "Multifurca" { // too rare to stand in the table of traits
			continue
		}
		require.Contains(t, fieldguide.States(genus, fieldguide.Milk), "yes", genus)
	}
	require.NotContains(t, fieldguide.States("Russula", fieldguide.Milk), "yes")
}

func TestUnderstandGroup(t *testing.T) {
	tax := refs.NewTaxonomy(nil, nil)
	known := func(taxon string) bool { return tax.RankOf(taxon) != refs.NoRank }
	g := fieldguide.GroupsWith([]fieldguide.Group{{Name: "Blobs", Taxa: []string{"Tremella"}}, {Name: "coral", Taxa: []string{"Ramaria"}}})
	for label, want := range map[string]refs.Name{
		"blob":                  {},
		"Blobs?":                {Group: "Blobs", GroupTaxa: "Tremella", Doubt: refs.DoubtQuestion},
		"red coral":             {Group: "coral", GroupTaxa: "Ramaria"},
		"brittlegill":           {Group: "brittlegill", GroupTaxa: "Russula"},
		"Lactaire":              {Group: "milk-cap", GroupTaxa: "Lactarius, Lactifluus, Multifurca"},
		"little brown mushroom": {Group: "mushroom"},
	} {
		want.Verbatim = label
		got := g.Understand(refs.ParseName(label), known)
		if want.Group == "" {
			require.Empty(t, got.Group, label)
			continue
		}
		require.Equal(t, want, got, label)
	}
	for _, label := range []string{"Russula", "Boletus sp.", "Boletaceae", "fungus", "Fungi sp.", "Agaricus campestris", "Polyporus"} {
		require.Equal(t, refs.ParseName(label), g.Understand(refs.ParseName(label), known), label)
	}
}
