package batch

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/tree"
)

const (
	// mostLeaves is how many leaves a tree may have: more than two pages of them
	// nobody reads, and the time to align them grows with the square.
	mostLeaves = 60
	// fewestLeaves: two have only one tree.
	fewestLeaves = 3
	// sharedColumns is the fewest compared columns that give a distance, as many
	// as a hit needs outside the 5.8S.
	sharedColumns = 150
)

// relate makes the trees of the vouchers with their nearest references: one an
// order, by the best hits; of an order with too many leaves one a family, and so
// on to the genus.
func (r *runner) relate(ctx context.Context) error {
	var members []relative
	for i := range r.res.Vouchers {
		v := &r.res.Vouchers[i]
		for j := range v.Samples {
			if s := &v.Samples[j]; s.Contig != nil && s.Match != nil && len(s.Match.Hits) > 0 {
				members = append(members, newRelative(v, s))
			}
		}
	}
	for _, g := range groups(members, []refs.Rank{refs.Order, refs.Family, refs.Genus}) {
		t, err := r.tree(ctx, g)
		if err != nil {
			return err
		}
		if t != nil {
			r.res.Trees = append(r.res.Trees, *t)
		}
	}
	return nil
}

// relative is one sample with the references to show beside it.
type relative struct {
	label   string
	name    string // on the label of the voucher
	seq     []byte
	lineage refs.Lineage
	hits    []*seqqc.Hit
}

func newRelative(v *seqqc.VoucherResult, s *seqqc.SampleResult) relative {
	m := s.Match
	its := s.Contig.Region.ITS(len(s.Contig.Bases))
	rel := relative{
		label: v.Voucher.Code, name: v.Voucher.FieldID, seq: s.Contig.Bases[its.Start:its.End],
		lineage: m.Hits[0].Lineage, hits: []*seqqc.Hit{&m.Hits[0]},
	}
	if s.Sample.ID != "" && len(v.Samples) > 1 {
		rel.label += "/" + s.Sample.ID
	}
	best := m.Hits[0].Name.Taxon()
	if i := slices.IndexFunc(m.Hits, func(h seqqc.Hit) bool { return h.Name.Taxon() != best }); i > 0 {
		rel.hits = append(rel.hits, &m.Hits[i])
	}
	for _, h := range []*seqqc.Hit{m.NextGenus, m.Field.Genus} {
		if h != nil {
			rel.hits = append(rel.hits, h)
		}
	}
	return rel
}

// group is what comes into one tree.
type group struct {
	taxon   string
	rank    refs.Rank
	members []relative
}

// groups divides samples by the first of ranks, and what is too large by the
// next. What is too large for any is cut in parts in sheet order.
func groups(members []relative, ranks []refs.Rank) []group {
	byTaxon := map[string][]relative{}
	var taxa []string
	for _, m := range members {
		taxon := m.lineage.At(ranks[0])
		if byTaxon[taxon] == nil {
			taxa = append(taxa, taxon)
		}
		byTaxon[taxon] = append(byTaxon[taxon], m)
	}
	slices.Sort(taxa)
	var out []group
	for _, taxon := range taxa {
		g := group{taxon, ranks[0], byTaxon[taxon]}
		if taxon == "" {
			g.rank = refs.NoRank
		}
		switch {
		case leafCount(g.members) <= mostLeaves:
			out = append(out, g)
		case len(ranks) > 1:
			out = append(out, groups(g.members, ranks[1:])...)
		default:
			out = append(out, parts(g)...)
		}
	}
	return out
}

func parts(g group) []group {
	out := []group{{g.taxon, g.rank, nil}}
	for _, m := range g.members {
		last := &out[len(out)-1]
		if len(last.members) > 0 && leafCount(append(slices.Clone(last.members), m)) > mostLeaves {
			out = append(out, group{g.taxon, g.rank, nil})
			last = &out[len(out)-1]
		}
		last.members = append(last.members, m)
	}
	return out
}

func leafCount(members []relative) int {
	records := map[int]bool{}
	for _, m := range members {
		for _, h := range m.hits {
			records[h.Record] = true
		}
	}
	return len(records) + len(members)
}

// leaf is one sequence of a tree.
type leaf struct {
	node seqqc.TreeNode
	seq  []byte
}

