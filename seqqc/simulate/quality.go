package simulate

const letters = "ACGT"

// nameCalls gives each called sample its base, the highest channel, and its
// quality.
func nameCalls(channels [4][]int32, spacing []float64, at []int) []call {
	calls := make([]call, len(at))
	for k, t := range at {
		top := 0
		for c := range channels {
			if channels[c][t] > channels[top][t] {
				top = c
			}
		}
		calls[k] = call{base: letters[top], quality: 20, at: t}
	}
	return calls
}
