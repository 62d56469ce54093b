package sheet

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTermsOfStandards looks every term up in the published lists: Darwin Core
// occurrence terms (TDWG, 2025-07-10) and the DNA-derived data extension
// (GBIF, 2024-07-11).
func TestTermsOfStandards(t *testing.T) {
	root := os.Getenv("FORAYSEQ_OPEN_DATA")
	if root == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set")
	}
	published := map[string]bool{}
	for _, list := range []string{"dwc_occurrence_terms.tsv", "gbif_dna_terms.tsv"} {
		f, err := os.Open(filepath.Join(root, "standards", list))
		require.NoError(t, err)
		r := csv.NewReader(f)
		r.Comma, r.LazyQuotes, r.FieldsPerRecord = '\t', true, -1
		rows, err := r.ReadAll()
		require.NoError(t, err)
		require.NoError(t, f.Close())
		for _, row := range rows[1:] {
			published[row[0]] = true
		}
	}
	count := 0
	for _, c := range slices.Concat(known, traitColumns, others) {
		for _, term := range c.terms {
			require.True(t, published[term], "%s is no published term", term)
			count++
		}
	}
	require.Greater(t, count, 15)
}

func TestHeadingsByAnyName(t *testing.T) {
	h, err := newHeadings("v.csv", nil)
	require.NoError(t, err)
	for heading, ours := range map[string]string{
		"voucher": "voucher", "Voucher": "voucher", " VOUCHER ": "voucher", "catalogNumber": "voucher", "Catalog Number": "voucher",
		"dwc:catalogNumber": "voucher", "field_id": "field_id", "Field ID": "field_id", "fieldid": "field_id", "verbatimIdentification": "field_id",
		"recordedBy": "collector", "identifiedBy": "identified_by", "institutionCode": "institution", "eventDate": "date",
		"decimalLatitude": "latitude", "Lat": "latitude", "Latitude (decimal)": "latitude", "decimal_longitude": "longitude",
		"verbatimElevation": "elevation", "Elevation [m]": "elevation", "minimumElevationInMeters": "elevation",
		"associatedTaxa": "host", "occurrenceRemarks": "notes", "materialSampleID": "sample", "samp_name": "sample",
		"primer F": "primer_f", "Well": "well", "seq well": "seq_well", "cap colour": "", "": "", "(m)": "",
	} {
		require.Equal(t, ours, h.of(heading).ours, heading)
	}
	// No heading means two columns.
	seen := map[string]string{}
	for _, c := range slices.Concat(known, traitColumns, others) {
		for _, word := range append(append([]string{c.name}, c.terms...), c.words...) {
			other, double := seen[fold(word)]
			require.True(t, !double || other == c.name, "%s means %s and %s", word, other, c.name)
			seen[fold(word)] = c.name
		}
	}
}

func TestColumnSettings(t *testing.T) {
	text := "Nº de récolte;Détermination;Ort\nEX-1;Amanita;mill\n"
	read := func(columns map[string]string) (*Sheet, error) {
		return Read(strings.NewReader(text), "v.csv", Options{Columns: columns})
	}
	s, err := read(map[string]string{"NO DE RÉCOLTE": "voucher", "nº de récolte": "voucher", "détermination": "Field ID", "Ort": "locality"})
	require.NoError(t, err)
	require.Equal(t, "mill", s.Vouchers[0].Locality)
	require.Equal(t, "field_id", s.Columns[1].Meaning)
	require.Equal(t, "NO DE RÉCOLTE", s.Problems[0].Field, "a setting for a heading that is not there is told")

	_, err = read(map[string]string{"Ort": "town"})
	require.ErrorIs(t, err, ErrBadOption)
	_, err = read(nil)
	require.ErrorIs(t, err, ErrMissingColumn)
	require.ErrorContains(t, err, `"Détermination"`)

	// A setting goes before a heading of our own.
	s, err = Read(strings.NewReader("voucher,old,field_id\n7,EX-1,Amanita\n"), "v.csv", Options{Columns: map[string]string{"old": "voucher"}})
	require.NoError(t, err)
	require.Equal(t, "EX-1", s.Vouchers[0].Code)
	require.Equal(t, map[string]string{"voucher": "7"}, s.Vouchers[0].Extra)
}

func TestHeadingsTwice(t *testing.T) {
	s, err := Read(strings.NewReader("voucher,scientificName,verbatimIdentification,Notes,notes,x,x,\nEX-1,A b,Amanita?,one,two,3,4,5\n"), "v.tsv", Options{})
	require.ErrorIs(t, err, ErrNoVouchers, "the last cell has no heading: the row may have slipped")
	require.Nil(t, s)
	s, err = Read(strings.NewReader("voucher,scientificName,verbatimIdentification,Notes,notes,,x,x\nEX-1,A b,Amanita?,one,two,5,3,4\n"), "v.tsv", Options{})
	require.NoError(t, err)
	v := s.Vouchers[0]
	require.Equal(t, "Amanita?", v.FieldID, "what was written in the field goes before a later name")
	require.Equal(t, "one", v.Notes)
	require.Equal(t, map[string]string{"scientificName": "A b", "notes": "two", "column F": "5", "x": "3", "x (again)": "4"}, v.Extra)
	require.Len(t, s.Problems, 1)
	require.Contains(t, s.Problems[0].What, "second column for notes")
}

func TestColumnLetters(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 701: "ZZ", 702: "AAA", 16383: "XFD"} {
		require.Equal(t, want, columnLetters(i))
	}
}
