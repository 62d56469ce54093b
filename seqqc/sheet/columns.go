package sheet

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"forayseq/seqqc"
)

// Column is one heading of a sheet and how it was understood.
type Column struct {
	// Heading is as written; Meaning is our column name, empty where the
	// column is not known and is kept in Voucher.Extra under its heading.
	Heading string
	Meaning string
}

// column is one of our columns with the other headings it goes by, the best
// first. Terms are those of published standards, words are plain ones.
type column struct {
	name  string
	terms []string // see TestTermsOfStandards
	words []string
	// example fills the commented row of the template; invented.
	example string
}

// known are the columns in the order of the template. The terms are Darwin
// Core (TDWG, https://dwc.tdwg.org/terms/, 2025-07-10) and its DNA-derived
// data extension (GBIF, 2024-07-11).
var known = []column{
	{"voucher", []string{"catalogNumber"}, []string{"voucher code", "voucher no", "voucher number", "voucher id", "specimen voucher"}, "EX-0001"},
	{"field_id", []string{"verbatimIdentification", "scientificName"}, []string{"field identification", "field name", "field determination"}, "Amanita sp."},
	{"sample", []string{"materialSampleID", "samp_name"}, []string{"sample id", "extraction", "dna number"}, "1"},
	{"kind", nil, []string{"sample kind", "control"}, "specimen"},
	{"collector", []string{"recordedBy"}, []string{"collected by", "leg"}, "A. Example"},
	{"identified_by", []string{"identifiedBy"}, []string{"determiner", "determined by", "det"}, "B. Example"},
	{"institution", []string{"institutionCode"}, nil, "EXAMPLE"},
	{"date", []string{"eventDate", "verbatimEventDate"}, []string{"collection date", "date collected", "collected on"}, "2026-10-03"},
	{"country", []string{"country"}, nil, "Exampleland"},
	{"locality", []string{"locality", "verbatimLocality"}, []string{"location", "site"}, "beech wood by the mill"},
	{"latitude", []string{"decimalLatitude", "verbatimLatitude"}, []string{"lat"}, "12.3456"},
	{"longitude", []string{"decimalLongitude", "verbatimLongitude"}, []string{"lon", "long", "lng"}, "-34.5678"},
	{"elevation", []string{"verbatimElevation", "minimumElevationInMeters"}, []string{"altitude", "elev", "alt"}, "320 m"},
	{"substrate", nil, []string{"substratum"}, "soil"},
	{"host", []string{"associatedTaxa"}, []string{"host plant", "tree"}, "Fagus"},
	{"habitat", []string{"habitat"}, nil, "deciduous wood"},
	{"primer_f", []string{"pcr_primer_name_forward"}, []string{"forward primer", "primer forward", "fwd primer"}, "ITS1F"},
	{"primer_r", []string{"pcr_primer_name_reverse"}, []string{"reverse primer", "primer reverse", "rev primer"}, "ITS4"},
	{"pcr_well", nil, []string{"pcr position"}, "A01"},
	{"seq_well", nil, []string{"sequencing well", "sequence well"}, "A01"},
	{"notes", []string{"occurrenceRemarks"}, []string{"note", "remarks", "comment", "comments"}, "delete this line or leave it: rows that begin with # are not read"},
}

// others are columns that stand for several of the known, or for a part of one:
// both wells, both coordinates, a date in three cells. The template is without
// them. lat_lon is the name of the public archives (INSDC feature table).
var others = []column{
	{name: "well", words: []string{"plate well", "plate position"}},
	{name: "lat_lon", terms: []string{"verbatimCoordinates"}, words: []string{"coordinates", "latitude longitude", "gps"}},
	{name: "year", terms: []string{"year"}},
	{name: "month", terms: []string{"month"}},
	{name: "day", terms: []string{"day"}},
}

// headings knows what a heading means, by its folded form.
type headings struct {
	builtIn map[string]meaning
	// asked are those of Options.Columns, which go first.
	asked map[string]meaning
}

// meaning is our column for a heading. Of several headings for one column the
// lowest rank is used.
type meaning struct {
	ours    string
	rank    int
	heading string // as written in Options.Columns
}

