package cross

import (
	"fmt"
	"slices"

	"forayseq/seqqc"
)

// stray is DNA of another taxon than the label that it was found under: all of a
// sample's, that of one of its reads, or the weaker of two sequences in its
// traces.
type stray struct {
	voucher, sample int
	file            string  // of the read, else empty
	sharePct        float64 // of the signal, for the weaker of two sequences, else 0
	// same are the vouchers with this barcode whose label fits it.
	same []link
}

// carryOver tells where DNA that contradicts its label is that of a neighbouring
// well, whose label it fits. Wells beside one another, along a row or a column
// or corner to corner, are neighbours; so are those that follow one another in
// a column of capillaries. A read is taken to have caught it where it was
// sequenced, the rest anywhere.
//
// How many such neighbours there would be by chance: DNA with k vouchers with
// DNA as near as the one seen, of n others on its plates, and s of these with
// the same barcode, would have s x k / n of them there if wells were dealt out
// at random. Expected is the sum over all such DNA of the batch: of whole samples,
// of reads, or of weaker sequences.
func (c *comparison) carryOver(layouts []*layout) error {
	plates := slices.DeleteFunc(slices.Clone(layouts), func(l *layout) bool { return !l.isPlate() })
	reads, err := c.strayReads()
	if err != nil {
		return err
	}
	weak, err := c.strayTemplates()
	if err != nil {
		return err
	}
	c.fromNeighbours(plates[len(plates)-1:], reads)
	c.fromNeighbours(plates, c.straySamples())
	c.fromNeighbours(plates, weak)
	return nil
}

func (c *comparison) straySamples() []stray {
	var out []stray
	for v := range c.b.Vouchers {
		if c.own[v].strays() {
			out = append(out, stray{voucher: v, sample: c.b.Vouchers[v].Chosen, same: c.fitting(c.same(v))})
		}
	}
	return out
}

func (c *comparison) strayReads() ([]stray, error) {
	var out []stray
	for _, s := range c.b.Singles {
		if s.Match == nil || !c.b.Fits(s.Match, s.Voucher).strays() {
			continue
		}
		same, err := c.nearOthers(s.Contig, s.Voucher)
		if err != nil {
			return nil, fmt.Errorf("read %s: %w", s.File, err)
		}
		same = slices.DeleteFunc(same, func(l link) bool { return l.pct < c.p.SamePct || l.strict < c.p.SamePct })
		out = append(out, stray{voucher: s.Voucher, sample: s.Sample, file: s.File, same: c.fitting(same)})
	}
	return out, nil
}

// strayTemplates gives the second organisms. Theirs is the barcode of another
// from NearPct on: what is read from under another sequence has one wrong base
// in a hundred (98 to 100 % identical in 110 of 117 simulated tubes).
func (c *comparison) strayTemplates() ([]stray, error) {
	var out []stray
	for v := range c.b.Vouchers {
		x := &c.b.Vouchers[v]
		s := x.ChosenSample()
		if s == nil || s.Minor == nil || s.Minor.Match == nil || c.b.Fits(s.Minor.Match, v).fits() {
			continue
		}
		same, err := c.nearOthers(s.Minor.Contig, v)
		if err != nil {
			return nil, fmt.Errorf("voucher %s, second organism: %w", c.code(v), err)
		}
		out = append(out, stray{voucher: v, sample: x.Chosen, sharePct: s.Minor.SharePct, same: c.fitting(same)})
	}
	return out, nil
}

// nearOthers gives the vouchers but one with nearly the DNA of a contig.
func (c *comparison) nearOthers(contig *seqqc.Contig, but int) ([]link, error) {
	x := barcodeIn(contig)
	if x == nil {
		return nil, nil
	}
	var list []int
	for v, b := range c.barcodes {
		if v != but && b != nil {
			list = append(list, v)
		}
	}
	return c.nearTo(x, list)
}

// fitting gives the vouchers whose label fits their DNA.
func (c *comparison) fitting(list []link) []link {
	return slices.DeleteFunc(list, func(l link) bool { return !c.own[l.voucher].fits() })
}

// fromNeighbours tells of strays of one kind with the DNA of a neighbour.
func (c *comparison) fromNeighbours(plates []*layout, strays []stray) {
	for _, s := range strays {
		if s.sharePct == 0 && c.settled[s.voucher] || c.told[s.file] {
			continue
		}
		from, at, on := link{voucher: -1}, 0, (*layout)(nil)
		for _, l := range s.same {
			if d, plate := c.nextTo(plates, s, l.voucher); plate != nil && (from.voucher < 0 || d < at) {
				from, at, on = l, d, plate
			}
		}
		if from.voucher < 0 {
			continue
		}
		// Where chance gives one or more, a neighbour tells nothing.
		if expected := c.neighboursExpected(plates, strays, at); expected < 1 {
			c.tellCarryOver(on, s, from, expected)
		}
	}
}

