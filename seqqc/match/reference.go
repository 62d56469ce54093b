package match

import (
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
	// other taxon.
	leastNeighbours = 4
	// mostTogether is how many others of the label's own taxon may stand among
	// them: three records wrong together are common, more are another opinion.
	mostTogether = 2
	// mostStrays is how many neighbours may be of a third taxon.
	mostStrays = 1
	// gapTimes and gapPoints say how much further than the neighbours the rest
	// of the label's taxon must lie: so many times their distance, and so many
	// points.
	gapTimes  = 2
	gapPoints = 2
	// leastAlikePct bounds how far neighbours may be. Much of unrelated ITS is 75 %
	// alike where it can be aligned at all (measured on published sequences), so
	// that at 87.5 % nothing lies more than twice as far.
	leastAlikePct = 87.5
	// neighboursTried is how many neighbours are asked for, copies included; the
	// first few tell in most cases.
	neighboursTried = 24
	neighboursFirst = leastNeighbours + mostStrays + mostTogether + 1
	// companyTried is how many records that stand in the way of a doubt are
	// themselves looked at.
	companyTried = 8
	// groupTried is how many records of the neighbours' taxon are asked for
	// before their group is taken for large.
	groupTried = 40
	// leastLongPct is the least length of a record that is no fragment, in
	// percent of the stretch compared. One spacer and the 5.8S are less.
	leastLongPct = 60
)

// LabelRanks are the ranks at which neighbours may contradict a label, the
// narrowest first.
var LabelRanks = []refs.Rank{refs.Genus, refs.Family, refs.Order}

// Stand looks at the label of a reference among its neighbours. q is the
// stretch of the record to compare, its ITS. A record without a genus has no
// Standing but the zero one.
//
// The label is doubtful where the nearest references of other genera, four
// independent ones at the genus threshold or nearer, are all of one genus but
// for one at most; where no more than two others of the label's own genus are
// as near; where the rest of its genus lies at least twice as far and two
// points further, or is too far to be aligned; and where the rest of the
// neighbours' genus is no further than that. Sister genera fail at the gap,
// small groups at the count, and a few records of one study that stand wrong
// near right ones at the last. Where the library has no other record of the
// label's genus, a genus of its own cannot be told from a wrong label, but where
// the neighbours are of its species by the threshold.
//
// Where fewer neighbours are that near, or they do not agree, the same is asked
// of families, at the threshold of a family, and of orders: neighbours at 90 %
// say nothing against a genus of their family, but much against one of another.
// The label's genus must have other records, for a family of its own cannot be
// told either; for orders those of the whole order serve.
//
// What is of the label's taxon and stands among the neighbours does not count
// where it is doubtful itself: other wrong labels of the same name lend it no
// support.
func Stand(ctx context.Context, lib *refs.Library, record int, q refs.Query, p Params) (seqqc.Standing, error) {
	return stand(ctx, lib, record, q, p, false)
}

// stand is Stand; inner is true where another record's standing asks for this
// one's, which asks no further.
func stand(ctx context.Context, lib *refs.Library, record int, q refs.Query, p Params, inner bool) (seqqc.Standing, error) {
	if lib.GenusNumber(record) == 0 {
		return seqqc.Standing{}, nil
	}
	q.Every = p.Every
	scan, err := refs.NewScan(ctx, lib, q, p.Gate)
	if err != nil {
		return seqqc.Standing{}, err
	}
	l := lib.Record(record).Lineage
	var out seqqc.Standing
	for _, rank := range LabelRanks {
		own := l.At(rank)
		if own == "" {
			break
		}
		c := neighbourhood{ctx: ctx, lib: lib, scan: scan, p: p, record: record, bases: len(q.Seq), inner: inner,
			rank: rank, own: own, taxa: map[int32]string{0: ""}}
		s := seqqc.Standing{Genus: l.Genus, Rank: rank, Own: own}
		goOn, err := c.judge(&s)
		if err != nil {
			return out, err
		}
		if s.Doubtful || rank == refs.Genus {
			out = s
		}
		if s.Doubtful || !goOn {
			break
		}
	}
	return out, nil
}

// neighbourhood is what lies near one record, as a rank tells it.
type neighbourhood struct {
	ctx    context.Context
	lib    *refs.Library
	scan   *refs.Scan
	p      Params
	record int
	bases  int // of the stretch compared
	inner  bool
	rank   refs.Rank
	own    string           // the label's taxon
	taxa   map[int32]string // by number of the genus
}

// taxon gives that of a record at the rank, empty where it has no genus.
func (c neighbourhood) taxon(record int) string {
	g := c.lib.GenusNumber(record)
	t, known := c.taxa[g]
	if !known {
		t = c.lib.Record(record).Lineage.At(c.rank)
		c.taxa[g] = t
	}
	return t
}

