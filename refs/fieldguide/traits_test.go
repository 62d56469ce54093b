package fieldguide_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
)

// with lists the genera of the table that fit all that was seen.
func with(seen map[fieldguide.Trait]string) []string {
	var out []string
	for _, genus := range fieldguide.TraitGenera() {
		if f := fieldguide.Compare(seen, genus); len(f.Against) == 0 && len(f.For) == len(seen) {
			out = append(out, genus)
		}
	}
	return out
}

// The facts below are common practice, no source.

// Milk-caps and brittle-gills are one family with the same crumbling flesh, and
// only the first give milk.
func TestMilkCapsAndBrittleGills(t *testing.T) {
	require.Equal(t, []string{"brittle"}, fieldguide.States("Russula", fieldguide.Flesh))
	for _, milkCap := range []string{"Lactarius", "Lactifluus"} {
		require.Equal(t, fieldguide.States("Russula", fieldguide.Flesh), fieldguide.States(milkCap, fieldguide.Flesh))
		require.Equal(t, []string{"yes"}, fieldguide.States(milkCap, fieldguide.Milk))
		require.Equal(t, lineage(t, "Russula").Family, lineage(t, milkCap).Family)
	}
	require.Equal(t, []string{"no"}, fieldguide.States("Russula", fieldguide.Milk))
	milky := with(map[fieldguide.Trait]string{fieldguide.Surface: "gills", fieldguide.Milk: "yes", fieldguide.Flesh: "brittle"})
	require.Subset(t, milky, []string{"Lactarius", "Lactifluus"})
	require.NotContains(t, milky, "Russula")
}

// Free gills with a ring and patches at the base point to one genus.
func TestFreeGillsRingAndPatches(t *testing.T) {
	seen := map[fieldguide.Trait]string{fieldguide.Attachment: "free", fieldguide.Ring: "yes", fieldguide.Volva: "patches"}
	require.Equal(t, []string{"Amanita"}, with(seen))
	// Each alone, or two of the three, tell less.
	for drop := range seen {
		rest := map[fieldguide.Trait]string{}
		for tr, s := range seen {
			if tr != drop {
				rest[tr] = s
			}
		}
		if drop == fieldguide.Volva {
			require.Greater(t, len(with(rest)), 3, "without %s", drop)
		}
	}
}

// Tubes instead of gills tell a family and no more: on the ground in soft flesh
// they are of the boletes and their nearest kin, many genera alike.
func TestTubesTellNoGenus(t *testing.T) {
	genera := with(map[fieldguide.Trait]string{fieldguide.Surface: "tubes", fieldguide.GrowsOn: "soil", fieldguide.Flesh: "fleshy", fieldguide.SporePrint: "brown"})
	require.Greater(t, len(genera), 5)
	families := map[string]int{}
	for _, g := range genera {
		require.Equal(t, "Boletales", lineage(t, g).Order, g)
		families[lineage(t, g).Family]++
	}
	require.Greater(t, families["Boletaceae"], 4)
	require.LessOrEqual(t, len(families), 2, "%v", families)
}

// Coral shapes are not one lineage, and the shape does not part them.
func TestCoralsAreNotOneLineage(t *testing.T) {
	orders := map[string]bool{}
	for _, coral := range []string{"Ramaria", "Clavulina", "Clavulinopsis"} {
		orders[lineage(t, coral).Order] = true
		f := fieldguide.Compare(map[fieldguide.Trait]string{fieldguide.Surface: fieldguide.Understand(fieldguide.Surface, "coral")}, coral)
		require.Equal(t, []fieldguide.Trait{fieldguide.Surface}, f.For, coral)
	}
	require.Len(t, orders, 3)
}

// Most woodland gilled genera live with trees: the well-known ones of the
// ectomycorrhiza are in the table as such, and none of them grows on wood.
func TestWoodlandGilledGeneraLiveWithTrees(t *testing.T) {
	for _, genus := range []string{"Russula", "Lactarius", "Lactifluus", "Amanita", "Cortinarius", "Inocybe", "Hebeloma", "Tricholoma", "Laccaria",
		"Hygrophorus", "Paxillus", "Gomphidius", "Chroogomphus"} {
		with, told := fieldguide.LivesWithTrees(genus)
		require.True(t, with && told, genus)
		require.NotContains(t, fieldguide.States(genus, fieldguide.GrowsOn), "wood", genus)
	}
	for _, genus := range []string{"Agaricus", "Pleurotus", "Armillaria", "Coprinellus", "Marasmius"} {
		with, told := fieldguide.LivesWithTrees(genus)
		require.True(t, !with && told, genus)
	}
}

