package sheet_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/sheet"
)

func read(t *testing.T, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Read(strings.NewReader(text), "vouchers.csv", sheet.Options{})
	require.NoError(t, err)
	return s
}

// said gives the problems as "row field: what".
func said(s *sheet.Sheet) []string {
	var out []string
	for _, p := range s.Problems {
		out = append(out, fmt.Sprintf("%d %s: %s", p.Line, p.Field, p.What))
	}
	return out
}

func TestEveryColumn(t *testing.T) {
	s := read(t, "voucher,field_id,sample,kind,collector,identified_by,institution,date,country,locality,latitude,longitude,elevation,"+
		"substrate,host,habitat,primer_f,primer_r,pcr_well,seq_well,notes,smell\n"+
		"EX-1, Amanita  sp. ,1,specimen,A,B,EX,2026-10-03,Exampleland,mill,12.5,-34.25,320 m,soil,Fagus,wood,ITS1F,ITS4,a1,H12,\"two\nlines, quoted\",white\n"+
		"EX-2,Russula,,,,,,,,,,,,,,,,,,,,\n")
	require.Empty(t, said(s))
	lat, lon := 12.5, -34.25
	require.Equal(t, []seqqc.Voucher{
		{Code: "EX-1", FieldID: "Amanita sp.", Kind: seqqc.Specimen, Collector: "A", IdentifiedBy: "B", Institution: "EX", Date: "2026-10-03",
			Country: "Exampleland", Locality: "mill", Latitude: &lat, Longitude: &lon, Elevation: "320 m", Substrate: "soil", Host: "Fagus",
			Habitat: "wood", Notes: "two\nlines, quoted", Extra: map[string]string{"smell": "white"}, Row: 2,
			Observed: []seqqc.Observation{{Trait: seqqc.TraitGrowsOn, Written: "soil", State: "soil"}},
			Samples:  []seqqc.Sample{{ID: "1", PrimerForward: "ITS1F", PrimerReverse: "ITS4", PCRWell: "A01", SeqWell: "H12", Row: 2}}},
		{Code: "EX-2", FieldID: "Russula", Kind: seqqc.Specimen, Row: 3, Samples: []seqqc.Sample{{Row: 3}}},
	}, s.Vouchers)
	require.Equal(t, sheet.Column{Heading: "voucher", Meaning: "voucher"}, s.Columns[0])
	require.Equal(t, sheet.Column{Heading: "smell"}, s.Columns[21])
}

func TestRowsCountAsSpreadsheetsDo(t *testing.T) {
	s := read(t, "# made by hand\r\nvoucher,field_id,notes\r\n\r\nEX-1,Amanita,\"a\r\nb\"\r\n# a comment, with \"one mark\r\n,,\r\nEX-2,Russula,\r\nEX-2,Russula,\r\n")
	require.Equal(t, 4, s.Vouchers[0].Row)
	require.Equal(t, 7, s.Vouchers[1].Row)
	require.Equal(t, []string{"8 voucher: voucher EX-2 is already in row 7"}, said(s))
	require.True(t, s.Problems[0].Unread)
}

func TestSeparators(t *testing.T) {
	for name, text := range map[string]string{
		"comma":           "voucher,field_id,locality\nEX-1,Amanita,wood; mill\n",
		"semicolon":       "voucher;field_id;locality\nEX-1;Amanita;wood, mill\n",
		"tab":             "voucher\tfield_id\tlocality\nEX-1\tAmanita\twood, mill; 5\" wide\n",
		"said":            "sep=;\nvoucher;field_id;locality\nEX-1;Amanita;wood\n",
		"title above":     "Foray, autumn; all finds, checked\nvoucher;field_id;locality\nEX-1;Amanita;wood\n",
		"old line ends":   "voucher,field_id,locality\rEX-1,Amanita,wood\r",
		"no end":          "voucher,field_id,locality\nEX-1,Amanita,wood",
		"quoted headings": "\"voucher\";\"field_id\";\"locality, \"\"near\"\"\"\n\"EX-1\";\"Amanita\";\"wood\"\n",
	} {
		t.Run(name, func(t *testing.T) {
			s := read(t, text)
			require.Equal(t, "EX-1", s.Vouchers[0].Code)
			require.Equal(t, "Amanita", s.Vouchers[0].FieldID)
			require.Len(t, s.Columns, 3)
		})
	}
	// One column is no reason to split a code.
	_, err := sheet.Read(strings.NewReader("voucher\nEX-1\n"), "v.csv", sheet.Options{})
	require.ErrorIs(t, err, sheet.ErrMissingColumn)
}