// judge fills s, and reports whether a broader rank might tell more.
func (c neighbourhood) judge(s *seqqc.Standing) (goOn bool, err error) {
	agree, goOn, err := c.agree(s)
	if err != nil || !agree {
		return goOn, err
	}
	distance := 100 - s.OtherPct
	bound := 100 - max(gapTimes*distance, distance+gapPoints)
	kin, err := c.best(bound, neighboursTried, c.isOwn)
	if err != nil {
		return false, err
	}
	company, err := c.rightOf(c.independent(kin), mostTogether)
	if err != nil {
		return false, err
	}
	// What is asked whether it lends support needs no company counted: whole
	// groups of wrong labels would support one another.
	if s.Together = len(company); s.Together > mostTogether && !c.inner {
		return true, nil
	}
	rest, err := c.best(math.Inf(-1), 1, func(r int) bool { return c.isOwn(r) && !holds(kin, r) })
	if err != nil {
		return false, err
	}
	genus := c.lib.GenusNumber(c.record)
	hasKin := c.hasLong(kin, func(r int) bool { return c.lib.GenusNumber(r) == genus })
	switch {
	case c.rank == refs.Genus && len(rest) == 0 && !hasKin:
		s.Doubtful = s.Together == 0 && s.OtherPct >= c.p.Thresholds.Species
		return true, nil
	case len(rest) == 0 && !c.hasLong(kin, c.isOwn), c.rank == refs.Family && !hasKin:
		return true, nil
	case len(rest) > 0:
		s.OwnPct = rest[0].IdentityPct
	}
	s.Doubtful, err = c.isRooted(s, bound)
	return true, err
}

func (c neighbourhood) isOwn(record int) bool { return c.taxon(record) == c.own }

// hasLong reports whether the library has such a record beside kin that is no
// fragment, so that it would have been found if it were alike.
func (c neighbourhood) hasLong(kin []refs.Found, is func(record int) bool) bool {
	for r := range c.lib.Len() {
		if !is(r) || r == c.record || holds(kin, r) {
			continue
		}
		if n := len(c.lib.Record(r).Seq); 100*n >= leastLongPct*c.bases {
			return true
		}
	}
	return false
}

// agree looks among the nearest for the taxon that the first neighbours of
// other taxa bear, and reports whether there is one, and whether a broader rank
// might tell more.
func (c neighbourhood) agree(s *seqqc.Standing) (agree, goOn bool, err error) {
	floor := max(c.p.Thresholds.At(c.rank), leastAlikePct)
	for _, n := range []int{neighboursFirst, neighboursTried} {
		near, err := c.best(floor, n, func(r int) bool { return c.taxon(r) != "" })
		if err != nil {
			return false, false, err
		}
		kin, others, other := c.parted(near)
		if other != "" {
			s.Other, s.For, s.OtherPct = other, leastNeighbours, others[len(others)-1].IdentityPct
			return c.outnumber(kin, others, other)
		}
		if len(kin) > mostTogether {
			return false, false, nil
		}
		if len(near) < n {
			break
		}
	}
	return false, true, nil
}

// parted gives the independent ones among the nearest that are of the label's
// taxon and those that are not, as far as the last needed of one other taxon,
// which is empty where none has as many.
func (c neighbourhood) parted(near []refs.Found) (kin, others []refs.Found, other string) {
	count := map[string]int{}
	for _, f := range c.independent(near) {
		t := c.taxon(f.Record)
		if t == c.own {
			kin = append(kin, f)
			continue
		}
		others = append(others, f)
		if count[t]++; count[t] == leastNeighbours {
			return kin, others, t
		}
	}
	return kin, others, ""
}

// outnumber reports whether few are of the label's taxon and few of a third,
// neither the label's nor other. Where many are of the label's, they are of its
// broader taxa as well.
func (c neighbourhood) outnumber(kin, others []refs.Found, other string) (agree, goOn bool, err error) {
	if kin, err = c.rightOf(kin, mostTogether); err != nil || len(kin) > mostTogether {
		return false, false, err
	}
	strays := slices.DeleteFunc(others, func(f refs.Found) bool { return c.taxon(f.Record) == other })
	strays, err = c.rightOf(strays, mostStrays)
	return len(strays) <= mostStrays, true, err
}

// rightOf leaves out the records that are doubtful themselves, where there are
// more than allowed, and few enough to be asked.
func (c neighbourhood) rightOf(found []refs.Found, allowed int) ([]refs.Found, error) {
	if c.inner || len(found) <= allowed || len(found) > companyTried {
		return found, nil
	}
	var right []refs.Found
	for _, f := range found {
		seq := c.lib.Record(f.Record).Seq
		on := f.OnReference(len(seq))
		s, err := stand(c.ctx, c.lib, f.Record, refs.Query{Seq: seq[on.Start:on.End]}, c.p, true)
		if err != nil {
			return nil, err
		}
		if !s.Doubtful {
			right = append(right, f)
		}
	}
	return right, nil
}

// isRooted reports whether the neighbours' taxon goes on around them, or has
// no other records, so that it is not they that stand in a wrong place.
func (c neighbourhood) isRooted(s *seqqc.Standing, bound float64) (bool, error) {
	isOther := func(r int) bool { return c.taxon(r) == s.Other }
	group, err := c.best(bound, groupTried, isOther)
	if err != nil || len(group) >= groupTried {
		return err == nil, err
	}
	all := 0
	for r := range c.lib.Len() {
		if isOther(r) {
			all++
		}
	}
	if len(group) >= all {
		return true, nil
	}
	rest, err := c.best(s.OwnPct, 1, func(r int) bool { return isOther(r) && !holds(group, r) })
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
