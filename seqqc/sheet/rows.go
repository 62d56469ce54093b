package sheet

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"forayseq/seqqc"
)

// builder makes vouchers of rows.
type builder struct {
	name     string
	workbook bool
	columns  []Column
	at       map[string]int // our column -> index
	headed   int            // columns up to the last with a heading
	order    dateOrder

	vouchers []seqqc.Voucher
	problems []seqqc.Problem
	// byCode finds a voucher by its code in lower case; sampleRow the row of a
	// voucher's sample.
	byCode    map[string]int
	sampleRow map[[2]string]int
	// noWells are by column the rows with something that is no well.
	noWells map[string][]row
}

func (b *builder) add(row int, field, what, hint string, unread bool) {
	b.problems = append(b.problems, seqqc.Problem{File: b.name, Line: row, Field: field, What: what, Hint: hint, Unread: unread})
}

// heading gives the sheet's own heading of one of our columns.
func (b *builder) heading(ours string) string {
	if i, ok := b.at[ours]; ok {
		return b.columns[i].Heading
	}
	return ours
}

func (b *builder) cell(r row, ours string) cell {
	if i, ok := b.at[ours]; ok && i < len(r.cells) {
		return r.cells[i]
	}
	return cell{}
}

func (b *builder) rows(rows []row) {
	var dates []string
	var slipped []row
	rows = slices.DeleteFunc(slices.Clone(rows), func(r row) bool {
		if b.slipped(r) {
			slipped = append(slipped, r)
			return true
		}
		if c := b.cell(r, "date"); c.date == "" {
			dates = append(dates, oneLine(c.text))
		}
		return false
	})
	b.order = inferOrder(dates)
	for _, r := range rows {
		b.row(r)
	}
	b.sayWells()
	if len(b.vouchers) > 0 { // where every row slipped, the heading is wrong
		for _, r := range slipped {
			b.codeOnly(r)
		}
	}
	slices.SortStableFunc(b.vouchers, func(v, w seqqc.Voucher) int { return v.Row - w.Row })
	b.alike()
	slices.SortStableFunc(b.problems, func(p, q seqqc.Problem) int { return p.Line - q.Line })
}

// row reads one row. What is wrong with an optional cell drops its value; the
// row is left out only without a code.
func (b *builder) row(r row) {
	for i := range r.cells {
		b.check(r, i)
	}
	code := b.code(r)
	if code == "" {
		b.add(r.number, b.heading("voucher"), "the row has no voucher code", "give it one, or remove the row", true)
		return
	}
	v := b.voucher(r, code)
	s := b.sample(r)
	key := strings.ToLower(code)
	known, again := b.byCode[key]
	if first, double := b.sampleRow[[2]string{key, strings.ToLower(s.ID)}]; double {
		what := fmt.Sprintf("voucher %s is already in row %d", code, first)
		if s.ID != "" {
			what = fmt.Sprintf("sample %s of voucher %s is already in row %d", s.ID, code, first)
		}
		b.add(r.number, b.heading("voucher"), what,
			"remove one of the rows, or give each extraction its own name in the column sample", true)
		return
	}
	b.sampleRow[[2]string{key, strings.ToLower(s.ID)}] = r.number
	if again {
		b.merge(&b.vouchers[known], v, r.number)
		b.vouchers[known].Samples = append(b.vouchers[known].Samples, s)
		return
	}
	if v.Kind == "" {
		v.Kind = seqqc.Specimen
	}
	b.byCode[key] = len(b.vouchers)
	v.Samples = []seqqc.Sample{s}
	b.vouchers = append(b.vouchers, v)
}

// slipped names a row of a text file with more cells than the heading: an
// unquoted separator in one of them moves the others.
func (b *builder) slipped(r row) bool {
	if b.workbook || len(r.cells) <= b.headed {
		return false
	}
	for _, c := range r.cells[b.headed:] {
		if c.text != "" {
			b.add(r.number, "", fmt.Sprintf("the row has %d cells, the heading %d, so values may stand under the wrong heading", len(r.cells), b.headed),
				"put a cell that contains the separator in quotation marks", true)
			return true
		}
	}
	return false
}

// codeOnly makes a voucher of a slipped row, so that the results have a line for
// it. Its code can be relied on in the first column, where no cell before it can
// have moved it. A voucher that has another row needs none.
func (b *builder) codeOnly(r row) {
	at := b.at["voucher"]
	if at > 0 {
		return
	}
	b.check(r, at)
	code := b.code(r)
	if _, known := b.byCode[strings.ToLower(code)]; known || code == "" {
		return
	}
	b.add(r.number, b.heading("voucher"), fmt.Sprintf("of this row only the voucher code %s is used", code), "correct the row", false)
	b.byCode[strings.ToLower(code)] = len(b.vouchers)
	b.vouchers = append(b.vouchers, seqqc.Voucher{Code: code, Kind: seqqc.Specimen, Row: r.number, Samples: []seqqc.Sample{{Row: r.number}}})
}

