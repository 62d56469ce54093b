package cross

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"forayseq/seqqc"
)

// node is a voucher with DNA that contradicts its label.
type node struct {
	voucher int
	match   *seqqc.Match
	file    string // of the read, where the DNA is that of a single read
	fit     Fit    // to its own label
}

// ring is an exchange: the DNA of each member fits the label of the next, that
// of the last the first.
type ring struct {
	members []int // indices of nodes
	// worst is the least of the fits.
	worst    Fit
	expected float64
	// others are vouchers that could stand in it as well.
	others []int
}

// maxSteps bounds the search for rings. A batch in which more are tried holds
// hundreds of contradicting vouchers of few genera, where none would tell
// anything.
const maxSteps = 500_000

// maxSum is the largest number of nodes for which all rings are summed up.
const maxSum = 150

// rings finds exchanges among nodes, each node in one at most.
//
// How many would be there by chance: take the vouchers whose DNA contradicts
// their label as given, and deal each of them a label at random, one that
// contradicts its DNA in the same way (another family, another genus of the
// family, or another species of the genus) and is found in the batch as often as
// it is. That the label of j fits the DNA of i at least as well as it does has
// then the probability
//
//	q(i,j) = |{l: l fits DNA i, l contradicts DNA j so}| / |{l: l contradicts DNA j so}|
//
// over the labels l of the batch, and a ring of k vouchers the product of its
// k values. Among n vouchers of each kind whose DNA any label of the batch fits
// there are (k-1)! times the product of C(n, a) over the kinds rings with a of
// each, so that the number of such rings expected that are no likelier than the
// one seen is at most
//
//	E = (k-1)! x product of C(n,a) x product of q
//
// and no more than all rings that there would be, the sum over all of them,
// itself at most trace(Q^k)/k (equal to it for k of 2 and 3). The lesser of the two
// is taken. Where all labels are of one genus none contradicts its DNA, and
// there is no ring; of two genera in equal parts q is 1 and E of two vouchers is
// 1; among 40 genera of 40 families, one voucher each, it is 1/39^2.
//
// Field names are not dealt at random: genera that look alike are taken for one
// another, and these are mostly of one family. So the families' own genera are
// dealt where names part within a family, and the evidence says so. Look-alikes of
// different families make a ring likelier than E says.
//
// Rings whose labels fit to the species go first, then shorter ones. Of rings
// that are not found (E above the limit) only pairs are given.
func (c *comparison) rings(nodes []node) []ring {
	m := len(nodes)
	next := make([][]int, m)
	for i, a := range nodes {
		row := c.fits(a.match)
		for j, b := range nodes {
			// Of a label that is right to the genus only the species tells.
			if i != j && a.voucher != b.voucher && (row[b.voucher] == SameSpecies || row[b.voucher].fits() && a.fit.strays() && b.fit.strays()) {
				next[i] = append(next[i], j)
			}
		}
	}
	sums := c.sums(nodes)
	var found []ring
	steps := 0
	var path []int
	in := make([]bool, m)
	var walk func(at, most int)
	walk = func(at, most int) {
		path = append(path, at)
		in[at] = true
		for _, j := range next[at] {
			if steps++; steps > maxSteps {
				break
			}
			if j == path[0] && len(path) == most {
				found = append(found, c.rate(nodes, path, sums))
			} else if j > path[0] && !in[j] && len(path) < most && !sharesVoucher(nodes, path, j) {
				walk(j, most)
			}
		}
		in[at] = false
		path = path[:len(path)-1]
	}
	for k := 2; k <= min(c.p.MaxRing, m); k++ {
		for i := range nodes {
			walk(i, k)
		}
	}
	return c.disjoint(nodes, found)
}

func sharesVoucher(nodes []node, path []int, j int) bool {
	return slices.ContainsFunc(path, func(i int) bool { return nodes[i].voucher == nodes[j].voucher })
}

