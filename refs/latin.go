package refs

import "strings"

// plainWords are words of labels and archive headers that are neither genera
// nor epithets, although some end like Latin ones. Club words for groups of
// fungi are among them: they name no taxon by themselves.
//
//nolint:misspell // labels are written in every English
var plainWords = wordSet(`
	a an and as at be but by for from has have if in inside into is it near next no not of off on
	or out over possible possibly probable probably maybe perhaps likely the then this to under upon vs versus with without
	oder ou vel bzw eller lub und auf sur sous sobre bei mit aus unter avec chez vielleicht wohl
	also like looks same another other some many several few one two three
	black blue bright brown cream creamy crimson dark dull gold golden gray green grey lavender lemon light lilac
	maroon mauve ochre olive orange pale peach pink purple red rose ruddy rusty salmon scarlet silver tan tawny
	violet white yellow
	big bigger fat fine giant hairy huge large little long mini old scaly short slim slimy small smaller smooth soft
	sticky strange tall thick thin tiny tough viscid warm weird young common rare
	agaric agarics amber bird bolete boletes bracket brackets brittlegill brittlegills button buttons cap caps cep ceps
	chanterelle chanterelles chicken club clubs conk conks coral corals crust crusts cup cups deceiver discomycete
	discomycetes earthball earthballs earthstar earthstars earthtongue earthtongues elfcup elfin fairy fingers fungi fungus fungal
	funnel gill gilled gills gomphoid hen hydnoid hyphomycete hyphomycetes inkcap inkcaps jelly kingfisher knight knights
	lichen lichens milkcap milkcaps milky mold molds morel morels mould moulds mower mushroom mushrooms mustard nest
	orchid oyster oysters parasite parasites parasol parasols pine pinkgill polypore polypores pore pores porous puffball
	puffballs pyrenomycete pyrenomycetes resupinate resupinates ring rings rust rusts saddle saddles scale scales slime
	smut smuts spore spores stinkhorn stinkhorns stem stems stipe toadstool toadstools tooth toothed truffle truffles
	turkey-tail waxcap waxcaps webcap webcaps witches wood yeast yeasts brittle milk false true king
	alder ash aspen beech birch cedar conifer conifers deciduous douglas-fir duff fir forest grass hemlock lawn leaf leaves litter log
	maple moss needles oak pasture pines plant plants root roots soil spruce stump tree trees willow
	acid amplicon assembly base bases barcode cells chain clone clones collected collection complete contig control
	cultivar culture cultures dna hybrid anamorph teleomorph holotypus isotypus lectotypus neotypus epitypus typus isotype lectotype neotype epitype topotype draft endophyte endophytes endophytic environmental epiphyte eukaryote eukaryotic extract file
	gene genes genome genomic haplotype herbarium holotype host isolate isolates internal intergenic its its1 its2 label large-subunit
	locus lsu marker material medium mitochondrial mitochondrion molecule mrna mycorrhiza mycorrhizae mycorrhizal mycorrhizas
	ectomycorrhiza ectomycorrhizae ectomycorrhizal ericoid nuclear number organism operon otu paratype partial pcr plate
	primer product protein query rdna read reads reference region ribosomal rna rrna run sample samples scaffold sequence
	sequences seq shotgun similar small-subunit sp spacer specimen specimens spp ssu standard strain strains subunit
	synthetic taxon template test transcribed transcription type uncultured uncultivated unclassified undetermined
	unidentified unknown unnamed unverified various voucher vouchers whole
	indet undet determined identified identification name names none null blank empty negative positive new
	species genus family order class phylum kingdom group groups complex clade section sect series agg aggregate
	sensu auct non nec nom nomen ined prov nov comb emend ex et apud var variety form forma subsp ssp subspecies
	variant morph morphotype phylotype genotype ecotype biotype race pathovar strain-type
	bioassay bacteria bacterium metagenome virus insect animal human construct vector rhizosphere associated dark-septate`)