// check names a cell that a formula or an encoding spoilt; the first is
// emptied.
func (b *builder) check(r row, i int) {
	c := &r.cells[i]
	switch heading := b.columns[i].Heading; {
	case errorValue.MatchString(c.text):
		b.add(r.number, heading, fmt.Sprintf("the cell holds the spreadsheet error %s", clip(c.text)), "correct the formula", false)
		*c = cell{}
	case strings.ContainsRune(c.text, utf8.RuneError):
		b.add(r.number, heading, fmt.Sprintf("characters of %q are lost", clip(c.text)), "enter the cell again and save the sheet as UTF-8", false)
	}
}

// dateLike are codes that a spreadsheet made of others: "3-Oct" of OCT3 or
// 10-3. The day number behind them cannot tell what was typed.
var dateLike = regexp.MustCompile(`(?i)^(\d{1,2}[-/. ][a-z]{3,9}\.?([-/. ]\d{2,4})?|[a-z]{3,9}[-/. ]\d{2}|\d{4}-\d{2}-\d{2}|\d{1,2}([/.])\d{1,2}[/.]\d{2,4})$`)

// code reads the voucher code and names one that a spreadsheet changed. Zeros
// that it took from the front of a number cannot be known.
func (b *builder) code(r row) string {
	c := b.cell(r, "voucher")
	code := oneLine(c.text)
	heading := b.heading("voucher")
	const hint = "format the column as text and enter the code again"
	switch {
	case code == "":
	case c.date != "":
		b.add(r.number, heading, fmt.Sprintf("the code shows as %s but is stored as the date %s: the spreadsheet turned it into a date", code, c.date), hint, false)
	case dateLike.MatchString(code) && looksDated(code):
		b.add(r.number, heading, fmt.Sprintf("the code %s looks like one that a spreadsheet turned into a date", code), hint, false)
	case scientific.MatchString(code):
		b.add(r.number, heading, fmt.Sprintf("the code %s looks like one that a spreadsheet turned into a number", code), hint, false)
	}
	return code
}

// looksDated reports whether the letters of a code that has the form of a date
// are a month's.
func looksDated(code string) bool {
	for _, w := range dateWord.FindAllString(strings.ToLower(code), -1) {
		if (w[0] < '0' || w[0] > '9') && monthByName(w) == 0 {
			return false
		}
	}
	return true
}

func (b *builder) voucher(r row, code string) seqqc.Voucher {
	text := func(ours string) string { return oneLine(b.cell(r, ours).text) }
	v := seqqc.Voucher{
		Code: code, FieldID: text("field_id"), Kind: b.kind(r), Row: r.number,
		Collector: text("collector"), IdentifiedBy: text("identified_by"), Institution: text("institution"),
		Date: b.date(r), Country: text("country"), Locality: text("locality"),
		Latitude: b.coordinate(r, latitude), Longitude: b.coordinate(r, longitude),
		Elevation: text("elevation"), Substrate: text("substrate"), Host: host(text("host")),
		Habitat: text("habitat"), Notes: b.cell(r, "notes").text, Observed: b.observed(r),
	}
	if v.Latitude == nil && v.Longitude == nil {
		v.Latitude, v.Longitude = b.bothCoordinates(r)
	}
	if (v.Latitude == nil) != (v.Longitude == nil) {
		have, lack := "latitude", "longitude"
		if v.Latitude == nil {
			have, lack = lack, have
		}
		if missing(b.cell(r, lack).text) {
			b.add(r.number, b.heading(lack), fmt.Sprintf("there is a %s but no %s", have, lack), "enter both or none", false)
		}
	}
	for i, c := range r.cells {
		if b.columns[i].Meaning == "" && c.text != "" {
			if v.Extra == nil {
				v.Extra = map[string]string{}
			}
			v.Extra[b.columns[i].Heading] = c.text
		}
	}
	return v
}

func (b *builder) sample(r row) seqqc.Sample {
	text := func(ours string) string { return oneLine(b.cell(r, ours).text) }
	both := b.well(r, "well")
	s := seqqc.Sample{ID: text("sample"), PrimerForward: text("primer_f"), PrimerReverse: text("primer_r"),
		PCRWell: both, SeqWell: both, Row: r.number}
	if w := b.well(r, "pcr_well"); w != "" {
		s.PCRWell = w
	}
	if w := b.well(r, "seq_well"); w != "" {
		s.SeqWell = w
	}
	return s
}

// missing reports whether a cell says that there is no value. The words are
// the archives' missing-value terms without their reasons, and common ones.
func missing(s string) bool {
	switch strings.ToLower(oneLine(s)) {
	case "", "-", "–", "?", "na", "n/a", "none", "null", "unknown", "missing",
		"not applicable", "not collected", "not provided", "restricted access":
		return true
	}
	return false
}

func (b *builder) drop(r row, ours string, c cell, why, hint string) {
	b.add(r.number, b.heading(ours), fmt.Sprintf("%q was left out: %s", clip(c.text), why), hint, false)
}

