package batch

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/match"
	"forayseq/seqqc/region"
)

// maxSpreadWork bounds the comparing of genera, as records asked times different
// records in the library: with more, fewer genera are measured, those on most labels first. A
// search that finds nothing near takes about 10 µs a record.
const maxSpreadWork = 1_500_000

// maxSpreads bounds the genera of which the spread is measured: those that
// stand on most labels, or that most DNA names, go first.
const maxSpreads = 60

// weighTests says of each voucher what its test could have found, and of the
// batch as a whole.
func (r *runner) weighTests(ctx context.Context) error {
	if err := r.measureSpreads(ctx); err != nil {
		return err
	}
	for i := range r.res.Vouchers {
		r.weigh(&r.res.Vouchers[i])
	}
	r.res.Power = powerText(r.res.Vouchers)
	return nil
}

// weigh says of one voucher what its test could have found, from the genera that
// were measured.
func (r *runner) weigh(v *seqqc.VoucherResult) {
	v.Power = nil
	s := v.ChosenSample()
	if v.Voucher.Kind != seqqc.Specimen || s == nil || s.Match == nil {
		return
	}
	field := r.lib.Taxonomy.Resolve(v.Voucher.Field)
	rank, taxon := refs.Genus, field.Genus
	if taxon == "" {
		rank, taxon = field.Rank, field.Higher
	}
	offer, known := r.offers[taxon]
	if !known { // what the library has of a genus is worked out once
		offer = match.OfferOf(r.lib, rank, taxon)
		r.offers[taxon] = offer
	}
	var spread *seqqc.Spread
	if i := slices.IndexFunc(r.res.Spreads, func(s seqqc.Spread) bool { return s.Genus == field.Genus }); i >= 0 {
		spread = &r.res.Spreads[i]
	}
	v.Power = match.Power(s.Match, field, offer, spread, r.opt.Settings.Match)
	// A conflict that was found could be found.
	v.Power.Could = v.Power.Could || v.Verdict.Kind == seqqc.Conflict
}

// measureSpreads measures the spread of the genera that labels or DNA name,
// those that were measured before left out.
func (r *runner) measureSpreads(ctx context.Context) error {
	sampled := r.opt.Settings.Match.Spread
	if sampled == 0 {
		return nil
	}
	count := map[string]int{}
	for i := range r.res.Vouchers {
		v := &r.res.Vouchers[i]
		s := v.ChosenSample()
		if v.Voucher.Kind != seqqc.Specimen || s == nil || s.Match == nil {
			continue
		}
		field := r.lib.Taxonomy.Resolve(v.Voucher.Field).Genus
		for _, g := range []string{field, s.Match.Lineage.Genus} {
			if len(r.lib.OfGenus(g)) > 0 {
				count[g]++
			}
		}
	}
	genera := make([]string, 0, len(count))
	for g := range count {
		genera = append(genera, g)
	}
	slices.SortFunc(genera, func(a, b string) int {
		if count[a] != count[b] {
			return count[b] - count[a]
		}
		return strings.Compare(a, b)
	})
	most := maxSpreadWork / (sampled * max(1, r.lib.Unique()))
	genera = genera[:min(len(genera), maxSpreads, most)]
	slices.Sort(genera)
	spreads := make([]seqqc.Spread, len(genera))
	before := r.res.Spreads
	err := inParallel(ctx, r.opt.Threads, len(genera), func(ctx context.Context, i int) (err error) {
		if k := slices.IndexFunc(before, func(s seqqc.Spread) bool { return s.Genus == genera[i] }); k >= 0 {
			spreads[i] = before[k]
			return nil
		}
		spreads[i], err = match.Spread(ctx, r.lib, genera[i], sampled, region.Orient, r.opt.Settings.Match)
		return err
	}, func(done int) { r.tell(Progress{Doing: "measuring genera", Done: done, Of: len(genera)}) })
	r.res.Spreads = spreads
	return err
}

// maxNamed is how many names a sentence about the batch lists.
const maxNamed = 6

// powerText says in a paragraph what the tests of a batch could have found.
func powerText(vouchers []seqqc.VoucherResult) string {
	specimens, tested, named, could := 0, 0, 0, 0
	var absent, lone []string
	note := func(list []string, name string) []string {
		if name == "" || slices.Contains(list, name) {
			return list
		}
		return append(list, name)
	}
	for i := range vouchers {
		v := &vouchers[i]
		if v.Voucher.Kind != seqqc.Specimen {
			continue
		}
		specimens++
		if v.Power == nil {
			continue
		}
		tested++
		if v.Voucher.Field.Taxon() != "" {
			named++
		}
		if v.Power.Could {
			could++
		}
		switch name := v.Voucher.Field.Genus; v.Power.Records {
		case 0:
			absent = note(absent, name)
		case 1:
			lone = note(lone, name)
		}
	}
	if specimens == 0 {
		return ""
	}
	switch {
	case tested == 0:
		return fmt.Sprintf("Of %s, none had a sequence to compare.", seqqc.Count(specimens, "specimen"))
	case named == 0:
		return fmt.Sprintf("Of %s, %d had a sequence to compare, and no label of these has a name to test.", seqqc.Count(specimens, "specimen"), tested)
	}
	text := fmt.Sprintf("Of %s, %d had a sequence to compare, and for %d of these a wrong field genus would have been seen.",
		seqqc.Count(specimens, "specimen"), tested, could)
	if len(absent) > 0 {
		text += fmt.Sprintf(" The library has no record of %s.", names(absent))
	}
	if len(lone) > 0 {
		text += fmt.Sprintf(" It has one record alone of %s, which nothing would contradict if it were mislabelled.", names(lone))
	}
	if could < tested {
		text += " What each test could find stands in the column test_power of verdicts.tsv."
	}
	return text
}

// names lists names in a sentence, bounded.
func names(list []string) string {
	slices.Sort(list)
	if more := len(list) - maxNamed; more > 0 {
		return strings.Join(list[:maxNamed], ", ") + fmt.Sprintf(" and %d more genera", more)
	}
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
	}
	return list[0]
}