// openWords alone or together make a text that is there but names nothing and
// is not meant to: "uncultured fungus", "fungal endophyte", "environmental
// sample".
//
//nolint:misspell // as above
var openWords = wordSet(`
	uncultured uncultivated unclassified unidentified unknown undetermined unnamed indet undet unverified
	environmental environment sample samples sequence metagenome organism eukaryote eukaryotic synthetic construct
	fungus fungi fungal mushroom mushrooms toadstool mold mould yeast yeasts lichen lichenized
	endophyte endophytic epiphyte root roots leaf litter soil plant bark wood dark septate dark-septate associated foliar
	mycorrhiza mycorrhizae mycorrhizal mycorrhizas ectomycorrhiza ectomycorrhizae ectomycorrhizal ericoid arbuscular
	bacterium none null na n/a nil no name id not identified yet tbd tba new sp spp species n a
	ascomycete basidiomycete agaricomycete zygomycete taxon specimen collection blank empty
	pilz pilze champignon hongo svamp svampar paddenstoel zwam grzyb sieni
	keine angabe ohne namen unbenannt sans nom sin nombre geen naam utan namn art` + undetermined)

// undetermined are words that say that nobody named it, in the languages of
// labels, accents folded.
const undetermined = ` unidentified unknown undetermined unnamed indet undet unverified
	unbestimmt unbestimmte unbestimmter unbestimmtes unbekannt unbekannte unbekannter indetermine indeterminee inconnu inconnue
	indeterminado indeterminada desconocido desconocida indeterminato sconosciuto onbekend ongedetermineerd
	okaend okaent obestaemd obestaemt ukjent ukendt ubestemt tuntematon nieznany nieoznaczony`

var undeterminedWords = wordSet(undetermined)

// sourceWords stand before the code of a culture, clone or collection, or
// begin the account of a sequence.
var sourceWords = wordSet(`strain strains isolate isolates clone clones voucher vouchers culture cultures haplotype genotype ecotype
	its its1 its2 18s 5.8s 28s internal small large partial complete gene genes genomic ribosomal rrna rdna dna mrna mitochondrial
	for from in on at with under`)

// infraMarks stand before an epithet below species.
var infraMarks = wordSet(`var variety v subsp ssp subspecies f fo forma form subvar subf nothovar nothosubsp morph`)

// openRankMarks after a genus say that only a part of the genus is meant.
var openRankMarks = wordSet(`sect section subg subgen subgenus subsect subsection ser series stirps supersect cohort`)

var groupMarks = wordSet(`group grp gr gp groups gruppe artengruppe groupe komplex aggregat agg aggr aggregate complex cplx clade species-complex species-group`)

// authorWords are lower-case words among author names.
var authorWords = wordSet(`ex et in & and non nec emend bis fil de da di du del der den van von la le apud auct al sensu nom nomen
	nud prov ined comb nov ad int inval illeg cons sanct orth`)

// latinEnding reports whether a lower-case word ends as most Latin genera and
// epithets do. strict leaves out the endings that English words share.
func latinEnding(word string, strict bool) bool {
	if !strings.ContainsAny(word, "aeiouy") {
		return false
	}
	if !strict {
		return strings.IndexByte("aeiousnrxm", word[len(word)-1]) >= 0
	}
	for _, ending := range []string{"us", "a", "um", "is", "on", "ces", "ix", "yx", "ys", "ops", "ybe", "ites", "oides", "odes",
		"ae", "ii", "ei", "ri", "ni", "li", "ti", "si", "di", "ki", "ensis", "ense", "ans", "ens", "pes", "or", "ax", "ceps", "forme", "estre", "ale", "ile", "are"} {
		if strings.HasSuffix(word, ending) {
			return true
		}
	}
	return false
}