// disjoint takes the best rings of which no two share a node.
func (c *comparison) disjoint(nodes []node, found []ring) []ring {
	rank := func(r ring) int {
		switch {
		case r.expected > c.p.MaxExpected:
			return 2
		case r.worst != SameSpecies:
			return 1
		}
		return 0
	}
	slices.SortStableFunc(found, func(a, b ring) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(len(a.members), len(b.members)),
			-cmp.Compare(a.worst, b.worst), cmp.Compare(a.expected, b.expected))
	})
	var out []ring
	of := make([]int, len(nodes)) // place in out, counted from 1
	for _, r := range found {
		if r.expected > c.p.MaxExpected && len(r.members) > 2 {
			continue
		}
		taken, free := 0, 0
		for _, i := range r.members {
			if of[i] == 0 {
				free = i
			} else if taken == 0 || taken == of[i] {
				taken = of[i]
			} else {
				taken = -1
				break
			}
		}
		switch {
		case taken == 0:
			out = append(out, r)
			for _, i := range r.members {
				of[i] = len(out)
			}
		case taken > 0 && of[free] == 0:
			first := &out[taken-1]
			v := nodes[free].voucher
			if len(first.members) == len(r.members) && first.worst == r.worst && !slices.Contains(first.others, v) {
				first.others = append(first.others, v)
			}
		}
	}
	return out
}

// rate works out how surprising a ring is.
func (c *comparison) rate(nodes []node, path []int, sums []float64) ring {
	r := ring{members: slices.Clone(path), worst: SameSpecies}
	product := 1.0
	for k, i := range path {
		j := path[(k+1)%len(path)]
		fit := c.fits(nodes[i].match)[nodes[j].voucher]
		r.worst = min(r.worst, fit)
		product *= c.chance(nodes[i], nodes[j], fit)
	}
	r.expected = min(c.alike(nodes, path)*product, sums[len(path)])
	return r
}

// alike counts the rings among nodes with as many of each kind as one. DNA that
// no label of the batch fits, as of a mould, can stand in none.
func (c *comparison) alike(nodes []node, path []int) float64 {
	rings := 1.0
	for i := range len(path) {
		rings *= float64(max(1, i)) // (k-1)!
	}
	for _, fit := range []Fit{Apart, OtherGenus, OtherSpecies} {
		all, in := 0, 0
		for _, n := range nodes {
			if n.fit == fit && slices.ContainsFunc(c.fits(n.match), Fit.fits) {
				all++
			}
		}
		for _, i := range path {
			if nodes[i].fit == fit {
				in++
			}
		}
		for i := range in {
			rings *= float64(all-i) / float64(i+1)
		}
	}
	return rings
}

// chance gives q of a label that fits at least as well as fit says.
func (c *comparison) chance(from, to node, fit Fit) float64 {
	fits, pool := 0, 0
	row, own := c.fits(from.match), c.fits(to.match)
	for l, f := range own {
		if f != to.fit {
			continue
		}
		pool++
		if row[l] == SameSpecies || fit != SameSpecies && row[l].fits() {
			fits++
		}
	}
	if pool == 0 {
		return 0
	}
	return float64(fits) / float64(pool)
}

// sums gives, by their length, the bound of the number of all rings expected,
// infinite where there are too many nodes to work it out.
func (c *comparison) sums(nodes []node) []float64 {
	m := len(nodes)
	out := slices.Repeat([]float64{math.Inf(1)}, c.p.MaxRing+1)
	if m > maxSum {
		return out
	}
	q := make([][]float64, m)
	for i, a := range nodes {
		q[i] = make([]float64, m)
		for j, b := range nodes {
			fit := Inside
			if a.fit == OtherSpecies || b.fit == OtherSpecies {
				fit = SameSpecies
			}
			if i != j {
				q[i][j] = c.chance(a, b, fit)
			}
		}
	}
	power := q
	for k := 2; k < len(out); k++ {
		power = product(power, q)
		sum := 0.0
		for i := range power {
			sum += power[i][i]
		}
		out[k] = sum / float64(k)
	}
	return out
}

func product(a, b [][]float64) [][]float64 {
	out := make([][]float64, len(a))
	for i := range a {
		out[i] = make([]float64, len(b))
		for k, x := range a[i] {
			if x == 0 {
				continue
			}
			for j, y := range b[k] {
				out[i][j] += x * y
			}
		}
	}
	return out
}

