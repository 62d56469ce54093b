package seqqc_test

import (
	"fmt"

	"forayseq/seqqc"
)

func ExamplePercent() {
	fmt.Println(seqqc.Percent(99.996), seqqc.Percent(100), seqqc.Percent(1.15))
	// Output: 99.99 100.00 1.15
}
