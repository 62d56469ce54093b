package refs

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// brief writes a name in one line: the taxon and infraspecific epithet, the
// rank of a higher name in angle brackets, the doubts, "unnamed"; "-" where
// nothing was understood.
func brief(n Name) string {
	var words []string
	if n.Genus != "" {
		words = append(words, n.Taxon())
	}
	if n.Infra != "" {
		words = append(words, n.Infra)
	}
	if n.Higher != "" {
		words = append(words, n.Higher, "<"+n.Rank.String()+">")
	}
	for i, d := range []string{"cf", "aff", "?", "sp", "group", "s.l."} {
		if n.Doubt&(1<<i) != 0 {
			words = append(words, d)
		}
	}
	if n.Unnamed {
		words = append(words, "unnamed")
	}
	if len(words) == 0 {
		return "-"
	}
	return strings.Join(words, " ")
}

// nameRows are written names and what they mean, "written => brief".
const nameRows = `
# Plain names and case.
Russula emetica => Russula emetica
russula emetica => Russula emetica
RUSSULA EMETICA => Russula emetica
RUSSULA emetica => Russula emetica
Russula Emetica => Russula emetica
rUSSULA eMETICA => Russula emetica
Suillus punGens => Suillus pungens
Suillus Glandulosipes => Suillus glandulosipes
  Russula   emetica   => Russula emetica
Russula_emetica => Russula emetica
russula_emetica => Russula emetica
"Russula emetica" => Russula emetica
'Russula emetica' => Russula emetica
“Russula emetica” => Russula emetica
Russula emetica. => Russula emetica
Russula emetica; => Russula emetica
Russula => Russula
russula => Russula
RUSSULA => Russula
Russula. => Russula
amanita muscaria => Amanita muscaria
AMANITA => Amanita
Zhuliangomyces illinitus => Zhuliangomyces illinitus
Auricularia auricula-judae => Auricularia auricula-judae
Geastrum triplex => Geastrum triplex
Trametes versicolor => Trametes versicolor
Tricholoma matsutake => Tricholoma matsutake
Pleurotus djamor => Pleurotus djamor
Xerocomellus chrysenteron => Xerocomellus chrysenteron
Boletus satanas => Boletus satanas
Cantharellus cibarius => Cantharellus cibarius
Lactarius deliciosus => Lactarius deliciosus
Hypholoma fasciculare => Hypholoma fasciculare
Tricholoma equestre => Tricholoma equestre
Coprinus comatus => Coprinus comatus
Physarum polycephalum => Physarum polycephalum
Quercus robur => Quercus robur
Tuber uncinatum => Tuber uncinatum
Mucor mucedo => Mucor mucedo
Poa annua => Poa annua
Elsinoe ampelina => Elsinoe ampelina
1. Russula emetica => Russula emetica
12 Russula => Russula
# Genera in no table, told by their form.
Nyctalisella parasitica => Nyctalisella parasitica
Inventia nova => Inventia nova
Inventia sp. => Inventia sp
Inventomyces => Inventomyces
inventomyces robustus => Inventomyces robustus
Phantasmatospora => Phantasmatospora
# Accents, Art. 60.7.
Cortinarius kühneri => Cortinarius kuehneri
Lactarius brebissonii => Lactarius brebissonii
Russula fårensis => Russula faorensis
Inocybe møllerii => Inocybe moellerii
Isoëtes lacustris => Isoetes lacustris
# Authors, years.
Russula emetica (Schaeff.) Pers. => Russula emetica
Russula emetica (Schaeff.) Pers. 1796 => Russula emetica
Russula emetica (Schaeff.) Pers., 1796 => Russula emetica
Russula emetica (Schaeff. : Fr.) Pers. => Russula emetica
Russula emetica (Schaeff.) Pers. ex Fr. => Russula emetica
Russula emetica Schaeff. & Moser => Russula emetica
Russula emetica Schaeff. et al. => Russula emetica
Amanita muscaria (L.) Lam. => Amanita muscaria
Amanita muscaria L. => Amanita muscaria
Amanita muscaria (Linnaeus) Lamarck 1783 => Amanita muscaria
Russula Pers. => Russula
Russula Pers. 1796 => Russula
Amanita Persoon => Amanita
Agaricus Linnaeus => Agaricus
Agaricus L. => Agaricus
Cortinarius (Pers.) Gray => Cortinarius
Boletus edulis Bull. => Boletus edulis
Boletus edulis Bull. f. edulis => Boletus edulis edulis
Psilocybe semilanceata (Fr.) P. Kumm. => Psilocybe semilanceata
Xylaria polymorpha (Pers.:Fr.) Grev. => Xylaria polymorpha
Hygrocybe coccinea (Schaeff.) P.Kumm. => Hygrocybe coccinea
Inocybe geophylla (Bull. ex Fr.) Kumm. sensu Moser => Inocybe geophylla
Cortinarius violaceus sensu Moser 1986 => Cortinarius violaceus
Entoloma sinuatum auct. => Entoloma sinuatum
Lepiota josserandii Bon & Boiffard => Lepiota josserandii
Russula faginea Romagn. nom. inval. => Russula faginea
Tricholoma terreum (Schaeff.) P. Kumm. var. terreum => Tricholoma terreum terreum
Ganoderma lucidum (Curtis) P. Karst., s.l. => Ganoderma lucidum s.l.
Sarcoscypha coccinea (Gray) Boud. group => Sarcoscypha coccinea group
# Below species.
Amanita muscaria var. formosa => Amanita muscaria formosa
Amanita muscaria var formosa => Amanita muscaria formosa
Amanita muscaria var.formosa => Amanita muscaria formosa
Amanita muscaria (L.) Lam. var. formosa Pers. => Amanita muscaria formosa
Amanita muscaria subsp. flavivolvata => Amanita muscaria flavivolvata
Amanita muscaria ssp. flavivolvata => Amanita muscaria flavivolvata
Amanita muscaria flavivolvata => Amanita muscaria flavivolvata
Amanita citrina f. alba => Amanita citrina alba
Amanita citrina f alba => Amanita citrina alba
Amanita citrina forma alba => Amanita citrina alba
Amanita muscaria subsp. muscaria var. alba => Amanita muscaria alba
Xylaria arbuscula Var plenofissura GU339495 => Xylaria arbuscula plenofissura
Cortinarius montanus var. fuligineofolius IB 19910682 => Cortinarius montanus fuligineofolius
Trichoderma caribbaeum var. caribbaeum CBS 119093 => Trichoderma caribbaeum caribbaeum
Amanita muscaria var. ? => Amanita muscaria ?
# Subgenera, sections.
Cortinarius (Dermocybe) sanguineus => Cortinarius sanguineus
Cortinarius (Phlegmacium) sp. => Cortinarius sp
Cortinarius Dermocybe sp. FJ039595 => Cortinarius sp
Cortinarius Phlegmacium varius => Cortinarius varius
Cortinarius subgen. Phlegmacium => Cortinarius sp
Amanita sect. Phalloideae => Amanita sp
Amanita section Vaginatae => Amanita sp
Russula subsect. Xerampelinae => Russula sp
Cortinarius (Phlegmacium) => Cortinarius
# The species left open.
Russula sp. => Russula sp
Russula sp => Russula sp
Russula SP => Russula sp
Russula Sp. => Russula sp
russula sp. => Russula sp
RUSSULA SP. => Russula sp
Russula_sp => Russula sp
Russula_sp. => Russula sp
Russula spp. => Russula sp
Russula spp => Russula sp
Russula species => Russula sp
Russula spec. => Russula sp
Russula sp. FC12 => Russula sp
Russula sp.FC12 => Russula sp
Russula sp. 'FC12' => Russula sp
Cortinarius sp. 20 => Cortinarius sp
Cortinarius sp. 20 GQ159843 => Cortinarius sp
Tuber sp.4 K109 2 => Tuber sp
Tuber sp4 => Tuber sp
Agaricus spC JF495066 => Agaricus sp
Agaricus spZRL3056 JF691541 => Agaricus sp
Cortinarius sp-CA01 => Cortinarius sp
Cortinarius "sp-CA01" => Cortinarius sp
Russula sp. nov. => Russula sp
Russula n. sp. => Russula sp
Russula nov. sp. => Russula sp
Russula indet. => Russula sp
Russula unidentified => Russula sp
unidentified Russula => Russula sp
Unknown Russula => Russula sp
indet. Russula => Russula sp
Phialocephala sp. (in: Ascomycota) isolate JP10 => Phialocephala sp
Wilcoxina sp. 1 DL-2015 clone 304-ITS-1F => Wilcoxina sp
Morchella sp. M184 Mel 13 => Morchella sp
Tuber sp. ex. EM California AY702816 => Tuber sp
Mycena spp. Ecuador TL8052 => Mycena sp
genus Russula => Russula
gen. Russula => Russula
Genus: Russula => Russula
Russula emetica sp. nov. => Russula emetica
# Codes and provisional names.
Russula FC12 => Russula
Armillaria 00-13 => Armillaria
Morchella Mel-13 => Morchella
Cortinarius UDB001458 => Cortinarius
Helvella QZ 2009a ZQ8220 => Helvella
Russula 'sierra red' => Russula sp
Russula "sierra red" => Russula sp
Russula “sierra red” => Russula sp
Russula ‘sierra red’ => Russula sp
Russula 'emetica' => Russula sp
Russula "PNW01" => Russula sp
Hygrocybe 'orange waxy' FC3 => Hygrocybe sp
Amanita "sp-T31" => Amanita sp
Suillus bioassay-Tomales pt => Suillus
Peziza vesiculosa2 => Peziza vesiculosa
Peziza fimeti12 => Peziza fimeti
Russula clone1 => Russula
# cf. and aff.
Russula cf. emetica => Russula emetica cf
Russula cf emetica => Russula emetica cf
Russula CF. emetica => Russula emetica cf
Russula cf.emetica => Russula emetica cf
Russula cfr. emetica => Russula emetica cf
Russula (cf. emetica) => Russula emetica cf
cf. Russula emetica => Russula emetica cf
cf Russula => Russula cf
Cf. Russula => Russula cf
Russula cf. => Russula cf
Russula emetica cf. => Russula emetica cf
russula_cf_emetica => Russula emetica cf
Russula aff. emetica => Russula emetica aff
Russula aff emetica => Russula emetica aff
Russula aff.emetica => Russula emetica aff
aff. Russula emetica => Russula emetica aff
Amanita afn citrina Japan => Amanita citrina aff
Russula near emetica => Russula emetica aff
Russula nr. emetica => Russula emetica aff
Russula sp. aff. emetica => Russula emetica aff sp
Russula sp. cf. emetica => Russula emetica cf sp
Russula affinis => Russula affinis
Lepiota cf. cristata ecv2515 AF391052 => Lepiota cristata cf
Russula emetica cf. var. alba => Russula emetica alba cf
# Question marks.
Russula emetica? => Russula emetica ?
Russula emetica ? => Russula emetica ?
Russula emetica (?) => Russula emetica ?
Russula? => Russula ?
Russula ? => Russula ?
?Russula => Russula ?
? Russula => Russula ?
Russula ?emetica => Russula emetica ?
Russula? emetica => Russula emetica ?
Russula sp.? => Russula ? sp
Possibly Russula => Russula ?
possible Russula emetica => Russula emetica ?
probably Russula emetica => Russula emetica ?
maybe russula => Russula ?
Russulaceae? => Russulaceae <family> ?
# Groups and the wide sense.
Russula emetica group => Russula emetica group
Russula emetica grp => Russula emetica group
Russula emetica gr. => Russula emetica group
Russula emetica agg. => Russula emetica group
Russula emetica agg => Russula emetica group
Russula emetica aggregate => Russula emetica group
Russula emetica complex => Russula emetica group
Russula emetica species complex => Russula emetica
Morchella elata clade => Morchella elata group
Russula emetica (group) => Russula emetica group
Russula group => Russula group
Russula gr. emetica => Russula emetica group
Russula emetica s.l. => Russula emetica s.l.
Russula emetica s. l. => Russula emetica s.l.
Russula emetica s.lat. => Russula emetica s.l.
Russula emetica s. lat. => Russula emetica s.l.
Russula emetica sensu lato => Russula emetica s.l.
Russula emetica (s.l.) => Russula emetica s.l.
Russula emetica (s. l.) => Russula emetica s.l.
Russula emetica, s.l. => Russula emetica s.l.
Lepiota s.l. => Lepiota s.l.
Boletus sensu lato => Boletus s.l.
Russula emetica s.str. => Russula emetica
Russula emetica s. str. => Russula emetica
Russula emetica s.s. => Russula emetica
Russula emetica sensu stricto => Russula emetica
'Clitocybe' connata => Clitocybe connata s.l.
"Lepiota" rhacodes => Lepiota rhacodes s.l.
“Collybia” => Collybia
[Candida] boidinii => Candida boidinii s.l.
[Candida] sp. => Candida sp s.l.
Russula cf. emetica group => Russula emetica cf group
Russula cf. emetica? => Russula emetica cf ?
# Hybrids and alternatives.
×Salix alba => Salix alba
Salix × fragilis => Salix fragilis
Salix ×fragilis => Salix fragilis
Salix x fragilis => Salix fragilis
Salix alba × fragilis => Salix sp
Salix alba × Salix fragilis => Salix sp
Salix alba x S. fragilis => Salix sp
Hygrocybe hybrid TENN61898C8 => Hygrocybe
Russula emetica or silvicola => Russula ? sp
Russula emetica/silvicola => Russula ? sp
Russula emetica / R. silvicola => Russula ? sp
Russula emetica vs. silvicola => Russula ? sp
Russula or Lactarius => -
Russula/Lactarius => -
Russula / Lactarius => -
Russula vs Lactarius => -
# Above genus.
Russulaceae => Russulaceae <family>
russulaceae => Russulaceae <family>
RUSSULACEAE => Russulaceae <family>
Russulaceae sp. => Russulaceae <family> sp
Russulaceae spp => Russulaceae <family> sp
Russulaceae_sp => Russulaceae <family> sp
Family Russulaceae => Russulaceae <family>
fam. Russulaceae => Russulaceae <family>
cf. Russulaceae => Russulaceae <family> cf
Russulaceae indet. => Russulaceae <family>
Russulaceae gen. sp. => Russulaceae <family> sp
Agaricales => Agaricales <order>
Agaricales sp. => Agaricales <order> sp
agaricales => Agaricales <order>
boletales => Boletales <order>
Agaricomycetes => Agaricomycetes <class>
Agaricomycetes sp. strain 12 => Agaricomycetes <class> sp
Dothideomycetes sp. 5 => Dothideomycetes <class> sp
Myxomycetes => Myxomycetes <class>
myxomycete => Myxomycetes <class>
Ascomycota => Ascomycota <phylum>
Ascomycota sp. => Ascomycota <phylum> sp
Basidiomycota sp. 7 => Basidiomycota <phylum> sp
Basidiomycetes => Basidiomycota <phylum>
ascomycete => Ascomycota <phylum>
ascomycete sp. => Ascomycota <phylum> sp
Agaricomycotina => Agaricomycotina <>
Agaricomycetidae => Agaricomycetidae <>
Boletineae => Boletineae <>
Plantae => Plantae <kingdom>
Viridiplantae => Plantae <kingdom>
Magnoliopsida => Magnoliopsida <class>
Bryophyta => Bryophyta <phylum>
Protozoa => Protozoa <kingdom>
# There, but unnamed.
Fungi => Fungi <kingdom> unnamed
Fungi sp. => Fungi <kingdom> unnamed
fungi sp => Fungi <kingdom> unnamed
Fungi_sp => Fungi <kingdom> unnamed
Fungus => Fungi <kingdom> unnamed
fungus sp. => Fungi <kingdom> unnamed
Fungal sp. ARIZ L123 => Fungi <kingdom> unnamed
fungal sp. strain 5 => Fungi <kingdom> unnamed
fungal endophyte => Fungi <kingdom> unnamed
Fungal endophyte isolate 7 => Fungi <kingdom> unnamed
Fungal endophyte sp. 3 => Fungi <kingdom> unnamed
endophytic fungus => Fungi <kingdom> unnamed
ectomycorrhizal fungus => Fungi <kingdom> unnamed
Ectomycorrhizal fungus sp. 12 => Fungi <kingdom> unnamed
mycorrhizal fungus => Fungi <kingdom> unnamed
ericoid mycorrhizal fungus => Fungi <kingdom> unnamed
root associated fungus => Fungi <kingdom> unnamed
soil fungus => Fungi <kingdom> unnamed
leaf litter fungus => Fungi <kingdom> unnamed
dark septate endophyte => unnamed
Uncultured fungus => Fungi <kingdom> unnamed
uncultured fungus => Fungi <kingdom> unnamed
Uncultured fungus clone 4 => Fungi <kingdom> unnamed
uncultured_fungus => Fungi <kingdom> unnamed
Uncultured soil fungus => Fungi <kingdom> unnamed
uncultured eukaryote => unnamed
Uncultured Cenococcum clone OTO-11b => unnamed
Uncultured ectomycorrhiza (Cenococcum) clone SLUBC65 => unnamed
Uncultured ectomycorrhizal fungus => Fungi <kingdom> unnamed
Uncultured Malasseziales clone G33p8 => unnamed
Uncultured Russulaceae => unnamed
Uncultured basidiomycete => unnamed
environmental sample => unnamed
Environmental sequence => unnamed
unidentified => unnamed
Unidentified fungus => Fungi <kingdom> unnamed
unidentified mushroom => unnamed
unknown => unnamed
UNKNOWN => unnamed
Unknown fungus => Fungi <kingdom> unnamed
undetermined => unnamed
indet. => unnamed
unclassified => unnamed
mushroom => unnamed
metagenome => unnamed
synthetic construct => unnamed
? => unnamed
- => unnamed
n/a => unnamed
none => unnamed
not identified => unnamed
TBD => unnamed
sp. => unnamed
# The name in brackets.
Fly agaric (Amanita muscaria) => Amanita muscaria
fly agaric (amanita muscaria) => Amanita muscaria
Amanita muscaria (fly agaric) => Amanita muscaria
Turkey tail (Trametes versicolor?) => Trametes versicolor ?
Honey mushroom (Armillaria sp.) => Armillaria sp
# Not names, or names of nothing in particular.
coral fungus => -
jelly fungus => -
brown mushroom => -
little brown mushroom => -
Little Brown Mushroom => -
LBM => -
white bolete => -
White bolete => -
orange peel => -
fly agaric => -
Chanterelle => -
chanterelles => -
Puffball => -
Polypore => -
polypores => -
turkey tail => -
Truffle => -
Morels => -
Bracket Fungus => -
slime mould => -
crust on oak => -
yellow gills => -
FC-0123 => -
FC0123 => -
A01 => -
123 => unnamed
R. emetica => -
A. muscaria => -
BRNM 825828 => -
ITS region => -
voucher FC12 => -
parasite on Russula => -
scales => -
males => -
gasteromycetes => -
Hyphomycetes => -
the one by the gate => -
Ask Anna => -
same as above => -
Strange thing => -
# What follows the name in an archive header, or a note on a label.
Amanita vladimirii BRNM 825828 ITS region; from TYPE material => Amanita vladimirii
Amanita harkoneniana H Saarimaki 1061 ITS region; from TYPE material => Amanita harkoneniana
Cortinarius gracilior H J. Vauras 19538 ITS region; from verified material => Cortinarius gracilior
Cortinarius luteo-ornatus IB MM1962/0027 ITS region => Cortinarius luteo-ornatus
Microbotryum silenes-saxifragae KR M 23890 ITS region => Microbotryum silenes-saxifragae
Perenniporia medulla-panis MUCL 43250 ITS region => Perenniporia medulla-panis
Laccaria bicolor internal transcribed spacer region => Laccaria bicolor
Amanita muscaria genes for 18S rRNA, ITS1, 5.8S rRNA => Amanita muscaria
Wilcoxina mikolae 18S ribosomal RNA gene, partial sequence => Wilcoxina mikolae
Wilcoxina mikolae voucher P22_M2_772 18S ribosomal RNA gene => Wilcoxina mikolae
Wilcoxina mikolae isolate ITS-29c small subunit => Wilcoxina mikolae
Cenococcum geophilum strain CG5 18S => Cenococcum geophilum
Agaricus bisporus var. burnettii JB137-S8 hypothetical protein => Agaricus bisporus burnettii
Schizophyllum commune H4-8 40S ribosomal protein S23 => Schizophyllum commune
Cortinarius lepistoides holotypus FJ195643 => Cortinarius lepistoides
Russula emetica, on moss => Russula emetica
Russula emetica on moss under spruce => Russula emetica
Russula emetica with Hypomyces => Russula emetica
Hypomyces lactifluorum on Russula brevipes => Hypomyces lactifluorum
Russula, red cap => Russula
Russula red cap => Russula
Russula large white => Russula
Russula ectomycorrhiza HS11.6 => Russula
Tuber JT9769 Nepal => Tuber
Tuber Missouri nonumber => Tuber
Armillaria NABSX 837A => Armillaria
Armillaria Indo-Malaysia Isolate CMW4145 => Armillaria
Lentinula asiculospora Costa Rica 2 => Lentinula asiculospora
Cortinarius lilac beauty => Cortinarius
`

