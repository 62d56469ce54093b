package refs

import (
	"bufio"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// lineageText writes a lineage as its values from kingdom to species, "." for
// an empty one.
func lineageText(l Lineage) string {
	var values []string
	for _, r := range Ranks {
		v := l.At(r)
		if v == "" {
			v = "."
		}
		values = append(values, v)
	}
	return strings.Join(values, "/")
}

func TestParseHeader(t *testing.T) {
	const (
		russula  = "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/Russula emetica"
		prefixed = "k__Fungi;p__Basidiomycota;c__Agaricomycetes;o__Russulales;f__Russulaceae;g__Russula;s__Russula_emetica"
		genus    = "Fungi/Basidiomycota/Agaricomycetes/Russulales/Russulaceae/Russula/."
		only     = "././././././."
		plain    = "./././././Russula/Russula emetica"
	)
	tests := []struct{ line, id, name, lineage string }{
		// Archive style.
		{"NR_172802.1 Amanita vladimirii BRNM 825828 ITS region; from TYPE material", "NR_172802.1", "Amanita vladimirii", "./././././Amanita/Amanita vladimirii"},
		{"gi|817736093|ref|NR_131891.1| Cortinarius armillatus S F256861 ITS region; from TYPE material", "NR_131891.1", "Cortinarius armillatus", "./././././Cortinarius/Cortinarius armillatus"},
		{"gi|1234|gb|AB012345.1|AB012345 Russula emetica", "AB012345.1", "Russula emetica", plain},
		{"gb|AB012345.1| Russula emetica", "AB012345.1", "Russula emetica", plain},
		{"AB012345.1 UNVERIFIED: Russula emetica isolate 4 18S ribosomal RNA", "AB012345.1", "Russula emetica", plain},
		{"AB012345.1 PREDICTED: Russula emetica protein", "AB012345.1", "Russula emetica", plain},
		{"FJ013062.1 Uncultured Cenococcum clone OTO-11b 18S", "FJ013062.1", "unnamed", only},
		{"GU327511.1 Uncultured fungus clone G33p8", "GU327511.1", "Fungi <kingdom> unnamed", "Fungi/./././././."},
		{"MH1.1 Russulaceae sp. voucher 4", "MH1.1", "Russulaceae <family> sp", "././././Russulaceae/./."},
		{"MH1.1 Russula sp. voucher 4", "MH1.1", "Russula sp", "./././././Russula/."},
		{"MH1.1 Russula cf. emetica voucher 4", "MH1.1", "Russula emetica cf", "./././././Russula/."},
		{"MH1.1 Russula emetica group", "MH1.1", "Russula emetica group", "./././././Russula/."},
		// Plain.
		{"X1 Russula emetica", "X1", "Russula emetica", plain},
		{"X1\tRussula emetica", "X1", "Russula emetica", plain},
		{"X1 Russula_emetica_FC12", "X1", "Russula emetica", plain},
		{"X1", "X1", "-", only},
		{"X1 contig 7", "X1", "-", only},
		{"", "", "-", only},
		// Names in the id, where there is nothing else.
		{"Russula_emetica_FC12", "Russula_emetica_FC12", "Russula emetica", plain},
		{"FC12_Russula_emetica", "FC12_Russula_emetica", "Russula emetica", plain},
		{"Russula_sp_FC12", "Russula_sp_FC12", "Russula sp", "./././././Russula/."},
		{"Uncultured_fungus_12", "Uncultured_fungus_12", "Fungi <kingdom> unnamed", "Fungi/./././././."},
		{"Contig_12", "Contig_12", "-", only},
		{"Sample_one", "Sample_one", "-", only},
		{"FC0123_ITS1F", "FC0123_ITS1F", "-", only},
		{"Russula emetica FC12", "Russula_emetica_FC12", "Russula emetica", plain},
		// Brackets.
		{"FC12 [organism=Russula emetica] [strain=X]", "FC12", "Russula emetica", plain},
		{"FC12 [strain=X][organism=Russula emetica]", "FC12", "Russula emetica", plain},
		{"FC12 [Organism = Russula sp. FC12] [country=Utopia]", "FC12", "Russula sp", "./././././Russula/."},
		{"FC12 [organism=Russula emetica] [family=Russulaceae] [order=Russulales]", "FC12", "Russula emetica", "./././Russulales/Russulaceae/Russula/Russula emetica"},
		{"FC12 [genus=Russula] [family=Russulaceae]", "FC12", "Russula sp", "././././Russulaceae/Russula/."},
		{"FC12 [species=Russula emetica] text", "FC12", "Russula emetica", plain},
		{"FC12 [organism=uncultured fungus] [clone=4]", "FC12", "Fungi <kingdom> unnamed", "Fungi/./././././."},
		{"FC12 Russula emetica [strain=4]", "FC12", "Russula emetica", plain},
		// Lineages.
		{"X1 " + prefixed, "X1", "Russula emetica", russula},
		{"X1;" + prefixed, "X1", "Russula emetica", russula},
		{"X1|" + prefixed, "X1", "Russula emetica", russula},
		{"X1_" + prefixed, "X1", "Russula emetica", russula},
		{prefixed + " X1", prefixed, "Russula emetica", russula},
		{"Russula_emetica|UDB012345|refs|" + prefixed, "UDB012345", "Russula emetica", russula},
		{"Russula_emetica|AB012345|set|" + prefixed + "|more", "AB012345", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, ";", "|"), "X1", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, ";", "_"), "X1", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, ";", "; "), "X1", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, ";", ","), "X1", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, "Russula_emetica", "Russula emetica"), "X1", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, "Russula_emetica", "emetica"), "X1", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, "Russula_emetica", "Russula_emetica_(Schaeff.)_Pers."), "X1", "Russula emetica", russula},
		{"X1 " + prefixed + ";sh__SH1.1", "X1", "Russula emetica", russula},
		{"X1 Russula emetica " + prefixed, "X1", "Russula emetica", russula},
		{"X1 " + strings.ReplaceAll(prefixed, "Russula_emetica", "Russula_sp"), "X1", "Russula sp", genus},
		{"X1 " + strings.ReplaceAll(prefixed, "Russula_emetica", ""), "X1", "Russula sp", genus},
		{"X1 " + strings.ReplaceAll(prefixed, "Russula_emetica", "unidentified"), "X1", "Russula sp", genus},
		{"X1 " + strings.ReplaceAll(prefixed, "Russula_emetica", "Russula_cf_emetica"), "X1", "Russula emetica cf", genus},
		{"X1 K__fungi;P__basidiomycota;G__RUSSULA", "X1", "Russula sp", "Fungi/Basidiomycota/./././Russula/."},
		{"X1 k__Fungi;p__Ascomycota;c__unidentified;o__;f__Ascomycota_fam_Incertae_sedis;g__unclassified;s__Ascomycota_sp", "X1", "Ascomycota <phylum>", "Fungi/Ascomycota/././././."},
		{"X1 k__Fungi;p__unidentified;c__unidentified;o__unidentified;f__unidentified;g__unidentified;s__Fungi_sp", "X1", "Fungi <kingdom> unnamed", "Fungi/./././././."},
		{"X1 k__Viridiplantae;p__Anthophyta;c__Eudicotyledonae;o__Fagales;f__Fagaceae;g__Quercus;s__Quercus_robur", "X1", "Quercus robur", "Plantae/Anthophyta/Eudicotyledonae/Fagales/Fagaceae/Quercus/Quercus robur"},
		{"X1 k__Amoebozoa;p__unidentified;g__Physarum", "X1", "Physarum sp", "Protozoa/././././Physarum/."},
		{"X1 k__Eukaryota_kgd_Incertae_sedis;p__unidentified", "X1", "-", only},
		{"X1 d__Eukaryota;k__Fungi;g__Russula", "X1", "Russula sp", "Fungi/././././Russula/."},
		{"X1 g__Russula", "X1", "Russula sp", "./././././Russula/."},
		{"X1 f__Russulaceae;g__", "X1", "Russulaceae <family>", "././././Russulaceae/./."},
		// The genus of a lineage rules a species that was left behind.
		{"X1 f__Boletaceae;g__Xerocomellus;s__Xerocomus_chrysenteron", "X1", "Xerocomellus chrysenteron", "././././Boletaceae/Xerocomellus/Xerocomellus chrysenteron"},
		// No prefixes: part of a code, and a lone letter.
		{"abc__def", "abc__def", "-", only},
		{"X1 f__12", "X1", "-", only},
	}
	for _, tt := range tests {
		id, n, l := ParseHeader(tt.line)
		if id != tt.id || brief(n) != tt.name || lineageText(l) != tt.lineage {
			t.Errorf("%q\n got %q, %q, %s\nwant %q, %q, %s", tt.line, id, brief(n), lineageText(l), tt.id, tt.name, tt.lineage)
		}
		checkName(t, n)
	}
}

