package match

import (
	"slices"

	"forayseq/align"
	"forayseq/seqqc"
)

// compare lists the differences of the best hit, and of the best hit of another
// taxon, which is what a doubtful base may decide between.
func (l lister) compare(m *seqqc.Match, c *seqqc.Contig) error {
	if len(m.Hits) == 0 {
		return nil
	}
	asked := []*seqqc.Hit{&m.Hits[0]}
	best := m.Hits[0].Name.Taxon()
	if i := slices.IndexFunc(m.Hits, func(h seqqc.Hit) bool { return h.Name.Taxon() != best }); i > 0 {
		asked = append(asked, &m.Hits[i])
	}
	for _, h := range asked {
		ref := l.lib.Record(h.Record).Seq
		if h.Strand == seqqc.Reverse {
			ref = align.ReverseComplement(ref)
		}
		al, err := align.Overlap(l.query.Seq, ref, align.ITS)
		if err != nil {
			return err
		}
		h.Differences = differences(al, c, l.span.Start, ref)
		if h.Strand == seqqc.Reverse {
			for i := range h.Differences {
				on := &h.Differences[i].OnReference
				on.Start, on.End = len(ref)-on.End, len(ref)-on.Start
			}
		}
	}
	return nil
}

// differences lists those of an alignment of the contig from start on with a
// reference, both in contig direction. Bases that differ by codes only are one
// entry where they follow one another, a substituted base is one of its own. The
// N between the parts of a contig stand for an unknown length and are left out.
func differences(al align.Alignment, c *seqqc.Contig, start int, ref []byte) []seqqc.Difference {
	var out []seqqc.Difference
	i, j := start+al.AStart, al.BStart
	add := func(n, m int, code bool) {
		d := seqqc.Difference{
			At: seqqc.Interval{Start: i, End: i + n}, OnReference: seqqc.Interval{Start: j, End: j + m},
			Contig: string(c.Bases[i : i+n]), Reference: string(ref[j : j+m]), Code: code,
		}
		if last := len(out) - 1; code && n == m && last >= 0 && continues(out[last], d) {
			old := &out[last]
			old.At.End, old.OnReference.End = d.At.End, d.OnReference.End
			old.Contig, old.Reference = old.Contig+d.Contig, old.Reference+d.Reference
			return
		}
		out = append(out, d)
	}
	for _, run := range al.Runs {
		switch run.Op {
		case align.OnlyA:
			if nothing := onlyN(c.Bases[i : i+run.Len]); !nothing || !c.Gap.Contains(seqqc.Interval{Start: i, End: i + run.Len}) {
				add(run.Len, 0, nothing)
			}
			i += run.Len
		case align.OnlyB:
			add(0, run.Len, onlyN(ref[j:j+run.Len]))
			j += run.Len
		case align.Pair:
			for range run.Len {
				x, y := align.Mask(c.Bases[i]), align.Mask(ref[j])
				inGap := c.Gap.Start <= i && i < c.Gap.End
				switch {
				case x&y == 0:
					add(1, 1, false)
				case (x != y || !align.Plain(c.Bases[i])) && !inGap:
					add(1, 1, true)
				}
				i, j = i+1, j+1
			}
		}
	}
	for k := range out {
		d := &out[k]
		d.Before = string(c.Bases[max(0, d.At.Start-seqqc.DifferenceReach):d.At.Start])
		d.After = string(c.Bases[d.At.End:min(len(c.Bases), d.At.End+seqqc.DifferenceReach)])
		d.Part = c.Region.PartAt(d.At.Start)
		around := d.At
		if around.Empty() {
			around = seqqc.Interval{Start: max(0, d.At.Start-1), End: d.At.End + 1}
		}
		// A sequence that came without qualities has none.
		if quals := c.Quals; around.End <= len(quals) {
			d.Quality = int(slices.Min(quals[around.Start:around.End]))
		}
	}
	return out
}

// continues reports whether b is the next column of a run of codes a.
func continues(a, b seqqc.Difference) bool {
	return a.Code && len(a.Contig) == len(a.Reference) && a.At.End == b.At.Start && a.OnReference.End == b.OnReference.Start
}
