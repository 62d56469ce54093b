package cross

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

// Fit is how a sequence lies to a label.
type Fit uint8

// The fits.
const (
	// Untold: there is no name, or the DNA does not tell.
	Untold Fit = iota
	// Apart: they exclude one another at family or above.
	Apart
	// OtherGenus: they exclude one another, and part within a family.
	OtherGenus
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

// strays reports whether DNA is of another genus than a label.
func (f Fit) strays() bool { return f == Apart || f == OtherGenus }

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
	// Pairs is what pairs of barcodes came to before; nil where nothing is known.
	Pairs *Pairs
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
// changed places, then exchanges, then neighbours' DNA, then halves of exchanges. The error is that of the
// limits, of a letter that is no nucleotide code, or of ctx.
func Compare(ctx context.Context, b Batch, p Params) (Found, error) {
	if err := p.Validate(); err != nil {
		return Found{}, err
	}
	c, err := newComparison(b, p)
	if err != nil {
		return Found{}, err
	}
	if err := c.compareBarcodes(ctx); err != nil {
		return Found{}, err
	}
	layouts := c.layouts()
	c.plateMoves(layouts)
	c.readsCrossed()
	c.exchanges()
	if err := c.carryOver(layouts); err != nil {
		return Found{}, err
	}
	c.halfExchanges()
	c.sharedBarcodes()
	if err := c.splitNames(); err != nil {
		return Found{}, err
	}
	c.controls(layouts)
	slices.SortStableFunc(c.patterns, func(a, b pattern) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.Pattern), slices.Index(order, b.Pattern)), cmp.Compare(a.first, b.first))
	})
	out := Found{Findings: c.findings}
	for _, x := range c.patterns {
		out.Between = append(out.Between, x.Between)
	}
	return out, ctx.Err()
}

// order is that of the patterns in a result.
var order = []seqqc.Pattern{
	seqqc.PatternExchange, seqqc.PatternHalfExchange, seqqc.PatternPlateMoved, seqqc.PatternReadCrossed, seqqc.PatternOneBarcode,
	seqqc.PatternSplitName, seqqc.PatternControl, seqqc.PatternCarryOver,
}

// comparison is one call of Compare. Vouchers go by their indices.
type comparison struct {
	b        Batch
	p        Params
	patterns []pattern
	findings [][]seqqc.Finding

	rows map[*seqqc.Match][]Fit
	// own is how the DNA that the verdict rests on lies to the label.
	own []Fit
	// odd is the first sample whose DNA contradicts the label, that of the
	// verdict before all others, -1 where there is none.
	odd []int
	// settled is true for a contradiction that a pattern explains.
	settled []bool
	// barcodes are nil where there is no ITS; near are the other vouchers with
	// nearly the same DNA, see compareBarcodes.
	barcodes []*barcode
	near     [][]link
	aligner  *align.Aligner
	pairs    *Pairs
	// told are the files of reads that a pattern explains.
	told map[string]bool
}

// pattern is a Between with the voucher that it stands at.
type pattern struct {
	seqqc.Between
	first int
}

func newComparison(b Batch, p Params) (*comparison, error) {
	aligner, err := align.NewAligner(align.ITS)
	if err != nil {
		return nil, err
	}
	n := len(b.Vouchers)
	c := &comparison{b: b, p: p, findings: make([][]seqqc.Finding, n), rows: map[*seqqc.Match][]Fit{},
		own: make([]Fit, n), odd: make([]int, n), settled: make([]bool, n),
		barcodes: make([]*barcode, n), near: make([][]link, n), aligner: aligner, pairs: b.Pairs, told: map[string]bool{}}
	if c.pairs == nil {
		c.pairs = NewPairs()
	}
	for v := range b.Vouchers {
		x := &b.Vouchers[v]
		c.odd[v] = -1
		if s := x.ChosenSample(); s != nil && s.Match != nil {
			c.own[v] = b.Fits(s.Match, v)
			if contradicts(c.own[v]) {
				c.odd[v] = x.Chosen
			}
		}
		for j, s := range x.Samples {
			if c.odd[v] < 0 && s.Match != nil && b.Fits(s.Match, v).strays() {
				c.odd[v] = j
			}
		}
	}
	return c, nil
}

// contradicts reports whether the DNA is of another taxon than the label.
func contradicts(f Fit) bool { return f.strays() || f == OtherSpecies }

// fits gives how a match lies to the label of each voucher.
func (c *comparison) fits(m *seqqc.Match) []Fit {
	row := c.rows[m]
	if row == nil {
		row = make([]Fit, len(c.b.Vouchers))
		for v := range row {
			row[v] = c.b.Fits(m, v)
		}
		c.rows[m] = row
	}
	return row
}

// oddMatch gives the match that contradicts a voucher's label.
func (c *comparison) oddMatch(v int) *seqqc.Match { return c.b.Vouchers[v].Samples[c.odd[v]].Match }

func (c *comparison) code(v int) string { return c.b.Vouchers[v].Voucher.Code }

func (c *comparison) codes(list []int) []string {
	var out []string
	for _, v := range list {
		out = append(out, c.code(v))
	}
	return out
}

// tell adds a pattern between vouchers.
func (c *comparison) tell(vouchers []int, b seqqc.Between) {
	b.Vouchers = c.codes(vouchers)
	c.patterns = append(c.patterns, pattern{b, slices.Min(vouchers)})
}

// rulePrefix stands before a pattern in the rule of its findings.
const rulePrefix = "between-"

// PatternOf gives the pattern that a finding of this package tells of, false for
// any other finding.
func PatternOf(f seqqc.Finding) (seqqc.Pattern, bool) {
	name, ok := strings.CutPrefix(f.Rule, rulePrefix)
	return seqqc.Pattern(name), ok
}

// note adds what a pattern says of one voucher to its row.
func (c *comparison) note(v int, p seqqc.Pattern, flag seqqc.Flag, attention bool, reason, nextStep string) {
	f := seqqc.Finding{Rule: rulePrefix + string(p), Question: seqqc.AskNothing, Attention: attention, Reason: reason, NextStep: nextStep}
	if flag != "" {
		f.Flags = []seqqc.Flag{flag}
	}
	c.findings[v] = append(c.findings[v], f)
}
