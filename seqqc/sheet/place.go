package sheet

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// axis is one of the two coordinates of a place.
type axis struct {
	name               string
	limit              float64 // degrees
	positive, negative byte    // hemisphere letters
}

var (
	latitude  = axis{"latitude", 90, 'N', 'S'}
	longitude = axis{"longitude", 180, 'E', 'W'}
)

var (
	plainSigns = strings.NewReplacer("\u2212", "-", "\u2013", "-", "′", "'", "’", "'", "‘", "'", "´", "'",
		"″", `"`, "”", `"`, "“", `"`, "''", `"`, "º", "°", "˚", "°")
	degrees = regexp.MustCompile(`^(\d{1,3}(?:[.,]\d+)?)\s*°?$`)
	// sexagesimal is degrees, minutes and perhaps seconds, of which only the
	// last has decimals.
	sexagesimal = regexp.MustCompile(`^(\d{1,3})(?:\s*°\s*|\s*:\s*|\s+)(\d{1,2}(?:[.,]\d+)?)(?:\s*'\s*|\s*:\s*|\s+|$)(?:(\d{1,2}(?:[.,]\d+)?)\s*"?)?$`)
)

// parse reads decimal degrees with point or comma, or degrees, minutes and
// seconds, with a sign or a hemisphere letter, as decimal degrees.
func (a axis) parse(s string) (float64, error) {
	s = strings.ToUpper(strings.TrimSpace(plainSigns.Replace(s)))
	sign, s, err := a.sign(s)
	if err != nil {
		return 0, err
	}
	var value float64
	if m := degrees.FindStringSubmatch(s); m != nil {
		value, err = decimal(m[1])
	} else if m := sexagesimal.FindStringSubmatch(s); m != nil {
		value, err = sixtieths(m[1:])
	} else {
		err = fmt.Errorf("it is no %s that is understood", a.name)
	}
	if err != nil {
		return 0, err
	}
	if value > a.limit {
		return 0, fmt.Errorf("a %s is at most %g degrees", a.name, a.limit)
	}
	return sign * value, nil
}

// sign takes the sign and the hemisphere letter off.
func (a axis) sign(s string) (float64, string, error) {
	letter := byte(0)
	if n := len(s); n > 1 {
		switch first, last := s[0], s[n-1]; {
		case last >= 'A' && last <= 'Z':
			letter, s = last, strings.TrimSpace(s[:n-1])
		case first >= 'A' && first <= 'Z':
			letter, s = first, strings.TrimSpace(s[1:])
		}
	}
	sign, signed := 1.0, false
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		sign, signed, s = -1, true, strings.TrimSpace(rest)
	} else if rest, ok := strings.CutPrefix(s, "+"); ok {
		signed, s = true, strings.TrimSpace(rest)
	}
	switch {
	case letter == 0:
		return sign, s, nil
	case signed:
		return 0, "", errors.New("it has both a sign and a letter for the hemisphere")
	case letter == a.positive:
		return 1, s, nil
	case letter == a.negative:
		return -1, s, nil
	case letter == 'O':
		return 0, "", errors.New("the letter O is east in some languages and west in others")
	}
	return 0, "", fmt.Errorf("the letter %c does not belong to a %s", letter, a.name)
}

// longestPlace bounds the cells that are parted, in bytes.
const longestPlace = 80

// parsePlace reads a latitude and a longitude behind it, such as the archives'
// "47.94 N 28.12 W". It tries every place to part them; where several give a
// different point, as in "12,5 7,25", none is taken.
func parsePlace(s string) (lat, lon float64, err error) {
	err = errors.New("it is no latitude and longitude that are understood")
	if len(s) > longestPlace {
		return 0, 0, err
	}
	found := false
	for i, c := range s {
		if !strings.ContainsRune(" ,;/NSns", c) {
			continue
		}
		if unicode.IsLetter(c) {
			i++ // it belongs to the latitude
		}
		north, errNorth := latitude.parse(strings.Trim(s[:i], " ,;/"))
		east, errEast := longitude.parse(strings.Trim(s[i:], " ,;/"))
		switch {
		case errNorth != nil || errEast != nil:
		case found && (north != lat || east != lon):
			return 0, 0, errors.New("it can be parted into latitude and longitude in several ways")
		default:
			found, lat, lon, err = true, north, east, nil
		}
	}
	return lat, lon, err
}

func sixtieths(parts []string) (float64, error) {
	value := 0.0
	for i, unit := range []float64{1, 60, 3600} {
		if parts[i] == "" {
			continue
		}
		if i == 1 && parts[2] != "" && strings.ContainsAny(parts[1], ".,") {
			return 0, errors.New("the minutes have decimals, and seconds follow")
		}
		v, err := decimal(parts[i])
		if err != nil {
			return 0, err
		}
		if i > 0 && v >= 60 {
			return 0, errors.New("minutes and seconds are below 60")
		}
		value += v / unit
	}
	return value, nil
}

func decimal(s string) (float64, error) {
	return strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
}

var (
	wellForm    = regexp.MustCompile(`^([A-Pa-p])[-_ ]?0*([1-9]\d?)$`)
	wellTurned  = regexp.MustCompile(`^0*([1-9]\d?)[-_ ]?([A-Pa-p])$`)
	wellColumns = 24
)

// normalWell gives a well as letter and two digits: A01 for A1, a-1 and 01A.
// Plates of 96 wells have rows A to H and columns 1 to 12, those of 384 rows A
// to P and columns 1 to 24 (ANSI SLAS 4-2004, from memory).
func normalWell(s string) (string, bool) {
	s = strings.TrimSpace(s)
	letter, digits := "", ""
	if m := wellForm.FindStringSubmatch(s); m != nil {
		letter, digits = m[1], m[2]
	} else if m := wellTurned.FindStringSubmatch(s); m != nil {
		letter, digits = m[2], m[1]
	}
	if letter == "" || number(digits) > wellColumns {
		return "", false
	}
	return fmt.Sprintf("%s%02d", strings.ToUpper(letter), number(digits)), true
}
