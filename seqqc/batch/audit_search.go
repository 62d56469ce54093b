package batch

import (
	"context"
	"fmt"
	"slices"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
)

// near is what the searches of one unit found.
type near struct {
	seeds     around
	searched  bool
	standings map[int]seqqc.Standing // by record, doubtful ones only
	// like is the nearest record of another genus with nearly the same sequence.
	like    *refs.Found
	chimera *seqqc.Chimera
	// alone is true where no gene was located and nothing is near.
	alone bool
}

// search compares the sequences that need it with all others.
func (a *auditor) search(ctx context.Context) error {
	if !a.asks(CheckLabels) && !a.asks(CheckGenera) && !a.asks(CheckChimeras) {
		return nil
	}
	a.tell(Progress{Doing: "sharing seeds: sequences", Done: len(a.units)})
	s := newSeeds(a.units)
	t := taxaOf(a.lib)
	found := make([]near, len(a.units))
	a.lib.Unique() // makes the index, so that the searches do not wait for one another
	err := inParallel(ctx, a.opt.Threads, len(a.units), func(ctx context.Context, i int) (err error) {
		found[i], err = a.lookAround(ctx, i, s, t)
		return err
	}, func(done int) { a.tell(Progress{Doing: "comparing sequences", Done: done, Of: len(a.units)}) })
	if err != nil {
		return err
	}
	if err := a.twins(ctx, found, t[0]); err != nil {
		return err
	}
	for i := range found {
		a.report(i, &found[i])
	}
	return nil
}

// twins looks for nearly equal records of other genera, once it is known which
// labels are doubtful: one wrong label in a crowd would be told at each of its
// neighbours.
func (a *auditor) twins(ctx context.Context, found []near, genera []int32) error {
	if !a.asks(CheckGenera) {
		return nil
	}
	trusted := func(r int) bool {
		_, doubtful := found[a.equal[r]].standings[r]
		return genera[r] != 0 && !doubtful
	}
	return inParallel(ctx, a.opt.Threads, len(a.units), func(ctx context.Context, i int) error {
		n, own := &found[i], a.units[i].records[0]
		foreign := func(unit int32) bool {
			return slices.ContainsFunc(a.units[unit].records, func(r int) bool { return trusted(r) && genera[r] != genera[own] })
		}
		if !trusted(own) || !n.seeds.few && !slices.ContainsFunc(n.seeds.twins, foreign) {
			return nil
		}
		return a.twin(ctx, i, n, func(r int) bool { return a.equal[r] != i && trusted(r) && genera[r] != genera[own] })
	}, func(done int) {
		a.tell(Progress{Doing: "comparing nearly equal sequences", Done: done, Of: len(a.units)})
	})
}

// lookAround searches for one unit what its seeds make worth a search.
func (a *auditor) lookAround(ctx context.Context, i int, s *seeds, t taxa) (near, error) {
	u, n := &a.units[i], near{}
	genera, p := t[0], a.opt.Settings.Match
	span := u.contig.Region.ITS(len(u.contig.Bases))
	if u.contig.Region.NotITS != "" || span.Len() < p.Gate.MinOutside {
		return n, nil
	}
	n.seeds = s.around(i, t, a.units)
	if a.asks(CheckRegion) && !u.contig.Region.Located {
		n.searched = true
		scan, err := refs.NewScan(ctx, a.lib, match.QueryOf(u.contig), p.Gate)
		if err != nil {
			return n, err
		}
		any, err := scan.BestFrom(p.Thresholds.At(refs.Class), 1, nil, func(r int) bool { return a.equal[r] != i })
		if err != nil {
			return n, err
		}
		n.alone = len(any) == 0
	}
	if n.seeds.mixed && a.asks(CheckLabels) {
		n.searched = true
		if err := a.labels(ctx, i, &n, genera); err != nil {
			return n, err
		}
	}
	if n.seeds.split && a.asks(CheckChimeras) {
		n.searched = true
		var err error
		n.chimera, err = match.ReferenceChimera(ctx, a.lib, u.contig, func(r int) bool { return a.equal[r] == i }, p)
		if err != nil {
			return n, err
		}
	}
	return n, nil
}

// wholeCoverPct is how much of a record must be compared for one nearly equal
// to it to be the same sequence.
const wholeCoverPct = 95

// labels asks for the standing of the labels of a unit, once a genus.
func (a *auditor) labels(ctx context.Context, i int, n *near, genera []int32) error {
	u, p := &a.units[i], a.opt.Settings.Match
	q := match.QueryOf(u.contig)
	asked := map[int32]seqqc.Standing{}
	for _, r := range u.records {
		g := genera[r]
		if g == 0 {
			continue
		}
		s, done := asked[g]
		if !done {
			var err error
			if s, err = match.Stand(ctx, a.lib, r, q, p); err != nil {
				return err
			}
			asked[g] = s
		}
		if s.Doubtful {
			if n.standings == nil {
				n.standings = map[int]seqqc.Standing{}
			}
			n.standings[r] = s
		}
	}
	return nil
}

// twin looks for a nearly equal record among those for which is holds.
func (a *auditor) twin(ctx context.Context, i int, n *near, is func(record int) bool) error {
	p := a.opt.Settings.Match
	n.searched = true
	scan, err := refs.NewScan(ctx, a.lib, match.QueryOf(a.units[i].contig), p.Gate)
	if err != nil {
		return err
	}
	like, err := scan.BestFrom(p.Thresholds.Species, 1, nil, is)
	if err == nil && len(like) > 0 && like[0].CoveragePct >= wholeCoverPct {
		n.like = &like[0]
	}
	return err
}

// report turns what was found near a unit into findings.
func (a *auditor) report(i int, n *near) {
	u := &a.units[i]
	if n.searched {
		a.Searched++
	}
	for _, r := range u.records {
		if s, doubtful := n.standings[r]; doubtful {
			a.add(AuditFinding{Check: CheckLabels, Record: r, LeaveOut: true,
				What: fmt.Sprintf("the label %s seems wrong: %s", a.lib.Record(r).Name.Label(), s.Says()),
				Hint: "compare it with what its archive says of it now: the name may have changed; or leave it out"})
		}
		if c := n.chimera; c != nil {
			a.add(AuditFinding{Check: CheckChimeras, Record: r, LeaveOut: true,
				What: fmt.Sprintf("it looks joined from two: up to base %d it is %s %% like %s (%s), behind that %s %% like %s (%s)",
					c.Breakpoint.Start, seqqc.Figure(c.Left.IdentityPct), c.Left.Name.Label(), c.Left.Reference,
					seqqc.Figure(c.Right.IdentityPct), c.Right.Name.Label(), c.Right.Reference),
				Hint: "leave it out"})
		}
		if n.alone {
			a.add(AuditFinding{Check: CheckRegion, Record: r, LeaveOut: true,
				What: "no part of the ribosomal DNA was recognised, and no other record is like it", Hint: "take it out if it holds no ITS"})
		}
	}
	first := u.records[0]
	// Each pair once; equal sequences under several genera were told before.
	if f := n.like; f != nil && f.Record > first && len(u.records) == 1 {
		o := a.lib.Record(f.Record)
		a.add(AuditFinding{Check: CheckGenera, Record: first,
			What: fmt.Sprintf("it is named %s, and %s, which is %s %% identical, is named %s",
				a.lib.Record(first).Name.Label(), o.ID, seqqc.Figure(f.IdentityPct), o.Name.Label()),
			Hint: "find out which name is wrong, or old, and mend it"})
	}
}
