package seqqc

import "forayseq/refs"

// Kind says what a row of the sheet stands for.
type Kind string

// The kinds of row.
const (
	Specimen Kind = "specimen"
	Blank    Kind = "blank"    // a negative control: silence is a pass
	Positive Kind = "positive" // a positive control: known DNA
)

// Voucher is one row of the voucher sheet: a specimen the club keeps, or a
// control. Two rows of one voucher with different samples are one Voucher
// with two Samples.
type Voucher struct {
	Code string `json:"voucher"`
	// FieldID is the name on the label as it was written.
	FieldID string `json:"field_id"`
	// Field is FieldID as understood.
	Field refs.Name `json:"field_name"`
	Kind  Kind      `json:"kind"`
	// Samples are the extractions or reruns, in sheet order; never empty: a
	// sheet without a sample column gives one Sample with an empty ID.
	Samples []Sample `json:"samples"`

	Collector    string `json:"collector,omitempty"`
	IdentifiedBy string `json:"identified_by,omitempty"`
	Institution  string `json:"institution,omitempty"`
	// Date is the collection date as YYYY, YYYY-MM or YYYY-MM-DD.
	Date      string   `json:"date,omitempty"`
	Country   string   `json:"country,omitempty"`
	Locality  string   `json:"locality,omitempty"`
	Latitude  *float64 `json:"latitude,omitempty"`  // decimal degrees, north positive
	Longitude *float64 `json:"longitude,omitempty"` // decimal degrees, east positive
	Elevation string   `json:"elevation,omitempty"` // as written, metres unless it says otherwise
	Substrate string   `json:"substrate,omitempty"`
	Host      string   `json:"host,omitempty"`
	Habitat   string   `json:"habitat,omitempty"`
	Notes     string   `json:"notes,omitempty"`
	// Observed are the traits that the sheet tells of, in the order of its
	// columns.
	Observed []Observation `json:"observed,omitempty"`
	// Extra keeps the cells of columns that are not known, by heading.
	Extra map[string]string `json:"extra,omitempty"`
	// Row is the 1-based row of the sheet, the heading being row 1.
	Row int `json:"row"`
}

// Sample is one extraction or sequencing attempt of a voucher.
type Sample struct {
	ID            string `json:"sample"`
	PrimerForward string `json:"primer_f,omitempty"`
	PrimerReverse string `json:"primer_r,omitempty"`
	PCRWell       string `json:"pcr_well,omitempty"`
	SeqWell       string `json:"seq_well,omitempty"`
	Row           int    `json:"row"` // 1-based row of the sheet
}
