package cross

import (
	"context"

	"forayseq/seqqc"
)

// Fit is how a sequence lies to a label.
type Fit uint8

// The fits.
const (
	// Untold: there is no name, or the DNA does not tell.
	Untold Fit = iota
	// Apart: they exclude one another at genus or above.
	Apart
	// Inside: the DNA lies in the label's taxon, and no species are to be
	// compared.
	Inside
	// OtherSpecies: one genus, and the label names another species without
	// doubt.
	OtherSpecies
	// SameSpecies: one species.
	SameSpecies
)

// fits reports whether a label can stand with the DNA.
func (f Fit) fits() bool { return f >= Inside }

// Batch is what is compared.
type Batch struct {
	// Vouchers have their samples matched and one chosen; their verdicts are not
	// looked at.
	Vouchers []seqqc.VoucherResult
	// Reads tell the wells and runs of samples whose wells the sheet does not
	// tell.
	Reads []*seqqc.Read
	// Singles are the reads of samples whose reads do not join and disagree,
	// each matched alone.
	Singles []Single
	// Fits says how a match lies to the label of Vouchers[voucher]. It must give
	// the same answer each time.
	Fits func(m *seqqc.Match, voucher int) Fit
}

// Single is one read, put together and matched alone.
type Single struct {
	// Voucher and Sample are indices of Batch.Vouchers and its Samples.
	Voucher, Sample int
	File            string
	Direction       seqqc.Direction
	Contig          *seqqc.Contig
	Match           *seqqc.Match
}

// Found is what comparing the vouchers gave.
type Found struct {
	Between []seqqc.Between
	// Findings are, for each voucher, what is to be said in its own row. They
	// answer no question (seqqc.AskNothing) and only add flags.
	Findings [][]seqqc.Finding
}

// Compare finds the patterns between the vouchers of a batch, in the order of
// seqqc's list of patterns and then of the sheet. What one pattern explains, a
// later one does not explain again: moves of plates go first, then reads that
// changed places, then exchanges. The error is that of the limits, of a letter
// that is no nucleotide code, or of ctx.
func Compare(ctx context.Context, b Batch, p Params) (Found, error) {
	c := comparison{b: b, p: p, out: Found{Findings: make([][]seqqc.Finding, len(b.Vouchers))}}
	if err := p.Validate(); err != nil {
		return Found{}, err
	}
	return c.out, nil
}

// comparison is one call of Compare.
type comparison struct {
	b   Batch
	p   Params
	out Found
}
