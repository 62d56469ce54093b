package batch

import (
	"context"
	"slices"

	"forayseq/seqqc"
	"forayseq/seqqc/cross"
	"forayseq/seqqc/verdict"
)

// fitOf gives what the comparison of vouchers makes of how DNA meets a label.
var fitOf = map[verdict.Meeting]cross.Fit{
	verdict.MeetsUntold:  cross.Untold,
	verdict.MeetsNot:     cross.Apart,
	verdict.MeetsFamily:  cross.OtherGenus,
	verdict.MeetsTaxon:   cross.Inside,
	verdict.MeetsGenus:   cross.OtherSpecies,
	verdict.MeetsSpecies: cross.SameSpecies,
}

// compareVouchers compares the vouchers with one another, once their samples are
// matched. It keeps what it finds of each for its verdict.
func (r *runner) compareVouchers(ctx context.Context, results []seqqc.VoucherResult, byFile map[string]*seqqc.Read) error {
	labels := make([]verdict.Label, len(results))
	for i := range results {
		results[i].Chosen = verdict.Choose(results[i].Samples, r.opt.Settings.Verdict)
		labels[i] = verdict.NewLabel(r.lib, results[i].Voucher.Field)
	}
	singles, err := r.singles(ctx, results, byFile)
	if err != nil {
		return err
	}
	// One barcode is what the match takes for one species.
	p := r.opt.Settings.Cross
	p.SamePct, p.Gate = r.opt.Settings.Match.Thresholds.Species, r.opt.Settings.Match.Gate
	p.NearPct = min(p.SamePct, r.opt.Settings.Verdict.SpeciesOpenPct)
	found, err := cross.Compare(ctx, cross.Batch{
		Vouchers: results, Reads: r.reads, Singles: singles, Pairs: r.pairs,
		Fits: func(m *seqqc.Match, voucher int) cross.Fit { return fitOf[labels[voucher].Meet(m)] },
	}, p)
	if err != nil {
		return err
	}
	r.res.Between = found.Between
	r.between = map[string][]seqqc.Finding{}
	for i, list := range found.Findings {
		r.between[results[i].Voucher.Code] = list
	}
	return nil
}

// singles matches the reads of samples one by one where they disagree or do not
// meet, so that a read of another voucher shows.
func (r *runner) singles(ctx context.Context, results []seqqc.VoucherResult, byFile map[string]*seqqc.Read) ([]cross.Single, error) {
	var out []cross.Single
	for i := range results {
		for j, s := range results[i].Samples {
			if s.Contig == nil || !slices.Contains(s.Contig.Flags, seqqc.StrandsDisagree) && !slices.Contains(s.Contig.Flags, seqqc.TwoPart) {
				continue
			}
			for _, file := range s.ReadFiles {
				if read := byFile[file]; read != nil && read.Usable {
					out = append(out, cross.Single{Voucher: i, Sample: j, File: file, Direction: read.Direction})
				}
			}
		}
	}
	return out, inParallel(ctx, r.opt.Threads, len(out), func(ctx context.Context, i int) error {
		x := &out[i]
		c, err := barcode([]*seqqc.Read{byFile[x.File]}, r.opt.Settings.Contig)
		if err != nil {
			return err
		}
		x.Contig = c
		x.Match, err = r.matches.match(ctx, r.lib, c, results[x.Voucher].Voucher.Field, r.opt.Settings.Match)
		return err
	}, func(int) {})
}
