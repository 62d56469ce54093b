package deposit

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"forayseq/seqqc/country"
)

// The forms of one date: 23-Aug-1948, Aug-1948, 1948, and those of ISO 8601.
var (
	monthForm = regexp.MustCompile(`^(?:(\d{2})-)?(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)-(\d{4})$`)
	isoForm   = regexp.MustCompile(`^(\d{4})(?:-(\d{2})(?:-(\d{2})(?:T\d{2}(?::\d{2}(?::\d{2})?)?Z?)?)?)?$`)
)

// checkDate checks a collection date: one date, or two with "/" between, the
// first the earlier; or a term for a missing value (INSDC feature table,
// /collection_date).
func checkDate(value string) error {
	if IsMissingTerm(value) {
		return nil
	}
	parts := strings.Split(value, "/")
	if len(parts) > 2 {
		return errors.New("it has more than two dates")
	}
	var ends [2]span
	for i, part := range parts {
		var err error
		if ends[i], err = parseDate(part); err != nil {
			return err
		}
	}
	if len(parts) == 2 && !ends[1].end.After(ends[0].start) {
		return errors.New("the range ends before it begins")
	}
	return nil
}

// span is the time that a date of any precision covers, end not included.
type span struct{ start, end time.Time }

func parseDate(s string) (span, error) {
	var year, month, day string
	if m := monthForm.FindStringSubmatch(s); m != nil {
		t, err := time.Parse("Jan", m[2])
		if err != nil {
			return span{}, err
		}
		day, month, year = m[1], strconv.Itoa(int(t.Month())), m[3]
	} else if m := isoForm.FindStringSubmatch(s); m != nil {
		year, month, day = m[1], m[2], m[3]
	} else {
		return span{}, fmt.Errorf("%q is no date: write 03-Oct-2026, Oct-2026, 2026 or 2026-10-03", s)
	}
	y, err := strconv.Atoi(year)
	if err != nil {
		return span{}, err
	}
	m, d := 1, 1
	if month != "" {
		if m, err = strconv.Atoi(month); err != nil {
			return span{}, err
		}
	}
	if day != "" {
		if d, err = strconv.Atoi(day); err != nil {
			return span{}, err
		}
	}
	start := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if int(start.Month()) != m || start.Day() != d {
		return span{}, fmt.Errorf("%q is no day of the calendar", s)
	}
	switch {
	case day != "":
		return span{start, start.AddDate(0, 0, 1)}, nil
	case month != "":
		return span{start, start.AddDate(0, 1, 0)}, nil
	}
	return span{start, start.AddDate(1, 0, 0)}, nil
}

// isFuture reports whether a collection date, or the first of a range, begins
// more than a day after today, for it may be tomorrow elsewhere; never where
// today is zero. Archives refuse such (from memory).
func isFuture(value string, today time.Time) bool {
	first, _, _ := strings.Cut(value, "/")
	s, err := parseDate(first)
	return err == nil && !today.IsZero() && s.start.After(today.AddDate(0, 0, 1))
}

// dateValue writes YYYY, YYYY-MM or YYYY-MM-DD with the month as a word, the
// form that archives print.
func dateValue(iso string) string {
	for _, form := range []struct{ read, write string }{
		{"2006-01-02", "02-Jan-2006"}, {"2006-01", "Jan-2006"}, {"2006", "2006"},
	} {
		if t, err := time.Parse(form.read, iso); err == nil {
			return t.Format(form.write)
		}
	}
	return iso
}

// checkPlace checks "country", "country: region" or "country: region,
// locality", the country being of the archives' list; or a term for a missing
// value (INSDC feature table, /geo_loc_name).
func checkPlace(value string) error {
	if IsMissingTerm(value) {
		return nil
	}
	name, rest, colon := strings.Cut(value, ":")
	name = strings.TrimSpace(name)
	if !country.Listed(name) {
		if c, ok := country.Find(name); ok {
			return fmt.Errorf("the list writes %q as %q", name, c.Name)
		}
		return fmt.Errorf("%q is not in the archives' list of countries and seas", name)
	}
	if colon && strings.TrimSpace(rest) == "" {
		return errors.New("nothing follows the colon")
	}
	return nil
}

