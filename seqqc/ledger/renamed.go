package ledger

import (
	"context"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Renamed gives the vouchers of which a newer table of names calls the label,
// the DNA or the final name by another name than the table before it did. No
// sequence is searched and nothing is stored: the verdicts stay as they are.
func (l *Ledger) Renamed(ctx context.Context, before, now *refs.Names) (Rechecked, error) {
	var out Rechecked
	err := l.Each(ctx, func(batch string, v *seqqc.VoucherResult) error {
		out.Vouchers++
		if c, is := renamed(v, before, now); is {
			c.Batch = batch
			out.Changes = append(out.Changes, c)
		}
		return nil
	})
	return out, err
}

func renamed(v *seqqc.VoucherResult, before, now *refs.Names) (Change, bool) {
	label := v.Voucher.Field
	var dna, final refs.Name
	if m := matchOf(v); m != nil {
		dna = refs.ParseName(m.Taxon)
	}
	if v.Reviewed != nil {
		final = refs.ParseName(v.Reviewed.FinalName)
	}
	var was, is []string
	for _, n := range []struct {
		whose string
		name  refs.Name
	}{{"label", label}, {"DNA", dna}, {"final name", final}} {
		old, fresh := current(before, n.name), current(now, n.name)
		if old == fresh || n.whose == "label" && v.Verdict.Kind == seqqc.Renamed && fresh == current(now, dna) {
			continue
		}
		was, is = append(was, n.whose+" "+n.name.Taxon()), append(is, n.whose+" "+fresh)
	}
	if len(is) == 0 {
		return Change{}, false
	}
	if a, b := current(now, label), current(now, dna); v.Verdict.Kind == seqqc.Conflict && b != "" && genusOf(a) == genusOf(b) {
		is = append(is, "label and DNA are of one genus by these names")
	}
	return Change{Voucher: v.Voucher.Code, FieldID: v.Voucher.FieldID, Kinds: []string{"renamed"},
		Before: string(v.Verdict.Kind) + ": " + strings.Join(was, "; "), After: strings.Join(is, "; ")}, true
}

// current gives the taxon by which a table calls a name.
func current(names *refs.Names, n refs.Name) string {
	to, _, _ := names.Current(n)
	return to.Taxon()
}

func genusOf(taxon string) string {
	genus, _, _ := strings.Cut(taxon, " ")
	return genus
}
