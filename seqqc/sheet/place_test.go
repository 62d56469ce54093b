package sheet

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCoordinates(t *testing.T) {
	for in, want := range map[string]float64{
		"45.5": 45.5, "45,5": 45.5, "-45.5": -45.5, "\u221245,5": -45.5, "+45.5": 45.5, "45.5 N": 45.5, "N45.5": 45.5, "45.5°S": -45.5, "s 45,5": -45.5,
		"45°30'N": 45.5, "45° 30' 0\" N": 45.5, "45°30′36″ S": -45.51, "45 30 36 S": -45.51, "45:30:36": 45.51, "45º30,6'": 45.51, "45°30'36,0\"N": 45.51,
		"N 45° 30.6'": 45.51, "0": 0, "90": 90, "-90": -90, "45°30''": 45.5,
	} {
		if in == "45°30''" { // two primes are seconds, which come after minutes
			_, err := latitude.parse(in)
			require.Error(t, err)
			continue
		}
		got, err := latitude.parse(in)
		require.NoError(t, err, in)
		require.InDelta(t, want, got, 1e-9, in)
	}
	for in, want := range map[string]float64{"180": 180, "122.5 W": -122.5, "E122,5": 122.5, "122°30'W": -122.5} {
		got, err := longitude.parse(in)
		require.NoError(t, err, in)
		require.InDelta(t, want, got, 1e-9, in)
	}
	for in, why := range map[string]string{
		"90.1": "at most 90", "451234": "no latitude", "45.123.456": "no latitude", "45 61 00": "below 60", "45 30 60": "below 60",
		"45 30.5 10": "minutes have decimals", "-45 S": "both a sign and a letter", "45 E": "does not belong", "45 O": "east in some", "45.5, 7.5": "no latitude",
		"north": "does not belong", "N": "no latitude", "45 N 7 E": "does not belong", "": "no latitude", "1e1": "no latitude", "NaN": "", "Inf": "", "0x1p4": "",
	} {
		_, err := latitude.parse(in)
		require.ErrorContains(t, err, why, in)
	}
}

// The first two are examples of the INSDC feature table.
func TestPlaceInOneCell(t *testing.T) {
	for in, want := range map[string][2]float64{
		"47.94 N 28.12 W": {47.94, -28.12}, "45.0123 S 4.1234 E": {-45.0123, 4.1234},
		"12.5, -7.25": {12.5, -7.25}, "12.5 -7.25": {12.5, -7.25}, "12,5; 7,25": {12.5, 7.25}, "12,5, 7,25": {12.5, 7.25}, "12.5,7.25": {12.5, 7.25},
		"12.5N7.25E": {12.5, 7.25}, "N12.5 E7.25": {12.5, 7.25}, "12°30'36\"N, 7°15'00\"W": {12.51, -7.25}, "12 30 36 S 7 15 0 W": {-12.51, -7.25},
		"12° 30' N / 7° 15' E": {12.5, 7.25}, "0 0": {0, 0},
	} {
		lat, lon, err := parsePlace(in)
		require.NoError(t, err, in)
		require.InDelta(t, want[0], lat, 1e-9, in)
		require.InDelta(t, want[1], lon, 1e-9, in)
	}
	for in, why := range map[string]string{
		"12,5 7,25": "several ways", "10 20 30 40": "several ways", "28.12 W 47.94 N": "no latitude", "12.5": "no latitude", "95, 7": "no latitude",
		"": "no latitude", "mill": "no latitude", strings.Repeat("1 ", 41): "no latitude",
	} {
		_, _, err := parsePlace(in)
		require.ErrorContains(t, err, why, in)
	}
}

// TestCoordinateExamples reads the examples of the archives' lat_lon
// qualifier (INSDC feature table: "47.94 N 28.12 W", "45.0123 S 4.1234 E"),
// one half at a time.
func TestCoordinateExamples(t *testing.T) {
	for in, want := range map[string][2]float64{"47.94 N|28.12 W": {47.94, -28.12}, "45.0123 S|4.1234 E": {-45.0123, 4.1234}} {
		lat, lon, _ := strings.Cut(in, "|")
		a, err := latitude.parse(lat)
		require.NoError(t, err)
		b, err := longitude.parse(lon)
		require.NoError(t, err)
		require.Equal(t, want, [2]float64{a, b})
	}
}

func TestWells(t *testing.T) {
	for in, want := range map[string]string{"A1": "A01", "a01": "A01", "A-1": "A01", "a_12": "A12", "H 12": "H12", "01A": "A01", "12h": "H12", "P24": "P24", "A001": "A01"} {
		got, ok := normalWell(in)
		require.True(t, ok, in)
		require.Equal(t, want, got, in)
	}
	for _, in := range []string{"", "A", "1", "A0", "A00", "A25", "Q1", "AA1", "A1B", "A1 B2", "plate 1"} {
		_, ok := normalWell(in)
		require.False(t, ok, in)
	}
	// Every well of both plates is one, and none is another.
	seen := map[string]bool{}
	for r := range 16 {
		for c := 1; c <= 24; c++ {
			w, ok := normalWell(fmt.Sprintf("%c%d", 'A'+r, c))
			require.True(t, ok)
			seen[w] = true
		}
	}
	require.Len(t, seen, 384)
}

func TestWellsOfARow(t *testing.T) {
	s, err := Read(strings.NewReader("voucher,field_id,well,seq_well\nEX-1,Amanita,b3,\nEX-2,Amanita,b4,C05\n"), "v.csv", Options{})
	require.NoError(t, err)
	require.Equal(t, "B03", s.Vouchers[0].Samples[0].PCRWell)
	require.Equal(t, "B03", s.Vouchers[0].Samples[0].SeqWell)
	require.Equal(t, "B04", s.Vouchers[1].Samples[0].PCRWell)
	require.Equal(t, "C05", s.Vouchers[1].Samples[0].SeqWell)
}

// The example is Darwin Core's, of associatedTaxa.
func TestHost(t *testing.T) {
	require.Equal(t, "Quercus alba", host(`"host":"Quercus alba"`))
	require.Equal(t, "Quercus", host("Quercus"))
	require.Equal(t, `"parasitoid of":"Cyclocephala signaticollis"`, host(`"parasitoid of":"Cyclocephala signaticollis"`))
}
