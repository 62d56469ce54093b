package contig

import (
	"slices"

	"forayseq/seqqc"
)

// place is where along the ribosomal DNA a primer stands.
type place int

// The places, in order. The sites of ITS2 and ITS3 are the same bases: a read
// from ITS2 ends before them, one from ITS3 begins behind.
const (
	leftEnd place = iota
	before58SSite
	behind58SSite
	rightEnd
)

// primersIn58S are the primers in the 5.8S, each direction from left to right.
var primersIn58S = []string{"ITS2", "ITS3", "fITS9", "gITS7", "fITS7"}

func placeOf(primer string, d seqqc.Direction) place {
	p, known := seqqc.PrimerByName(primer)
	inner := known && p.Direction == d && slices.Contains(primersIn58S, p.Name)
	switch {
	case d == seqqc.Forward && inner:
		return behind58SSite
	case d == seqqc.Forward:
		return leftEnd
	case inner:
		return before58SSite
	}
	return rightEnd
}

// reach gives the places of the first and the last primer that the reads of a
// layout begin at or were kept up to; false where a direction is not known or
// is not the one the read lies in.
func (l *layout) reach() (from, to place, ok bool) {
	from, to = rightEnd, leftEnd
	for _, w := range l.rows {
		d := w.read.Direction
		if d == seqqc.UnknownDirection || w.turned != (d == seqqc.Reverse) {
			return 0, 0, false
		}
		at := placeOf(w.read.Primer, d)
		from, to = min(from, at), max(to, at)
		if far := farPrimer(w.read); far != "" {
			at = placeOf(far, -d)
			from, to = min(from, at), max(to, at)
		}
	}
	return from, to, true
}

// precedes reports whether, by their primers, a lies wholly before b. A read
// that reaches the far end of its amplicon leaves no room beyond.
func precedes(a, b *layout) bool {
	_, end, okA := a.reach()
	start, _, okB := b.reach()
	return okA && okB && end < start
}

// apart reports whether a and b may be two parts of one molecule.
func apart(a, b *layout) bool { return precedes(a, b) || precedes(b, a) }

// farPrimer names the primer at the far end of its amplicon that a read was
// kept up to, empty where it was not.
func farPrimer(r *seqqc.Read) string {
	for _, s := range r.Primers {
		if s.Cut && s.At.Start == r.Kept.End {
			return s.Primer
		}
	}
	return ""
}

// readThrough reports whether a read of the layout was kept up to the far end
// of an amplicon that does not end in the 5.8S: nothing lies beyond.
func readThrough(l *layout) bool {
	return slices.ContainsFunc(l.rows, func(w row) bool {
		far := farPrimer(w.read)
		return far != "" && !slices.Contains(primersIn58S, far)
	})
}