func TestBadRowsDoNotStopTheRest(t *testing.T) {
	s := read(t, "voucher,field_id,latitude,longitude,notes\n"+
		"EX-1,Amanita,45,123,7,5,\n"+ // decimal commas that are not quoted
		"EX-2,\"Russula,,,\n"+ // a mark that is not closed
		"EX-3,Lactarius,,,cap 5\" wide\n"+
		",Boletus,,,\n"+
		"EX-4,,,,\n"+
		"EX-5,Mycena\n"+ // short rows are common
		"#12,Inocybe,,,\n"+
		"EX-6,#N/A,,,\n"+
		"#REF!,Inocybe,,,\n")
	var codes []string
	for _, v := range s.Vouchers {
		codes = append(codes, v.Code)
	}
	require.Equal(t, []string{"EX-1", "EX-2", "EX-3", "EX-4", "EX-5", "EX-6"}, codes)
	require.Equal(t, seqqc.Voucher{Code: "EX-1", Kind: seqqc.Specimen, Row: 2, Samples: []seqqc.Sample{{Row: 2}}}, s.Vouchers[0])
	require.Equal(t, `cap 5" wide`, s.Vouchers[2].Notes)
	require.Equal(t, []string{
		"2 : the row has 7 cells, the heading 5, so values may stand under the wrong heading",
		"2 voucher: of this row only the voucher code EX-1 is used",
		"3 : a quotation mark is not closed, or stands inside a quoted cell; the row was read up to it",
		"5 voucher: the row has no voucher code",
		`8 : the row begins with "#12,Inocybe,,," and was taken as a comment`,
		"9 field_id: the cell holds the spreadsheet error #N/A",
		"10 voucher: the cell holds the spreadsheet error #REF!",
		"10 voucher: the row has no voucher code",
	}, said(s))
	for _, p := range s.Problems {
		require.Equal(t, "vouchers.csv", p.File)
		require.NotEmpty(t, p.Hint)
	}
}

// Every voucher of the sheet has a line in the results, whatever is wrong with
// its row, unless its code cannot be told.
func TestSpoiltRowsKeepTheirVoucher(t *testing.T) {
	s := read(t, "voucher,field_id,sample,date,notes\n"+
		"EX-1,Amanita,,3/10/2026,a,b,13/10/2026\n"+
		"EX-2,Russula,1,,\n"+
		"EX-2,Russula,2,,a,b\n"+ // the voucher has another row
		"EX-3,Mycena,,4/10/2026,\"old wood\n"+
		"\"EX-4,Boletus,,,\n"+ // its code may not be all
		"EX-5,Inocybe,,13/10/2026,\n")
	var got []string
	for _, v := range s.Vouchers {
		require.NotEmpty(t, v.Samples)
		got = append(got, fmt.Sprintf("%d %s %s %s", v.Row, v.Code, v.FieldID, v.Date))
	}
	require.Equal(t, []string{"2 EX-1  ", "3 EX-2 Russula ", "5 EX-3 Mycena 2026-10-04", "7 EX-5 Inocybe 2026-10-13"}, got)
	unread := map[int]bool{}
	for _, p := range s.Problems {
		unread[p.Line] = unread[p.Line] || p.Unread
	}
	require.Equal(t, map[int]bool{2: true, 4: true, 5: true, 6: true}, unread)

	// Behind another column the code may be the rest of that one's cell.
	s = read(t, "site,voucher,field_id\nwood, mill,EX-1,Amanita\n,EX-2,Russula\n")
	require.Len(t, s.Vouchers, 1)

	_, err := sheet.Read(strings.NewReader("sep=,\nvoucher,field_id,\"notes\nEX-1,Amanita,x\n"), "v.csv", sheet.Options{})
	require.ErrorIs(t, err, sheet.ErrMalformed)
}

