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
	} else if name, region, _ := strings.Cut(written, ":"); region != "" {
		// As archives write it: "USA: Oregon".
		if c, ok := country.Find(strings.TrimSpace(name)); ok {
			place.Country, place.Locality = c, strings.Join(nonEmpty(region, place.Locality), ", ")
		}
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
	if x.Elevation != "" {
		done = append(done, "elevation withheld")
	}
	place.Withheld = strings.Join(done, "; ")
	return place
}

// otherSide says that a voucher's coordinates lie on the other side of the
// equator or of the meridian of Greenwich than those of all others of its
// country, and would lie among them but for the sign; empty where they do not.
func otherSide(v *seqqc.VoucherResult, all []seqqc.VoucherResult, p Params) string {
	own := PlaceOf(v, p)
	if own.Latitude == nil || own.Country.Name == "" {
		return ""
	}
	const (
		leastOthers = 3
		near        = 2 // degrees; both judged, no source
	)
	for _, axis := range []struct {
		name string
		of   func(Place) float64
	}{
		{"latitude", func(p Place) float64 { return *p.Latitude }}, {"longitude", func(p Place) float64 { return *p.Longitude }},
	} {
		x, low, high, n := axis.of(own), math.Inf(1), math.Inf(-1), 0
		for i := range all {
			other := PlaceOf(&all[i], p)
			if &all[i] == v || other.Latitude == nil || other.Country != own.Country {
				continue
			}
			n, low, high = n+1, min(low, axis.of(other)), max(high, axis.of(other))
		}
		across := x < 0 && low > 0 || x > 0 && high < 0
		if n >= leastOthers && across && math.Abs(x) > near && -x >= low-near && -x <= high+near {
			return fmt.Sprintf("Its %s has another sign than those of all %d other finds of %s: see that north, south, east and west are right.", axis.name, n, own.Country.Name)
		}
	}
	return ""
}

// nonEmpty gives the texts that are more than blanks, without those around.
func nonEmpty(texts ...string) []string {
	var out []string
	for _, s := range texts {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
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
