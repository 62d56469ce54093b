package phylogeny

import "math/rand/v2"

// Shape says which library to invent.
type Shape struct {
	Records int
	Seed    uint64
	// Genera is the most genera, 0 for as many as grow: with 1 all records are
	// congeners.
	Genera int
}

// Tree is an invented library. It may be used concurrently.
type Tree struct {
	shape Shape
	// parent gives, by rank and node of that rank, the node of the next
	// broader rank; the nodes below haplotype are the records.
	parent [record + 1][]uint32
	count  [record + 1]int
}

// rank is a level of the tree, the broadest first.
type rank int

const (
	order rank = iota
	family
	genus
	group
	species
	haplotype
	record
)

// growth says how the nodes of a rank gather in nodes of the next broader one,
// by the process of Pitman & Yor 1997 (Annals of Probability 25: 855-900, DOI
// 10.1214/aop/1024404422): with n nodes placed in k, the next is the first of
// a new one with probability (weight + discount k) / (weight + n), and else joins
// one that has m nodes in proportion to m - discount. About k ~ n^discount grow,
// of sizes that follow a power law: a few giants, and a share of nodes
// with one member that is near discount.
type growth struct{ weight, discount float64 }

// growths are by the rank of the members. They were chosen so that 4,276 records
// are of about as many species as that many published sequences (1,478, of
// which 712 have one record; TreeBASE), that in 200,000 three records in ten
// equal another, and that there are some ten species a genus and three genera a
// family (common practice, no source).
var growths = [record + 1]growth{
	family:    {8, 0.4},
	genus:     {30, 0.6},
	group:     {60, 0.65},
	species:   {200, 0.6},
	haplotype: {84, 0.6},
	record:    {4000, 0.93},
}

// New grows a tree.
func New(s Shape) *Tree {
	t := &Tree{shape: s}
	t.count[record] = max(0, s.Records)
	for r := record; r > order; r-- {
		most := 0
		if r-1 == genus {
			most = s.Genera
		}
		rng := t.rng(r, -1)
		t.parent[r], t.count[r-1] = gather(rng, t.count[r], most, growths[r])
		if r == record {
			// Relatives stand anywhere in a library.
			p := t.parent[r]
			rng.Shuffle(len(p), func(i, j int) { p[i], p[j] = p[j], p[i] })
		}
	}
	return t
}

// gather places n nodes in at most so many others (0: any number), and gives
// for each its place, and how many these are.
func gather(rng *rand.Rand, n, most int, g growth) (parent []uint32, count int) {
	parent = make([]uint32, n)
	isFirst := make([]bool, n)
	for i := range parent {
		open := most == 0 || count < most
		if i == 0 || open && rng.Float64()*(g.weight+float64(i)) < g.weight+float64(g.discount*float64(count)) {
			parent[i], isFirst[i] = uint32(count), true
			count++
			continue
		}
		// A random earlier node, of which the first of each place weighs less.
		other := rng.IntN(i)
		for isFirst[other] && open && rng.Float64() < g.discount {
			other = rng.IntN(i)
		}
		parent[i] = parent[other]
	}
	return parent, count
}

// rng gives the generator of a node: every node draws from one of its own.
func (t *Tree) rng(r rank, node int) *rand.Rand {
	return rand.New(rand.NewPCG(t.shape.Seed, uint64(r)<<48^uint64(node+1)))
}

// Len gives the number of records.
func (t *Tree) Len() int { return t.count[record] }

// path gives the nodes from an order to a record.
func (t *Tree) path(i int) (nodes [record + 1]int) {
	nodes[record] = i
	for r := record; r > order; r-- {
		nodes[r-1] = int(t.parent[r][nodes[r]])
	}
	return nodes
}
