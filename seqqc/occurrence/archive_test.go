package occurrence_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/deposit"
	"forayseq/seqqc/occurrence"
)

// result gives an invented batch: a specimen that is deposited, one under
// another name that stays, one held back, and a blank.
func result() *seqqc.Result {
	bases := []byte(strings.Repeat("ACGTTGCATG", 40))
	match := &seqqc.Match{Supported: refs.Species, Taxon: "Russula ficticia", Lineage: refs.Lineage{
		Kingdom: "Fungi", Phylum: "Basidiomycota", Order: "Russulales", Family: "Russulaceae", Genus: "Russula", Species: "Russula ficticia"}}
	voucher := func(code, name string, kind seqqc.VerdictKind) seqqc.VoucherResult {
		return seqqc.VoucherResult{
			Voucher: seqqc.Voucher{
				Code: code, FieldID: name, Field: refs.ParseName(name), Kind: seqqc.Specimen, Institution: "QMC", Collector: "Fern Placeholder", Elevation: "ca. 320 m",
				IdentifiedBy: "Moss Testwright", Date: "2026-09-03", Country: "Norway", Locality: "Old\tTarn \"Bank\"\nsynthetic", Host: "Fagus",
			},
			Samples: []seqqc.SampleResult{{
				Sample: seqqc.Sample{PrimerForward: "ITS1F", PrimerReverse: "ITS4"},
				Contig: &seqqc.Contig{Bases: bases, Quals: bytes.Repeat([]byte{40}, len(bases)), Region: seqqc.Region{
					Located: true, Text: "ITS1-5.8S-ITS2", ITS1: seqqc.Interval{End: 100}, ITS1Whole: true}},
				Match: match,
			}},
			Verdict: seqqc.Verdict{Kind: kind, AgreeRank: refs.Species, Reason: "It is invented."},
		}
	}
	res := &seqqc.Result{Vouchers: []seqqc.VoucherResult{
		voucher("QM-1", "Russula ficticia", seqqc.Agrees), voucher("QM-2", "Lactarius sp.", seqqc.Conflict),
		voucher("QM-3", "Russula sp.", seqqc.Agrees), voucher("QM-4", "", seqqc.Undetermined), voucher("QM-5", "Mycena?", seqqc.Conflict),
		voucher("QM-6", "", seqqc.Undetermined),
	}}
	res.Vouchers[5].Samples = nil
	lat, lon := 60.25, 5+3/7.0
	res.Vouchers[1].Voucher.Country = "Exampleland"
	res.Vouchers[0].Voucher.Latitude, res.Vouchers[0].Voucher.Longitude = &lat, &lon
	res.Vouchers[2].Reviewed = &seqqc.Reviewed{Submission: "hold"}
	res.Vouchers[3].Voucher.Kind = seqqc.Blank
	res.Vouchers[4].Reviewed = &seqqc.Reviewed{By: "Hazel Sample", When: "2026-10-01T10:00:00Z", Kind: seqqc.Agrees, FinalName: "Russula cf. ficticia", Why: "gills\tagain"}
	return res
}

func archive(t *testing.T, p occurrence.Params) (*occurrence.Archive, map[string][]byte) {
	t.Helper()
	res := result()
	a := occurrence.New(res, deposit.Prepare(res, p.Deposit), p)
	var first, second bytes.Buffer
	require.NoError(t, a.Write(&first))
	require.NoError(t, a.Write(&second))
	require.Equal(t, first.Bytes(), second.Bytes())
	z, err := zip.NewReader(bytes.NewReader(first.Bytes()), int64(first.Len()))
	require.NoError(t, err)
	files := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		files[f.Name], err = io.ReadAll(r)
		require.NoError(t, err)
	}
	return a, files
}

func params() occurrence.Params {
	return occurrence.Params{Title: "Synthetic <finds> & others", Holder: "Quillmoor Mushroom Circle", License: "by", Deposit: deposit.Defaults()}
}

