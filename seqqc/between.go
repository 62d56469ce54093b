package seqqc

// Pattern names what was found between vouchers.
type Pattern string

// The patterns.
const (
	PatternExchange     Pattern = "exchange"      // the DNA of two or more vouchers went round in a ring
	PatternHalfExchange Pattern = "half_exchange" // the DNA of one may be another's, which has none to show
	PatternPlateMoved   Pattern = "plate_moved"   // a whole plate is shifted, turned or mirrored
	PatternReadCrossed  Pattern = "read_crossed"  // a read of one voucher belongs to another
	PatternOneBarcode   Pattern = "one_barcode"   // one barcode under different field genera
	PatternSplitName    Pattern = "split_name"    // one field species in several barcodes
	PatternControl      Pattern = "control"       // a blank gave a sequence found in vouchers
	PatternCarryOver    Pattern = "carry_over"    // DNA of a neighbouring well, in a sample or in one of its reads
)

// Between is one thing found by comparing the vouchers of a batch with one
// another.
type Between struct {
	Pattern Pattern `json:"pattern"`
	// Vouchers are the codes concerned. In an exchange the DNA found under each
	// fits the label of the one after it, that of the last the first.
	Vouchers []string `json:"vouchers"`
	// Evidence are plain sentences with their figures.
	Evidence []string `json:"evidence"`
	// Expected is how many patterns as good as this one would be found in this
	// batch if the labels, or for neighbours the wells, had been dealt out at
	// random. What is above the settings' limit may be told, but is not found:
	// its Flag is empty. It is 0 for what is read off the sequences alone
	// (PatternOneBarcode, PatternSplitName), where labels have no part in it.
	Expected float64 `json:"expected_by_chance"`
	// Read is the file of the one read concerned (PatternCarryOver), empty where it
	// is all of a sample's DNA.
	Read string `json:"read,omitempty"`
	// SharePct is the part of the signal, in percent, of DNA that was read from
	// under a voucher's own (PatternCarryOver); 0 elsewhere.
	SharePct float64 `json:"share_pct,omitempty"`
	Flag     Flag    `json:"flag,omitempty"`
	Reason   string  `json:"reason"`
	NextStep string  `json:"next_step"`
}
