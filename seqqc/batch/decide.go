package batch

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"

	"forayseq/seqqc"
	"forayseq/seqqc/decisions"
)

// DecisionsName is the file of a batch folder that holds what people decided.
const DecisionsName = "decisions.jsonl"

// decided is what stands of the decisions about one voucher; of several about
// one thing the last. Nil where there are none.
type decided struct {
	all                       []seqqc.Decision // in their order
	windows, aside            map[string]seqqc.Decision
	places                    []seqqc.Decision
	verdict, name, submission *seqqc.Decision
	work                      []string // the IDs of those that change reads or contig
}

// decidedOf sorts the standing decisions of one voucher.
func decidedOf(standing []seqqc.Decision) *decided {
	d := &decided{windows: map[string]seqqc.Decision{}, aside: map[string]seqqc.Decision{}}
	for _, x := range standing {
		switch x.What {
		case seqqc.DecideBase, seqqc.DecideOpen:
			d.places = append(d.places, x)
		case seqqc.DecideWindow:
			d.windows[x.File] = x
		case seqqc.DecideAside:
			d.aside[x.File] = x
		case seqqc.DecideVerdict:
			d.verdict = &x
		case seqqc.DecideName:
			d.name = &x
		case seqqc.DecideSubmission:
			d.submission = &x
		case seqqc.DecideNote:
		default: // of a later version, and told of when it was read
			continue
		}
		d.all = append(d.all, x)
		if x.File != "" || x.Place != nil {
			d.work = append(d.work, x.ID)
		}
	}
	return d
}

func (d *decided) workIDs() []string {
	if d == nil {
		return nil
	}
	return d.work
}

// choices are the decisions of a batch, and what has to be said about them.
type choices struct {
	list []seqqc.Decision    // all of the file
	by   map[string]*decided // what stands, by voucher
	// The problems: with the file, and by voucher those found while working on
	// it and those about its verdict.
	inFile           []seqqc.Problem
	inWork, inReview map[string][]seqqc.Problem
}

func newChoices() choices {
	return choices{by: map[string]*decided{}, inWork: map[string][]seqqc.Problem{}, inReview: map[string][]seqqc.Problem{}}
}

// readDecisions reads the batch's decisions and sorts those that stand by
// voucher. One about a voucher that the sheet does not have is told of.
func (r *runner) readDecisions(context.Context) error {
	list, problems, err := decisions.ReadFile(filepath.Join(r.opt.Dir, DecisionsName))
	if err != nil {
		return err
	}
	standing, more := decisions.Standing(list, DecisionsName)
	problems = append(problems, more...)
	known := map[string]bool{}
	for _, v := range r.vouchers {
		known[v.Code] = true
	}
	byVoucher := map[string][]seqqc.Decision{}
	for _, d := range standing {
		if !known[d.Voucher] {
			problems = append(problems, notApplied(d, "the sheet has no such voucher"))
		}
		byVoucher[d.Voucher] = append(byVoucher[d.Voucher], d)
	}
	r.choices.list, r.choices.inFile = list, problems
	r.choices.by = map[string]*decided{}
	for code, list := range byVoucher {
		r.choices.by[code] = decidedOf(list)
	}
	return nil
}

// problems gives what has to be said about the decisions, in sheet order.
func (c *choices) problems(vouchers []seqqc.Voucher) []seqqc.Problem {
	out := slices.Clone(c.inFile)
	for _, v := range vouchers {
		out = append(out, c.inWork[v.Code]...)
		out = append(out, c.inReview[v.Code]...)
	}
	return out
}

// notApplied says that a decision no longer applies, and why.
func notApplied(d seqqc.Decision, why string) seqqc.Problem {
	return doubtful(d, "was not applied: "+why)
}

// doubtful tells of a decision that a person should look at again.
func doubtful(d seqqc.Decision, what string) seqqc.Problem {
	return seqqc.Problem{
		File: DecisionsName, Field: d.ID,
		What: fmt.Sprintf("%s: %s, decided by %s on %s, %s", d.Voucher, decisions.Words(d), d.Who, d.When, what),
		Hint: "look at it again with 'forayseq review', and decide anew or undo it",
	}
}

