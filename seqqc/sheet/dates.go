package sheet

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// dateOrder is the order of day and month in dates such as 03/04/2026.
type dateOrder int

const (
	orderUnknown dateOrder = iota // no cell tells
	dayFirst
	monthFirst
	orderMixed // some cells tell one, some the other
)

var (
	// clock is a time of day behind a date, which a date column does not need.
	clock    = regexp.MustCompile(`(?i)[T\s]+\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?\s*([ap]m)?\s*(Z|[+-]\d{2}(:?\d{2})?)?$`)
	yearPart = `(1[6-9]\d\d|2[01]\d\d)`
	// yearFirst is ISO 8601 (5.2.2 of the 2019 part 1), also with other
	// separators: no one writes year, day, month.
	yearFirst    = regexp.MustCompile(`^` + yearPart + `(?:[-/.](\d{1,2})(?:[-/.](\d{1,2}))?)?$`)
	compactDate  = regexp.MustCompile(`^` + yearPart + `(\d\d)(\d\d)$`)
	monthAndYear = regexp.MustCompile(`^(\d{1,2})\s*[-/. ]\s*` + yearPart + `$`)
	yearLast     = regexp.MustCompile(`^(\d{1,2})\s*[-/. ]\s*(\d{1,2})\s*[-/. ]\s*` + yearPart + `$`)
	dotted       = regexp.MustCompile(`^\d+\s*\.\s*\d+\s*\.\s*\d+$`)
	shortYear    = regexp.MustCompile(`^\d{1,2}\s*[-/. ]\s*(\d{1,2}|[\pL.]+)\s*[-/. ,]\s*'?\d{2}$`)
	dayNumber    = regexp.MustCompile(`^\d{5}([.,]\d+)?$`)
	dateWord     = regexp.MustCompile(`\d+|[\pL\pM]+`)
)

// inferOrder settles the order of day and month from all cells of a column: a
// number above 12 is a day.
func inferOrder(cells []string) dateOrder {
	order := orderUnknown
	for _, s := range cells {
		m := yearLast.FindStringSubmatch(withoutClock(s))
		if m == nil {
			continue
		}
		said := orderUnknown
		switch a, b := number(m[1]), number(m[2]); {
		case a > 12 && b <= 12:
			said = dayFirst
		case b > 12 && a <= 12:
			said = monthFirst
		}
		switch {
		case said == orderUnknown || said == order:
		case order == orderUnknown:
			order = said
		default:
			return orderMixed
		}
	}
	return order
}

func withoutClock(s string) string { return strings.TrimSpace(clock.ReplaceAllString(s, "")) }

// number reads digits that a pattern has matched.
func number(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return -1
	}
	return n
}

// parseDate reads a date as YYYY, YYYY-MM or YYYY-MM-DD. The doubt is not
// empty where the reading should be told to the user; an error means that the
// cell gives no date that can be relied on.
func parseDate(s string, order dateOrder) (iso, doubt string, err error) {
	s = withoutClock(oneLine(s))
	if from, to, ok := strings.Cut(s, "/"); ok && yearFirst.MatchString(withoutClock(from)) && len(from) > 4 {
		return interval(withoutClock(from), to)
	}
	if m := yearFirst.FindStringSubmatch(s); m != nil {
		iso, err = day(m[1], m[2], m[3])
		return iso, "", err
	}
	if m := compactDate.FindStringSubmatch(s); m != nil {
		iso, err = day(m[1], m[2], m[3])
		return iso, "", err
	}
	if m := monthAndYear.FindStringSubmatch(s); m != nil {
		iso, err = day(m[2], m[1], "")
		return iso, "", err
	}
	if m := yearLast.FindStringSubmatch(s); m != nil {
		// The dots are those of ordinal numbers ("12.10." is the 12th day of the
		// 10th month), and the countries that write them put the day first
		// (common practice, no source). Slashes and hyphens are written in both
		// orders, and a column that tells its order is believed.
		if order == orderUnknown && dotted.MatchString(s) {
			order = dayFirst
		}
		iso, err = ordered(m[1], m[2], m[3], order)
		return iso, "", err
	}
	if dayNumber.MatchString(s) {
		n, perr := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
		if iso = serialDate(n, false); perr == nil && iso != "" {
			return iso, fmt.Sprintf("%s was read as a spreadsheet's day number: %s", s, iso), nil
		}
	}
	if shortYear.MatchString(s) {
		return "", "", errors.New("the year has two digits, so the century is not told")
	}
	iso, err = withMonthName(s)
	return iso, "", err
}

// interval gives what both ends of an ISO 8601 interval have in common.
func interval(from, to string) (iso, doubt string, err error) {
	start, _, err := parseDate(from, orderUnknown)
	if err != nil {
		return "", "", err
	}
	to = withoutClock(to)
	if len(to) <= 2 { // "2007-11-13/15"
		if i := strings.LastIndex(start, "-"); i > 0 && len(start) == 10 {
			to = start[:i+1] + to
		}
	}
	end, _, err := parseDate(to, orderUnknown)
	if err != nil {
		return "", "", err
	}
	for n := min(len(start), len(end)); n >= 4; n -= 3 {
		if start[:n] == end[:n] {
			if len(start) == n && len(end) == n {
				return start, "", nil
			}
			return start[:n], fmt.Sprintf("the dates from %s to %s were shortened to %s", start, end, start[:n]), nil
		}
	}
	return "", "", errors.New("the interval is longer than a year")
}

