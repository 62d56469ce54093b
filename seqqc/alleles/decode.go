package alleles

import (
	"math"

	"forayseq/align"
)

// decoded are the two templates as read out of one read, in step with its
// columns.
type decoded struct {
	major, minor align.Called
}

// links gives, for each column, the column whose minor base is its major base
// (toMinor) and the column whose minor base is its own (toMajor is the
// inverse), none where there is none: the minor template's base in column c is
// the major's in column c + shift.
func links(path []segment, n int) (toMinor, toMajor []int) {
	toMinor, toMajor = make([]int, n), make([]int, n)
	for c := range n {
		toMinor[c], toMajor[c] = none, none
	}
	for _, s := range path {
		if s.state == apart {
			continue
		}
		d := s.shift()
		for c := s.start + s.fresh; c < s.end; c++ {
			major, minor := c, c-d
			if d < 0 {
				major, minor = c+d, c
			}
			if major < 0 || minor < 0 || toMinor[major] != none || toMajor[minor] != none {
				continue
			}
			toMinor[major], toMajor[minor] = minor, major
		}
	}
	return toMinor, toMajor
}

const none = -1

// decode reads out the two templates along a path of segments.
//
// A column holds two unknown bases, x of the major template and y of the minor
// one, weighed by its likelihood; a link says that the major base of one column
// and the minor base of another are the same but for linkError. Every base
// has at most one link, so that columns form chains, and the probability of
// each base given the whole chain comes from one pass up and one pass down
// it (the forward-backward algorithm: Rabiner 1989, Proceedings of the IEEE
// 77: 257-286, DOI 10.1109/5.18626). The base is the likeliest one; its
// quality is the probability of the others.
func decode(table []likelihood, path []segment) decoded {
	n := len(table)
	toMinor, toMajor := links(path, n)
	var out decoded
	for _, t := range []*align.Called{&out.major, &out.minor} {
		t.Bases, t.Quals = make([]byte, n), make([]byte, n)
	}
	for c := range n {
		// A chain starts at a column whose major base has no link; a column in
		// step is linked to itself.
		if toMinor[c] == none || toMinor[c] == c {
			var chain []int
			for at := c; at != none; at = toMajor[at] {
				chain = append(chain, at)
				if toMajor[at] == at {
					break
				}
			}
			out.readChain(table, chain, toMinor[c] == c)
		}
	}
	return out
}

// link is the probability that the second of two linked bases is b, given
// those of the first.
func link(p [4]float64, b int) float64 {
	sum := p[0] + p[1] + p[2] + p[3]
	return p[b]*(1-linkError) + (sum-p[b])*linkError/3
}

func (d *decoded) readChain(table []likelihood, chain []int, inStep bool) {
	uniform := [4]float64{0.25, 0.25, 0.25, 0.25}
	if inStep {
		c := chain[0]
		var joint likelihood
		for x := range 4 {
			for y := range 4 {
				chance := 1 - siteChance
				if x != y {
					chance = siteChance / 3
				}
				joint[4*x+y] = table[c][4*x+y] * chance
			}
		}
		d.put(c, joint)
		return
	}
	// up[i] is what the columns before say of the major base of chain[i].
	up := make([][4]float64, len(chain))
	minor := uniform
	for i, c := range chain {
		if i == 0 {
			up[i] = uniform
		} else {
			for x := range 4 {
				up[i][x] = link(minor, x)
			}
		}
		sum := 0.0
		for y := range 4 {
			minor[y] = 0
			for x := range 4 {
				minor[y] += up[i][x] * table[c][4*x+y]
			}
			sum += minor[y]
		}
		for y := range 4 {
			minor[y] /= sum
		}
	}
	// down is what the columns behind say of the minor base of chain[i].
	down := uniform
	for i := len(chain) - 1; i >= 0; i-- {
		c := chain[i]
		var joint likelihood
		var major [4]float64
		for x := range 4 {
			for y := range 4 {
				p := table[c][4*x+y] * down[y]
				joint[4*x+y] = p * up[i][x]
				major[x] += p
			}
		}
		d.put(c, joint)
		sum := major[0] + major[1] + major[2] + major[3]
		for x := range 4 {
			major[x] /= sum
		}
		for y := range 4 {
			down[y] = link(major, y)
		}
	}
}

// put writes the bases of a column with their qualities.
func (d *decoded) put(c int, joint likelihood) {
	var major, minor [4]float64
	all := 0.0
	for x := range 4 {
		for y := range 4 {
			major[x] += joint[4*x+y]
			minor[y] += joint[4*x+y]
			all += joint[4*x+y]
		}
	}
	d.major.Bases[c], d.major.Quals[c] = pick(major, all)
	d.minor.Bases[c], d.minor.Quals[c] = pick(minor, all)
}

// mostQuality is the highest quality given to a base read out of a mixture:
// what makes peaks misleading is not in the model.
const mostQuality = 35

// pick gives the likeliest base and its quality.
func pick(p [4]float64, all float64) (base, quality byte) {
	best := 0
	for b := range 4 {
		if p[b] > p[best] {
			best = b
		}
	}
	wrong := 0.0
	for b := range 4 {
		if b != best {
			wrong += p[b]
		}
	}
	return "ACGT"[best], phred(wrong / all)
}

func phred(e float64) byte {
	if !(e > 0) {
		return mostQuality
	}
	return byte(max(0, min(mostQuality, math.Floor(-10*math.Log10(e)))))
}
