package fieldguide_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
)

// lineage gives the built-in lineage of a genus.
func lineage(t *testing.T, genus string) refs.Lineage {
	t.Helper()
	l, ok := builtin().Lookup(genus)
	require.True(t, ok, genus)
	return l
}

func builtin() *refs.Taxonomy { return refs.NewTaxonomy(nil, nil) }

// Each mould on mushrooms keeps to its own hosts: common practice, no source.
func TestEachMouldKeepsToItsHosts(t *testing.T) {
	for parasite, hosts := range map[string]struct{ on, notOn []string }{
		"Hypomyces":     {[]string{"Boletus", "Xerocomellus", "Suillus", "Russula", "Lactarius"}, []string{"Mycena", "Scleroderma", "Elaphomyces", "Coprinus"}},
		"Asterophora":   {[]string{"Russula", "Lactarius"}, []string{"Boletus", "Mycena", "Amanita", "Agaricus"}},
		"Spinellus":     {[]string{"Mycena"}, []string{"Russula", "Boletus", "Agaricus", "Amanita"}},
		"Tolypocladium": {[]string{"Elaphomyces"}, []string{"Tuber", "Scleroderma", "Russula"}},
		"Cordyceps":     {[]string{"Elaphomyces"}, []string{"Tuber", "Boletus"}},
		"Pseudoboletus": {[]string{"Scleroderma"}, []string{"Boletus", "Lycoperdon", "Russula"}},
		"Squamanita":    {[]string{"Cystoderma", "Galerina", "Kuehneromyces"}, []string{"Boletus", "Russula"}},
		"Tremella":      {[]string{"Peniophora", "Stereum"}, []string{"Russula", "Boletus", "Amanita"}},
		"Naematelia":    {[]string{"Stereum"}, []string{"Russula", "Boletus"}},
		"Sepedonium":    {[]string{"Boletus", "Xerocomellus", "Paxillus"}, []string{"Mycena", "Agaricus", "Russula"}},
		"Mycogone":      {[]string{"Agaricus", "Amanita"}, []string{"Boletus", "Mycena", "Stereum"}},
		"Syzygites":     {[]string{"Amanita", "Boletus", "Russula"}, []string{"Stereum", "Trametes"}},
		"Cladobotryum":  {[]string{"Agaricus", "Russula"}, []string{"Mycena", "Elaphomyces"}},
	} {
		for _, h := range hosts.on {
			require.Equal(t, fieldguide.UsualHost, fieldguide.HostOf(parasite, lineage(t, h)), "%s on %s", parasite, h)
		}
		for _, h := range hosts.notOn {
			require.Equal(t, fieldguide.UnusualHost, fieldguide.HostOf(parasite, lineage(t, h)), "%s on %s", parasite, h)
		}
	}
}

// A mould of neglected collections keeps to no host: common practice, no source.
func TestNeglectIsNoHost(t *testing.T) {
	for _, genus := range []string{"Penicillium", "Mucor", "Rhodotorula", "Trichoderma", "Clonostachys", "Russula", ""} {
		require.Equal(t, fieldguide.HostUntold, fieldguide.HostOf(genus, lineage(t, "Russula")), genus)
		require.Empty(t, fieldguide.Hosts(genus))
	}
}

func TestBroadNamesTellNoHost(t *testing.T) {
	russula := lineage(t, "Russula")
	require.Equal(t, fieldguide.UsualHost, fieldguide.HostOf("Hypomyces", russula.Upto(refs.Family)))
	require.Equal(t, fieldguide.HostUntold, fieldguide.HostOf("Hypomyces", russula.Upto(refs.Order)), "some of the order are hosts")
	require.Equal(t, fieldguide.HostUntold, fieldguide.HostOf("Hypomyces", lineage(t, "Hypomyces")), "itself")
}

// TestHostsAreKnownNames holds the table to names of the genus table: a genus
// whose way of life is known there, hosts that are genera or families.
func TestHostsAreKnownNames(t *testing.T) {
	tax := builtin()
	rows := 0
	for _, genus := range fieldguide.HostGenera() {
		rows++
		require.NotEmpty(t, tax.Habit(genus), genus)
		for _, h := range fieldguide.Hosts(genus) {
			l, ok := tax.Lookup(h)
			require.True(t, ok, "%s on %s", genus, h)
			require.Contains(t, []refs.Rank{refs.Family, refs.Genus}, l.Deepest(), h)
		}
	}
	require.Greater(t, rows, 30)
	// No fungus-on-fungus of the genus table is forgotten but those of which
	// nothing is known.
	for _, genus := range []string{"Asterophora", "Hypomyces", "Spinellus", "Squamanita", "Sepedonium", "Tremella", "Tolypocladium"} {
		require.Equal(t, refs.Fungicolous, tax.Habit(genus))
	}
}

func ExampleHostOf() {
	tax := refs.NewTaxonomy(nil, nil)
	for _, host := range []string{"Russula", "Mycena"} {
		l, _ := tax.Lookup(host)
		fmt.Println(host, fieldguide.HostOf("Asterophora", l) == fieldguide.UsualHost)
	}
	// Output:
	// Russula true
	// Mycena false
}