// Other facts of the trade.
func TestFieldMarks(t *testing.T) {
	for what, seen := range map[string]map[fieldguide.Trait]string{
		"a sac, pink spores and no ring": {fieldguide.Surface: "gills", fieldguide.Volva: "sac", fieldguide.Ring: "no", fieldguide.SporePrint: "pink"},
		"a cobweb and rusty spores":      {fieldguide.Surface: "gills", fieldguide.Ring: "cobweb", fieldguide.SporePrint: "brown", fieldguide.GrowsOn: "soil"},
		"free gills and pink spores":     {fieldguide.Attachment: "free", fieldguide.SporePrint: "pink", fieldguide.GrowsOn: "wood"},
		"a green spore print":            {fieldguide.SporePrint: "green"},
		"spines under a soft cap":        {fieldguide.Surface: "spines", fieldguide.Flesh: "fleshy", fieldguide.GrowsOn: "soil"},
		"blue bruises and dark spores":   {fieldguide.Bruising: "blue", fieldguide.SporePrint: "dark", fieldguide.Surface: "gills"},
	} {
		want := map[string]string{"a sac, pink spores and no ring": "Volvariella", "a cobweb and rusty spores": "Cortinarius", "free gills and pink spores": "Pluteus",
			"a green spore print": "Chlorophyllum", "spines under a soft cap": "Hydnum", "blue bruises and dark spores": "Psilocybe"}[what]
		require.Contains(t, with(seen), want, what)
		require.NotContains(t, with(seen), "Amanita", what)
	}
}

// TestTraitTable holds the table to its own words: genera of the genus table,
// states that a sheet can write, at least the commonest eighty.
func TestTraitTable(t *testing.T) {
	genera := fieldguide.TraitGenera()
	require.GreaterOrEqual(t, len(genera), 80)
	tax := builtin()
	for _, genus := range genera {
		require.Equal(t, refs.Genus, tax.RankOf(genus), genus)
		told := 0
		for _, trait := range fieldguide.Traits {
			for _, s := range fieldguide.States(genus, trait) {
				// Moss may mean what it grows on as well, behind itself.
				understood, _, _ := strings.Cut(fieldguide.Understand(trait, s), "|")
				require.Equal(t, s, understood, "%s of %s", trait, genus)
				told++
			}
		}
		require.Greater(t, told, 2, genus)
	}
	for _, trait := range fieldguide.Traits {
		require.Greater(t, strings.Count(fieldguide.Vocabulary(trait), ", "), 0, trait)
	}
}

func TestUnderstand(t *testing.T) {
	for _, r := range []struct {
		trait   fieldguide.Trait
		written string
		state   string
	}{
		{fieldguide.Attachment, "free", "free"}, {fieldguide.Attachment, "Adnate", "adnate"}, {fieldguide.Attachment, "deeply decurrent", "decurrent"},
		{fieldguide.Attachment, "adnate to decurrent", "adnate|decurrent"}, {fieldguide.Attachment, "emarginate", "notched"}, {fieldguide.Attachment, "not free", ""},
		{fieldguide.Attachment, "yes", ""}, {fieldguide.Attachment, "almost free", "adnexed"},
		{fieldguide.SporePrint, "white", "white"}, {fieldguide.SporePrint, "brown spore print", "brown"}, {fieldguide.SporePrint, "purple-brown", "dark"},
		{fieldguide.SporePrint, "pale cream", "white"}, {fieldguide.SporePrint, "rusty brown", "brown"}, {fieldguide.SporePrint, "dark brown to black", "dark|brown|black"},
		{fieldguide.SporePrint, "no print made", ""}, {fieldguide.SporePrint, "-", ""},
		{fieldguide.Milk, "yes", "yes"}, {fieldguide.Milk, "no", "no"}, {fieldguide.Milk, "-", "no"}, {fieldguide.Milk, "+", "yes"}, {fieldguide.Milk, "absent", "no"},
		{fieldguide.Milk, "no latex", "no"}, {fieldguide.Milk, "white milk, mild", "yes"}, {fieldguide.Milk, "?", ""}, {fieldguide.Milk, "yes?", ""}, {fieldguide.Milk, "perhaps", ""}, {fieldguide.Milk, "", ""},
		{fieldguide.Ring, "present", "yes"}, {fieldguide.Ring, "cortina", "cobweb"}, {fieldguide.Ring, "ring zone", "cobweb|yes"}, {fieldguide.Ring, "no cortina", ""},
		{fieldguide.Volva, "white sac", "sac"}, {fieldguide.Volva, "patches at the base", "patches"}, {fieldguide.Volva, "none", "no"},
		{fieldguide.Bruising, "bruises blue", "blue"}, {fieldguide.Bruising, "not bruising", "no"}, {fieldguide.Bruising, "no change", "no"}, {fieldguide.Bruising, "unchanging", "no"},
		{fieldguide.Bruising, "red, then black", "red|black"}, {fieldguide.Bruising, "yes", "yes"},
		{fieldguide.Flesh, "crumbly", "brittle"}, {fieldguide.Flesh, "fibrous", "fleshy"}, {fieldguide.Flesh, "no", ""},
		{fieldguide.GrowsOn, "on wood", "wood"}, {fieldguide.GrowsOn, "lignicolous", "wood"}, {fieldguide.GrowsOn, "on the ground in grass", "soil"},
		{fieldguide.GrowsOn, "leaf litter", "litter"}, {fieldguide.GrowsOn, "buried wood", "wood|soil"}, {fieldguide.GrowsOn, "by the mill", ""},
		{fieldguide.GrowsOn, "in moss", "moss|soil|wood"}, {fieldguide.GrowsOn, "among sphagnum", "moss|soil"}, {fieldguide.GrowsOn, "horse dung", "dung"},
		{fieldguide.Surface, "pores", "tubes"}, {fieldguide.Surface, "false gills", "ridges"}, {fieldguide.Surface, "smooth", "smooth"},
	} {
		require.Equal(t, r.state, fieldguide.Understand(r.trait, r.written), "%s %q", r.trait, r.written)
	}
}