func TestParseName(t *testing.T) {
	rows := 0
	for row := range strings.Lines(nameRows) {
		row = strings.TrimSuffix(row, "\n")
		if row == "" || strings.HasPrefix(row, "#") {
			continue
		}
		rows++
		written, want, ok := strings.Cut(row, " => ")
		require.True(t, ok, row)
		n := ParseName(written)
		if got := brief(n); got != want {
			t.Errorf("%q: got %q, want %q", written, got, want)
		}
		if n.Verbatim != strings.TrimSpace(written) {
			t.Errorf("%q: verbatim %q", written, n.Verbatim)
		}
		checkName(t, n)
	}
	require.Greater(t, rows, 300)
	require.Equal(t, Name{}, ParseName("  "))
}

// checkName holds a name to what its type promises.
func checkName(t testing.TB, n Name) {
	t.Helper()
	switch {
	case n.Epithet != "" && (n.Genus == "" || n.Rank != Species),
		n.Infra != "" && n.Epithet == "",
		n.Genus != "" && (n.Higher != "" || n.Unnamed || n.Rank < Genus),
		n.Genus == "" && n.Rank >= Genus,
		n.Genus == "" && n.Higher == "" && n.Rank != NoRank:
		t.Errorf("%q: not a sound name: %+v", n.Verbatim, n)
	}
	if n.Genus != "" && (titleCase(n.Genus) != n.Genus || !isLetters(strings.ToLower(n.Genus))) {
		t.Errorf("%q: genus %q", n.Verbatim, n.Genus)
	}
	if n.Epithet != "" && !isLetters(n.Epithet) || n.Infra != "" && !isLetters(n.Infra) {
		t.Errorf("%q: epithets %q %q", n.Verbatim, n.Epithet, n.Infra)
	}
}

