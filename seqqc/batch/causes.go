package batch

import (
	"context"
	"slices"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/verdict"
)

// explainAll gives the verdicts their causes, once the vouchers have been
// compared with one another.
func (r *runner) explainAll(context.Context) error {
	byFile := map[string]*seqqc.Read{}
	for _, read := range r.reads {
		byFile[read.File] = read
	}
	for i := range r.res.Vouchers {
		if err := explain(&r.res.Vouchers[i], r.opt.Settings, r.lib, byFile, r.res.Between); err != nil {
			return err
		}
	}
	return nil
}

// explain gives one voucher's verdict its causes.
func explain(v *seqqc.VoucherResult, s Settings, lib *refs.Library, byFile map[string]*seqqc.Read, between []seqqc.Between) error {
	if !v.Verdict.Attention {
		return nil
	}
	c, err := caseOf(v, s, lib, byFile)
	if err != nil {
		return err
	}
	var own []seqqc.Between
	for _, b := range between {
		// What chance would give as well speaks for no cause.
		isFound := b.Flag != "" || b.Pattern == seqqc.PatternSplitName
		if isFound && slices.Contains(b.Vouchers, v.Voucher.Code) {
			own = append(own, b)
		}
	}
	v.Verdict = verdict.Explain(c, v.Verdict, own, s.Verdict)
	return nil
}
