package match

import (
	"cmp"
	"context"
	"slices"

	"forayseq/refs"
	"forayseq/seqqc"
)

// suspectsTried bounds the references of one match that are looked at.
const suspectsTried = 8

// doubtful looks at the labels of the hits that would vote, leaves doubtful
// ones without a vote and lists the hits anew without them, until no more are
// found. A hit is looked at only where the list holds as many hits of another
// genus as a label can be doubted for.
func (l lister) doubtful(ctx context.Context, m *seqqc.Match, p Params) error {
	looked := map[int]bool{}
	for more := true; more; {
		more = false
		for i := range m.Hits[:inWindow(m.Hits, p)] {
			h := &m.Hits[i]
			if looked[h.Record] || len(looked) == suspectsTried || !isOutnumbered(m.Hits, h) {
				continue
			}
			looked[h.Record] = true
			q := refs.Query{Seq: l.lib.Record(h.Record).Seq[h.OnReference.Start:h.OnReference.End]}
			s, err := Stand(ctx, l.lib, h.Record, q, p)
			if err != nil {
				return err
			}
			if s.Doubtful {
				h.Doubtful, more = true, true
				m.Doubtful = append(m.Doubtful, seqqc.DoubtfulReference{
					Record: h.Record, Reference: h.Reference, IdentityPct: h.IdentityPct, Standing: s})
			}
		}
		if more {
			if err := l.relist(m, p); err != nil {
				return err
			}
		}
	}
	return nil
}

// isOutnumbered reports whether the list holds leastNeighbours hits of one
// taxon other than that of h, at one of the ranks at which labels are doubted.
func isOutnumbered(hits []seqqc.Hit, h *seqqc.Hit) bool {
	if h.Lineage.Genus == "" || h.Doubtful || !votes(*h) {
		return false
	}
	for _, rank := range LabelRanks {
		own, n := h.Lineage.At(rank), map[string]int{}
		for _, o := range hits {
			if t := o.Lineage.At(rank); own != "" && t != "" && t != own && votes(o) {
				if n[t]++; n[t] == leastNeighbours {
					return true
				}
			}
		}
	}
	return false
}

// relist lists the hits as if the doubtful ones did not exist, and puts those
// back in their places. Where nothing else reaches a threshold they are all
// that there is, and none is doubted.
func (l lister) relist(m *seqqc.Match, p Params) error {
	hits, err := l.best(p.Thresholds.lowest(), p.Hits, p.Window, func(r int) bool { return !isDoubtful(m, r) })
	if err != nil {
		return err
	}
	if len(hits) == 0 {
		for i := range m.Hits {
			m.Hits[i].Doubtful = false
		}
		m.Doubtful = nil
		return nil
	}
	for _, h := range m.Hits {
		if h.Doubtful {
			hits = append(hits, h)
		}
	}
	slices.SortFunc(hits, func(a, b seqqc.Hit) int {
		return cmp.Or(cmp.Compare(b.IdentityPct, a.IdentityPct), cmp.Compare(b.CoveragePct, a.CoveragePct),
			cmp.Compare(b.Score, a.Score), cmp.Compare(a.Record, b.Record))
	})
	m.Hits = hits
	return nil
}

func isDoubtful(m *seqqc.Match, record int) bool {
	return slices.ContainsFunc(m.Doubtful, func(d seqqc.DoubtfulReference) bool { return d.Record == record })
}

// bestOf gives the identity of the best hit that is not doubtful.
func bestOf(hits []seqqc.Hit) float64 {
	for _, h := range hits {
		if !h.Doubtful {
			return h.IdentityPct
		}
	}
	return 0
}

// inWindow counts the leading hits in the window of the best that is not
// doubtful.
func inWindow(hits []seqqc.Hit, p Params) int {
	best := bestOf(hits)
	least := best - p.Window(best)
	n := 0
	for n < len(hits) && hits[n].IdentityPct >= least {
		n++
	}
	return n
}
