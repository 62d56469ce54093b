package country_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/language"

	"forayseq/seqqc/country"
)

func ExampleFind() {
	c, ok := country.Find("the netherlands")
	fmt.Println(c.Name, c.Code, ok)
	// Output: Netherlands NL true
}

func TestFindsWhatPeopleWrite(t *testing.T) {
	for written, want := range map[string]string{
		"Germany": "Germany", "Deutschland": "Germany", "DE": "Germany", "allemagne": "Germany",
		"Österreich": "Austria", "Osterreich": "Austria", "Česko": "Czechia", "Czech Republic": "Czechia",
		"USA": "USA", "U.S.A.": "USA", "United States": "USA", "usa ": "USA", "UK": "United Kingdom", "Scotland": "United Kingdom",
		"Suisse": "Switzerland", "Svizzera": "Switzerland", "Sverige": "Sweden", "Côte d’Ivoire": "Cote d'Ivoire",
		"Vietnam": "Viet Nam", "Türkiye": "Turkey", "Georgia": "Georgia", "Taiwan": "Taiwan", "日本": "Japan",
		"Baltic Sea": "Baltic Sea", "Myanmar (Burma)": "Myanmar", "Réunion": "Reunion",
	} {
		c, ok := country.Find(written)
		require.True(t, ok, written)
		require.Equal(t, want, c.Name, written)
		require.True(t, country.Listed(c.Name))
	}
	for _, written := range []string{"", "Exampleland", "Bavaria", "-", "n/a", "Europe"} {
		_, ok := country.Find(written)
		require.False(t, ok, written)
	}
}

// Codes are those of ISO 3166-1, as golang.org/x/text knows them; every code
// but that of Kosovo, which has none of its own, is a country there.
func TestCodesOfTheStandard(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range country.All() {
		require.False(t, seen[c.Name], c.Name)
		seen[c.Name] = true
		if c.Code == "" {
			continue
		}
		region, err := language.ParseRegion(c.Code)
		require.NoError(t, err, c.Name)
		require.True(t, region.IsCountry(), c.Name)
		found, ok := country.Find(c.Code)
		if c.Code == "NA" { // Namibia, but people mean "not available"
			require.False(t, ok)
			continue
		}
		require.True(t, ok, c.Code)
		require.Equal(t, c, found)
	}
	require.Greater(t, len(seen), 250)
}
