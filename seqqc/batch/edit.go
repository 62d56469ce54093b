package batch

import (
	"cmp"
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
	"forayseq/seqqc/region"
)

// noBase is the code of a base that is not there.
const noBase = "-"

// handQuality is the quality of a base that a person chose and no read calls:
// one error in a hundred, the project's own choice.
const handQuality = 20

// edit is a decision about a place, found in the contig.
type edit struct {
	decision seqqc.Decision
	pos      int  // of the contig
	present  bool // whether the contig has a base there, else one would stand before pos
	order    int  // orders edits at one pos: the base at it comes last
}

// edit writes into the contig what a person decided about its places, and tells
// of decisions whose place is not there any more. reads are those of the sample.
// Regions are located anew.
func (d *decided) edit(c *seqqc.Contig, reads []*seqqc.Read) (problems []seqqc.Problem) {
	if d == nil || len(d.places) == 0 {
		return nil
	}
	byFile := map[string]*seqqc.Read{}
	for _, r := range reads {
		byFile[r.File] = r
	}
	var edits []edit
	for _, x := range d.places {
		r := byFile[x.Place.File]
		if r == nil || r.Trace == nil {
			continue // of another sample, or told of by ofReads
		}
		if !x.Place.StandsIn(r) {
			problems = append(problems, notApplied(x, "the read was called anew, and its bases there are others"))
			continue
		}
		if c == nil {
			problems = append(problems, notApplied(x, "no contig was made"))
			continue
		}
		e := edit{decision: x}
		var lies bool
		if e.pos, e.present, lies = c.Under(x.Place.File, x.Place.At); !lies {
			problems = append(problems, notApplied(x, "the base is not in the contig, for its read or that stretch of it is left out"))
			continue
		}
		e.order = len(c.Bases) // behind all that stand before pos
		if !e.present {
			e.order = x.Place.At
			if placement(c, x.Place.File).Complemented {
				e.order = -x.Place.At
			}
		}
		same := func(o edit) bool {
			return o.pos == e.pos && o.present == e.present && (e.present || o.decision.Place.At == x.Place.At && o.decision.Place.File == x.Place.File)
		}
		edits = append(slices.DeleteFunc(edits, same), e) // the last counts
	}
	if len(edits) == 0 {
		return problems
	}
	// From the end of the contig to its start: none moves one still to come.
	slices.SortStableFunc(edits, func(a, b edit) int {
		return cmp.Or(-cmp.Compare(a.pos, b.pos), -cmp.Compare(a.order, b.order))
	})
	for _, e := range edits {
		c.Edits = append(c.Edits, e.write(c, byFile))
	}
	recount(c)
	region.Orient(c)
	for i, e := range edits {
		c.Edits[i].At, _, _ = c.Under(e.decision.Place.File, e.decision.Place.At)
	}
	slices.SortStableFunc(c.Edits, func(a, b seqqc.Edit) int { return cmp.Compare(a.At, b.At) })
	return problems
}

func placement(c *seqqc.Contig, file string) seqqc.ReadPlacement {
	return c.Reads[slices.IndexFunc(c.Reads, func(p seqqc.ReadPlacement) bool { return p.File == file })]
}

// write changes the contig at one place, and says what it did.
func (e edit) write(c *seqqc.Contig, byFile map[string]*seqqc.Read) seqqc.Edit {
	d := e.decision
	was := noBase
	if e.present {
		was = string(c.Bases[e.pos])
	}
	done := seqqc.Edit{Was: was, Code: was, Open: d.What == seqqc.DecideOpen, Decision: d.ID, By: d.Who, Why: d.Why}
	if done.Open {
		return done
	}
	done.Code = d.Code
	if placement(c, d.Place.File).Complemented && d.Code != noBase {
		done.Code = string(align.ReverseComplement([]byte(d.Code)))
	}
	if done.Code == was {
		return done
	}
	quality := bestCall(c, byFile, e, done.Code[0])
	switch {
	case done.Code == noBase:
		takeOut(c, e.pos, byFile)
	case e.present:
		c.Bases[e.pos], c.Quals[e.pos] = done.Code[0], quality
		for i := range c.Disagreements {
			if x := &c.Disagreements[i]; x.At == e.pos && x.Code != noBase {
				x.Code, x.Quality = done.Code, int(quality)
			}
		}
	default:
		putIn(c, e, done.Code[0], quality)
	}
	return done
}

// bestCall gives the highest quality with which a read calls the code at the
// place, handQuality where none does, and zero for N, which claims nothing.
func bestCall(c *seqqc.Contig, byFile map[string]*seqqc.Read, e edit, code byte) byte {
	if code == 'N' {
		return 0
	}
	best, called := byte(0), false
	for _, p := range c.Reads {
		r := byFile[p.File]
		at, ok := c.Over(p.File, e.pos, !e.present)
		if !ok || r == nil || at >= len(r.Trace.Bases) {
			continue
		}
		base := r.Trace.Bases[at : at+1]
		if p.Complemented {
			base = align.ReverseComplement(base)
		}
		if base[0] != code {
			continue
		}
		called = called || r.Trace.HasQuals()
		if at < len(r.Trace.Quals) {
			best = max(best, r.Trace.Quals[at])
		}
	}
	if !called {
		return handQuality
	}
	return best
}