// nextTo gives the steps from a stray's well to that of a neighbour and the plate
// on which they are fewest, nil where the two are no neighbours.
func (c *comparison) nextTo(plates []*layout, s stray, o int) (least int, on *layout) {
	for _, l := range plates {
		if d, beside := c.fromSample(l, s.voucher, s.sample, o); beside && (on == nil || d < least) {
			least, on = d, l
		}
	}
	return least, on
}

// sharePlate reports whether a stray and a voucher stand on one plate.
func (c *comparison) sharePlate(plates []*layout, s stray, o int) bool {
	return slices.ContainsFunc(plates, func(l *layout) bool {
		d, _ := c.fromSample(l, s.voucher, s.sample, o)
		return d >= 0
	})
}

// neighboursExpected sums up the neighbours within at steps with the same DNA
// that all strays would have by chance.
func (c *comparison) neighboursExpected(plates []*layout, strays []stray, at int) float64 {
	sum := 0.0
	for _, s := range strays {
		same := 0
		for _, l := range s.same {
			if c.sharePlate(plates, s, l.voucher) {
				same++
			}
		}
		if same == 0 {
			continue
		}
		near, n := 0, 0
		for o := range c.b.Vouchers {
			if o == s.voucher || c.b.Vouchers[o].ChosenSample() == nil || !c.sharePlate(plates, s, o) {
				continue
			}
			n++
			if d, on := c.nextTo(plates, s, o); on != nil && d <= at {
				near++
			}
		}
		sum += float64(same) * float64(near) / float64(n)
	}
	return sum
}

func (c *comparison) tellCarryOver(l *layout, s stray, from link, expected float64) {
	v, o := c.code(s.voucher), c.code(from.voucher)
	isFound := expected <= c.p.MaxExpected
	seems := "may have"
	if isFound {
		seems = "seems to have"
	}
	what, its := "the DNA under "+v, "Its DNA"
	into := fmt.Sprintf("The DNA of %s %s got into its neighbour %s", o, seems, v)
	next := fmt.Sprintf("Extract and amplify %s again, away from %s.", v, o)
	switch {
	case s.file != "":
		what, its = fmt.Sprintf("the read %s of %s", s.file, v), "The DNA of its read "+s.file
		into = fmt.Sprintf("The DNA of %s %s got into the read %s of its neighbour %s", o, seems, s.file, v)
		next = fmt.Sprintf("Leave the read %s out, and have %s sequenced again from the same PCR product, away from %s.", s.file, v, o)
	case s.sharePct > 0:
		what, its = "the second sequence in the traces of "+v, "The second sequence in its traces"
		into += fmt.Sprintf(", as %s %% of the signal", figure(s.sharePct))
		next = fmt.Sprintf("Nothing to do for the name of %s, which rests on the stronger sequence; keep it away from %s where it is extracted or amplified again.", v, o)
	}
	b := seqqc.Between{
		Pattern: seqqc.PatternCarryOver, Expected: expected, Read: s.file, SharePct: s.sharePct,
		Evidence: []string{
			fmt.Sprintf("%s (%s) is %s %% identical to the DNA of %s (%s), which stands beside it on the %s.",
				title(what), c.label(s.voucher), figure(from.pct), o, c.label(from.voucher), l.step),
			fmt.Sprintf("The label of %s fits it.", o),
			fmt.Sprintf("In random wells, about %s would have the same DNA as one whose label contradicts it.", about(expected, "neighbour")),
		},
		NextStep: next,
	}
	reason := fmt.Sprintf("%s is that of %s (%s), the neighbour on the %s, and may have got over from there", its, o, c.label(from.voucher), l.step)
	if isFound {
		b.Flag = seqqc.CarryOver
		b.Reason = into + "."
		if s.file != "" {
			c.told[s.file] = true
		}
		if s.sharePct == 0 {
			c.settled[s.voucher] = true
		}
		reason += "."
	} else {
		b.Reason = into + ", but so many stand side by side by chance."
		reason += fmt.Sprintf("; chance would give about %s.", about(expected, "such neighbour"))
	}
	c.tell([]int{s.voucher, from.voucher}, b)
	// A weaker sequence does not touch the name.
	c.note(s.voucher, b.Pattern, b.Flag, isFound && s.sharePct == 0, reason, b.NextStep)
}