// foldLetters spells accented letters as the International Code of
// Nomenclature prescribes (Shenzhen Code, Art. 60.7: ä, ö, ü and ø, æ, å, ß,
// ñ; accents on e, i and the rest fall away, and so does the diaeresis).
var foldLetters = strings.NewReplacer(
	"ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "ø", "oe", "Ø", "Oe", "æ", "ae", "Æ", "Ae", "œ", "oe", "Œ", "Oe",
	"å", "ao", "Å", "Ao", "ß", "ss", "ñ", "n", "Ñ", "N", "ç", "c", "Ç", "C",
	"é", "e", "è", "e", "ê", "e", "ë", "e", "É", "E", "È", "E", "Ê", "E", "Ë", "E",
	"á", "a", "à", "a", "â", "a", "ã", "a", "í", "i", "ì", "i", "î", "i", "ï", "i",
	"ó", "o", "ò", "o", "ô", "o", "õ", "o", "ú", "u", "ù", "u", "û", "u", "ý", "y",
	"č", "c", "š", "s", "ž", "z", "ř", "r", "ń", "n", "ł", "l", "ś", "s", "ć", "c", "ź", "z", "ż", "z", "ą", "a", "ę", "e")

// higherSuffixes are the endings of names above genus with their rank
// (Shenzhen Code, Art. 16.3 to 17.1 and 18.1); NoRank is a rank between ours.
var higherSuffixes = []struct {
	ending string
	rank   Rank
}{
	{"aceae", Family}, {"mycetidae", NoRank}, {"mycotina", NoRank}, {"phytina", NoRank}, {"mycota", Phylum}, {"mycetes", Class},
	{"phyta", Phylum}, {"phyceae", Class}, {"opsida", Class}, {"oideae", NoRank}, {"ineae", NoRank}, {"ales", Order},
}

// higherWords are names above genus that no ending gives away, and words of
// the trade that mean one.
//
//nolint:misspell // Latin
var higherWords = map[string]struct {
	name string
	rank Rank
}{
	"fungi": {"Fungi", Kingdom}, "fungus": {"Fungi", Kingdom}, "fungal": {"Fungi", Kingdom},
	"ascomycetes": {"Ascomycota", Phylum}, "ascomycete": {"Ascomycota", Phylum},
	"basidiomycetes": {"Basidiomycota", Phylum}, "basidiomycete": {"Basidiomycota", Phylum},
	"agaricomycete": {"Agaricomycetes", Class},
	"myxomycete":    {"Myxomycetes", Class}, "myxogastria": {"Myxomycetes", Class}, "oomycete": {"Oomycetes", Class},
	"plantae": {"Plantae", Kingdom}, "viridiplantae": {"Plantae", Kingdom}, "animalia": {"Animalia", Kingdom}, "metazoa": {"Animalia", Kingdom},
	"protozoa": {"Protozoa", Kingdom}, "amoebozoa": {"Amoebozoa", Phylum}, "chromista": {"Chromista", Kingdom}, "bacteria": {"Bacteria", Kingdom},
	"gramineae": {"Gramineae", Family}, "leguminosae": {"Leguminosae", Family}, "compositae": {"Compositae", Family},
}

// formGroups end like classes but are ways of growing, not taxa.
var formGroups = wordSet(`gasteromycetes hyphomycetes discomycetes pyrenomycetes coelomycetes hymenomycetes zygomycetes phycomycetes
	deuteromycetes macromycetes micromycetes`)

// higherName reads a word as a name above genus, in any case.
func higherName(word string) (name string, rank Rank, ok bool) {
	lower := strings.ToLower(word)
	if h, found := higherWords[lower]; found {
		return h.name, h.rank, true
	}
	if formGroups[lower] || !isLetters(lower) {
		return "", NoRank, false
	}
	for _, s := range higherSuffixes {
		if !strings.HasSuffix(lower, s.ending) {
			continue
		}
		// A small lower-case word is more likely an English one ("scales").
		least := len(s.ending) + 3
		if word == lower {
			least = len(s.ending) + 4
		}
		if len(lower) < least || plainWords[lower] {
			return "", NoRank, false
		}
		return titleCase(lower), s.rank, true
	}
	return "", NoRank, false
}

// isLetters reports whether s is lower-case letters a to z, with hyphens
// inside.
func isLetters(s string) bool {
	if s == "" || s[0] == '-' || s[len(s)-1] == '-' {
		return false
	}
	for i := range len(s) {
		if (s[i] < 'a' || s[i] > 'z') && s[i] != '-' {
			return false
		}
	}
	return true
}