func (b *builder) date(r row) string {
	c := b.cell(r, "date")
	switch {
	case c.date != "":
		return c.date
	case missing(c.text):
		return b.dateOfParts(r)
	}
	iso, doubt, err := parseDate(c.text, b.order)
	if err != nil {
		b.drop(r, "date", c, err.Error(), "write it as YYYY-MM-DD, YYYY-MM or YYYY")
		return ""
	}
	if doubt != "" {
		b.add(r.number, b.heading("date"), doubt, "check it, and write it as YYYY-MM-DD", false)
	}
	return iso
}

// dateOfParts gives the date of the columns year, month and day.
func (b *builder) dateOfParts(r row) string {
	c := b.cell(r, "year")
	if missing(c.text) {
		return ""
	}
	var rest [2]string
	for i, ours := range []string{"month", "day"} {
		if text := oneLine(b.cell(r, ours).text); !missing(text) {
			rest[i] = text
		}
	}
	if m := monthByName(strings.ToLower(rest[0])); m > 0 {
		rest[0] = strconv.Itoa(m)
	}
	iso, err := "", fmt.Errorf("it is no year from 1600 to 2199")
	if year := oneLine(c.text); isNumber(year) && yearFirst.MatchString(year) {
		iso, err = day(year, rest[0], rest[1])
	}
	if err != nil {
		b.drop(r, "year", c, err.Error(), "write numbers in the columns year, month and day")
		return ""
	}
	return iso
}

// bothCoordinates gives those of the column lat_lon.
func (b *builder) bothCoordinates(r row) (lat, lon *float64) {
	c := b.cell(r, "lat_lon")
	if missing(c.text) {
		return nil, nil
	}
	north, east, err := parsePlace(c.text)
	if err != nil {
		b.drop(r, "lat_lon", c, err.Error(), "write decimal degrees in the columns latitude and longitude")
		return nil, nil
	}
	return &north, &east
}

func (b *builder) coordinate(r row, a axis) *float64 {
	c := b.cell(r, a.name)
	if missing(c.text) {
		return nil
	}
	text := c.text
	if c.value != "" {
		text = c.value // all digits, not only those shown
	}
	v, err := a.parse(text)
	if err != nil {
		b.drop(r, a.name, c, err.Error(), "write it in decimal degrees, south and west negative")
		return nil
	}
	return &v
}

func (b *builder) well(r row, ours string) string {
	c := b.cell(r, ours)
	if missing(c.text) {
		return ""
	}
	w, ok := normalWell(c.text)
	if !ok {
		if b.noWells == nil {
			b.noWells = map[string][]row{}
		}
		b.noWells[ours] = append(b.noWells[ours], r)
	}
	return w
}

// sayWells says of each column once what is no well in it: a sheet that counts
// its wells in another way does so in every row.
func (b *builder) sayWells() {
	for _, ours := range slices.Sorted(maps.Keys(b.noWells)) {
		rows := b.noWells[ours]
		why := "it is no well of a plate of 96 or 384"
		if more := len(rows) - 1; more > 0 {
			why += fmt.Sprintf(", and neither is that of %d more, the last in row %d", more, rows[more].number)
		}
		b.drop(rows[0], ours, b.cell(rows[0], ours), why, "write the row's letter and the column's number, as A01")
	}
}

// kinds are the words for the kinds of row, letters only. Those of controls
// are common practice, no source; "NTC" is the no-template control.
var kinds = map[string]seqqc.Kind{
	"specimen": seqqc.Specimen, "voucher": seqqc.Specimen, "sample": seqqc.Specimen, "fungus": seqqc.Specimen,
	"blank": seqqc.Blank, "negative": seqqc.Blank, "neg": seqqc.Blank, "negativecontrol": seqqc.Blank,
	"negcontrol": seqqc.Blank, "negctrl": seqqc.Blank, "ntc": seqqc.Blank, "notemplatecontrol": seqqc.Blank,
	"notemplate": seqqc.Blank, "extractionblank": seqqc.Blank, "pcrblank": seqqc.Blank, "water": seqqc.Blank,
	"extractioncontrol": seqqc.Blank, "blankcontrol": seqqc.Blank,
	"positive": seqqc.Positive, "pos": seqqc.Positive, "positivecontrol": seqqc.Positive,
	"poscontrol": seqqc.Positive, "posctrl": seqqc.Positive,
}

// kind gives the kind a row says, empty where it says none.
func (b *builder) kind(r row) seqqc.Kind {
	c := b.cell(r, "kind")
	if missing(c.text) {
		return ""
	}
	if k, ok := kinds[fold(c.text)]; ok {
		return k
	}
	b.drop(r, "kind", c, "it is none of specimen, blank and positive; the row is taken as a specimen",
		"write specimen, blank or positive")
	return seqqc.Specimen
}

// hostPair is the host in Darwin Core's associatedTaxa: "host":"Quercus alba".
var hostPair = regexp.MustCompile(`(?i)"?\bhost"?\s*:\s*"([^"]*)"`)

func host(s string) string {
	if m := hostPair.FindStringSubmatch(s); m != nil {
		return strings.TrimSpace(m[1])
	}
	return s
}