var latLonForm = regexp.MustCompile(`^(\d{1,2}(?:\.\d+)?) ([NS]) (\d{1,3}(?:\.\d+)?) ([EW])$`)

// checkLatLon checks "47.94 N 28.12 W" (INSDC feature table, /lat_lon).
func checkLatLon(value string) error {
	if IsMissingTerm(value) {
		return nil
	}
	m := latLonForm.FindStringSubmatch(value)
	if m == nil {
		return fmt.Errorf("%q is no pair of coordinates: write 47.94 N 28.12 W", value)
	}
	lat, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return err
	}
	lon, err := strconv.ParseFloat(m[3], 64)
	if err != nil {
		return err
	}
	if lat > 90 || lon > 180 {
		return errors.New("a latitude is at most 90 degrees and a longitude at most 180")
	}
	return nil
}

// latLonValue writes decimal degrees with as many decimals as they have, at
// most four, which is ten metres.
func latLonValue(lat, lon float64) string {
	letters := [2]string{"N", "E"}
	if lat < 0 {
		letters[0], lat = "S", -lat
	}
	if lon < 0 {
		letters[1], lon = "W", -lon
	}
	return degrees(lat) + " " + letters[0] + " " + degrees(lon) + " " + letters[1]
}

func degrees(x float64) string {
	s := strconv.FormatFloat(x, 'f', 4, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

var altitudeForm = regexp.MustCompile(`^[+-]?\d+(?:\.\d+)? m$`)

// checkAltitude checks "320 m", metres above or below sea level (INSDC feature
// table, /altitude; from memory).
func checkAltitude(value string) error {
	if !altitudeForm.MatchString(value) {
		return fmt.Errorf("%q is no altitude: write metres as 320 m", value)
	}
	return nil
}

var metres = regexp.MustCompile(`^(?:ca?\.? )?([+-]?\d+)(?:[.,](\d+))? ?(?:m|meter|meters|metre|metres|m a\.?s\.?l\.?|m ü\.? ?NN)?\.?$`)

// Altitude reads an elevation as the sheet has it, metres unless it says
// otherwise, and gives it as "320 m"; empty where that is no single figure in
// metres.
func Altitude(written string) string {
	m := metres.FindStringSubmatch(strings.TrimSpace(written))
	if m == nil {
		return ""
	}
	if m[2] != "" {
		return m[1] + "." + m[2] + " m"
	}
	return m[1] + " m"
}

// checkSpecimenVoucher checks "specimen", "institution:specimen" or
// "institution:collection:specimen" (INSDC feature table, /specimen_voucher).
func checkSpecimenVoucher(value string) error {
	parts := strings.Split(value, ":")
	if len(parts) > 3 {
		return errors.New("it has more than three parts: institution:collection:specimen")
	}
	for _, part := range parts {
		if strings.TrimSpace(part) == "" {
			return errors.New("one of the parts around its colons is empty")
		}
	}
	return nil
}

var primerForm = regexp.MustCompile(`^(?:[acgtrymkswhbvdn]|<i>|<m1a>)+$`)

// checkPrimer checks a primer sequence: NC-IUB letters, inosine as <i> (INSDC
// feature table, /PCR_primers; from memory).
func checkPrimer(value string) error {
	if !primerForm.MatchString(strings.ToLower(value)) {
		return fmt.Errorf("%q holds a letter that is no nucleotide code; inosine is written <i>", value)
	}
	return nil
}

var organismForm = regexp.MustCompile(`^[A-Z][\pL-]+(?: .+)?$`)

// checkOrganism checks that an organism begins with a name of one word with a
// capital, and that doubt is written as archives do: "Russula sp.", "Russula
// cf. ficticia".
func checkOrganism(value string) error {
	switch lower := " " + strings.ToLower(value) + " "; {
	case value == "":
		return errors.New("it is empty")
	case !organismForm.MatchString(value):
		return fmt.Errorf("%q does not begin with a scientific name", value)
	case strings.Contains(lower, "?"):
		return errors.New("write cf. for a question mark")
	case strings.Contains(lower, " spp. "):
		return errors.New("spp. is for several organisms, and a sequence is of one: write sp. in its place")
	}
	return nil
}
