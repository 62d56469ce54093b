package cross

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// link is another voucher with nearly the same DNA.
type link struct {
	voucher     int
	pct, strict float64
}

// barcode is the stretch of a voucher's DNA to compare.
type barcode struct {
	seq       []byte
	exclude   align.Interval   // the 5.8S
	whole     []align.Interval // the spacers of which both ends were seen
	isLocated bool             // else the strand is not known
	bases, ns int              // N and others
	packed    align.Packed
	hash      *[sha256.Size]byte // see sum
}

// barcodeOf gives the barcode of a voucher, nil where there is no ITS.
func barcodeOf(x *seqqc.VoucherResult) *barcode {
	if s := x.ChosenSample(); s != nil {
		return barcodeIn(s.Contig)
	}
	return nil
}

// barcodeIn gives the barcode in a contig, nil where there is none.
func barcodeIn(contig *seqqc.Contig) *barcode {
	if contig == nil || contig.Region.NotITS != "" || len(contig.Bases) == 0 {
		return nil
	}
	r := contig.Region
	span := r.ITS(len(contig.Bases))
	b := &barcode{seq: contig.Bases[span.Start:span.End], isLocated: r.Located}
	within := func(v seqqc.Interval) align.Interval {
		return align.Interval{Start: v.Start - span.Start, End: v.End - span.Start}
	}
	if !r.R58S.Empty() {
		b.exclude = within(r.R58S)
	}
	if r.ITS1Whole && !r.ITS1.Empty() {
		b.whole = append(b.whole, within(r.ITS1))
	}
	if r.ITS2Whole && !r.ITS2.Empty() {
		b.whole = append(b.whole, within(r.ITS2))
	}
	b.ns = bytes.Count(b.seq, []byte("N"))
	b.bases = len(b.seq) - b.ns
	b.packed = align.Pack(b.seq)
	return b
}

// compareBarcodes finds the pairs of vouchers with nearly the same DNA: of
// NearPct or more, and passing the gate from either side. It looks at the pairs
// that a pattern can be made of: with a control, with a label that is not known
// to fit its DNA, or of one field species. Of the last, pairs that others have
// tied together already are left out.
//
// What it finds is what aligning all these pairs would give. An alignment of
// identity t or more over C columns has (1-t)C edits at most, and C is no more
// than the bases of the shorter sequence and the edits, so that the edits of
// least cost (see align.Pattern) are no more than (1-t)/t times these bases,
// and the N, which are in no count. Only pairs within that are aligned.
func (c *comparison) compareBarcodes(ctx context.Context) error {
	var order []int // vouchers by the length of their barcodes, for lanes take like lengths best
	for v := range c.b.Vouchers {
		c.barcodes[v] = barcodeOf(&c.b.Vouchers[v])
		if c.barcodes[v] != nil {
			order = append(order, v)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(len(c.barcodes[a].seq), len(c.barcodes[b].seq)) })
	tied := newUnion(len(c.b.Vouchers))
	for k, v := range order {
		if err := ctx.Err(); err != nil {
			return err
		}
		var list []int
		for _, o := range order[:k] {
			if c.matters(v) || c.matters(o) || c.oneSpecies(v, o) && tied.root(v) != tied.root(o) {
				list = append(list, o)
			}
		}
		if list == nil {
			continue
		}
		found, err := c.nearTo(c.barcodes[v], list)
		if err != nil {
			return fmt.Errorf("voucher %s: %w", c.code(v), err)
		}
		for _, l := range found {
			c.near[v] = append(c.near[v], l)
			c.near[l.voucher] = append(c.near[l.voucher], link{v, l.pct, l.strict})
			tied.join(v, l.voucher)
		}
	}
	for _, list := range c.near {
		slices.SortFunc(list, func(a, b link) int { return cmp.Compare(a.voucher, b.voucher) })
	}
	return nil
}

// matters reports whether all vouchers are to be compared with this one.
func (c *comparison) matters(v int) bool {
	return c.b.Vouchers[v].Voucher.Kind != seqqc.Specimen || !c.own[v].fits()
}

func (c *comparison) oneSpecies(a, b int) bool {
	x, y := c.b.Vouchers[a].Voucher.Field, c.b.Vouchers[b].Voucher.Field
	return x.CertainSpecies() && y.CertainSpecies() && x.Binomial() == y.Binomial()
}

