package phylogeny

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"forayseq/align"
)

// Kind is a kind of query.
type Kind int

// The kinds of queries.
const (
	Same      Kind = iota // the ITS of a record, as it was before it was cut or spoilt
	Apart3                // 3 % of its columns apart from that of a record
	Apart10               // 10 %
	Apart20               // 20 %
	NoGenus               // of a genus that has no record, in a family that has
	Mixed                 // 3 % apart, and read from two templates: a code for two bases at 2 % of its positions
	Truncated             // 3 % apart, and only the ITS2 with the end of the 5.8S
	Reversed              // 3 % apart, and on the other strand
)

// Kinds are all kinds.
var Kinds = []Kind{Same, Apart3, Apart10, Apart20, NoGenus, Mixed, Truncated, Reversed}

var kindNames = []string{"0 % apart", "3 % apart", "10 % apart", "20 % apart", "genus absent", "two templates", "one spacer", "other strand"}

func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return fmt.Sprintf("kind %d", int(k))
	}
	return kindNames[k]
}

// Query is a sequence to be searched, with its parts in its own coordinates;
// those it does not have are empty.
type Query struct {
	Kind Kind
	Seq  []byte
	// ITS1 and ITS2 are whole spacers.
	ITS1, R58S, ITS2 align.Interval
	// Near is the record that it was made from (NoGenus: one of its family).
	Near int
}

// Query gives query n of a kind, n >= 0. The tree must have a record.
func (t *Tree) Query(k Kind, n int) Query {
	// Apart from the generators of nodes by its second word.
	rng := rand.New(rand.NewPCG(t.shape.Seed, 1<<60|uint64(k)<<32|uint64(n)))
	q := Query{Kind: k, Near: rng.IntN(t.Len())}
	nodes := t.path(q.Near)
	if k == NoGenus {
		// Nodes beyond those of the library.
		for r := genus; r <= haplotype; r++ {
			nodes[r] = t.count[r] + n
		}
	}
	l := t.at(&nodes, haplotype)
	switch k {
	case Same, NoGenus:
	// An alignment shows less than what was changed, the more the further apart.
	case Apart10:
		l = l.evolved(rng, 12)
	case Apart20:
		l = l.evolved(rng, 25)
	default:
		l = l.evolved(rng, 3)
	}
	if k == Truncated {
		l.its1, l.r58s = nil, l.r58s[100:]
	}
	q.Seq = slices.Concat(l.its1, l.r58s, l.its2)
	q.ITS1 = align.Interval{End: len(l.its1)}
	q.R58S = align.Interval{Start: q.ITS1.End, End: q.ITS1.End + len(l.r58s)}
	q.ITS2 = align.Interval{Start: q.R58S.End, End: len(q.Seq)}
	switch k {
	case Mixed:
		for range len(q.Seq) / 50 {
			at := rng.IntN(len(q.Seq))
			q.Seq[at] = eitherCode(rng, q.Seq[at])
		}
	case Reversed:
		q.Seq = align.ReverseComplement(q.Seq)
		turn := func(v align.Interval) align.Interval {
			return align.Interval{Start: len(q.Seq) - v.End, End: len(q.Seq) - v.Start}
		}
		q.ITS1, q.R58S, q.ITS2 = turn(q.ITS1), turn(q.R58S), turn(q.ITS2)
	}
	return q
}
