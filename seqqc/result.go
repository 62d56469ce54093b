package seqqc

// SchemaVersion is the version of results.json. It rises when a field is
// renamed, removed or changes its meaning; new fields do not raise it.
const SchemaVersion = 1

// Result is everything a run found.
type Result struct {
	SchemaVersion int             `json:"schema_version"`
	Program       string          `json:"program"`
	Library       LibraryInfo     `json:"library"`
	Settings      []Setting       `json:"settings"`
	Vouchers      []VoucherResult `json:"vouchers"` // in sheet order
	Reads         []Read          `json:"reads"`    // every input, in file order
	// Between is what comparing the vouchers with one another found.
	Between []Between `json:"between_vouchers,omitempty"`
	// Power says in a paragraph what the batch's tests could have found.
	Power string `json:"power,omitempty"`
	// Spreads are, genus by genus, how far the library's records lie apart: of the
	// genera that labels or DNA name, sorted.
	Spreads []Spread `json:"spreads,omitempty"`
	// Trees show the vouchers among their nearest references.
	Trees    []Tree    `json:"trees,omitempty"`
	Problems []Problem `json:"problems"`
	Cautions []string  `json:"cautions"`
}

// LibraryInfo names the reference library used.
type LibraryInfo struct {
	Name     string `json:"name"` // base name of the file
	SHA256   string `json:"sha256"`
	Records  int    `json:"records"`
	Named    int    `json:"named"` // records with at least a genus
	Genera   int    `json:"genera"`
	Species  int    `json:"species"`
	Rejected int    `json:"rejected"` // records that could not be used
}

// Setting is one setting used, with where its value comes from.
type Setting struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Source string `json:"source"`
	// About says in a few words what it sets.
	About string `json:"about,omitempty"`
}

// VoucherResult is one voucher with all that was found.
type VoucherResult struct {
	Voucher Voucher        `json:"voucher"`
	Samples []SampleResult `json:"samples"`
	// Chosen is the index in Samples of the sample the verdict rests on, -1
	// where none has a usable contig.
	Chosen  int     `json:"chosen"`
	Verdict Verdict `json:"verdict"`
	// Power says what the test could have found, nil where there was none.
	Power *Power `json:"power,omitempty"`
	// Earlier are the barcodes of earlier batches that are of one species with
	// this one, as far as a ledger was asked.
	Earlier []Earlier `json:"earlier,omitempty"`
	// Reviewed is what a person decided, nil where nobody did.
	Reviewed *Reviewed `json:"reviewed,omitempty"`
}

// SampleResult is one sample of a voucher.
type SampleResult struct {
	Sample Sample `json:"sample"`
	// ReadFiles name the reads tied to the sample, used or not.
	ReadFiles []string `json:"read_files"`
	Contig    *Contig  `json:"contig,omitempty"` // nil where no read was usable
	Match     *Match   `json:"match,omitempty"`  // nil where there was nothing to match
	// Minor is a second organism's sequence, nil where none was read.
	Minor *MinorTemplate `json:"minor,omitempty"`
}

// ChosenSample gives the sample the verdict rests on, nil where there is none.
func (v *VoucherResult) ChosenSample() *SampleResult {
	if v.Chosen < 0 || v.Chosen >= len(v.Samples) {
		return nil
	}
	return &v.Samples[v.Chosen]
}

// Problem is an input that could not be used, or was used with a doubt.
type Problem struct {
	// File names the input; Line and Column are 1-based, zero where they say
	// nothing. For a sheet Line is the row and Field the heading.
	File   string `json:"file"`
	Line   int    `json:"line,omitempty"`
	Field  string `json:"field,omitempty"`
	Offset int64  `json:"offset,omitempty"`
	// What says what is wrong, Hint what to do, each without capital or full
	// stop.
	What string `json:"what"`
	Hint string `json:"hint"`
	// Unread is true where the input (or row) could not be used at all: the
	// run then ends with exit status 3.
	Unread bool `json:"unread"`
}

// Cautions stand in every report. They are part of the output, not of its
// decoration.
var Cautions = []string{
	"An ITS match names a sequence. It does not make a mushroom safe to eat, and nobody should eat one on the strength of it.",
	"References can be mislabelled, and one ITS sequence can fit several species: ask an expert before a name is relied on.",
	"If poisoning is suspected, call a poison centre or the emergency services at once.",
	"Collecting needs the land's permission and follows local rules.",
}
