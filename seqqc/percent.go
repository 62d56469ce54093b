package seqqc

import "fmt"

// Percent prints a percentage with two decimals, rounding down so that 99.996 is
// not shown as 100.00: an identity must never look better than it is.
func Percent(x float64) string {
	const hundredths = 100
	// A product such as 1.15*100 may fall just short of a whole number.
	const slack = 1e-9
	n := int64(x*hundredths + slack)
	return fmt.Sprintf("%d.%02d", n/hundredths, n%hundredths)
}
