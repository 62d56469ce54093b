package region

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/align"
)

// plainEdits gives the last row of the Sellers matrix: the edits of the best
// match of the motif that ends after each base, and (with a fixed start)
// of the motif against the whole text.
func plainEdits(p *pattern, text []uint8, freeStart bool) []int {
	m := len(p.masks)
	col := make([]int, m+1)
	for i := range col {
		col[i] = i
	}
	last := []int{m}
	for j, c := range text {
		diag := col[0]
		if !freeStart {
			col[0] = j + 1
		}
		for i := 1; i <= m; i++ {
			cost := 1
			if informative(c) && p.masks[i-1]&c != 0 {
				cost = 0
			}
			diag, col[i] = col[i], min(diag+cost, col[i]+1, col[i-1]+1)
		}
		last = append(last, col[m])
	}
	return last
}

func TestInsideAgainstPlainMatrix(t *testing.T) {
	rng := newRand(1)
	found := 0
	for round := range 400 {
		index := round % len(patterns)
		p := &patterns[index]
		// The motif with some of its codes resolved, mutated, amid random bases.
		var motif []byte
		for _, set := range p.masks {
			c := align.Code(set)
			for !align.Plain(c) {
				if b := "ACGT"[rng.IntN(4)]; align.Mask(b)&set != 0 {
					c = b
				}
			}
			motif = append(motif, c)
		}
		planted, _ := mutate(rng, string(motif), 0.25*rng.Float64())
		seq := []byte(randomBases(rng, rng.IntN(60), 0.5) + string(planted) + randomBases(rng, rng.IntN(60), 0.5))
		for k := rng.IntN(4); k > 0; k-- {
			seq[rng.IntN(len(seq))] = "NRYKM"[rng.IntN(5)]
		}
		text := sets(seq)
		hits := p.inside(nil, index, text)
		edits := plainEdits(p, text, true)
		for _, h := range hits {
			found++
			require.Equal(t, edits[h.end], h.edits, "%s in %s", p.name, seq)
			inner := plainEdits(p, text[h.start:h.end], false)
			require.Equal(t, h.edits, inner[len(inner)-1], "the start of %s in %s", p.name, seq)
			require.InDelta(t, p.bits[h.edits], h.bits, 0)
		}
		// Nothing within the limit is missed: a hit at least as good ends
		// less than a motif's length away.
		for end, d := range edits {
			if d >= len(p.bits) {
				continue
			}
			near := false
			for _, h := range hits {
				near = near || h.edits <= d && max(h.end-end, end-h.end) <= len(p.masks)
			}
			require.True(t, near, "%s with %d edits at %d in %s", p.name, d, end, seq)
		}
	}
	require.Greater(t, found, 300)
}

// Every motif lies where the table says, within its slack, on the genes of
// yeast and cress as remembered.
func TestMotifPlaces(t *testing.T) {
	for _, g := range []struct {
		gene      gene
		seq       string
		origin    int // the place of the border in seq
		motifs    []string
		mostEdits int
	}{
		{ssu, yeastSSU, len(yeastSSU), []string{"NS7", "ITS1-F", "ITS5", "SSU end"}, 1},
		{r58s, yeast58S, 0, []string{"5.8S start, fungi", "5.8S core", "5.8S middle", "5.8S late", "5.8S end, fungi"}, 1},
		{r58s, cress58S, 0, []string{"5.8S start, plants", "5.8S core", "5.8S middle", "5.8S late", "5.8S end, plants"}, 1},
		{lsu, yeastLSU, 0, []string{"LSU start, fungi", "LR0R", "ITS4 site", "LSU 81", "LSU 318", "LR3 site"}, 0},
		{lsu, cressLSU, 0, []string{"LSU start, plants", "LR0R", "ITS4 site"}, 0},
	} {
		for _, name := range g.motifs {
			best := hit{edits: 99}
			for _, h := range search(sets([]byte(g.seq)), len(patterns)) {
				if patterns[h.motif].name == name && !h.edge && h.edits < best.edits {
					best = h
				}
			}
			require.LessOrEqual(t, best.edits, g.mostEdits, name)
			p := patterns[best.motif]
			require.Equal(t, g.gene, p.gene)
			require.InDelta(t, p.at, best.start-g.origin, float64(p.slack), name)
		}
	}
}

func TestOverhang(t *testing.T) {
	rng := newRand(2)
	for i := range patterns {
		p := &patterns[i]
		var motif []byte
		for _, set := range p.masks {
			motif = append(motif, align.Code(set&-set))
		}
		m := len(motif)
		half := m / 2
		seq := string(motif[half:]) + randomBases(rng, 40, 0.5) + string(motif[:half])
		var left, right bool
		for _, h := range p.overhang(nil, i, sets([]byte(seq))) {
			left = left || h.start == -half && h.end == m-half && h.edge
			right = right || h.start == len(seq)-half && h.end == len(seq)+m-half && h.edge
		}
		// A flap of degenerate codes may hold less than the least evidence.
		require.Equal(t, chanceBits(p.masks[half:], 0) >= leastBits, left, p.name)
		require.Equal(t, chanceBits(p.masks[:half], 0) >= leastBits, right, p.name)
	}
}

// The bound behind every evidence figure, against counting: the share of
// places of random text where a motif ends with at most k edits.
func TestChanceBoundHolds(t *testing.T) {
	const n = 3_000_000
	text := sets([]byte(randomBases(newRand(3), n, 0.5)))
	checked := 0
	for i := range patterns {
		p := &patterns[i]
		for k := range len(p.masks) {
			bound := n * math.Exp2(-chanceBits(p.masks, k))
			if bound < 20 {
				continue
			}
			if bound > 3000 {
				break
			}
			count := p.countWithin(text, k)
			checked++
			// Three standard deviations over the bound would break it.
			require.LessOrEqual(t, float64(count), bound+3*math.Sqrt(bound), "%s, %d edits", p.name, k)
			t.Logf("%-20s %d edits: bound %6.0f, counted %4d", p.name, k, bound, count)
		}
	}
	require.Greater(t, checked, 20)
}

// countWithin counts the ends with at most k edits.
func (p *pattern) countWithin(text []uint8, k int) int {
	last := uint64(1) << (len(p.masks) - 1)
	pv, mv, d, count := ^uint64(0), uint64(0), len(p.masks), 0
	for _, c := range text {
		eq := p.peq[c]
		xv := eq | mv
		xh := (((eq & pv) + pv) ^ pv) | eq
		ph, mh := mv|^(xh|pv), pv&xh
		if ph&last != 0 {
			d++
		} else if mh&last != 0 {
			d--
		}
		ph, mh = ph<<1, mh<<1
		pv, mv = mh|^(xv|ph), ph&xv
		if d <= k {
			count++
		}
	}
	return count
}
