package contig

// Reads of one direction are no independent witnesses: a run that slips, bases
// that run together and a dye that fades do so in each of them. Of the calls of
// one strand that agree, the best counts in full and each further one with
// repeatShare of its quality, and together they raise a base to repeatQuality
// at most. Both are common practice, no source; simulated reads with a run that
// slips bear them out (see the tests).
const (
	repeatShare   = 0.25
	repeatQuality = 40
)

// pooled gives the calls of a column, rows being theirs, with those of one
// strand that agree made one. A lone call stays as it is.
func (l *layout) pooled(calls []call, rows []int) []call {
	type kind struct {
		mask            uint8
		turned, assumed bool
	}
	at := map[kind]int{}
	sum := map[kind]float64{}
	var out []call
	for i, c := range calls {
		k := kind{c.mask, l.rows[rows[i]].turned, c.assumed}
		sum[k] += float64(c.quality)
		if first, ok := at[k]; ok {
			out[first].quality = max(out[first].quality, c.quality)
			continue
		}
		at[k] = len(out)
		out = append(out, c)
	}
	if len(out) == len(calls) {
		return calls
	}
	for k, i := range at {
		best := float64(out[i].quality)
		raised := best + repeatShare*(sum[k]-best)
		out[i].quality = byte(max(best, min(raised, repeatQuality)))
	}
	return out
}
