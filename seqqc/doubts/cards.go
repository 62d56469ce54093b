package doubts

import (
	"cmp"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

// noBase is the code of a base that is not there.
const noBase = "-"

// context is how many bases of the contig a card shows on each side.
const context = 6

// Cards gives the questions that the contigs of a voucher leave open, the ones
// that matter most first: those not settled before the settled ones, then by
// what hangs on them, then the least sure first. reads gives a read by its file,
// nil where it is not at hand: then a card has no peaks of it.
func Cards(v *seqqc.VoucherResult, reads func(file string) *seqqc.Read) []Card {
	var cards []Card
	for i := range v.Samples {
		s := &v.Samples[i]
		if s.Contig == nil || len(s.Contig.Bases) == 0 {
			continue
		}
		m := maker{contig: s.Contig, match: s.Match, reads: reads, chosen: i == v.Chosen}
		for _, p := range m.places() {
			c := m.card(p)
			c.Sample = i
			cards = append(cards, c)
		}
	}
	slices.SortStableFunc(cards, func(a, b Card) int {
		return cmp.Or(order(!a.Settled, !b.Settled), -cmp.Compare(a.Stake, b.Stake),
			order(a.Sample == v.Chosen, b.Sample == v.Chosen), cmp.Compare(a.Quality, b.Quality), cmp.Compare(a.At, b.At))
	})
	return cards
}

// order puts what is true first.
func order(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

// maker makes the cards of one sample.
type maker struct {
	contig *seqqc.Contig
	match  *seqqc.Match
	reads  func(file string) *seqqc.Read
	chosen bool // the verdict rests on this sample
}

// place is a place of the contig with all that is in doubt about it.
type place struct {
	at      int
	present bool
	kind    Kind
	// codes may be right, in contig direction, as they came.
	codes        []string
	disagreement *seqqc.Disagreement
	variant      *seqqc.Variant
}

// key names a place: two of the contig stand side by side where one has no base.
type key struct {
	at      int
	present bool
}

// places collects the doubts, each place once, in contig order.
func (m maker) places() []*place {
	found := map[key]*place{}
	add := func(at int, present bool, kind Kind, codes ...string) *place {
		k := key{at, present}
		p := found[k]
		if p == nil {
			p = &place{at: at, present: present, kind: kind}
			found[k] = p
		}
		for _, code := range codes {
			if code != "" && code != "N" && !slices.Contains(p.codes, code) {
				p.codes = append(p.codes, code)
			}
		}
		return p
	}
	c := m.contig
	for i := range c.Disagreements {
		d := &c.Disagreements[i]
		present := d.Code != noBase
		if d.At < 0 || d.At > len(c.Bases) || present && d.At == len(c.Bases) {
			continue
		}
		p := add(d.At, present, Disagreement)
		p.disagreement = d
		for _, call := range d.Calls {
			add(d.At, present, Disagreement, call.Base)
		}
	}
	variants := c.Variants
	if c.Second != nil {
		variants = slices.Concat(variants, c.Second.Variants)
	}
	for i := range variants {
		w := &variants[i]
		if w.At.Start < 0 || w.At.End > len(c.Bases) {
			continue
		}
		m.addVariant(add, w)
	}
	for _, placed := range c.Reads {
		r := m.reads(placed.File)
		if r == nil || r.Copies == nil {
			continue
		}
		for _, s := range r.Copies.Sites {
			if s.LogOdds < evenOdds {
				continue
			}
			at, present, ok := c.Under(placed.File, s.At)
			if !ok {
				continue
			}
			major, minor := turned(s.Major, placed.Complemented), turned(s.Minor, placed.Complemented)
			add(at, present, DoublePeak, major, minor)
		}
	}
	for at, code := range c.Bases {
		if !align.Plain(code) && (at < c.Gap.Start || at >= c.Gap.End) {
			add(at, true, OpenCode, singles(code)...)
		}
	}
	out := make([]*place, 0, len(found))
	for _, p := range found {
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b *place) int { return cmp.Or(cmp.Compare(a.at, b.at), order(!a.present, !b.present)) })
	return out
}

// evenOdds is the log odds from which a second peak is likelier to be a second
// base than a false peak.
const evenOdds = 0

// addVariant adds a difference of another copy: base for base where it is as
// long as the contig's, else as one doubt where it begins.
func (m maker) addVariant(add func(int, bool, Kind, ...string) *place, w *seqqc.Variant) {
	present := !w.At.Empty()
	if len(w.Contig) != len(w.Other) || w.At.Len() != len(w.Contig) {
		contig, other := cmp.Or(w.Contig, noBase), cmp.Or(w.Other, noBase)
		if present && w.At.Len() > 1 || len(other) > 1 {
			// Several bases are no code: what is asked is whether they are there.
			p := add(w.At.Start, present, Variant)
			p.variant = w
			return
		}
		add(w.At.Start, present, Variant, contig, other).variant = w
		return
	}
	for i := range w.Contig {
		add(w.At.Start+i, true, Variant, append(singles(w.Contig[i]), w.Other[i:i+1])...).variant = w
	}
}

// singles gives the bases a code stands for, none for N.
func singles(code byte) []string {
	mask := align.Mask(code)
	if mask == align.MaskN {
		return nil
	}
	var out []string
	for _, b := range []byte("ACGT") {
		if align.Mask(b)&mask != 0 {
			out = append(out, string(b))
		}
	}
	return out
}

// turned gives a code on the other strand where complemented is true.
func turned(code string, complemented bool) string {
	if !complemented || code == "" || code == noBase {
		return code
	}
	return string(align.ReverseComplement([]byte(code)))
}

// card makes the card of a place.
func (m maker) card(p *place) Card {
	c := m.contig
	card := Card{
		Kind: p.kind, At: p.at, Present: p.present, Code: noBase,
		Part:   c.Region.PartAt(min(p.at, len(c.Bases)-1)),
		Before: string(c.Bases[max(0, p.at-context):p.at]),
		After:  string(c.Bases[p.at:min(len(c.Bases), p.at+context)]),
	}
	if p.present {
		card.Code = string(c.Bases[p.at])
		card.Quality = int(c.Quals[p.at])
		card.After = string(c.Bases[p.at+1 : min(len(c.Bases), p.at+1+context)])
	} else if p.disagreement != nil {
		card.Quality = p.disagreement.Quality
	}
	for _, placed := range c.Reads {
		if s, ok := m.strand(p, placed); ok {
			card.Strands = append(card.Strands, s)
		}
	}
	if p.kind == OpenCode && len(p.codes) == 0 {
		for _, s := range card.Strands {
			for _, code := range []string{s.Major, s.Minor} {
				if code != "" && !slices.Contains(p.codes, code) {
					p.codes = append(p.codes, code)
				}
			}
		}
	}
	card.Settled = card.Quality >= SettledQuality && p.kind != OpenCode && (!p.present || align.Plain(card.Code[0])) &&
		(p.variant == nil || !p.variant.InCode)
	m.weigh(&card, answers(card.Code, p.codes))
	card.Question = question(card)
	card.Says = m.evidence(p, card)
	return card
}

// answers gives the codes that may be right: what the contig has, the others,
// and the code for all of them where they are bases.
func answers(contig string, codes []string) []string {
	out := []string{contig}
	mask, bases := uint8(0), 0
	sorted := slices.Clone(codes)
	slices.Sort(sorted)
	for _, code := range sorted {
		if !slices.Contains(out, code) {
			out = append(out, code)
		}
		if code != noBase {
			mask |= align.Mask(code[0])
			bases++
		}
	}
	if all := string(align.Code(mask)); bases > 1 && mask != align.MaskN && !slices.Contains(out, all) {
		out = append(out, all)
	}
	return out
}

// question asks which of the answers is right.
func question(c Card) string {
	var bases []string
	for _, a := range c.Answers {
		switch {
		case a.Code == noBase:
			bases = append(bases, "no base")
		case align.Plain(a.Code[0]):
			bases = append(bases, a.Code)
		}
	}
	where := positionText(c)
	switch len(bases) {
	case 0:
		return where + ": which base?"
	case 1:
		if c.Kind == Variant && c.Code == bases[0] {
			return where + ": do the copies of this specimen differ from here?"
		}
		if c.Code == noBase {
			return where + ": is there a base?"
		}
		return where + ": " + bases[0] + " or another base?"
	}
	return where + ": " + strings.Join(bases[:len(bases)-1], ", ") + " or " + bases[len(bases)-1] + "?"
}
