package simulate

import "math"

// shares brings the weights of the templates to a sum of one.
func shares(templates []Template) []float64 {
	out := make([]float64, len(templates))
	total := 0.0
	for _, t := range templates {
		total += max(t.Weight, 0)
	}
	for i, t := range templates {
		if t.Weight > 0 {
			out[i] = t.Weight / total
		}
	}
	return out
}

// truth says over which bases of each template the calls at the given samples
// lie.
func (r *run) truth(calls []int, templates []Template) Truth {
	tr := Truth{Shares: shares(templates), Under: make([][]int, len(templates))}
	for k := range tr.Under {
		tr.Under[k] = tie(calls, r.at[k], 0.6*r.p.Spacing)
	}
	tr.heaviest(r.heaviest, r.at, len(calls))
	return tr
}

// heaviest fills in what is said of the heaviest template, the k-th; at gives
// the samples of the peaks of each template.
func (tr *Truth) heaviest(k int, at [][]float64, calls int) {
	if k < 0 {
		tr.Template = tie(make([]int, calls), nil, 0)
		return
	}
	tr.Template, tr.Missed = tr.Under[k], len(at[k])
	for _, n := range tr.Template {
		if n >= 0 {
			tr.Missed--
		}
	}
}

// tie gives for each call the index of the nearest of the peaks at the given
// samples, -1 where none is within reach; of two calls at one peak the nearer
// has it.
func tie(calls []int, peaks []float64, reach float64) []int {
	out := make([]int, len(calls))
	owner := make([]int, len(peaks))
	for i := range owner {
		owner[i] = -1
	}
	n := 0
	for k, at := range calls {
		out[k] = -1
		if len(peaks) == 0 {
			continue
		}
		x := float64(at)
		// At the start a fragment may pass before one that is shorter, so the
		// search looks some bases ahead.
		for m := n + 1; m < min(n+5, len(peaks)); m++ {
			if math.Abs(peaks[m]-x) < math.Abs(peaks[n]-x) {
				n = m
			}
		}
		off := math.Abs(peaks[n] - x)
		if off > reach {
			continue
		}
		if j := owner[n]; j >= 0 {
			if math.Abs(peaks[n]-float64(calls[j])) <= off {
				continue
			}
			out[j] = -1
		}
		owner[n], out[k] = k, n
	}
	return out
}
