package report

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"forayseq/seqqc"
)

// listedMost is how many are named of what befalls many alike.
const listedMost = 5

// varying is what may differ between two messages that say the same: what stands
// in quotation marks, and words with a number in them, such as codes.
var varying = regexp.MustCompile(`"[^"]*"|[^\s"]*\d[^\s",;:]*`)

// Gathered gives a list of problems for reading, in which what befalls several
// rows of one file, or several files, is told once, at the place of the first,
// with those that follow. problems.tsv has them one by one.
func Gathered(list []seqqc.Problem) []seqqc.Problem {
	type key struct {
		file, field, what, hint string
		unread                  bool
	}
	groups := map[key][]seqqc.Problem{}
	var order []key
	for _, p := range list {
		k := key{"", p.Field, p.What, p.Hint, p.Unread}
		if p.Line > 0 {
			k.file, k.what = p.File, varying.ReplaceAllString(p.What, "#")
		}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], p)
	}
	out := make([]seqqc.Problem, len(order))
	for i, k := range order {
		first, rest := groups[k][0], groups[k][1:]
		if len(rest) > 0 {
			first.What += sameOf(first, rest)
			first.Offset = 0
		}
		out[i] = first
	}
	return out
}

// sameOf names those that a problem befalls as well: files, the codes that their
// messages begin with, or rows.
func sameOf(first seqqc.Problem, rest []seqqc.Problem) string {
	var names []string
	lines := make([]int, len(rest))
	for i, p := range rest {
		name := p.File
		if p.Line > 0 {
			if name = varying.FindString(p.What); name == varying.FindString(first.What) {
				name = ""
			}
		}
		if lines[i] = p.Line; name != "" {
			names = append(names, name)
		}
	}
	if len(names) == len(rest) {
		return "; the same of " + someOf(names)
	}
	slices.Sort(lines)
	names = names[:0]
	for _, n := range slices.Compact(lines) {
		names = append(names, fmt.Sprint(n))
	}
	return "; the same in line" + strings.Repeat("s", min(1, len(names)-1)) + " " + someOf(names)
}

// someOf names a few of a list, and says how many more there are.
func someOf(names []string) string {
	if more := len(names) - listedMost; more > 0 {
		names = append(slices.Clone(names[:listedMost]), fmt.Sprintf("%d more", more))
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// alike gathers vouchers of which the same is to be said, each at the place of the
// first.
func alike(list []*seqqc.VoucherResult) [][]*seqqc.VoucherResult {
	at := map[[3]string]int{}
	var out [][]*seqqc.VoucherResult
	for _, v := range list {
		k := [3]string{headOf(v), v.Verdict.Reason, v.Verdict.NextStep}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k], out = i, append(out, nil)
		}
		out[i] = append(out[i], v)
	}
	return out
}

// headOf is a verdict in a few words.
func headOf(v *seqqc.VoucherResult) string {
	head := string(v.Verdict.Kind)
	if code := v.Verdict.ReasonCode; code != "" {
		head += " (" + string(code) + ")"
	}
	if at := v.Verdict.PartsAt.String(); at != "" && v.Verdict.Kind == seqqc.Conflict {
		head += " at " + at
	}
	return head
}
