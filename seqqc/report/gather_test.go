package report

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

func TestGathered(t *testing.T) {
	row := func(line int, what string) seqqc.Problem {
		return seqqc.Problem{File: "vouchers.csv", Line: line, Field: "voucher", What: what, Hint: "mend it", Unread: true}
	}
	file := func(name, what string) seqqc.Problem {
		return seqqc.Problem{File: name, What: what, Hint: "copy it again", Unread: true, Offset: 3}
	}
	var codes []seqqc.Problem
	for i := range 12 {
		codes = append(codes, row(i+2, fmt.Sprintf("the code %d-Oct looks like one that a spreadsheet turned into a date", i+1)))
	}
	for _, r := range []struct {
		what string
		list []seqqc.Problem
		want []string
	}{
		{"nothing", nil, nil},
		{"codes", codes, []string{"vouchers.csv, line 2, voucher: the code 1-Oct looks like one that a spreadsheet turned into a date; " +
			"the same of 2-Oct, 3-Oct, 4-Oct, 5-Oct, 6-Oct and 6 more (mend it)"}},
		{"rows", []seqqc.Problem{row(2, "the row has no name"), row(5, "the row has no name")},
			[]string{"vouchers.csv, line 2, voucher: the row has no name; the same in line 5 (mend it)"}},
		{"cells", []seqqc.Problem{row(2, `"maybe" was left out`), row(5, `"perhaps" was left out`), row(6, `"x y" was left out`)},
			[]string{`vouchers.csv, line 2, voucher: "maybe" was left out; the same of "perhaps" and "x y" (mend it)`}},
		{"one cell again and again", []seqqc.Problem{row(2, `"maybe" was left out`), row(7, `"maybe" was left out`), row(6, `"maybe" was left out`)},
			[]string{`vouchers.csv, line 2, voucher: "maybe" was left out; the same in lines 6 and 7 (mend it)`}},
		{"files", []seqqc.Problem{file("a.ab1", "the file is empty"), file("b.ab1", "the file ends too early"), file("c.ab1", "the file is empty")},
			[]string{"a.ab1: the file is empty; the same of c.ab1 (copy it again)", "b.ab1, byte 3: the file ends too early (copy it again)"}},
		{"other figures in other files", []seqqc.Problem{file("a.ab1", "it fits V-1"), file("b.ab1", "it fits V-2")},
			[]string{"a.ab1, byte 3: it fits V-1 (copy it again)", "b.ab1, byte 3: it fits V-2 (copy it again)"}},
	} {
		var got []string
		for _, p := range Gathered(r.list) {
			got = append(got, ProblemText(p))
		}
		require.Equal(t, r.want, got, r.what)
	}
}

// What befalls many vouchers is told once, and all are counted.
func TestSummaryGathersVouchers(t *testing.T) {
	res := &seqqc.Result{}
	for i := range 42 {
		v := seqqc.VoucherResult{Voucher: seqqc.Voucher{Code: fmt.Sprintf("V-%d", i+1)}, Chosen: -1}
		v.Verdict = seqqc.Verdict{Kind: seqqc.Undetermined, ReasonCode: seqqc.NoSequence, Reason: "No read file belongs to this voucher.", NextStep: "Look for it.", Attention: true}
		if i == 1 {
			v.Verdict.Reason = "Its only read file could not be used."
		}
		res.Vouchers = append(res.Vouchers, v)
	}
	var out strings.Builder
	require.NoError(t, WriteSummary(&out, New(res)))
	require.Contains(t, out.String(), "Needs attention (42)")
	require.Equal(t, 1, strings.Count(out.String(), "No read file belongs"))
	require.Contains(t, out.String(), "41 vouchers, V-1, V-3, V-4, V-5, V-6 and 36 more: undetermined")
	require.Contains(t, out.String(), "V-2 (no field name): undetermined (no_sequence)")
}
