package occurrence

// term is a column of one of the tables and the term it stands for.
type term struct{ name, uri string }

func dwc(name string) term { return term{name, "http://rs.tdwg.org/dwc/terms/" + name} }

// The columns of the core, less the first, which is the record's id.
var coreTerms = []term{
	{"license", "http://purl.org/dc/terms/license"},
	{"rightsHolder", "http://purl.org/dc/terms/rightsHolder"},
	dwc("institutionCode"), dwc("datasetName"), dwc("basisOfRecord"), dwc("dataGeneralizations"), dwc("occurrenceID"),
	dwc("catalogNumber"), dwc("recordedBy"), dwc("occurrenceStatus"), dwc("associatedTaxa"), dwc("previousIdentifications"),
	dwc("eventDate"), dwc("habitat"), dwc("country"), dwc("countryCode"), dwc("locality"), dwc("verbatimElevation"),
	dwc("minimumElevationInMeters"), dwc("maximumElevationInMeters"),
	dwc("decimalLatitude"), dwc("decimalLongitude"), dwc("geodeticDatum"), dwc("coordinatePrecision"), dwc("verbatimIdentification"),
	dwc("identificationQualifier"), dwc("identifiedBy"), dwc("dateIdentified"), dwc("identificationVerificationStatus"),
	dwc("identificationRemarks"), dwc("scientificName"), dwc("kingdom"), dwc("phylum"), dwc("class"), dwc("order"),
	dwc("family"), dwc("genus"), dwc("specificEpithet"), dwc("taxonRank"),
}

// The columns of the history: one row an identification.
var historyTerms = []term{
	dwc("verbatimIdentification"), dwc("identificationQualifier"), dwc("scientificName"), dwc("taxonRank"), dwc("identifiedBy"),
	dwc("dateIdentified"), dwc("identificationVerificationStatus"), dwc("identificationRemarks"),
}

func mixs(number, name string) term { return term{name, "https://w3id.org/mixs/" + number} }
func gbif(name string) term         { return term{name, "http://rs.gbif.org/terms/" + name} }

// The columns of the DNA-derived data.
var dnaTerms = []term{
	mixs("0001107", "samp_name"), mixs("0000044", "target_gene"), mixs("0000045", "target_subfragment"),
	mixs("0000050", "seq_meth"), mixs("0000051", "seq_quality_check"), mixs("0000052", "chimera_check"),
	mixs("0000060", "number_contig"), mixs("0000062", "ref_db"), mixs("0000063", "sim_search_meth"),
	gbif("pcr_primer_forward"), gbif("pcr_primer_reverse"), gbif("pcr_primer_name_forward"), gbif("pcr_primer_name_reverse"),
	gbif("pcr_primer_reference"), {"DNA_sequence", "http://rs.gbif.org/terms/dna_sequence"},
}

// table is one file of the archive.
type table struct {
	file    string
	rowType string
	terms   []term
	// rows have the record's id first, then a cell a term.
	rows [][]string
}