// ofReads says which decisions are about reads that the voucher does not have.
func (d *decided) ofReads(reads []*seqqc.Read) []seqqc.Problem {
	if d == nil {
		return nil
	}
	has := map[string]bool{}
	for _, r := range reads {
		has[r.File] = r.Trace != nil
	}
	var problems []seqqc.Problem
	for _, x := range d.all {
		file := x.File
		if x.Place != nil {
			file = x.Place.File
		}
		if file != "" && !has[file] {
			problems = append(problems, notApplied(x, "the voucher has no such read"))
		}
	}
	return problems
}

// window gives a read the stretch that a person chose.
func (d *decided) window(r *seqqc.Read) (problems []seqqc.Problem) {
	if d == nil {
		return nil
	}
	x, chosen := d.windows[r.File]
	switch {
	case !chosen || r.Trace == nil:
	case x.Kept.End > len(r.Trace.Bases):
		problems = append(problems, notApplied(x, "the read has "+seqqc.Count(len(r.Trace.Bases), "base")))
	default:
		r.Kept, r.KeptByHand = *x.Kept, true
	}
	return problems
}

// used gives the reads without those that a person set aside, whose rows say so.
func (d *decided) used(reads []*seqqc.Read) []*seqqc.Read {
	if d == nil {
		return reads
	}
	var out []*seqqc.Read
	for _, r := range reads {
		x, aside := d.aside[r.File]
		if !aside {
			out = append(out, r)
			continue
		}
		r.Usable, r.Why = false, withWhy("set aside by "+x.Who, x.Why)
	}
	return out
}

func withWhy(text, why string) string {
	if why == "" {
		return text
	}
	return text + ": " + why
}

// review says what was decided about the voucher as a whole.
func (d *decided) review(v *seqqc.VoucherResult, reads []*seqqc.Read) (problems []seqqc.Problem) {
	v.Reviewed = nil
	if d == nil || len(d.all) == 0 {
		return nil
	}
	last := d.all[len(d.all)-1]
	v.Reviewed = &seqqc.Reviewed{By: last.Who, When: last.When}
	if x := d.verdict; x != nil {
		now := v.Verdict.Kind
		switch {
		case x.Verdict != x.Found:
			v.Reviewed.Kind, v.Reviewed.Why = x.Verdict, x.Why
			if now != x.Found && now != x.Verdict {
				problems = append(problems, doubtful(*x, fmt.Sprintf("stands, but the program now finds %s", now)))
			}
		case now == x.Found:
			v.Reviewed.Accepted, v.Reviewed.Why = true, x.Why
		default:
			problems = append(problems, notApplied(*x, fmt.Sprintf("the program now finds %s", now)))
		}
	}
	if d.name != nil {
		v.Reviewed.FinalName = d.name.Name
	}
	if d.submission != nil {
		v.Reviewed.Submission, v.Reviewed.SubmissionWhy = d.submission.Submission, d.submission.Why
	}
	v.Reviewed.Edits = d.edits(v, reads)
	return problems
}

// edits counts what was changed by hand and is in the result.
func (d *decided) edits(v *seqqc.VoucherResult, reads []*seqqc.Read) int {
	n := 0
	for _, r := range reads {
		if _, aside := d.aside[r.File]; r.Voucher == v.Voucher.Code && (aside || r.KeptByHand) {
			n++
		}
	}
	for _, s := range v.Samples {
		if s.Contig == nil {
			continue
		}
		for _, e := range s.Contig.Edits {
			if e.Was != e.Code {
				n++
			}
		}
	}
	return n
}

// reviewAll adds to every voucher what was decided about it as a whole.
func (r *runner) reviewAll(context.Context) error {
	for i := range r.res.Vouchers {
		r.review(i)
	}
	return nil
}

func (r *runner) review(i int) {
	v := &r.res.Vouchers[i]
	code := v.Voucher.Code
	r.choices.inReview[code] = r.choices.by[code].review(v, r.reads)
}

// Decisions reads the decisions of a batch folder, in their order. What is wrong
// with lines of the file comes back as problems.
func Decisions(dir string) ([]seqqc.Decision, []seqqc.Problem, error) {
	if _, err := findSheet(dir); err != nil {
		return nil, nil, err
	}
	return decisions.ReadFile(filepath.Join(dir, DecisionsName))
}