func TestCompare(t *testing.T) {
	fit := func(genus string, trait fieldguide.Trait, state string) string {
		f := fieldguide.Compare(map[fieldguide.Trait]string{trait: state}, genus)
		switch {
		case len(f.For) > 0:
			return "fits"
		case len(f.Against) > 0:
			return "does not"
		}
		return "untold"
	}
	require.Equal(t, "fits", fit("Lactarius", fieldguide.Milk, "yes"))
	require.Equal(t, "does not", fit("Lactarius", fieldguide.Milk, "no"))
	require.Equal(t, "untold", fit("Lactarius", fieldguide.Milk, ""))
	require.Equal(t, "untold", fit("Tuber", fieldguide.Milk, "yes"), "the cell is empty")
	require.Equal(t, "untold", fit("Nowhere", fieldguide.Milk, "yes"))
	require.Equal(t, "untold", fit("", fieldguide.Milk, "yes"))
	require.Equal(t, "fits", fit("Amanita", fieldguide.Volva, "yes"), "a sac or patches")
	require.Equal(t, "fits", fit("Cortinarius", fieldguide.Ring, "yes"))
	require.Equal(t, "fits", fit("Amanita", fieldguide.GrowsOn, fieldguide.Understand(fieldguide.GrowsOn, "moss")), "mossy ground")
	require.Equal(t, "does not", fit("Agaricus", fieldguide.Volva, "yes"))
	require.Equal(t, "fits", fit("Clitocybe", fieldguide.Attachment, "adnate|decurrent"))
	require.Equal(t, "does not", fit("Pluteus", fieldguide.Attachment, "adnate|decurrent"))
	f := fieldguide.Compare(map[fieldguide.Trait]string{fieldguide.GrowsOn: "wood", fieldguide.Milk: "yes", fieldguide.Flesh: "brittle"}, "Russula")
	require.Equal(t, fieldguide.Fit{For: []fieldguide.Trait{fieldguide.Flesh}, Against: []fieldguide.Trait{fieldguide.Milk, fieldguide.GrowsOn}}, f)
}

func FuzzUnderstand(f *testing.F) {
	f.Add("adnate to decurrent")
	f.Add("no ring?")
	f.Fuzz(func(t *testing.T, text string) {
		for _, trait := range fieldguide.Traits {
			state := fieldguide.Understand(trait, text)
			for s := range strings.SplitSeq(state, "|") {
				if state != "" && s != "yes" && s != "no" && !slices.Contains(strings.Split(fieldguide.Vocabulary(trait), ", "), s) {
					t.Fatalf("%s %q gives %q, which is no state of the table", trait, text, state)
				}
			}
		}
	})
}

func ExampleCompare() {
	seen := map[fieldguide.Trait]string{
		fieldguide.Milk:  fieldguide.Understand(fieldguide.Milk, "white milk"),
		fieldguide.Flesh: fieldguide.Understand(fieldguide.Flesh, "crumbly"),
	}
	for _, genus := range []string{"Lactarius", "Russula"} {
		f := fieldguide.Compare(seen, genus)
		fmt.Println(genus, "for", f.For, "against", f.Against)
	}
	// Output:
	// Lactarius for [milk flesh] against []
	// Russula for [flesh] against [milk]
}

func ExampleUnderstand() {
	for _, written := range []string{"adnate to decurrent", "purple-brown", "on wood, perhaps"} {
		for _, t := range []fieldguide.Trait{fieldguide.Attachment, fieldguide.SporePrint, fieldguide.GrowsOn} {
			if state := fieldguide.Understand(t, written); state != "" {
				fmt.Printf("%s: %s %s\n", written, t, state)
			}
		}
	}
	// Output:
	// adnate to decurrent: gill_attachment adnate|decurrent
	// purple-brown: spore_print dark
}
