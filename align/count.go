package align

import "fmt"

// Count says what the columns of the alignment of a and b hold. Compared
// columns of a outside all of exclude are counted in AOutside; a column
// without a base of a lies inside an interval where the bases of a on both
// sides of it do. The error wraps ErrLetter, or says that the alignment is
// none of these sequences.
func (al Alignment) Count(a, b []byte, exclude ...Interval) (Counts, error) {
	var c Counts
	i, j := al.AStart, al.BStart
	if i < 0 || j < 0 {
		return Counts{}, fmt.Errorf("alignment starts at %d and %d", i, j)
	}
	// first is the first base of a that must lie in an interval for the column to
	// be inside it, last the last one.
	inside := func(first, last int) bool {
		for _, v := range exclude {
			if v.Start <= first && last < v.End {
				return true
			}
		}
		return false
	}
	for _, run := range al.Runs {
		ends := [2]int{i, j}
		if run.Op != OnlyB {
			ends[0] += run.Len
		}
		if run.Op != OnlyA {
			ends[1] += run.Len
		}
		if run.Op > OnlyB || run.Len <= 0 || ends[0] > len(a) || ends[1] > len(b) {
			return Counts{}, fmt.Errorf("alignment run %v at %d and %d does not fit sequences of %d and %d bases", run, i, j, len(a), len(b))
		}
		gapBases := 0
		for range run.Len {
			x, y := MaskN, MaskN
			if run.Op != OnlyB {
				x = masks[a[i]]
			}
			if run.Op != OnlyA {
				y = masks[b[j]]
			}
			if x == 0 || y == 0 {
				return Counts{}, fmt.Errorf("%w at position %d of the first or %d of the second sequence", ErrLetter, i, j)
			}
			ambiguous := run.Op != OnlyB && x&(x-1) != 0 || run.Op != OnlyA && y&(y-1) != 0
			if ambiguous {
				c.Ambiguous++
			}
			// The missing base of a gap does not count as N.
			if (run.Op == OnlyB || x != MaskN) && (run.Op == OnlyA || y != MaskN) {
				c.Columns++
				first := i
				if run.Op == OnlyB {
					first = i - 1
				} else {
					c.ACompared++
				}
				if !inside(first, i) {
					c.AOutside++
				}
				switch {
				case run.Op != Pair:
					gapBases++
				case x&y == 0:
					c.Substitutions++
				default:
					c.Identical++
					if x == y && x&(x-1) == 0 {
						c.IdenticalStrict++
					}
				}
			}
			if run.Op != OnlyB {
				i++
			}
			if run.Op != OnlyA {
				j++
			}
		}
		if gapBases > 0 {
			c.GapEvents++
			c.GapBases += gapBases
		}
	}
	if i != al.AEnd || j != al.BEnd {
		return Counts{}, fmt.Errorf("alignment runs end at %d and %d, not at %d and %d", i, j, al.AEnd, al.BEnd)
	}
	return c, nil
}

// IdentityPct is 100 x Identical / Columns, zero where nothing was compared.
func (c Counts) IdentityPct() float64 { return pct(c.Identical, c.Columns) }

// StrictPct is 100 x IdenticalStrict / Columns, zero where nothing was
// compared.
func (c Counts) StrictPct() float64 { return pct(c.IdenticalStrict, c.Columns) }

// pct rounds once, in the division, so that equal fractions give equal
// figures and the greater fraction never the smaller figure.
func pct(part, whole int) float64 {
	if whole == 0 {
		return 0
	}
	return float64(100*part) / float64(whole)
}