// A name read once and written as its taxon is read as the same taxon.
func TestParseNameOfTaxon(t *testing.T) {
	for row := range strings.Lines(nameRows) {
		written, _, ok := strings.Cut(row, " => ")
		if !ok {
			continue
		}
		n := ParseName(written)
		if n.Genus == "" {
			continue
		}
		require.Equal(t, n.Taxon(), ParseName(n.Taxon()).Taxon(), written)
	}
}

// Every genus of the built-in table is read as a genus, alone and in every
// case, and none is taken for a higher taxon.
func TestParseNameKnowsItsTable(t *testing.T) {
	for genus := range builtinGenera() {
		for _, written := range []string{genus, strings.ToLower(genus), strings.ToUpper(genus), genus + " sp.", genus + "_sp", genus + "?"} {
			require.Equal(t, genus, ParseName(written).Genus, written)
		}
	}
}

func FuzzParseName(f *testing.F) {
	for row := range strings.Lines(nameRows) {
		written, _, _ := strings.Cut(row, " => ")
		f.Add(written)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n := ParseName(text)
		checkName(t, n)
		if n.Genus != "" {
			if again := ParseName(n.Taxon()); again.Genus != "" && again.Taxon() != n.Taxon() {
				t.Errorf("%q: %q reads as %q", text, n.Taxon(), again.Taxon())
			}
		}
	})
}