// nearTo gives those of a list of vouchers whose barcodes are near to one.
func (c *comparison) nearTo(x *barcode, list []int) ([]link, error) {
	query, err := align.NewPatternLanes(x.seq)
	if err != nil {
		return nil, err
	}
	var out []link
	for few := range slices.Chunk(list, align.TextLanes) {
		for _, o := range c.within(query, x, few) {
			l, ok, err := c.align(x, c.barcodes[o])
			if err != nil {
				return nil, fmt.Errorf("beside voucher %s: %w", c.code(o), err)
			}
			if l.voucher = o; ok {
				out = append(out, l)
			}
		}
	}
	return out, nil
}

// within gives those of a few vouchers whose barcodes are within the edits which
// NearPct allows.
func (c *comparison) within(query *align.PatternLanes, x *barcode, few []int) []int {
	isNear := make([]bool, len(few))
	for _, reading := range []align.Reading{align.Forward, align.OtherStrand} {
		texts := make([]align.LaneText, len(few))
		limit := 0
		turned := false
		for i, o := range few {
			y := c.barcodes[o]
			edits := int(float64(min(x.bases, y.bases))*(100-c.p.NearPct)/c.p.NearPct) + x.ns + y.ns
			limit = max(limit, edits)
			turned = turned || !x.isLocated || !y.isLocated
			least := max(0, c.p.Gate.MinOutside-edits) // of the letters of either in an overlap
			texts[i] = align.LaneText{Text: y.packed, Reading: reading, Reach: align.Reach{
				QStart: len(x.seq) - least, QEnd: least, TStart: len(y.seq) - least, TEnd: least}}
		}
		if reading != align.Forward && !turned {
			break
		}
		query.Find(texts, limit)
		for i := range few {
			isNear[i] = isNear[i] || query.Distance(i) <= limit
		}
	}
	var out []int
	for i, o := range few {
		if isNear[i] {
			out = append(out, o)
		}
	}
	return out
}

// alignPair compares two barcodes, on the strand on which they score more; false
// where they are further apart than NearPct or do not pass the gate.
func (c *comparison) alignPair(x, y *barcode) (link, bool, error) {
	best, z := align.Alignment{}, y
	for _, o := range []*barcode{y, y.turned()} {
		if o != y && x.isLocated && y.isLocated {
			break
		}
		al, err := c.aligner.Overlap(x.seq, o.seq)
		if err != nil {
			return link{}, false, err
		}
		if al.Score > best.Score {
			best, z = al, o
		}
	}
	n, err := best.Count(x.seq, z.seq, x.exclude)
	if err != nil || n.IdentityPct() < c.p.NearPct {
		return link{}, false, err
	}
	outside, compared := n.AOutside, n.Columns-(n.ACompared-n.Identical-n.Substitutions)
	passes := c.p.passes(x, n.ACompared, outside, best.AStart, best.AEnd) || c.p.passes(z, compared, outside, best.BStart, best.BEnd)
	return link{pct: n.IdentityPct(), strict: n.StrictPct()}, passes, nil
}

// passes is the gate of the match, from the side of one barcode: enough columns
// outside the 5.8S, and enough of its bases, or one of its spacers, compared.
func (p Params) passes(b *barcode, compared, outside, start, end int) bool {
	if outside < p.Gate.MinOutside {
		return false
	}
	return 100*float64(compared) >= p.Gate.MinCoveragePct*float64(b.bases) ||
		slices.ContainsFunc(b.whole, func(v align.Interval) bool { return start <= v.Start && v.End <= end })
}

// turned gives the other strand.
func (b *barcode) turned() *barcode {
	turn := func(v align.Interval) align.Interval {
		return align.Interval{Start: len(b.seq) - v.End, End: len(b.seq) - v.Start}
	}
	out := &barcode{seq: align.ReverseComplement(b.seq), bases: b.bases, ns: b.ns, isLocated: b.isLocated}
	for _, v := range b.whole {
		out.whole = append(out.whole, turn(v))
	}
	return out
}

// same gives the vouchers with the barcode of v, whatever unclear bases are.
func (c *comparison) same(v int) []link {
	var out []link
	for _, l := range c.near[v] {
		if l.pct >= c.p.SamePct && l.strict >= c.p.SamePct {
			out = append(out, l)
		}
	}
	return out
}

// union holds sets of vouchers that grow together.
type union []int

func newUnion(n int) union {
	u := make(union, n)
	for i := range u {
		u[i] = i
	}
	return u
}

func (u union) root(i int) int {
	for u[i] != i {
		u[i] = u[u[i]]
		i = u[i]
	}
	return i
}

func (u union) join(i, j int) { u[u.root(i)] = u.root(j) }
