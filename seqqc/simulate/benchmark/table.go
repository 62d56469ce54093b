package main

import (
	"fmt"
	"math"
	"strings"
)

var columns = []string{"phenomenon", "level", "noise", "asked", "right", "of", "percent", "95 % interval"}

// line is one row of the table. "asked" says what was counted; for a false
// alarm, right counts the alarms.
func line(c phenomenon, asked string, right, cases int) string {
	cells := []string{c.phenomenon, c.level, c.noise, asked, fmt.Sprint(right), fmt.Sprint(cases), "-", "-"}
	if cases > 0 {
		lo, hi := wilson(right, cases)
		cells[6] = fmt.Sprintf("%.1f", 100*float64(right)/float64(cases))
		cells[7] = fmt.Sprintf("%.1f-%.1f", 100*lo, 100*hi)
	}
	return strings.Join(cells, "\t")
}

// wilson gives the 95 % interval of the share k of n.
func wilson(k, n int) (lo, hi float64) {
	const z = 1.959964
	p, m := float64(k)/float64(n), float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return max(0, mid-half), min(1, mid+half)
}
