package batch

import (
	"context"

	"forayseq/refs"
	"forayseq/seqqc"
)

// NamePartners, Barcode and MeasureAndTrim are for the tests beside the package.
var (
	NamePartners   = namePartners
	Barcode        = barcode
	MeasureAndTrim = measureAndTrim
)

// WorkSample does the work on one sample, of reads that are tied to it.
func WorkSample(ctx context.Context, result *seqqc.SampleResult, reads []*seqqc.Read, s Settings, lib *refs.Library) error {
	j := sampleJob{result: result, reads: reads}
	return j.work(ctx, s, lib)
}
