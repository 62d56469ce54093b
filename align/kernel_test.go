package align_test

import (
	"fmt"

	"forayseq/align"
)

func ExampleKernel() {
	fmt.Println("distances are worked out with", align.Kernel())
}
