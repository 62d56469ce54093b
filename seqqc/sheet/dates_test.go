package sheet

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDates(t *testing.T) {
	for in, want := range map[string]string{
		"2026": "2026", "2026-10": "2026-10", "2026-10-03": "2026-10-03", "2026/10/3": "2026-10-03", "2026.10.03": "2026-10-03",
		"20261003": "2026-10-03", "10/2026": "2026-10", "10.2026": "2026-10",
		"25/12/2026": "2026-12-25", "12/25/2026": "2026-12-25", "25.12.2026": "2026-12-25", "25-12-2026": "2026-12-25", "3/3/2026": "2026-03-03",
		"3 Oct 2026": "2026-10-03", "3-Oct-2026": "2026-10-03", "03Oct2026": "2026-10-03", "October 3, 2026": "2026-10-03",
		"October 3rd, 2026": "2026-10-03", "3rd of October 2026": "2026-10-03", "2026-Oct-03": "2026-10-03", "Oct 2026": "2026-10", "Sept. 2026": "2026-09",
		"3. Oktober 2026": "2026-10-03", "3 octobre 2026": "2026-10-03", "1er août 2026": "2026-08-01", "3 de octubre de 2026": "2026-10-03",
		"3. März 2026": "2026-03-03", "3 mai 2026": "2026-05-03", "3.X.2026": "2026-10-03", "2026-10-03 00:00:00": "2026-10-03",
		"2026-10-03T14:07Z": "2026-10-03", "25/12/2026 4:30 PM": "2026-12-25", "29 Feb 2024": "2024-02-29",
	} {
		iso, doubt, err := parseDate(in, orderUnknown)
		require.NoError(t, err, in)
		require.Empty(t, doubt, in)
		require.Equal(t, want, iso, in)
	}
}

// TestDatesOfDarwinCore reads the examples of the Darwin Core terms eventDate
// and verbatimEventDate (TDWG, 2025-07-10).
func TestDatesOfDarwinCore(t *testing.T) {
	for in, want := range map[string]string{
		"1963-03-08T14:07-06:00": "1963-03-08", "2009-02-20T08:40Z": "2009-02-20", "2018-08-29T15:19": "2018-08-29",
		"1809-02-12": "1809-02-12", "1906-06": "1906-06", "1971": "1971", "Marzo 2002": "2002-03", "17IV1934": "1934-04-17",
		"2007-11-13/15": "2007-11",
	} {
		iso, _, err := parseDate(in, orderUnknown)
		require.NoError(t, err, in)
		require.Equal(t, want, iso, in)
	}
	for _, in := range []string{"spring 1910", "1999-03-XX", "1900/1909", "2007-03-01T13:00:00Z/2008-05-11T15:30:00Z"} {
		_, _, err := parseDate(in, orderUnknown)
		require.Error(t, err, in)
	}
}

func TestDatesThatAreRefused(t *testing.T) {
	for in, why := range map[string]string{
		"3/10/26": "two digits", "3-Oct-26": "two digits", "3 Oct '26": "two digits", "3-Oct": "no year", "Oct": "no year",
		"31 Feb 2026": "no day 31", "2026-02-30": "no day 30", "2026-13": "no month 13", "2026-13-01": "no month 13", "13/13/2026": "no month",
		"29 Feb 2026": "no day", "yesterday": "no date", "3 jui 2026": "no date", "999999": "no date", "2026-10-03-04": "no date",
		"3 Oct 3 2026": "no date", "Oct Nov 2026": "no date", "Oct 0026": "not in 1600", "03/04/2026": "may be 2026-04-03 or 2026-03-04",
	} {
		iso, _, err := parseDate(in, orderUnknown)
		require.Empty(t, iso, in)
		require.ErrorContains(t, err, why, in)
	}
}

// TestEveryDayInEveryForm writes each day of a leap and a plain year in each
// form, and reads it back.
func TestEveryDayInEveryForm(t *testing.T) {
	for _, year := range []int{2024, 2026} {
		for month := 1; month <= 12; month++ {
			for d := 1; d <= 31; d++ {
				want, err := day(fmt.Sprint(year), fmt.Sprint(month), fmt.Sprint(d))
				if err != nil {
					continue
				}
				name := monthNames[month-1][0]
				for in, order := range map[string]dateOrder{
					want: orderUnknown, fmt.Sprintf("%d/%d/%d", d, month, year): dayFirst, fmt.Sprintf("%02d.%02d.%d", month, d, year): monthFirst,
					fmt.Sprintf("%d %s %d", d, name, year): orderUnknown, fmt.Sprintf("%s %d, %d", strings.ToUpper(name[:3]), d, year): orderUnknown,
				} {
					got, _, err := parseDate(in, order)
					require.NoError(t, err, in)
					require.Equal(t, want, got, in)
				}
			}
		}
	}
}

