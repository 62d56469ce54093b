package refs

import (
	"cmp"
	"math"
	"slices"

	"forayseq/align"
)

const (
	// fewSeeds is the number of seeds where units are aligned one by one.
	fewSeeds = 4
	// seedGroups is the most groups that are looked at for seeds, fewGroups at a
	// time, seedClusters that of the clusters of each. Something is near that has
	// less than one edit in nearShare letters of the query.
	seedGroups   = 256
	fewGroups    = 16
	seedClusters = 8
	nearShare    = 20
)

// seed aligns units of likely clusters, of those with a record for which keep is
// true: as many as are aligned side by side. With their identities known the
// search has a floor from the beginning. They affect its speed, never its result.
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

// findSeeds finds the units of the clusters whose centres are the fewest edits
// away, of clusters that lack few pieces in the groups that lack fewer than
// chance would have them lack. Where something is near, the first groups are
// enough.
func (s *Scan) findSeeds() {
	var list []candidate
	for groups := range slices.Chunk(s.likelyGroups(), fewGroups) {
		more := s.likelyClusters(groups)
		s.measure(more)
		list = append(list, more...)
		slices.SortStableFunc(list, byLacks)
		if nearShare*list[0].lacks < len(s.q.Seq) {
			break
		}
	}
	for _, c := range list {
		units, _ := s.index.membersOf(c.cluster)
		for _, u := range units {
			s.seeds = append(s.seeds, likely{unit: u, strand: c.strand, ceiling: 100})
		}
	}
}

// measure puts the edits that all of the query has with their centres in the
// place of what clusters lack.
func (s *Scan) measure(list []candidate) {
	limit := len(s.q.Seq) * 2 / 5 // about what chance gives
	for batch := range slices.Chunk(list, align.TextLanes) {
		var texts [align.TextLanes]align.LaneText
		for lane, c := range batch {
			texts[lane] = align.LaneText{
				Text:    s.index.packed(s.centreOf(c.cluster)),
				Reading: [2]align.Reading{align.Forward, align.OtherStrand}[c.strand],
				Reach:   align.Reach{QEnd: len(s.q.Seq), TStart: math.MaxInt},
			}
		}
		s.distances.Find(texts[:len(batch)], limit)
		for lane := range batch {
			batch[lane].lacks = s.distances.Whole(lane)
		}
	}
}

// candidate is a cluster on a strand, with the pieces that it lacks there or the
// edits away that its centre is.
type candidate struct {
	cluster int32
	strand  uint8
	lacks   int
}

func byLacks(a, b candidate) int { return cmp.Compare(a.lacks, b.lacks) }

// likelyGroups gives the groups that lack the fewest pieces, in standard deviations
// from what a group with as many words lacks by chance: of two unlike the query
// the one with more words lacks fewer.
func (s *Scan) likelyGroups() []int32 {
	x := s.index
	const steps, middle, most = 16, 1000, 2000
	pieces := 0.0
	for _, rows := range s.pieces.rows[0] {
		pieces += float64(len(rows))
	}
	deviations := make([]int32, x.groups())
	for g := range deviations {
		absent := 1 - float64(x.wordCounts[g])/gramRows
		if v := pieces * absent * (1 - absent); v > 0 {
			z := (float64(s.lacking[g]/2) - pieces*absent) / math.Sqrt(v)
			deviations[g] = int32(min(max(0, middle+steps*z), most))
		} else {
			deviations[g] = most
		}
	}
	_, groups := gather(deviations, most+1)
	return groups[:min(len(groups), seedGroups)]
}

// likelyClusters gives the clusters of groups that lack the fewest pieces.
func (s *Scan) likelyClusters(groups []int32) (list []candidate) {
	x := s.index
	for _, g := range groups {
		from, strand := len(list), uint8(s.lacking[g]&1)
		first, end := x.clustersOf(g)
		for c := first; c < end; c++ {
			lacks := int(x.open[c])
			block, bit := x.place(c)
			for _, rows := range s.pieces.rows[strand] {
				for _, row := range rows {
					lacks += int(^block.row(row)[bit/64] >> (bit % 64) & 1)
				}
			}
			list = append(list, candidate{c, strand, lacks})
		}
		slices.SortStableFunc(list[from:], byLacks)
		list = list[:min(len(list), from+seedClusters)]
	}
	return list
}