// ordered reads a date with the year last.
func ordered(a, b, year string, order dateOrder) (string, error) {
	if m, err := day(year, b, a); err == nil {
		swapped, serr := day(year, a, b)
		switch {
		case serr != nil || swapped == m || order == dayFirst:
			return m, nil
		case order == monthFirst:
			return swapped, nil
		case order == orderMixed:
			return "", fmt.Errorf("it may be %s or %s, and the column has dates of both orders", m, swapped)
		}
		return "", fmt.Errorf("it may be %s or %s, and no date of the column tells which", m, swapped)
	}
	return day(year, a, b)
}

// day checks and joins the parts of a date; month and day may be empty.
func day(year, month, dayOfMonth string) (string, error) {
	if month == "" {
		return year, nil
	}
	m := number(month)
	if m < 1 || m > 12 {
		return "", fmt.Errorf("there is no month %s", month)
	}
	if dayOfMonth == "" {
		return fmt.Sprintf("%s-%02d", year, m), nil
	}
	iso := fmt.Sprintf("%s-%02d-%02d", year, m, number(dayOfMonth))
	if _, err := time.Parse("2006-01-02", iso); err != nil {
		return "", fmt.Errorf("there is no day %s in %s-%02d", dayOfMonth, year, m)
	}
	return iso, nil
}

// withMonthName reads "3 Oct 2026", "October 3rd, 2026", "2026-Oct-03",
// "oct. 2026", "17.IV.1934" and the like.
func withMonthName(s string) (string, error) {
	notDate := errors.New("it is no date that is understood")
	var year, month, dayOfMonth string
	for _, w := range dateWord.FindAllString(strings.ToLower(s), -1) {
		isNumber := w[0] >= '0' && w[0] <= '9'
		switch {
		case isNumber && len(w) == 4 && year == "":
			year = w
		case isNumber && len(w) <= 2 && dayOfMonth == "":
			dayOfMonth = w
		case isNumber:
			return "", notDate
		case dateFiller[w]:
		case month == "":
			m := monthByName(w)
			if m == 0 {
				return "", notDate
			}
			month = strconv.Itoa(m)
		default:
			return "", notDate
		}
	}
	switch {
	case month == "":
		return "", notDate
	case year == "":
		return "", errors.New("it has no year of four digits")
	case !yearFirst.MatchString(year):
		return "", fmt.Errorf("the year %s is not in 1600 to 2199", year)
	}
	return day(year, month, dayOfMonth)
}

// dateFiller are words in dates that say nothing: ordinals and "of".
var dateFiller = map[string]bool{"st": true, "nd": true, "rd": true, "th": true, "er": true, "of": true,
	"de": true, "del": true, "di": true, "den": true, "le": true}

// monthNames are the months in English, German, French, Spanish, Italian,
// Portuguese, Dutch, Swedish and Danish (from memory), and the Roman numerals
// of herbarium labels ("17IV1934" is an example of Darwin Core's
// verbatimEventDate).
var monthNames = [12][]string{
	{"january", "januar", "januari", "janvier", "enero", "gennaio", "janeiro", "jänner", "i"},
	{"february", "februar", "februari", "février", "fevrier", "febrero", "febbraio", "fevereiro", "ii"},
	{"march", "märz", "maerz", "mars", "marzo", "março", "marco", "maart", "marts", "iii", "mrt"},
	{"april", "avril", "abril", "aprile", "iv"},
	{"may", "mai", "mayo", "maggio", "maio", "mei", "maj", "v"},
	{"june", "juni", "juin", "junio", "giugno", "junho", "vi"},
	{"july", "juli", "juillet", "julio", "luglio", "julho", "vii"},
	{"august", "août", "aout", "agosto", "augustus", "augusti", "viii"},
	{"september", "septembre", "septiembre", "settembre", "setembro", "ix", "sept"},
	{"october", "oktober", "octobre", "octubre", "ottobre", "outubro", "x"},
	{"november", "novembre", "noviembre", "novembro", "xi"},
	//nolint:misspell // French without its accent
	{"december", "dezember", "décembre", "decembre", "diciembre", "dicembre", "dezembro", "xii"},
}

// monthByName finds the month whose name a word is, or is the beginning of
// with at least three letters; zero where none or several fit.
func monthByName(word string) int {
	found := 0
	for i, names := range monthNames {
		for _, name := range names {
			if word == name {
				return i + 1
			}
			if len(word) >= 3 && strings.HasPrefix(name, word) && found != i+1 {
				if found != 0 {
					return 0
				}
				found = i + 1
			}
		}
	}
	return found
}