// meta is what a reader of such archives looks at in meta.xml.
type meta struct {
	Metadata  string  `xml:"metadata,attr"`
	Core      table   `xml:"core"`
	Extension []table `xml:"extension"`
}

type table struct {
	RowType    string `xml:"rowType,attr"`
	Terminated string `xml:"fieldsTerminatedBy,attr"`
	Enclosed   string `xml:"fieldsEnclosedBy,attr"`
	Header     int    `xml:"ignoreHeaderLines,attr"`
	Location   string `xml:"files>location"`
	ID         *struct {
		Index int `xml:"index,attr"`
	} `xml:"id"`
	CoreID *struct {
		Index int `xml:"index,attr"`
	} `xml:"coreid"`
	Fields []struct {
		Index int    `xml:"index,attr"`
		Term  string `xml:"term,attr"`
	} `xml:"field"`
}

// read gives the rows of a table by the last part of their terms, as a reader
// that knows only meta.xml would.
func (t table) read(tt *testing.T, data []byte) []map[string]string {
	tt.Helper()
	require.Equal(tt, `\t`, t.Terminated)
	require.Equal(tt, `"`, t.Enclosed)
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma = '\t'
	rows, err := r.ReadAll()
	require.NoError(tt, err)
	var out []map[string]string
	for _, row := range rows[t.Header:] {
		require.Len(tt, row, len(t.Fields)+1)
		m := map[string]string{"id": row[0]}
		for _, f := range t.Fields {
			m[f.Term[strings.LastIndex(f.Term, "/")+1:]] = row[f.Index]
		}
		out = append(out, m)
	}
	return out
}

func TestArchiveReadsBack(t *testing.T) {
	a, files := archive(t, params())
	require.Equal(t, 4, a.Records)
	require.Equal(t, 2, a.Sequences)
	var m meta
	require.NoError(t, xml.Unmarshal(files["meta.xml"], &m))
	require.Equal(t, "eml.xml", m.Metadata)
	// Every element is of the namespace of the Darwin Core text guide: readers
	// that mind namespaces find no core otherwise.
	tokens := xml.NewDecoder(bytes.NewReader(files["meta.xml"]))
	elements := 0
	for {
		token, err := tokens.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok {
			require.Equal(t, "http://rs.tdwg.org/dwc/text/", e.Name.Space, e.Name.Local)
			elements++
		}
	}
	require.Greater(t, elements, 20)
	require.NotNil(t, m.Core.ID)
	require.Equal(t, "http://rs.tdwg.org/dwc/terms/Occurrence", m.Core.RowType)
	core := m.Core.read(t, files[m.Core.Location])
	require.Len(t, core, 4)
	ids := map[string]bool{}
	for _, row := range core {
		require.False(t, ids[row["id"]])
		ids[row["id"]] = true
		require.Equal(t, row["id"], row["occurrenceID"])
		require.Equal(t, `Old Tarn "Bank" synthetic`, row["locality"])
		require.Equal(t, `"host":"Fagus"`, row["associatedTaxa"])
		require.Equal(t, "320", row["minimumElevationInMeters"])
		require.NotEmpty(t, row["scientificName"])
	}
	require.Equal(t, "NO", core[0]["countryCode"])
	require.Equal(t, "Exampleland", core[1]["country"], "a country that the list does not have stays as it was written")
	require.Equal(t, "60.25", core[0]["decimalLatitude"])
	require.Equal(t, "5.428571", core[0]["decimalLongitude"])
	require.Equal(t, "not recorded", core[0]["geodeticDatum"])
	require.Empty(t, core[1]["geodeticDatum"], "no coordinates, no datum")
	require.Equal(t, "Russula ficticia", core[0]["scientificName"])
	require.Equal(t, "species", core[0]["taxonRank"])
	require.Equal(t, "Russulaceae", core[0]["family"])
	require.Empty(t, core[0]["previousIdentifications"])

	// A conflict that nobody reviewed keeps its field name and tells of it.
	require.Equal(t, "Lactarius", core[1]["scientificName"])
	require.Equal(t, "sp.", core[1]["identificationQualifier"])
	require.Empty(t, core[1]["family"], "the DNA's family is not that of the field name")
	require.Contains(t, core[1]["identificationRemarks"], "conflict")

	require.Equal(t, "Mycena?", core[2]["verbatimIdentification"])
	require.Equal(t, "cf. ficticia", core[2]["identificationQualifier"])
	require.Equal(t, "Mycena?, field ID by Moss Testwright", core[2]["previousIdentifications"])
	require.Equal(t, "Hazel Sample", core[2]["identifiedBy"])

	require.Equal(t, "incertae sedis", core[3]["scientificName"])
	require.Empty(t, core[3]["taxonRank"])

	require.Len(t, m.Extension, 2)
	counts := map[string]int{}
	for _, x := range m.Extension {
		require.NotNil(t, x.CoreID)
		for _, row := range x.read(t, files[x.Location]) {
			require.True(t, ids[row["id"]], "a row of a record that is there")
			counts[x.Location]++
			if row["verbatimIdentification"] == "Russula cf. ficticia" {
				require.Equal(t, "cf. ficticia", row["identificationQualifier"])
			}
		}
	}
	require.Equal(t, map[string]int{"identification.txt": 7, "dna.txt": 2}, counts)

	var eml struct {
		Title    string   `xml:"dataset>title"`
		Creator  string   `xml:"dataset>creator>organizationName"`
		Abstract []string `xml:"dataset>abstract>para"`
		Rights   string   `xml:"dataset>intellectualRights>para"`
	}
	require.NoError(t, xml.Unmarshal(files["eml.xml"], &eml))
	require.Equal(t, "Synthetic <finds> & others", eml.Title)
	require.Contains(t, eml.Rights, occurrence.Licenses["by"])
	require.Contains(t, strings.Join(eml.Abstract, " "), "safe to eat")
}

