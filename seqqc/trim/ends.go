package trim

import (
	"slices"

	"forayseq/seqqc"
)

// tailGap is the largest number of bases between a tail and its primer.
const tailGap = 3

// startOfAmplicon gives the sites that begin the read's own amplicon, tail
// first; none where none is seen.
//
// Most reads show none: the primer is not sequenced, and the first bases
// after it are unreadable. Where one is there, it is cut by these rules:
//
//   - The read's own named primer is cut where it begins within OwnReach
//     bases of the start, or where the start of the read cuts it off. What
//     the primer is called is then no matter: ITS3 begins an ITS3 read.
//   - A read whose primer is not known, or is a tail, begins with any primer
//     of its direction (either, where that is not known) that starts within
//     UnknownReach bases of the start or right behind a tail. UnknownReach is
//     short because what lies further in may be the genome: an ITS1-F read
//     passes the sites of ITS5 (from base 14) and ITS1 (from base 38). One that
//     shows no ITS1-F and starts right at the site of ITS1 is taken for an
//     ITS1 read; it loses 19 bases of the SSU, which no comparison uses.
//   - A tail is cut with the primer behind it, or alone.
//   - A read with a named primer passes all other primers' sites untouched.
func startOfAmplicon(bases []byte, r *seqqc.Read, p Params) []site {
	own, named := seqqc.PrimerByName(r.Primer)
	ownIsTail := named && isTail(own)

	var out []site
	anchor, reach := 0, p.UnknownReach
	if tail, ok := leadingTail(bases, own, p); ok {
		out = append(out, tail)
		anchor, reach = tail.at.End, tailGap
	}
	if named && !ownIsTail {
		if len(out) == 0 {
			reach = p.OwnReach
		}
		if s, ok := leading(find(bases, own, false), anchor, reach); ok {
			return append(out, s)
		}
		if s, ok := findCutOff(bases, own, false, true); ok && len(out) == 0 {
			return append(out, s)
		}
		return out
	}
	var candidates []site
	for _, q := range seqqc.Primers {
		if r.Direction == seqqc.UnknownDirection || q.Direction == r.Direction {
			candidates = append(candidates, find(bases, q, false)...)
		}
	}
	if s, ok := leading(candidates, anchor, reach); ok {
		out = append(out, s)
	}
	return out
}

// leadingTail gives the tail near the start of the read. Only the read's own
// named tail may be cut off by the start.
func leadingTail(bases []byte, own seqqc.Primer, p Params) (site, bool) {
	var found []site
	for _, tail := range seqqc.Tails {
		found = append(found, find(bases, tail, false)...)
	}
	if s, ok := leading(found, 0, p.OwnReach); ok {
		return s, true
	}
	if isTail(own) {
		return findCutOff(bases, own, false, true)
	}
	return site{}, false
}

// leading gives the best site that begins in [anchor, anchor+reach]: fewest
// mismatches, then leftmost, then first of the table.
func leading(sites []site, anchor, reach int) (site, bool) {
	var best site
	ok := false
	for _, s := range sites {
		if s.at.Start < anchor || s.at.Start > anchor+reach {
			continue
		}
		if !ok || s.mismatches < best.mismatches ||
			s.mismatches == best.mismatches && s.at.Start < best.at.Start {
			best, ok = s, true
		}
	}
	return best, ok
}

// endOfAmplicon gives the sites that end the read's own amplicon: the reverse
// complement of the primer at its other end, and of a tail behind it; none
// where none is seen. window is the stretch of good quality, from the end of
// the read's own primer.
//
//   - The named partner is the end wherever it stands, whole or cut off by
//     the end of the read; the outermost, where there are several.
//   - A tail never lies in a genome: it is the end, with the primer that
//     stands right before it, whichever that is.
//   - Else a primer of the other direction is the end where at most RunOff
//     kept bases follow it: the strand ran off its template there. A read
//     that goes on with good quality has only passed a site, such as ITS4 in
//     an amplicon that ends with LR3. Of nested sites (ITS1 inside ITS1-F)
//     the outermost counts. Inner primers (in the 5.8S, or LR0R) are never
//     the end unless named.
func endOfAmplicon(bases []byte, r *seqqc.Read, window seqqc.Interval, p Params) []site {
	partner, named := seqqc.PrimerByName(r.Partner)
	if named && !isTail(partner) {
		sites := find(bases, partner, true)
		if n := len(sites); n > 0 && sites[n-1].at.Start >= window.Start {
			return sites[n-1:]
		}
		if s, ok := findCutOff(bases, partner, true, false); ok && s.at.Start >= window.Start {
			return []site{s}
		}
	}

	var primers, tails []site
	for _, q := range seqqc.Primers {
		primers = append(primers, find(bases, q, true)...)
	}
	for _, q := range seqqc.Tails {
		tails = append(tails, find(bases, q, true)...)
	}
	outside := func(s site) bool { return s.at.Start < window.Start }
	primers, tails = slices.DeleteFunc(primers, outside), slices.DeleteFunc(tails, outside)

	if len(tails) > 0 {
		tail := slices.MinFunc(tails, func(a, b site) int { return a.at.Start - b.at.Start })
		for _, s := range primers {
			if gap := tail.at.Start - s.at.End; gap >= 0 && gap <= tailGap {
				return []site{s, tail}
			}
		}
		return []site{tail}
	}
	if named && !isTail(partner) {
		return nil // the partner is known, and its site was not reached
	}
	var end []site
	for _, s := range primers {
		q := s.primer
		if q.Inner || r.Direction != seqqc.UnknownDirection && q.Direction == r.Direction {
			continue
		}
		if window.End-s.at.End > p.RunOff {
			continue
		}
		if len(end) == 0 || s.at.End > end[0].at.End {
			end = []site{s}
		}
	}
	return end
}

func isTail(p seqqc.Primer) bool {
	return slices.ContainsFunc(seqqc.Tails, func(t seqqc.Primer) bool { return t.Name == p.Name })
}