// takeOut removes a base of the contig. The reads' bases there become a column
// that the contig leaves out.
func takeOut(c *seqqc.Contig, pos int, byFile map[string]*seqqc.Read) {
	i := slices.IndexFunc(c.Disagreements, func(d seqqc.Disagreement) bool { return d.At == pos && d.Code != noBase })
	if i < 0 { // the reads agreed
		d := seqqc.Disagreement{At: pos}
		for _, p := range c.Reads {
			if at, ok := c.Over(p.File, pos, false); ok {
				call := seqqc.ReadCall{File: p.File, At: at, Base: string(c.Bases[pos])}
				if r := byFile[p.File]; r != nil && at < len(r.Trace.Quals) {
					call.Quality = int(r.Trace.Quals[at])
				}
				d.Calls = append(d.Calls, call)
			}
		}
		i = slices.IndexFunc(c.Disagreements, func(d seqqc.Disagreement) bool { return d.At > pos })
		if i < 0 {
			i = len(c.Disagreements)
		}
		c.Disagreements = slices.Insert(c.Disagreements, i, d)
	}
	c.Disagreements[i].Code, c.Disagreements[i].Quality = noBase, handQuality
	c.Bases, c.Quals = slices.Delete(c.Bases, pos, pos+1), slices.Delete(c.Quals, pos, pos+1)
	c.Variants = slices.DeleteFunc(c.Variants, func(v seqqc.Variant) bool { return v.At.Contains(seqqc.Interval{Start: pos, End: pos + 1}) })
	for j := i + 1; j < len(c.Disagreements); j++ {
		c.Disagreements[j].At--
	}
	for j := range c.Reads {
		c.Reads[j].On = less(c.Reads[j].On, pos)
	}
	eachInterval(c, func(v *seqqc.Interval) { *v = less(*v, pos) })
}

// less is an interval after the position pos was taken out.
func less(v seqqc.Interval, pos int) seqqc.Interval {
	if v.Start > pos {
		v.Start--
	}
	if v.End > pos {
		v.End--
	}
	return v
}

// putIn gives the contig a base in a column that it left out, before e.pos.
func putIn(c *seqqc.Contig, e edit, code, quality byte) {
	place := e.decision.Place
	i := slices.IndexFunc(c.Disagreements, func(d seqqc.Disagreement) bool {
		return d.At == e.pos && d.Code == noBase && slices.ContainsFunc(d.Calls, func(call seqqc.ReadCall) bool {
			return call.File == place.File && call.At == place.At && call.Base != noBase
		})
	})
	d := &c.Disagreements[i] // Under found it
	d.Code, d.Quality = string(code), int(quality)
	c.Bases, c.Quals = slices.Insert(c.Bases, e.pos, code), slices.Insert(c.Quals, e.pos, quality)
	for j := i + 1; j < len(c.Disagreements); j++ {
		c.Disagreements[j].At++
	}
	for j := range c.Reads {
		p := &c.Reads[j]
		in := slices.ContainsFunc(d.Calls, func(call seqqc.ReadCall) bool { return call.File == p.File })
		p.On = more(p.On, e.pos, in)
	}
	eachInterval(c, func(v *seqqc.Interval) { *v = more(*v, e.pos, false) })
}

// more is an interval after a base was put in before pos; in says whether the
// base belongs to it where it stands at its border.
func more(v seqqc.Interval, pos int, in bool) seqqc.Interval {
	if v.Start > pos || v.Start == pos && !in {
		v.Start++
	}
	if v.End > pos || v.End == pos && in {
		v.End++
	}
	return v
}

// eachInterval visits the stretches of a contig that are not those of reads and
// not told anew.
func eachInterval(c *seqqc.Contig, visit func(*seqqc.Interval)) {
	if !c.Gap.Empty() {
		visit(&c.Gap)
	}
	for i := range c.Variants {
		visit(&c.Variants[i].At)
	}
	if c.Second == nil {
		return
	}
	for i := range c.Second.Variants {
		visit(&c.Second.Variants[i].At)
	}
	for i := range c.Second.Unclear {
		visit(&c.Second.Unclear[i])
	}
}

// recount brings the texts and figures of a contig in line with its bases.
func recount(c *seqqc.Contig) {
	c.PredictedErrors, c.Ambiguous = 0, 0
	phred33 := make([]byte, len(c.Quals))
	for i, q := range c.Quals {
		phred33[i] = q + 33
		if c.Bases[i] != 'N' {
			c.PredictedErrors += align.CallError(q)
		}
		if !align.Plain(c.Bases[i]) && (i < c.Gap.Start || i >= c.Gap.End) {
			c.Ambiguous++
		}
	}
	c.Sequence, c.Phred33 = string(c.Bases), string(phred33)
}
