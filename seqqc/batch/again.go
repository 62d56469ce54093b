package batch

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/refs/fieldguide"
	"forayseq/seqqc"
	"forayseq/seqqc/cross"
	"forayseq/seqqc/match"
	"forayseq/seqqc/verdict"
)

// recall asks for the barcodes of earlier batches that the vouchers' are like,
// and keeps for the verdicts where they stand under another name.
func (r *runner) recall(ctx context.Context, results []seqqc.VoucherResult) error {
	if r.opt.Earlier == nil {
		return nil
	}
	err := inParallel(ctx, r.opt.Threads, len(results), func(ctx context.Context, i int) error {
		v := &results[i]
		s := v.ChosenSample()
		if v.Voucher.Kind != seqqc.Specimen || s == nil || s.Contig == nil {
			return nil
		}
		var err error
		v.Earlier, err = r.opt.Earlier(ctx, s.Contig)
		for j := range v.Earlier {
			v.Earlier[j].OtherName = otherName(v.Voucher.Field, r.lib.Taxonomy.Resolve(refs.ParseName(v.Earlier[j].FieldID)))
		}
		return err
	}, func(done int) { r.tell(Progress{Doing: "asking the ledger", Done: done, Of: len(results)}) })
	if err != nil {
		return err
	}
	for i := range results {
		if f, found := earlierFinding(&results[i]); found {
			code := results[i].Voucher.Code
			r.between[code] = append(r.between[code], f)
		}
	}
	return nil
}

// otherName reports whether two labels name different genera, or different
// species of one without a doubt. A label above genus names neither.
func otherName(a, b refs.Name) bool {
	if a.Genus == "" || b.Genus == "" {
		return false
	}
	return a.Genus != b.Genus || a.CertainSpecies() && b.CertainSpecies() && a.Epithet != b.Epithet
}

const sameEarlier = "same-barcode-earlier"

// earlierFinding says that the barcode was under another name before.
func earlierFinding(v *seqqc.VoucherResult) (seqqc.Finding, bool) {
	at := slices.IndexFunc(v.Earlier, func(e seqqc.Earlier) bool { return e.OtherName })
	if at < 0 {
		return seqqc.Finding{}, false
	}
	e := v.Earlier[at]
	more := ""
	if n := len(v.Earlier) - 1; n > 0 {
		more = fmt.Sprintf(" (and %d more in the ledger are like it)", n)
	}
	date := ""
	if e.Date != "" {
		date = ", " + e.Date
	}
	return seqqc.Finding{
		Rule: sameEarlier, Question: seqqc.AskNothing, Flags: []seqqc.Flag{seqqc.SharedBarcode}, Attention: true,
		Reason: fmt.Sprintf("The same barcode (%.2f %% identical) stood under the name %q before, %s of batch %s%s%s.",
			e.IdentityPct, e.FieldID, e.Voucher, e.Batch, date, more),
		NextStep: fmt.Sprintf("Compare the two specimens, and give one of them the other's name; 'forayseq ledger list --voucher %s' shows the earlier one.", e.Voucher),
	}, true
}

// ofReads are the flags that come from the reads of a voucher, and ofBatch those
// that come from the other vouchers: a new library changes neither.
var (
	ofReads = []seqqc.Flag{
		seqqc.OneStrandOnly, seqqc.StrandsDisagree, seqqc.MixedTemplate, seqqc.IndelHeterozygote, seqqc.Short, seqqc.LowQuality,
		seqqc.QualityEstimated, seqqc.QualityMissing,
	}
	ofBatch = []seqqc.Flag{seqqc.SwapSuspected, seqqc.PlateShift, seqqc.SharedBarcode, seqqc.ControlSignal, seqqc.CarryOver}
)

// TakeNames puts a library under the built-in table of changed names with the
// rows of a list, as a batch's names.csv, over it. Rows that cannot be used come
// back as problems.
func TakeNames(lib *refs.Library, path string) ([]seqqc.Problem, error) {
	names, problems, err := readNames(path)
	if err != nil {
		return nil, err
	}
	lib.TakeNames(names)
	return problems, nil
}

// ReadNames gives the built-in table of changed names with the rows of a list,
// as a batch's names.csv, over it; path is empty where there is none. Rows that
// cannot be used come back as problems.
func ReadNames(path string) (*refs.Names, []seqqc.Problem, error) { return readNames(path) }

