package batch_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/demo"
)

// A final name is in the voucher at once, and in every later run.
func ExampleOpen() {
	tmp, err := os.MkdirTemp("", "session")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer func() { _ = os.RemoveAll(tmp) }()
	dir := filepath.Join(tmp, "demo")
	if err := demo.Write(dir, demo.Options{}); err != nil {
		fmt.Println(err)
		return
	}
	ctx := context.Background()
	s, err := batch.Open(ctx, batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = s.Decide(ctx, seqqc.Decision{Who: "second pair of eyes", Voucher: "QM-101", What: seqqc.DecideName, Name: "Russula synprima"})
	if err != nil {
		fmt.Println(err)
		return
	}
	v, _, _, err := s.Voucher("QM-101")
	fmt.Println(v.Reviewed.FinalName, "by", v.Reviewed.By, err)
	// Output: Russula synprima by second pair of eyes <nil>
}
