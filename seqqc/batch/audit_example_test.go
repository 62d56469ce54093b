package batch_test

import (
	"context"
	"fmt"

	"forayseq/seqqc/batch"
)

func ExampleAuditLibrary() {
	a, err := batch.AuditLibrary(context.Background(), batch.AuditOptions{
		Refs:     "../../testdata/demo/refs.fasta",
		Only:     []batch.AuditCheck{batch.CheckLabels},
		Settings: batch.DefaultSettings(),
	})
	if err != nil {
		panic(err)
	}
	for _, f := range a.Findings {
		fmt.Println(f.ID, f.Check)
	}
	// Output: SYN0195.1 labels
}
