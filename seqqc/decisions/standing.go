package decisions

import "forayseq/seqqc"

// Standing gives the decisions that stand, in their order: those that no undo
// takes back, without the undos. An undo may be undone in turn. Of several about
// one thing (a place, a read, the verdict) all are given; the last counts.
//
// An undo of what is not there before it, or is about another voucher, is told
// of as a problem in the file name.
func Standing(list []seqqc.Decision, name string) ([]seqqc.Decision, []seqqc.Problem) {
	at := map[string]int{}
	var problems []seqqc.Problem
	for i, d := range list {
		if d.What == seqqc.DecideUndo {
			if k, found := at[d.Undoes]; !found || list[k].Voucher != d.Voucher {
				problems = append(problems, seqqc.Problem{File: name, Field: d.ID,
					What: d.Voucher + ": an undo of decision " + d.Undoes + ", which the voucher does not have before it",
					Hint: "nothing, if the decisions of the voucher are right as they are"})
			}
		}
		at[d.ID] = i
	}
	// Whether an undo counts is known once all later ones are.
	undone := map[string]bool{}
	for i := len(list) - 1; i >= 0; i-- {
		d := list[i]
		if d.What != seqqc.DecideUndo || undone[d.ID] {
			continue
		}
		if k, found := at[d.Undoes]; found && k < i && list[k].Voucher == d.Voucher {
			undone[d.Undoes] = true
		}
	}
	var out []seqqc.Decision
	for _, d := range list {
		if d.What != seqqc.DecideUndo && !undone[d.ID] {
			out = append(out, d)
		}
	}
	return out, problems
}
