package match

import (
	"cmp"
	"context"
	"math"
	"slices"

	"forayseq/refs"
	"forayseq/seqqc"
)

// What makes a label doubtful. The numbers were set on published sequences with
// labels changed on purpose; see the tests.
const (
	// leastNeighbours is the least number of independent neighbours of one
	// other genus.
	leastNeighbours = 4
	// mostTogether is how many others of the label's own genus may stand among
	// them: three records wrong together are common, more are another opinion.
	mostTogether = 2
	// mostStrays is how many neighbours may be of a third genus.
	mostStrays = 1
	// gapTimes and gapPoints say how much further than the neighbours the rest
	// of the label's genus must lie: so many times their distance, and so many
	// points.
	gapTimes  = 2
	gapPoints = 2
	// neighboursTried is how many neighbours are asked for, copies included.
	neighboursTried = 24
	// groupTried is how many records of the neighbours' genus are asked for
	// before their group is taken for large.
	groupTried = 40
	// leastLongPct is the least length of a record that is no fragment, in
	// percent of the stretch compared. One spacer and the 5.8S are less.
	leastLongPct = 60
	// suspectsTried bounds the references of one match that are looked at.
	suspectsTried = 8
)

// Stand looks at the label of a reference among its neighbours. q is the
// stretch of the record to compare, its ITS. A record without a genus has no
// Standing but the zero one.
//
// The label is doubtful where the nearest references of other genera, four
// independent ones at the genus threshold or nearer, are all of one genus but
// for one at most; where no more than two others of the label's own genus are
// as near; where the rest of its genus lies at least twice as far and two
// points further, or is too far to be aligned; and where the rest of the
// neighbours' genus is no further than that. Sister genera fail at the gap, small groups at the count, and a
// few records of one study that stand wrong near right ones at the last. Where
// the library has no other record of the label's genus, a genus of its own
// cannot be told from a wrong label, but where the neighbours are of its
// species by the threshold.
func Stand(ctx context.Context, lib *refs.Library, record int, q refs.Query, p Params) (seqqc.Standing, error) {
	own := lib.GenusNumber(record)
	if own == 0 {
		return seqqc.Standing{}, nil
	}
	q.Every = p.Every
	scan, err := refs.NewScan(ctx, lib, q, p.Gate)
	if err != nil {
		return seqqc.Standing{}, err
	}
	c := neighbourhood{lib: lib, scan: scan, record: record, own: own, bases: len(q.Seq)}
	s := seqqc.Standing{Genus: lib.Record(record).Lineage.Genus}
	err = c.judge(&s, p)
	return s, err
}

// neighbourhood is what lies near one record.
type neighbourhood struct {
	lib    *refs.Library
	scan   *refs.Scan
	record int
	own    int32 // number of the record's genus
	bases  int   // of the stretch compared
}

func (c neighbourhood) judge(s *seqqc.Standing, p Params) error {
	near, err := c.best(p.Thresholds.Genus, neighboursTried, func(r int) bool { return c.lib.GenusNumber(r) != 0 })
	if err != nil || !c.agree(s, near) {
		return err
	}
	distance := 100 - s.OtherPct
	bound := 100 - max(gapTimes*distance, distance+gapPoints)
	kin, err := c.best(bound, neighboursTried, func(r int) bool { return c.lib.GenusNumber(r) == c.own })
	if err != nil {
		return err
	}
	if s.Together = len(c.independent(kin)); s.Together > mostTogether {
		return nil
	}
	rest, err := c.best(math.Inf(-1), 1, func(r int) bool { return c.lib.GenusNumber(r) == c.own && !holds(kin, r) })
	if err != nil {
		return err
	}
	switch {
	case len(rest) > 0:
		s.OwnPct = rest[0].IdentityPct
	case !c.hasLong(kin):
		s.Doubtful = s.Together == 0 && s.OtherPct >= p.Thresholds.Species
		return nil
	}
	s.Doubtful, err = c.isRooted(s, bound)
	return err
}

// hasLong reports whether the library has a record of the label's genus beside
// kin that is no fragment, so that it would have been found if it were alike.
func (c neighbourhood) hasLong(kin []refs.Found) bool {
	for r := range c.lib.Len() {
		if c.lib.GenusNumber(r) != c.own || r == c.record || holds(kin, r) {
			continue
		}
		if n := len(c.lib.Record(r).Seq); 100*n >= leastLongPct*c.bases {
			return true
		}
	}
	return false
}

// agree looks among the nearest for the genus that the first neighbours of
// other genera bear, and reports whether there is one.
func (c neighbourhood) agree(s *seqqc.Standing, near []refs.Found) bool {
	count := map[int32]int{}
	kin, total := 0, 0
	for _, f := range c.independent(near) {
		g := c.lib.GenusNumber(f.Record)
		if g == c.own {
			kin++
			continue
		}
		total++
		if count[g]++; count[g] == leastNeighbours {
			s.Other, s.For, s.OtherPct = c.lib.Record(f.Record).Lineage.Genus, leastNeighbours, f.IdentityPct
			return total-leastNeighbours <= mostStrays && kin <= mostTogether
		}
	}
	return false
}

// isRooted reports whether the neighbours' genus goes on around them, or has
// no other records, so that it is not they that stand in a wrong place.
func (c neighbourhood) isRooted(s *seqqc.Standing, bound float64) (bool, error) {
	number := c.lib.GenusNumberOf(s.Other)
	group, err := c.best(bound, groupTried, func(r int) bool { return c.lib.GenusNumber(r) == number })
	if err != nil || len(group) >= groupTried || len(group) >= len(c.lib.OfGenus(s.Other)) {
		return err == nil, err
	}
	rest, err := c.best(s.OwnPct, 1, func(r int) bool { return c.lib.GenusNumber(r) == number && !holds(group, r) })
	return len(rest) > 0, err
}

// best gives the nearest records but the one in question.
func (c neighbourhood) best(floor float64, n int, keep func(int) bool) ([]refs.Found, error) {
	return c.scan.BestFrom(floor, n, nil, func(r int) bool { return r != c.record && keep(r) })
}

// independent leaves out copies, of the record in question too.
func (c neighbourhood) independent(found []refs.Found) []refs.Found {
	seen := map[copyKey]bool{keyOf(c.lib.Record(c.record)): true}
	var out []refs.Found
	for _, f := range found {
		if key := keyOf(c.lib.Record(f.Record)); !seen[key] {
			seen[key] = true
			out = append(out, f)
		}
	}
	return out
}

// copyKey is what two copies of one deposit share.
type copyKey struct{ taxon, seq string }

func keyOf(r refs.Record) copyKey { return copyKey{r.Name.Taxon(), string(r.Seq)} }

func holds(found []refs.Found, record int) bool {
	return slices.ContainsFunc(found, func(f refs.Found) bool { return f.Record == record })
}

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
// genus other than that of h.
func isOutnumbered(hits []seqqc.Hit, h *seqqc.Hit) bool {
	if h.Lineage.Genus == "" || h.Doubtful || !votes(*h) {
		return false
	}
	n := map[string]int{}
	for _, o := range hits {
		if g := o.Lineage.Genus; g != "" && g != h.Lineage.Genus && votes(o) {
			if n[g]++; n[g] == leastNeighbours {
				return true
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