// tree makes the tree of a group, nil where it has too few leaves.
func (r *runner) tree(ctx context.Context, g group) (*seqqc.Tree, error) {
	t := &seqqc.Tree{Taxon: g.taxon, Rank: g.rank}
	leaves := r.leaves(g.members)
	if len(leaves) < fewestLeaves {
		return nil, nil
	}
	d, err := distances(ctx, leaves, r.opt.Threads)
	if err != nil {
		return nil, err
	}
	leaves, d, t.LeftOut = comparable(leaves, d)
	if len(leaves) < fewestLeaves {
		return nil, nil
	}
	joined, err := tree.Join(d)
	if err != nil {
		return nil, fmt.Errorf("tree of %s: %w", cmp.Or(g.taxon, "vouchers of unknown order"), err)
	}
	for _, n := range joined.Midpoint() {
		node := seqqc.TreeNode{}
		if n.Leaf >= 0 {
			node = leaves[n.Leaf].node
		}
		node.Parent, node.Length = n.Parent, n.Length
		t.Nodes = append(t.Nodes, node)
	}
	return t, nil
}

// leaves gives the vouchers of a group, and the stretches of the references
// that were compared with them, those of one name and one sequence once.
func (r *runner) leaves(members []relative) []leaf {
	var out []leaf
	for _, m := range members {
		out = append(out, leaf{seqqc.TreeNode{Voucher: m.label, Name: m.name}, m.seq})
	}
	type key struct{ name, seq string }
	known := map[key]int{} // of out
	seen := map[int]bool{}
	for _, m := range members {
		for _, h := range m.hits {
			if seen[h.Record] {
				continue
			}
			seen[h.Record] = true
			seq := r.lib.Record(h.Record).Seq[h.OnReference.Start:h.OnReference.End]
			if h.Strand == seqqc.Reverse {
				seq = align.ReverseComplement(seq)
			}
			name := h.Name.Taxon()
			at, ok := known[key{name, string(seq)}]
			if !ok {
				at = len(out)
				known[key{name, string(seq)}] = at
				out = append(out, leaf{seqqc.TreeNode{Name: name}, seq})
			}
			out[at].node.References = append(out[at].node.References, h.Reference)
		}
	}
	return out
}

// unknown marks a pair that shares too little for a distance.
const unknown = -1

// distances gives the percentage of compared columns that differ, of every pair,
// unknown where they share too few.
func distances(ctx context.Context, leaves []leaf, threads int) ([][]float64, error) {
	d := make([][]float64, len(leaves))
	for i := range d {
		d[i] = make([]float64, len(leaves))
	}
	err := inParallel(ctx, threads, len(leaves)-1, func(_ context.Context, i int) error {
		lanes, err := align.NewLanes(leaves[i].seq, align.Interval{})
		if err != nil {
			return err
		}
		var others [][]byte
		for _, l := range leaves[i+1:] {
			others = append(others, l.seq)
		}
		outlines, err := lanes.Outlines(others)
		if err != nil {
			return err
		}
		for k, o := range outlines {
			d[i][i+1+k] = unknown
			if o.Counts.Columns >= sharedColumns {
				d[i][i+1+k] = 100 - o.Counts.IdentityPct()
			}
		}
		return nil
	}, func(int) {})
	for i := range d {
		for j := range i {
			d[i][j] = d[j][i]
		}
	}
	return d, err
}

// comparable takes out leaves until every pair has a distance, each time the one
// that lacks most, of equal ones the last.
func comparable(leaves []leaf, d [][]float64) ([]leaf, [][]float64, []string) {
	var out []string
	for {
		worst, most := 0, 0
		for i, row := range d {
			lacks := 0
			for _, v := range row {
				if v == unknown {
					lacks++
				}
			}
			if lacks > 0 && lacks >= most {
				worst, most = i, lacks
			}
		}
		if most == 0 {
			return leaves, d, out
		}
		name := leaves[worst].node.Voucher
		if name == "" {
			name = leaves[worst].node.References[0]
		}
		out = append(out, fmt.Sprintf("%s shares fewer than %d columns with %d of the others", name, sharedColumns, most))
		leaves = slices.Delete(leaves, worst, worst+1)
		d = slices.Delete(d, worst, worst+1)
		for i := range d {
			d[i] = slices.Delete(d[i], worst, worst+1)
		}
	}
}
