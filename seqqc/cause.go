package seqqc

// CauseCode names what may lie behind a row that needs attention.
type CauseCode string

// The causes.
const (
	// On the specimen or its label.
	CauseFieldName  CauseCode = "field_name"       // the specimen was named wrongly in the field
	CauseRenamed    CauseCode = "name_changed"     // both names are right, of different books
	CauseGrowth     CauseCode = "growth_on_it"     // a mould, yeast or fungus-on-fungus was sequenced
	CauseHost       CauseCode = "host_sequenced"   // the host of a fungus-on-fungus was sequenced
	CauseForeignDNA CauseCode = "foreign_dna"      // DNA of no fungus in or on the specimen
	CauseLabel      CauseCode = "label_unreadable" // the name on the label tells no taxon
	// In the laboratory or in the files.
	CauseExchanged     CauseCode = "exchanged"     // tubes, labels or files of vouchers were exchanged
	CausePlate         CauseCode = "plate_moved"   // the whole plate is shifted or turned
	CauseReadsCrossed  CauseCode = "reads_crossed" // reads of two vouchers were put under one
	CauseContamination CauseCode = "contamination" // DNA of another tube or of a reagent got in
	CauseTwoTemplates  CauseCode = "two_templates" // two organisms in one tube
	CauseChimera       CauseCode = "chimera"       // a molecule joined in the PCR
	CauseOtherLocus    CauseCode = "other_locus"   // another stretch of DNA was amplified
	CausePoorReads     CauseCode = "poor_reads"    // the reads are too bad
	CauseReadsMissing  CauseCode = "reads_missing" // no file was tied to the voucher
	CauseTwoAlleles    CauseCode = "two_alleles"   // copies of one organism run out of step
	// In the reference library.
	CauseReference CauseCode = "reference_wrong" // a reference bears a wrong name
	CauseLibrary   CauseCode = "library_gap"     // the library lacks what the test needs
	CauseAlike     CauseCode = "species_alike"   // ITS does not part the species
)

// Action is what a cause asks the club to do. It orders the work to send back.
type Action string

// The actions.
const (
	ActNothing        Action = ""
	ActLookAgain      Action = "look_again"       // compare the specimen with a description
	ActCheckTubes     Action = "check_tubes"      // labels, tubes, wells and file names
	ActCorrectSheet   Action = "correct_sheet"    // mend the sheet
	ActExtractAgain   Action = "extract_again"    // from clean inner tissue
	ActAmplifyAgain   Action = "amplify_again"    // a new PCR from the same extract
	ActSequenceAgain  Action = "sequence_again"   // a read more of the same product
	ActAddReferences  Action = "add_references"   // a better library
	ActCheckReference Action = "check_references" // look at one reference's record
)

// Cause is one explanation of a row that needs attention.
type Cause struct {
	Code CauseCode `json:"cause"`
	// Weight orders the causes of one row, the likeliest first: the sum of what
	// its evidence is worth. It is no probability.
	Weight float64 `json:"weight"`
	// For and Against are the evidence, one plain sentence each.
	For     []string `json:"for,omitempty"`
	Against []string `json:"against,omitempty"`
	// Says is the cause in a sentence, NextStep what to do about it.
	Says     string `json:"says"`
	NextStep string `json:"next_step"`
	Action   Action `json:"action,omitempty"`
	// Primer is the primer to sequence from where Action is ActSequenceAgain
	// and one end is wanting.
	Primer string `json:"primer,omitempty"`
}