func TestRankValue(t *testing.T) {
	for _, v := range []string{"", " ", "_", "-", "?", "__", "0", "unclassified", "Unidentified", "unknown", "incertae sedis", "Incertae_sedis",
		"Incertae Sedis", "Agaricales_fam_Incertae_sedis", "Fungi_phy_Incertae_sedis", "unclassified_Russulales", "uncultured", "uncultured_fungus",
		"Russula_sp", "Russula sp.", "NA", "N/A", "n/a", "none", "NULL", "nan", "\"\"", "unassigned", "no_value", "environmental sample"} {
		for _, r := range Ranks {
			require.Empty(t, RankValue(r, v, "Russula"), "%s %q", r, v)
		}
	}
	tests := []struct {
		r                  Rank
		value, genus, want string
	}{
		{Kingdom, "Viridiplantae", "", "Plantae"}, {Kingdom, "fungi", "", "Fungi"}, {Kingdom, "Metazoa", "", "Animalia"},
		{Kingdom, "Amoebozoa", "", "Protozoa"}, {Kingdom, "Stramenopila", "", "Chromista"}, {Kingdom, "Heterolobosa", "", "Heterolobosa"},
		{Family, "russulaceae", "", "Russulaceae"}, {Family, "RUSSULACEAE", "", "Russulaceae"}, {Order, "GS11", "", "GS11"},
		{Genus, "Russula", "", "Russula"}, {Genus, "Russula_1", "", "Russula"}, {Genus, "AB12", "", ""}, {Genus, "Russulaceae_gen_1", "", ""}, {Genus, "Russulaceae", "", ""}, {Species, "Russula_emetica", "", "Russula emetica"}, {Species, "emetica", "Russula", "Russula emetica"},
		{Species, "Russula cf. emetica", "Russula", ""}, {Species, "emetica", "", ""}, {Species, "Russula", "Russula", ""},
	}
	for _, tt := range tests {
		require.Equal(t, tt.want, RankValue(tt.r, tt.value, tt.genus), "%s %q", tt.r, tt.value)
	}
}

