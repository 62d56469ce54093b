package refs

import (
	"cmp"
	"slices"
)

const (
	// fewSeeds is the number of seeds where units are aligned one by one.
	fewSeeds = 4
	// seedClusters is the number of clusters that are looked at for seeds, at
	// least.
	seedClusters = 256
)

// seed aligns units of the clusters that lack the fewest pieces, of those with a
// record for which keep is true: as many as are aligned side by side. They
// are the likely best: with their identities known the search has a floor from
// the beginning. They affect its speed, never its result.
func (s *Scan) seed(keep func(record int) bool) error {
	if s.lacking == nil {
		return nil
	}
	if s.seeds == nil {
		s.findSeeds()
	}
	most := s.lanes.Width()
	if most == 1 {
		most = fewSeeds
	}
	w := walker{s: s, keep: keep}
	var seeds []likely
	for _, l := range s.seeds {
		if len(seeds) < most && w.keepsUnit(l.unit) {
			seeds = append(seeds, l)
		}
	}
	_, err := s.alignAll(slices.DeleteFunc(seeds, func(l likely) bool { return s.aligned[l.unit] }))
	return err
}

// findSeeds finds the units of the clusters that lack the fewest pieces, of
// those of the groups that lack the fewest.
func (s *Scan) findSeeds() {
	x := s.index
	_, groups := gather(s.lacking, 2*maxCount+2)
	type candidate struct {
		cluster int32
		lacks   int
		strand  uint8
	}
	var list []candidate
	for _, g := range groups {
		if len(list) >= seedClusters {
			break
		}
		first, end := x.clustersOf(g)
		strand := uint8(s.lacking[g] & 1)
		for c := first; c < end; c++ {
			lacks := int(x.open[c])
			counts := s.count(c, strand)
			for _, n := range s.missing[counts:] {
				lacks += int(n)
			}
			s.missing = s.missing[:counts]
			list = append(list, candidate{c, lacks, strand})
		}
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return cmp.Compare(a.lacks, b.lacks) })
	for _, c := range list {
		units, _ := x.membersOf(c.cluster)
		for _, u := range units {
			s.seeds = append(s.seeds, likely{unit: u, strand: c.strand, ceiling: 100})
		}
	}
}