// Again gives a voucher of an earlier run the verdict that a library gives it
// now, with the causes that it allows without its batch. Its sequences stay as
// they are, and what its reads and the other vouchers of its batch said of it is
// kept.
func Again(ctx context.Context, lib *refs.Library, v seqqc.VoucherResult, s Settings) (seqqc.VoucherResult, error) {
	if v.Voucher.Field.Group == "" { // a group stays what the batch's own list made of it
		v.Voucher.Field = namer{lib, fieldguide.BuiltinGroups()}.name(v.Voucher.FieldID)
	}
	for i := range v.Samples {
		sample := &v.Samples[i]
		if err := matchAgain(ctx, lib, sample.Contig, &sample.Match, v.Voucher.Field, s); err != nil {
			return v, err
		}
		if m := sample.Minor; m != nil {
			if err := matchAgain(ctx, lib, m.Contig, &m.Match, v.Voucher.Field, s); err != nil {
				return v, err
			}
		}
	}
	c, err := verdict.NewCase(lib, v.Voucher, v.Samples, s.Verdict)
	if err != nil {
		return v, err
	}
	c.Alone = true
	c.Reads = readsOf(v.Samples, v.Verdict.Flags)
	c.ReadsOpened = max(1, len(c.Reads)) // that there is a sequence says that there was a read
	for _, r := range c.Reads {
		c.LongestKept = max(c.LongestKept, r.Kept.Len())
	}
	c.ReadFlags = kept(v.Verdict.Flags, ofReads)
	before := ofOthers(v.Verdict.Others)
	findings := append(verdict.Apply(c, s.Verdict), before...)
	if flags := kept(v.Verdict.Flags, ofBatch); len(flags) > 0 {
		findings = append(findings, seqqc.Finding{Rule: "as-before", Question: seqqc.AskNothing, Flags: flags})
	}
	v.Chosen = c.Chosen
	v.Verdict = verdict.Explain(c, verdict.Decide(findings), patternsOf(v.Voucher.Code, before), s.Verdict)
	return v, nil
}

// readsOf gives what stored contigs tell of their reads: that they were usable,
// from which end they came, and that they showed two templates. A contig in which
// the region was located stands on the coding strand.
func readsOf(samples []seqqc.SampleResult, flags []seqqc.Flag) []*seqqc.Read {
	var copies *seqqc.Copies
	switch {
	case slices.Contains(flags, seqqc.IndelHeterozygote):
		copies = &seqqc.Copies{Kind: seqqc.CopiesShifted}
	case slices.Contains(flags, seqqc.MixedTemplate):
		copies = &seqqc.Copies{Kind: seqqc.CopiesApart}
	}
	var out []*seqqc.Read
	for _, s := range samples {
		if s.Contig == nil {
			continue
		}
		for _, p := range s.Contig.Reads {
			r := &seqqc.Read{File: p.File, Usable: true, Kept: p.Of, Copies: copies}
			if s.Contig.Region.Located {
				r.Direction = seqqc.Forward
				if p.Complemented {
					r.Direction = seqqc.Reverse
				}
			}
			out = append(out, r)
		}
	}
	return out
}

const whenRun = "When its batch was run: "

// ofOthers gives what the batch and its ledger said of a voucher beside the
// others, in the words of then.
func ofOthers(list []seqqc.Finding) []seqqc.Finding {
	var out []seqqc.Finding
	for _, f := range list {
		_, between := cross.PatternOf(f)
		if !between && f.Rule != sameEarlier {
			continue
		}
		if between && !strings.HasPrefix(f.Reason, whenRun) {
			f.Reason = whenRun + f.Reason
		}
		out = append(out, f)
	}
	return out
}

// patternsOf gives the patterns behind findings that ask for attention: the others
// are what chance would give as well, or of the other voucher's DNA.
func patternsOf(code string, findings []seqqc.Finding) []seqqc.Between {
	var out []seqqc.Between
	for _, f := range findings {
		if p, ok := cross.PatternOf(f); ok && (f.Attention || p == seqqc.PatternSplitName) {
			out = append(out, seqqc.Between{Pattern: p, Vouchers: []string{code}, Reason: f.Reason, NextStep: f.NextStep})
		}
	}
	return out
}

// AgainAll is Again for several vouchers. Where their barcodes are alike the
// library is searched once.
func AgainAll(ctx context.Context, lib *refs.Library, list []seqqc.VoucherResult, s Settings) ([]seqqc.VoucherResult, error) {
	scans := map[string]*refs.Scan{}
	s.Match.Scan = func(ctx context.Context, lib *refs.Library, q refs.Query, g refs.Gate) (scan *refs.Scan, err error) {
		key := fmt.Sprintf("%s %v %v %v %v", q.Seq, q.Exclude, q.Whole, q.Every, g)
		if scan = scans[key]; scan == nil {
			if scan, err = refs.NewScan(ctx, lib, q, g); err == nil {
				scans[key] = scan
			}
		}
		return scan, err
	}
	out := make([]seqqc.VoucherResult, len(list))
	for i, v := range list {
		var err error
		if out[i], err = Again(ctx, lib, v, s); err != nil {
			return nil, fmt.Errorf("voucher %s: %w", v.Voucher.Code, err)
		}
	}
	return out, nil
}

func matchAgain(ctx context.Context, lib *refs.Library, c *seqqc.Contig, m **seqqc.Match, field refs.Name, s Settings) error {
	if c == nil || len(c.Bases) == 0 || *m == nil {
		return nil
	}
	// What does not pass the gate matters to a verdict only where nothing passes,
	// or where no part of the ITS was found.
	p := s.Match
	p.NotApart = c.Region.Located
	var err error
	*m, err = match.Match(ctx, lib, c, field, p)
	return err
}

func kept(flags, of []seqqc.Flag) []seqqc.Flag {
	var out []seqqc.Flag
	for _, f := range flags {
		if slices.Contains(of, f) {
			out = append(out, f)
		}
	}
	return out
}
