package verdict

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"forayseq/refs"
	"forayseq/seqqc"
)

// facts are what the evidence is looked for in.
type facts struct {
	c       Case
	v       seqqc.Verdict
	between []seqqc.Between
	p       Params
	f, d    taxon
}

// Explain gives a verdict that needs attention its causes, the likeliest first,
// and the first one's words. between are the patterns that concern this voucher,
// their flags being in v.
//
// Which causes are looked at depends on the verdict (see candidates); their
// weights are the sums of Evidence. Equal ones stand in the order of the table
// Explanations, in which a fault of the data goes before one of the person in
// the field. Where the first cause is what the deciding rule says anyhow, its
// sentences stay; else the reason goes on to the cause and what speaks for it.
func Explain(c Case, v seqqc.Verdict, between []seqqc.Between, p Params) seqqc.Verdict {
	if !v.Attention {
		return v
	}
	f := facts{c: c, v: v, between: bearing(c, v, between), p: p, f: c.fieldTaxon(), d: c.dnaTaxon()}
	found := f.weigh()
	for _, w := range found {
		v.Causes = append(v.Causes, w.cause)
	}
	if len(found) == 0 || found[0].cause.NextStep == v.NextStep {
		return v
	}
	first := found[0]
	reason := strings.TrimSuffix(strings.TrimSuffix(v.Reason, "."), mixUpTail) + f.likely(first.cause.Code) + first.says
	if first.because != "" {
		reason += ", because " + first.because
	}
	v.Reason, v.NextStep = reason+".", first.cause.NextStep
	return v
}

// bearing leaves out what says nothing of the DNA that this row's verdict rests
// on. A neighbour's DNA and half an exchange bear on the first of their vouchers
// alone, a second sequence in the traces not on the first one, and where a name
// stands, its DNA is in a blank or under another name as that of its owner.
func bearing(c Case, v seqqc.Verdict, between []seqqc.Between) []seqqc.Between {
	return slices.DeleteFunc(slices.Clone(between), func(b seqqc.Between) bool {
		switch b.Pattern {
		case seqqc.PatternCarryOver, seqqc.PatternHalfExchange:
			return b.SharePct > 0 || b.Vouchers[0] != c.Voucher
		case seqqc.PatternControl, seqqc.PatternOneBarcode:
			return c.Kind == seqqc.Specimen && slices.Contains([]seqqc.VerdictKind{seqqc.Agrees, seqqc.Refines, seqqc.Consistent, seqqc.Renamed}, v.Kind)
		}
		return false
	})
}

// likely leads to the first cause. Half an exchange is never more than possible.
func (f facts) likely(code seqqc.CauseCode) string {
	if code == seqqc.CauseExchanged && f.pattern(seqqc.PatternExchange) == nil && f.pattern(seqqc.PatternHalfExchange) != nil {
		return "; possibly "
	}
	return "; most likely "
}

// mixUpTail ends the sentence of a conflict as long as nothing else is known.
const mixUpTail = "; a mix-up of tubes, labels or files would look the same"

// weighed is a cause with its words for the middle of a sentence: what it says,
// and the strongest of what speaks for it.
type weighed struct {
	cause         seqqc.Cause
	says, because string
}

// weigh gives the causes in their order.
func (f facts) weigh() []weighed {
	always := candidates(f)
	var out []weighed
	for _, x := range Explanations {
		w := weighed{cause: seqqc.Cause{Code: x.Code}}
		found, strongest := slices.Contains(always, x.Code), 0.0
		if len(always) > 0 && x.Code == always[0] && f.ruleTells() {
			w.cause.Weight, w.cause.For = ruleTells, []string{f.v.Reason}
		}
		for _, e := range Evidence {
			if e.Cause != x.Code {
				continue
			}
			said, times := e.Found(f)
			if said == "" {
				continue
			}
			worth := e.Weight * times
			w.cause.Weight += worth
			if worth < 0 {
				w.cause.Against = append(w.cause.Against, sentence(said))
				continue
			}
			found = true
			w.cause.For = append(w.cause.For, sentence(said))
			if worth > strongest {
				strongest, w.because = worth, said
			}
		}
		if !found {
			continue
		}
		w.cause.Weight = math.Round(w.cause.Weight*100) / 100
		x.words(&w, f)
		out = append(out, w)
	}
	slices.SortStableFunc(out, func(a, b weighed) int { return cmp.Compare(b.cause.Weight, a.cause.Weight) })
	return out
}

// ruleTells is what a cause is worth that the deciding rule found.
const ruleTells = 1

// ruleTells reports whether the deciding rule tells of a cause: the one of a
// conflict, unless it names a host, does not, nor one that lets the name stand.
func (f facts) ruleTells() bool {
	switch f.v.Kind {
	case seqqc.Overgrowth, seqqc.NonFungal, seqqc.Renamed, seqqc.Undetermined:
		return true
	}
	return f.v.Rule == ruleHost
}

// sentence gives a clause its capital and its full stop.
func sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:] + "."
}

// has reports whether the verdict has a flag.
func (f facts) has(flag seqqc.Flag) bool { return slices.Contains(f.v.Flags, flag) }

// pattern gives the first pattern of a kind between the vouchers, nil where
// there is none.
func (f facts) pattern(kind seqqc.Pattern) *seqqc.Between {
	for i := range f.between {
		if f.between[i].Pattern == kind {
			return &f.between[i]
		}
	}
	return nil
}

// parted reports whether the row is one in which field name and DNA exclude one
// another, so that evidence about the two names bears on it.
func (f facts) parted() bool {
	kin, _ := relate(f.f, f.d)
	return kin == apart && (f.v.Kind == seqqc.Conflict || f.v.ReasonCode == seqqc.FieldGenusNotInLibrary)
}

// sameFamily reports whether the two names part within a family.
func (f facts) sameFamily() bool {
	family := f.f.lineage.Family
	return f.parted() && family != "" && family == f.d.lineage.Family
}

// independent gives the number of independent records behind the supported taxon.
func (f facts) independent() int {
	if f.d.rank == refs.NoRank {
		return 0
	}
	return f.c.vote(f.d.rank).Records
}