// openData gives the folder of open data, or skips the test.
func openData(t *testing.T, elements ...string) string {
	t.Helper()
	dir := os.Getenv("FORAYSEQ_OPEN_DATA")
	if dir == "" {
		t.Skip("FORAYSEQ_OPEN_DATA is not set: no open data to check against")
	}
	return filepath.Join(append([]string{dir}, elements...)...)
}

// headersOf gives the header lines of a FASTA file without '>'.
func headersOf(t *testing.T, path string) []string {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, file.Close()) })
	var headers []string
	scanner := bufio.NewScanner(file)
	for scanner.Scan() {
		if h, ok := strings.CutPrefix(scanner.Text(), ">"); ok {
			headers = append(headers, h)
		}
	}
	require.NoError(t, scanner.Err())
	return headers
}

// Source: 4,276 ITS sequences of macrofungi as published in TreeBASE; the
// genus and label columns of the table beside them.
func TestHeadersOfPublishedMacrofungi(t *testing.T) {
	headers := headersOf(t, openData(t, "its", "macrofungi_its.fasta"))
	file, err := os.Open(openData(t, "its", "macrofungi_its.tsv"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, file.Close()) })
	table := csv.NewReader(file)
	table.Comma, table.LazyQuotes = '\t', true
	rows, err := table.ReadAll()
	require.NoError(t, err)
	rows = rows[1:]
	require.Len(t, headers, 4276)
	require.Len(t, rows, 4276)
	// Second words of four letters or more that are remarks; one is an epithet
	// that was cut short.
	remarks := wordSet("ectomycorrhiza mycorrhizal bioassay anamorph hybrid lilac spec aureomarginat")
	epithets, others := 0, 0
	for i, row := range rows {
		id, n, _ := ParseHeader(headers[i])
		require.Equal(t, row[0], id)
		require.Equal(t, row[1], n.Genus, headers[i])
		require.Equal(t, n, ParseName(row[2]), "the label column, read as a name on its own")
		words := strings.Fields(row[2])
		if len(words) < 2 || len(words[1]) < 4 || !isLetters(words[1]) || remarks[words[1]] {
			others++
			continue
		}
		require.Equal(t, words[1], n.Epithet, headers[i])
		epithets++
	}
	t.Logf("genus as published in 4,276 of 4,276 headers; second word read as the epithet in %d of %d where it is a word of four letters or more and no remark", epithets, epithets)
	require.Equal(t, 4276, epithets+others)
	require.Equal(t, 3332, epithets)
}