func TestSensitivePlacesAreGeneralized(t *testing.T) {
	p := params()
	p.Deposit.Sensitive = []string{"Russula"}
	_, files := archive(t, p)
	var m meta
	require.NoError(t, xml.Unmarshal(files["meta.xml"], &m))
	row := m.Core.read(t, files[m.Core.Location])[0]
	require.Equal(t, "60.3", row["decimalLatitude"])
	require.Equal(t, "0.1", row["coordinatePrecision"])
	require.Empty(t, row["locality"])
	require.Contains(t, row["dataGeneralizations"], "rounded to 0.1 degrees")
}

// Every term is in the published lists: Darwin Core occurrence terms (TDWG,
// 2025-07-10) and the DNA-derived data extension (GBIF, 2024-07-11).
func TestTermsArePublished(t *testing.T) {
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA does not name the folder of open data")
	}
	terms := func(name string) map[string]bool {
		raw, err := os.ReadFile(filepath.Join(dir, "standards", name))
		require.NoError(t, err)
		out := map[string]bool{}
		for line := range strings.Lines(string(raw)) {
			if cells := strings.Split(line, "\t"); len(cells) > 2 {
				out[cells[2]] = true
			}
		}
		require.Greater(t, len(out), 50)
		return out
	}
	dwc, dna := terms("dwc_occurrence_terms.tsv"), terms("gbif_dna_terms.tsv")
	_, files := archive(t, params())
	var m meta
	require.NoError(t, xml.Unmarshal(files["meta.xml"], &m))
	for _, x := range append(m.Extension, m.Core) {
		list := dwc
		if x.Location == "dna.txt" {
			list = dna
		}
		require.NotEmpty(t, x.Fields)
		for _, f := range x.Fields {
			require.True(t, list[f.Term], "%s: %s", x.Location, f.Term)
		}
	}
}

func ExampleArchive_Write() {
	res := result()
	a := occurrence.New(res, deposit.Prepare(res, deposit.Defaults()), occurrence.Params{Deposit: deposit.Defaults()})
	var zip bytes.Buffer
	fmt.Println(a.Write(&zip), a.Records, "records,", a.Sequences, "with DNA")
	// Output: <nil> 4 records, 2 with DNA
}
