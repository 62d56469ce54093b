package seqqc

// Earlier is a barcode of an earlier batch that a voucher's is like.
type Earlier struct {
	Batch   string `json:"batch"`
	Voucher string `json:"voucher"`
	FieldID string `json:"field_id"`
	// DNATaxon is what the DNA was then found to be, empty where nothing was.
	DNATaxon string `json:"dna_taxon,omitempty"`
	Date     string `json:"date,omitempty"`
	// Code is the club's code of that barcode, empty where it has none.
	Code        string  `json:"club_code,omitempty"`
	IdentityPct float64 `json:"identity_pct"`
	// OtherName is true where the two labels name different genera or species.
	OtherName bool `json:"other_name"`
}
