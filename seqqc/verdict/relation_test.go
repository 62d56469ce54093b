package verdict

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
)

// node is a taxon of a tree.
type node struct {
	name   string
	rank   refs.Rank
	parent *node
}

func (n *node) within(m *node) bool {
	for ; n != nil; n = n.parent {
		if n == m {
			return true
		}
	}
	return false
}

func (n *node) at(r refs.Rank) *node {
	for ; n != nil; n = n.parent {
		if n.rank == r {
			return n
		}
	}
	return nil
}

func (n *node) taxon() taxon {
	var l refs.Lineage
	for m := n; m != nil; m = m.parent {
		l.Set(m.rank, m.name)
	}
	genus := ""
	if g := n.at(refs.Genus); g != nil {
		genus = g.name
	}
	return newTaxon(n.name, genus, n.rank, l)
}

// tree gives all taxa of a full binary taxonomy with two kingdoms.
func tree() []*node {
	var all []*node
	var grow func(parent *node, rank refs.Rank, name string)
	grow = func(parent *node, rank refs.Rank, name string) {
		n := &node{name: rank.String() + name, rank: rank, parent: parent}
		all = append(all, n)
		if rank == refs.Species {
			return
		}
		grow(n, rank+1, name+"0")
		grow(n, rank+1, name+"1")
	}
	grow(nil, refs.Kingdom, "0")
	grow(nil, refs.Kingdom, "1")
	return all
}

// TestRelateEqualsTree compares relate with the tree itself, for every two taxa
// of a full taxonomy: what contains what is read off the parents, and where two
// part off the first rank with different ancestors.
func TestRelateEqualsTree(t *testing.T) {
	all := tree()
	seen := map[kinship]int{}
	for _, f := range all {
		for _, d := range all {
			want, wantAt := apart, refs.NoRank
			switch {
			case f.rank >= refs.Genus && d.rank >= refs.Genus:
				if f.at(refs.Genus) == d.at(refs.Genus) {
					want = sameGenus
				}
			case d != f && d.within(f):
				want = dnaInside
			case f.within(d):
				want = fieldInside
			}
			if want == apart {
				for _, r := range refs.Ranks {
					if a, b := f.at(r), d.at(r); a != nil && b != nil && a != b {
						wantAt = r
						break
					}
				}
			}
			got, at := relate(f.taxon(), d.taxon())
			require.Equal(t, want, got, "F %s, D %s", f.name, d.name)
			require.Equal(t, wantAt, at, "F %s, D %s", f.name, d.name)
			seen[want]++
		}
	}
	require.Len(t, seen, 4, "every kinship but unknown occurs in a full taxonomy")
}

// TestRelateWithGaps blanks every subset of the ranks above the two taxa, alike
// for both. What is told must then be what the tree says, or unknown; and it
// may be unknown only where the outer taxon's rank is blank in the inner one's
// lineage.
func TestRelateWithGaps(t *testing.T) {
	all := tree()
	told := 0
	for mask := range 1 << 5 { // kingdom to family
		blank := func(n *node) taxon {
			x := n.taxon()
			for r := refs.Kingdom; r <= refs.Family; r++ {
				if mask>>(r-1)&1 == 1 && r != n.rank {
					x.lineage.Set(r, "")
				}
			}
			return x
		}
		for i := 0; i < len(all); i += 3 {
			for j := 0; j < len(all); j += 5 {
				f, d := all[i], all[j]
				full, _ := relate(f.taxon(), d.taxon())
				got, at := relate(blank(f), blank(d))
				if got == unknown {
					require.NotEqual(t, sameGenus, full)
					outer := min(f.rank, d.rank)
					require.True(t, f.rank != d.rank && mask>>(outer-1)&1 == 1, "F %s, D %s, mask %b", f.name, d.name, mask)
					continue
				}
				told++
				require.Equal(t, full, got, "F %s, D %s, mask %b", f.name, d.name, mask)
				if got == apart {
					require.NotEqual(t, f.at(at), d.at(at))
				}
			}
		}
	}
	require.Greater(t, told, 10000)
}

// TestRelateKnown holds the examples that the names of the verdicts come from.
func TestRelateKnown(t *testing.T) {
	for _, row := range []struct {
		f, d string
		want kinship
		at   refs.Rank
	}{
		{"Russula emetica", "Russula emetica", sameGenus, refs.NoRank},
		{"Russula emetica", "Russula", sameGenus, refs.NoRank},
		{"Russula", "Lactarius", apart, refs.Genus},
		{"Russula", "Amanita", apart, refs.Order},
		{"Russula", "Penicillium", apart, refs.Phylum},
		{"Russula", "Pinus", apart, refs.Kingdom},
		{"Russulaceae", "Russula", dnaInside, refs.NoRank},
		{"Fungi", "Russulales", dnaInside, refs.NoRank},
		{"Russula", "Russulaceae", fieldInside, refs.NoRank},
		{"Russulaceae", "Russulaceae", fieldInside, refs.NoRank},
		{"Russulaceae", "Amanita", apart, refs.Order},
		{"Orphanus", "Russula", apart, refs.Genus},
		{"Orphanus", "Russulaceae", unknown, refs.NoRank},
		{"Russulaceae", "Orphanus", unknown, refs.NoRank},
	} {
		t.Run(fmt.Sprintf("%s/%s", row.f, row.d), func(t *testing.T) {
			of := func(s string) taxon { n := nameOf(s); r, l := place(s); return newTaxon(s, n.Genus, r, l) }
			got, at := relate(of(row.f), of(row.d))
			require.Equal(t, row.want, got)
			require.Equal(t, row.at, at)
		})
	}
}