// Source: 299 RefSeq headers by way of metacoder, and 110 GenBank headers by
// way of SubalpineMyco. The second word of an archive header after the id is
// the genus, by the archive's own convention.
func TestHeadersOfArchives(t *testing.T) {
	tests := []struct {
		file           string
		records, named int
		genera         int
	}{
		{"refseq_its.fasta", 299, 299, 97},
		{"subalpine_references.fasta", 110, 104, 20},
	}
	for _, tt := range tests {
		headers := headersOf(t, openData(t, "its", tt.file))
		require.Len(t, headers, tt.records)
		named, genera := 0, make(map[string]bool)
		for _, h := range headers {
			id, n, _ := ParseHeader(h)
			words := strings.Fields(h)
			require.Regexp(t, accessionForm, id, h)
			require.Contains(t, words[0], id)
			if words[1] == "Uncultured" { // six, all in the second file
				require.True(t, n.Unnamed && n.Genus == "", h)
				continue
			}
			require.Equal(t, words[1], n.Genus, h)
			if words[2] != "sp." {
				require.Equal(t, words[2], n.Epithet, h)
				require.True(t, n.CertainSpecies(), h)
			} else {
				require.Equal(t, DoubtSp, n.Doubt, h)
			}
			named++
			genera[n.Genus] = true
		}
		require.Equal(t, tt.named, named)
		require.Len(t, genera, tt.genera)
	}
}

// A header that names two genera gives no genus, wherever the name stands.
func TestParseHeaderOfSeveral(t *testing.T) {
	for line, want := range map[string]string{
		"X1 Russula or Lactarius":                         "X1",
		"X1 Russula sp. / Lactarius sp. voucher FC12":     "X1",
		"X1_Russula_or_Lactarius":                         "X1_Russula_or_Lactarius",
		"Russula_x_Lactarius_FC12":                        "Russula_x_Lactarius_FC12",
		"Russula or Lactarius":                            "Russula_or_Lactarius",
		"X1 [organism=Russula/Lactarius] [genus=Russula]": "X1",
	} {
		id, n, l := ParseHeader(line)
		require.Equal(t, want, id, line)
		require.Equal(t, "Russula, Lactarius", n.Several, line)
		require.Empty(t, n.Genus+l.Genus+l.Species, line)
		require.Equal(t, NoRank, n.Rank, line)
	}
}

func FuzzParseHeader(f *testing.F) {
	f.Add("X1 k__Fungi;p__Basidiomycota;g__Russula;s__Russula_emetica")
	f.Add("gi|817736093|ref|NR_131891.1| Cortinarius armillatus S F256861 ITS region; from TYPE material")
	f.Add("FC12 [organism=Russula emetica] [family=Russulaceae]")
	f.Add("Russula_emetica|UDB012345|refs|k__Fungi;s__")
	f.Add("a__b__s__ __g__")
	f.Fuzz(func(t *testing.T, line string) {
		clean, _ := cleanHeader(line)
		if !utf8.ValidString(clean) {
			t.Errorf("%q: not clean: %q", line, clean)
		}
		id, n, l := ParseHeader(clean)
		if id == "" && strings.TrimSpace(clean) != "" && strings.Trim(clean, " ,;|") != "" && !strings.HasPrefix(clean, ",") && !strings.HasPrefix(clean, ";") {
			t.Errorf("%q: no id", clean)
		}
		checkName(t, n)
		if l.Genus != n.Genus || l.Species != "" && l.Species != n.Binomial() {
			t.Errorf("%q: name %+v, lineage %+v", clean, n, l)
		}
	})
}