func TestBadOptionalCellsDropTheirValueOnly(t *testing.T) {
	s := read(t, "voucher,field_id,date,decimalLatitude,decimalLongitude,pcr_well,kind,country\n"+
		"EX-1,Amanita,3/10/26,95,W 200,Q1,control,Exampleland\n")
	v := s.Vouchers[0]
	require.Empty(t, v.Date)
	require.Nil(t, v.Latitude)
	require.Nil(t, v.Longitude)
	require.Empty(t, v.Samples[0].PCRWell)
	require.Equal(t, seqqc.Specimen, v.Kind)
	require.Equal(t, "Exampleland", v.Country)
	require.Equal(t, []string{
		`2 kind: "control" was left out: it is none of specimen, blank and positive; the row is taken as a specimen`,
		`2 date: "3/10/26" was left out: the year has two digits, so the century is not told`,
		`2 decimalLatitude: "95" was left out: a latitude is at most 90 degrees`,
		`2 decimalLongitude: "W 200" was left out: a longitude is at most 180 degrees`,
		`2 pcr_well: "Q1" was left out: it is no well of a plate of 96 or 384`,
	}, said(s))
	for _, p := range s.Problems {
		require.False(t, p.Unread)
	}
}

// A column that counts its wells in another way is told once.
func TestNoWellsAreToldOnce(t *testing.T) {
	s := read(t, "voucher,field_id,seq_well\nEX-1,Amanita,well 1\nEX-2,Amanita,A02\nEX-3,Amanita,well 3\nEX-4,Amanita,well 4\n")
	require.Equal(t, []string{
		`2 seq_well: "well 1" was left out: it is no well of a plate of 96 or 384, and neither is that of 2 more, the last in row 5`,
	}, said(s))
	require.Equal(t, "A02", s.Vouchers[1].Samples[0].SeqWell)
}

func TestPartsAndPairsInColumnsOfTheirOwn(t *testing.T) {
	s := read(t, "voucher,field_id,date,year,month,day,lat_lon,latitude\n"+
		"EX-1,Amanita,,2026,10,3,47.94 N 28.12 W,\n"+
		"EX-2,Amanita,,2026,Oct,,\"12.5, 7.25\",\n"+
		"EX-3,Amanita,2026-10-04,2026,10,3,,\n"+
		"EX-4,Amanita,,26,10,3,mill,\n"+
		"EX-5,Amanita,,2026,13,3,,\n")
	var dates []string
	for _, v := range s.Vouchers {
		dates = append(dates, v.Date)
	}
	require.Equal(t, []string{"2026-10-03", "2026-10", "2026-10-04", "", ""}, dates)
	require.Equal(t, []float64{47.94, -28.12, 12.5, 7.25},
		[]float64{*s.Vouchers[0].Latitude, *s.Vouchers[0].Longitude, *s.Vouchers[1].Latitude, *s.Vouchers[1].Longitude})
	require.Equal(t, []string{
		`5 year: "26" was left out: it is no year from 1600 to 2199`,
		`5 lat_lon: "mill" was left out: it is no latitude and longitude that are understood`,
		`6 year: "2026" was left out: there is no month 13`,
	}, said(s))
}

func TestSamplesOfOneVoucher(t *testing.T) {
	s := read(t, "voucher,field_id,sample,kind,date,country,notes,well\n"+
		"EX-1,Amanita,1,,2026-10-03,,first,A1\n"+
		"ex-1,amanita,2,,,Exampleland,rerun,A2\n"+
		"EX-1,Russula,3,blank,2026-10-04,,,\n"+
		"EX-1,Amanita,2,,,,,\n")
	require.Len(t, s.Vouchers, 1)
	v := s.Vouchers[0]
	require.Equal(t, []seqqc.Sample{{ID: "1", PCRWell: "A01", SeqWell: "A01", Row: 2}, {ID: "2", PCRWell: "A02", SeqWell: "A02", Row: 3}, {ID: "3", Row: 4}}, v.Samples)
	require.Equal(t, "Exampleland", v.Country)
	require.Equal(t, "first; rerun", v.Notes)
	require.Equal(t, []string{
		`4 field_id: "Russula" differs from "Amanita" in row 2 of the same voucher; row 2 is used`,
		`4 date: "2026-10-04" differs from "2026-10-03" in row 2 of the same voucher; row 2 is used`,
		`4 kind: "blank" differs from "specimen" in row 2 of the same voucher; row 2 is used`,
		"5 voucher: sample 2 of voucher EX-1 is already in row 3",
	}, said(s))
}

func TestCodesThatDifferOnlyInPunctuation(t *testing.T) {
	s := read(t, "voucher,field_id\nFC-12,Amanita\nFC_12,Russula\nFC-012,Mycena\n--,Boletus\n")
	require.Len(t, s.Vouchers, 4)
	require.Equal(t, []string{
		"3 voucher: voucher FC_12 differs from FC-12 in row 2 only in punctuation, so file names cannot tell them apart",
		`5 voucher: the code "--" has no letter or digit, so no file name can carry it`,
	}, said(s))
}