func newHeadings(name string, columns map[string]string) (*headings, error) {
	h := &headings{builtIn: map[string]meaning{}, asked: map[string]meaning{}}
	for _, c := range slices.Concat(known, traitColumns, others) {
		for i, word := range slices.Concat([]string{c.name}, c.terms, c.words) {
			if k := fold(word); h.builtIn[k].ours == "" {
				h.builtIn[k] = meaning{ours: c.name, rank: i + 1}
			}
		}
	}
	for heading, target := range columns {
		ours := h.builtIn[fold(target)].ours
		if ours == "" || fold(heading) == "" {
			return nil, failure(ErrBadOption, name,
				fmt.Sprintf("the setting columns takes %q to %q, which is no column", heading, target),
				"use one of "+strings.Join(ourNames(), " "))
		}
		h.asked[fold(heading)] = meaning{ours: ours, heading: heading}
	}
	return h, nil
}

// of gives the meaning of a heading; its ours is empty where it is not known.
func (h *headings) of(heading string) meaning {
	k := fold(heading)
	if m, ok := h.asked[k]; ok {
		return m
	}
	return h.builtIn[k]
}

func ourNames() []string {
	var names []string
	for _, c := range slices.Concat(known, traitColumns, others) {
		names = append(names, c.name)
	}
	return names
}

// fold makes headings comparable: letters and digits only, lower case, without
// what stands in brackets ("elevation (m)") and without a "dwc:" in front.
func fold(heading string) string {
	s := strings.ToLower(norm.NFC.String(heading))
	s = strings.TrimPrefix(strings.TrimSpace(s), "dwc:")
	if i := strings.IndexAny(s, "(["); i > 0 {
		s = s[:i]
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r) {
			return r
		}
		return -1
	}, s)
}

// findHeading gives the index of the heading row: the first of the top rows
// that names the voucher column, else the first row; -1 where there is none.
func (h *headings) findHeading(rows []row) int {
	for i, r := range rows[:min(len(rows), headingRows)] {
		for _, c := range r.cells {
			if h.of(c.text).ours == "voucher" {
				return i
			}
		}
	}
	return min(0, len(rows)-1)
}

// hasVoucher reports whether one of the top rows names the voucher column.
func (h *headings) hasVoucher(rows []row) bool {
	at := h.findHeading(rows)
	return at >= 0 && slices.ContainsFunc(rows[at].cells, func(c cell) bool { return h.of(c.text).ours == "voucher" })
}

// headings settles what each of the n columns means. The needed ones must be
// there.
func (b *builder) headings(h *headings, r row, n int, needed ...string) error {
	b.at = map[string]int{}
	b.columns = make([]Column, n)
	taken, present := map[string]bool{}, map[string]bool{}
	for i := range b.columns {
		heading := ""
		if i < len(r.cells) {
			heading = oneLine(r.cells[i].text)
		}
		m := h.of(heading)
		present[fold(heading)] = true
		if heading == "" {
			heading = "column " + columnLetters(i)
		} else {
			b.headed = i + 1
		}
		for taken[heading] { // Extra needs a key for each
			heading += " (again)"
		}
		taken[heading] = true
		b.columns[i].Heading = heading
		if m.ours == "" {
			continue
		}
		if first, double := b.at[m.ours]; double {
			switch other := h.of(b.columns[first].Heading); {
			case m.rank < other.rank:
				b.columns[first].Meaning = ""
			case m.rank == other.rank:
				b.add(r.number, heading, fmt.Sprintf("there is a second column for %s; the first is used", m.ours),
					"rename or remove one of them", false)
				continue
			default:
				continue
			}
		}
		b.at[m.ours], b.columns[i].Meaning = i, m.ours
	}
	for _, k := range slices.Sorted(maps.Keys(h.asked)) {
		if !present[k] {
			b.add(r.number, h.asked[k].heading, "the setting columns names a heading that the sheet does not have",
				"correct the heading in the settings", false)
		}
	}
	for _, need := range needed {
		if _, ok := b.at[need]; !ok {
			return &Error{Err: ErrMissingColumn, Problem: seqqc.Problem{File: b.name, Line: r.number, Unread: true,
				What: fmt.Sprintf("there is no column %s; the headings are %s", need, b.headingList()),
				Hint: fmt.Sprintf("name the column %s (for a sheet, the setting columns can say which heading means it)", need)}}
		}
	}
	return nil
}

func (b *builder) headingList() string {
	var list []string
	for _, c := range b.columns[:min(len(b.columns), 30)] {
		list = append(list, fmt.Sprintf("%q", clip(c.Heading)))
	}
	return strings.Join(list, ", ")
}

// columnLetters names the column of the 0-based index as spreadsheets do.
func columnLetters(i int) string {
	s := ""
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('A'+(i-1)%26)) + s
	}
	return s
}
