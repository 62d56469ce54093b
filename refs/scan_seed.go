package refs

import "slices"

// fewSeeds is the number of seeds where units are aligned one by one.
const fewSeeds = 4

// seed aligns units of the clusters that lack the fewest pieces, of those with a
// record for which keep is true: as many as are aligned side by side. They
// are the likely best: with their identities known the search has a floor from
// the beginning. They affect its speed, never its result.
func (s *Scan) seed(keep func(record int) bool) error {
	if s.lacking == nil {
		return nil
	}
	if s.seeds == nil {
		_, s.seeds = gather(s.lacking, 2*maxCount+2)
	}
	most := s.lanes.Width()
	if most == 1 {
		most = fewSeeds
	}
	w := walker{s: s, keep: keep}
	var seeds []likely
	for _, c := range s.seeds {
		units, _ := s.index.membersOf(c)
		for _, u := range units {
			if len(seeds) < most && w.keepsUnit(u) {
				seeds = append(seeds, likely{unit: u, strand: uint8(s.lacking[c] & 1), ceiling: 100})
			}
		}
		if len(seeds) == most {
			break
		}
	}
	_, err := s.alignAll(slices.DeleteFunc(seeds, func(l likely) bool { return s.aligned[l.unit] }))
	return err
}
