package deposit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/country"
)

// Place is where a specimen was found, no more precise than may be told.
type Place struct {
	// Country is of the archives' list, the zero Country where the sheet names
	// none of it.
	Country country.Country
	// Missing is the published term that the sheet has in place of a country,
	// empty where it has none.
	Missing  string
	Locality string
	// Latitude and Longitude are decimal degrees, nil where they are not known.
	Latitude, Longitude *float64
	// Withheld says how the place was made less precise, empty where it is
	// as in the sheet.
	Withheld string
}

// sensitiveColumn is the heading, in any case, of the sheet's own column that
// marks a find whose place is not to be told precisely.
const sensitiveColumn = "sensitive"

// PlaceOf gives the place of a voucher. A find is sensitive where the sheet
// says so in a column "sensitive", or where its field name, the DNA or a
// reviewer names one of p.Sensitive: its coordinates are then rounded to
// p.SensitiveDegrees and its locality is withheld.
func PlaceOf(v *seqqc.VoucherResult, p Params) Place {
	x := v.Voucher
	place := Place{Locality: strings.TrimSpace(x.Locality), Latitude: x.Latitude, Longitude: x.Longitude}
	if written := strings.TrimSpace(x.Country); IsMissingTerm(written) {
		place.Missing = written
	} else if c, ok := country.Find(written); ok {
		place.Country = c
	}
	if x.Latitude == nil || x.Longitude == nil {
		place.Latitude, place.Longitude = nil, nil
	}
	if !sensitive(v, p) {
		return place
	}
	var done []string
	if place.Latitude != nil {
		lat, lon := rounded(*place.Latitude, p.SensitiveDegrees), rounded(*place.Longitude, p.SensitiveDegrees)
		place.Latitude, place.Longitude = &lat, &lon
		done = append(done, fmt.Sprintf("coordinates rounded to %g degrees", p.SensitiveDegrees))
	}
	if place.Locality != "" {
		place.Locality = ""
		done = append(done, "locality withheld")
	}
	place.Withheld = strings.Join(done, "; ")
	return place
}

// rounded gives the multiple of step nearest to x, without the tails that
// binary fractions leave.
func rounded(x, step float64) float64 {
	const digits = 1e9
	return math.Round(math.Round(x/step)*step*digits) / digits
}

func sensitive(v *seqqc.VoucherResult, p Params) bool {
	for heading, cell := range v.Voucher.Extra {
		if strings.EqualFold(strings.TrimSpace(heading), sensitiveColumn) && !slices.Contains([]string{"", "0", "n", "no", "false", "-"}, strings.ToLower(strings.TrimSpace(cell))) {
			return true
		}
	}
	names := []refs.Name{v.Voucher.Field}
	if r := v.Reviewed; r != nil {
		names = append(names, refs.ParseName(r.FinalName))
	}
	var taxa []string
	for _, n := range names {
		taxa = append(taxa, n.Genus, n.Binomial(), n.Higher)
	}
	if s := v.ChosenSample(); s != nil && s.Match != nil {
		l := s.Match.Lineage
		taxa = append(taxa, l.Family, l.Genus, l.Species)
	}
	return slices.ContainsFunc(p.Sensitive, func(name string) bool {
		name = strings.TrimSpace(name)
		return name != "" && slices.ContainsFunc(taxa, func(t string) bool { return strings.EqualFold(t, name) })
	})
}

// archived words the place as archives write it: the country of their list,
// then the locality; empty where the sheet names no country that is known. A
// term for a missing value stays as it is.
func (p Place) archived() string {
	switch {
	case p.Missing != "" || p.Country.Name == "":
		return p.Missing
	case p.Locality != "":
		return p.Country.Name + ": " + p.Locality
	}
	return p.Country.Name
}