// exchanges finds the rings of whole vouchers.
func (c *comparison) exchanges() {
	var nodes []node
	for v, s := range c.odd {
		if s >= 0 && !c.settled[v] {
			m := c.oddMatch(v)
			nodes = append(nodes, node{voucher: v, match: m, fit: c.b.Fits(m, v)})
		}
	}
	for _, r := range c.rings(nodes) {
		c.tellRing(nodes, r, seqqc.PatternExchange)
	}
}

// tellRing tells a ring of vouchers or of reads.
func (c *comparison) tellRing(nodes []node, r ring, what seqqc.Pattern) {
	var vouchers []int
	for _, i := range r.members {
		vouchers = append(vouchers, nodes[i].voucher)
	}
	names := listed(c.codes(vouchers))
	isFound := r.expected <= c.p.MaxExpected
	b := seqqc.Between{Pattern: what, Expected: r.expected}
	for k, i := range r.members {
		n, to := nodes[i], vouchers[(k+1)%len(vouchers)]
		source := "the DNA under " + c.code(n.voucher)
		if n.file != "" {
			source = "the read " + n.file + " of " + c.code(n.voucher)
		}
		b.Evidence = append(b.Evidence, fmt.Sprintf("%s is of %s, and the label of %s says \"%s\".",
			title(source), dnaName(n.match), c.code(to), c.label(to)))
	}
	thing, things, whose := "voucher", "tubes, labels or files", names
	if what == seqqc.PatternReadCrossed {
		thing, things, whose = "read", "reads", "the reads of "+names
	}
	b.Evidence = append(b.Evidence, fmt.Sprintf("If labels were dealt out at random to the %s whose DNA contradicts theirs, about %s would fit as well.",
		seqqc.Count(len(nodes), thing), about(r.expected, "exchange")))
	if family := oneFamily(nodes, r.members); family != "" {
		b.Evidence = append(b.Evidence, "All are "+family+", and two field names that are wrong for look-alikes would show the same.")
	}
	if r.others != nil {
		b.Evidence = append(b.Evidence, fmt.Sprintf("%s would stand in it as well, so that it is not sure which they are.", listed(c.codes(r.others))))
	}
	switch {
	case isFound:
		b.Flag = seqqc.SwapSuspected
		way := "crosswise"
		if len(vouchers) > 2 {
			way = "in a ring"
		}
		b.Reason = fmt.Sprintf("The DNA of %s fits their labels %s, and chance would give about %s in this batch.",
			whose, way, about(r.expected, "such exchange"))
		b.NextStep = fmt.Sprintf("Compare the labels, tubes and file names of %s from the specimen to the file before changing any name.", names)
	default:
		b.Reason = fmt.Sprintf("The %s of %s may have changed places, but with the labels of this batch it proves nothing: so much fits by chance.", things, names)
		b.NextStep = fmt.Sprintf("Check the specimens of %s first, and then their tubes and file names.", names)
	}
	c.tell(vouchers, b)
	for k, i := range r.members {
		n, to := nodes[i], vouchers[(k+1)%len(vouchers)]
		from := vouchers[(k+len(vouchers)-1)%len(vouchers)]
		subject := "Its DNA"
		if n.file != "" {
			subject = "The DNA of its read " + n.file
		}
		reason := fmt.Sprintf("%s is of %s, which fits the label of %s (%s), and that of %s fits this label", subject, dnaName(n.match), c.code(to), c.label(to), c.code(from))
		if isFound {
			reason += fmt.Sprintf("; chance would give %s in this batch.", about(r.expected, "such exchange"))
			c.settled[n.voucher] = true
		} else {
			reason += fmt.Sprintf(", but chance alone would give %s in this batch.", about(r.expected, "such exchange"))
		}
		c.note(n.voucher, what, b.Flag, isFound, reason, b.NextStep)
	}
}

// oneFamily gives what the DNA of a ring has in common where that is a genus or
// a family.
func oneFamily(nodes []node, members []int) string {
	genus, family := nodes[members[0]].match.Lineage.Genus, nodes[members[0]].match.Lineage.Family
	for _, i := range members[1:] {
		l := nodes[i].match.Lineage
		if l.Genus != genus {
			genus = ""
		}
		if l.Family != family {
			family = ""
		}
	}
	switch {
	case genus != "":
		return "of the genus " + genus
	case family != "":
		return "of the family " + family
	}
	return ""
}

// title gives a sentence its capital.
func title(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