func TestOrderIsOfTheWholeColumn(t *testing.T) {
	column := func(cells ...string) ([]string, []string) {
		var b strings.Builder
		b.WriteString("voucher;field_id;date\n")
		for i, c := range cells {
			fmt.Fprintf(&b, "EX-%d;Amanita;%s\n", i+1, c)
		}
		s, err := Read(strings.NewReader(b.String()), "v.csv", Options{})
		require.NoError(t, err)
		var dates, what []string
		for _, v := range s.Vouchers {
			dates = append(dates, v.Date)
		}
		for _, p := range s.Problems {
			what = append(what, p.What)
		}
		return dates, what
	}
	dates, what := column("03/04/2026", "25/04/2026")
	require.Equal(t, []string{"2026-04-03", "2026-04-25"}, dates)
	require.Empty(t, what)
	dates, _ = column("03/04/2026", "04/25/2026")
	require.Equal(t, []string{"2026-03-04", "2026-04-25"}, dates)
	dates, what = column("03/04/2026", "2026-10-03", "05/05/2026")
	require.Equal(t, []string{"", "2026-10-03", "2026-05-05"}, dates)
	require.Equal(t, []string{`"03/04/2026" was left out: it may be 2026-04-03 or 2026-03-04, and no date of the column tells which`}, what)
	dates, what = column("03/04/2026", "25/04/2026", "04/25/2026")
	require.Equal(t, []string{"", "2026-04-25", "2026-04-25"}, dates)
	require.Contains(t, what[0], "dates of both orders")
	// Dots are day first, also beside real dates, unless a cell says otherwise;
	// other separators leave the order open.
	dates, what = column("2026-10-11", "12.10.2026", "3. 4. 2026", "Oct 2026")
	require.Equal(t, []string{"2026-10-11", "2026-10-12", "2026-04-03", "2026-10"}, dates)
	require.Empty(t, what)
	dates, _ = column("12.10.2026", "10.25.2026")
	require.Equal(t, []string{"2026-12-10", "2026-10-25"}, dates)
	dates, what = column("12.10.2026", "12/10/2026", "12.10/2026")
	require.Equal(t, []string{"2026-10-12", "", ""}, dates)
	require.Len(t, what, 2)
	dates, _ = column("12-10-2026", "12 10 2026")
	require.Equal(t, []string{"", ""}, dates)
	// A bare day number in text is read, and told.
	dates, what = column("46298", "46298.75")
	require.Equal(t, []string{"2026-10-03", "2026-10-03"}, dates)
	require.Equal(t, "46298 was read as a spreadsheet's day number: 2026-10-03", what[0])
}

// TestDayNumbers takes its values from ECMA-376 part 1, 18.17.4.1 to .3 (from
// memory): day 61 is 1 March 1900 and 36526 is 1 January 2000 in the 1900
// system, and the 1904 system counts 1,462 days less.
func TestDayNumbers(t *testing.T) {
	require.Equal(t, "2000-01-01", serialDate(36526, false))
	require.Equal(t, "2000-01-01", serialDate(36526-1462, true))
	require.Equal(t, "2026-10-03", serialDate(46298.99, false))
	require.Equal(t, "1901-01-01", serialDate(367, false))
	require.Equal(t, "", serialDate(0.5, false))
	require.Equal(t, "", serialDate(-1, true))
	require.Equal(t, "", serialDate(1e300, false))
}

// TestMonthNames: no month's name, and no beginning of three letters that two
// months share, is taken for another month.
func TestMonthNames(t *testing.T) {
	for i, names := range monthNames {
		for _, n := range names {
			require.Equal(t, i+1, monthByName(n), n)
		}
	}
	for _, w := range []string{"", "m", "ma", "jui", "foo", "xiii"} {
		require.Zero(t, monthByName(w), w)
	}
}