// The words for controls are common practice, no source.
func TestKinds(t *testing.T) {
	for kind, words := range map[seqqc.Kind][]string{
		seqqc.Blank:    {"blank", "BLANK", "negative", "Negative control", "neg", "neg.", "NTC", "no-template control", "extraction blank", "PCR blank", "water"},
		seqqc.Positive: {"positive", "pos", "Positive control"},
		seqqc.Specimen: {"", "specimen", "Specimen", "voucher"},
	} {
		for _, word := range words {
			s := read(t, "voucher,field_id,kind\nEX-1,Amanita,"+word+"\n")
			require.Equal(t, kind, s.Vouchers[0].Kind, word)
			require.Empty(t, said(s))
		}
	}
}

func TestCodesThatASpreadsheetChanged(t *testing.T) {
	for code, what := range map[string]string{
		"3-Oct": "turned into a date", "Oct-03": "turned into a date", "03-Oct-26": "turned into a date", "2026-10-03": "turned into a date",
		"3/10/2026": "turned into a date", "03.10.2026": "turned into a date", "1.23E+05": "turned into a number", `"1,23E+05"`: "turned into a number",
		"FC-0012": "", "3-FC": "", "12E": "", "2026-012": "", "OCT3": "", "1.2.3": "", "EX-0001": "", "0012": "", "MAR-2026-01": "",
	} {
		s := read(t, "voucher,field_id\n"+code+",Amanita\n")
		require.Equal(t, strings.Trim(code, `"`), s.Vouchers[0].Code)
		require.Equal(t, what != "", len(s.Problems) == 1, "%s: %v", code, said(s))
		require.Contains(t, strings.Join(said(s), ""), what, code)
	}
}

func TestTemplateReadsWithoutAProblem(t *testing.T) {
	_, err := sheet.Read(strings.NewReader(string(sheet.Template())), "vouchers.csv", sheet.Options{})
	require.ErrorIs(t, err, sheet.ErrNoVouchers)
	require.EqualError(t, err, "vouchers.csv: there is no row with a voucher below the heading; fill in one row a voucher; rows that begin with # are comments")

	s := read(t, string(sheet.Template())+"EX-2,Russula sp.\n")
	require.Empty(t, said(s))
	require.Len(t, s.Vouchers, 1)
	for _, c := range s.Columns {
		require.Equal(t, c.Heading, c.Meaning)
	}
	// The example itself is a row that reads without a problem.
	s = read(t, strings.Replace(string(sheet.Template()), "# ", "", 1))
	require.Empty(t, said(s))
	require.Equal(t, "EX-0001", s.Vouchers[0].Code)
	require.Equal(t, "2026-10-03", s.Vouchers[0].Date)
}

func TestSheetsThatCannotBeRead(t *testing.T) {
	for text, kind := range map[string]error{
		"":                                      sheet.ErrNoVouchers,
		"\n\n# nothing\n":                       sheet.ErrNoVouchers,
		"voucher,field_id\n":                    sheet.ErrNoVouchers,
		"voucher,name\nEX-1,Amanita\n":          sheet.ErrMissingColumn,
		"field_id,name\nAmanita,x\n":            sheet.ErrMissingColumn,
		"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest":  sheet.ErrUnsupported,
		"PK\x03\x04broken":                      sheet.ErrMalformed,
		"voucher,field_id\nEX-1,Ama\x00nita\n":  sheet.ErrUnsupported,
		strings.Repeat("voucher,field_id\n", 9): nil,
	} {
		_, err := sheet.Read(strings.NewReader(text), "v.csv", sheet.Options{})
		require.ErrorIs(t, err, kind, "%q", text)
	}
	for lim, text := range map[sheet.Limits]string{
		{Bytes: 20}: "voucher,field_id\nEX-1,Amanita\n",
		{Rows: 2}:   "voucher,field_id\nEX-1,Amanita\nEX-2,Amanita\n",
		{Cells: 4}:  "voucher,field_id\nEX-1,Amanita\nEX-2,Amanita\n",
		{Rows: 1}:   "voucher,field_id\n" + strings.Repeat("\n", 20),
	} {
		_, err := sheet.Read(strings.NewReader(text), "v.csv", sheet.Options{Limits: lim})
		require.ErrorIs(t, err, sheet.ErrTooLarge)
	}
}
