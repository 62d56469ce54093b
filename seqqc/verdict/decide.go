package verdict

import (
	"cmp"
	"slices"

	"forayseq/seqqc"
)

// Judge applies every rule to the case and decides.
func Judge(c Case, p Params) seqqc.Verdict {
	return Decide(Apply(c, p))
}

// Apply gives the findings of every rule of the table, in table order.
func Apply(c Case, p Params) []seqqc.Finding {
	var all []seqqc.Finding
	for _, r := range Rules {
		for _, f := range r.Check(c, p) {
			f.Rule = r.ID
			f.Question = r.Asks
			all = append(all, f)
		}
	}
	return all
}

// Decide turns findings into the verdict. It is the only place where findings
// meet, whichever stage they come from, and their order does not matter: the
// first question with an answer decides, the other answers are kept as they
// are, and the flags of findings that only add flags go to the verdict.
// Findings that answer one question differently go by rule id.
func Decide(findings []seqqc.Finding) seqqc.Verdict {
	sorted := slices.Clone(findings)
	slices.SortFunc(sorted, func(a, b seqqc.Finding) int {
		return cmp.Or(cmp.Compare(a.Question, b.Question), cmp.Compare(a.Rule, b.Rule),
			cmp.Compare(a.Verdict, b.Verdict), cmp.Compare(a.Reason, b.Reason),
			slices.Compare(a.Flags, b.Flags))
	})
	v := seqqc.Verdict{
		Kind:       seqqc.Undetermined,
		ReasonCode: seqqc.NoSequence,
		Reason:     "Nothing was found out about this voucher.",
		NextStep:   "Check that the sheet and the read files name this voucher in the same way.",
		Attention:  true,
	}
	decided := false
	var flags [][]seqqc.Flag
	asked := false
	for _, f := range sorted {
		switch {
		case f.Verdict == "":
			flags = append(flags, f.Flags)
			asked = asked || f.Attention
			if f.Reason != "" {
				v.Others = append(v.Others, f)
			}
		case decided:
			v.Others = append(v.Others, f)
		default:
			decided = true
			v.Kind, v.ReasonCode = f.Verdict, f.ReasonCode
			v.AgreeRank, v.PartsAt = f.AgreeRank, f.PartsAt
			v.Reason, v.NextStep = f.Reason, f.NextStep
			v.Rule, v.Attention = f.Rule, f.Attention
			flags = append(flags, f.Flags)
		}
	}
	v.Flags = seqqc.MergeFlags(flags...)
	v.Attention = v.Attention || asked
	return v
}
