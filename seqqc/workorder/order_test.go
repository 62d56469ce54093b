package workorder_test

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/workorder"
)

// voucher gives a voucher with one sample whose verdict's first cause asks for
// an action.
func voucher(code string, a seqqc.Action) seqqc.VoucherResult {
	return seqqc.VoucherResult{
		Voucher: seqqc.Voucher{Code: code, Kind: seqqc.Specimen},
		Samples: []seqqc.SampleResult{{Sample: seqqc.Sample{PrimerForward: "ITS1-F", PrimerReverse: "ITS4"}}},
		Chosen:  -1,
		Verdict: seqqc.Verdict{Causes: []seqqc.Cause{{Code: seqqc.CausePoorReads, Action: a, Says: "Because of " + code + "."}, {Action: seqqc.ActExtractAgain}}},
	}
}

func result(n int) *seqqc.Result {
	res := &seqqc.Result{}
	for i := range n {
		res.Vouchers = append(res.Vouchers, voucher(fmt.Sprintf("X-%03d", i+1), seqqc.ActAmplifyAgain))
	}
	return res
}

func TestWellsRunDownTheColumns(t *testing.T) {
	o := workorder.New(result(9))
	require.Len(t, o.Plates, 1)
	var wells []string
	for _, w := range o.Plates[0].Wells {
		wells = append(wells, w.Well)
	}
	require.Equal(t, "A01 B01 C01 D01 E01 F01 G01 H01 A02 B02", strings.Join(wells, " "))
	last := o.Plates[0].Wells[9]
	require.True(t, last.Blank)
	require.Equal(t, seqqc.ActAmplifyAgain, last.Action)
	require.Equal(t, []string{"ITS1-F", "ITS4"}, last.Primers)
	grid := o.Plates[0].Grid()
	require.Equal(t, "X-009", grid[0][1].Voucher)
	require.True(t, grid[1][1].Blank)
	require.Nil(t, grid[2][1])
}

func TestPlatesOf96(t *testing.T) {
	for n, want := range map[int][]int{0: nil, 1: {2}, 95: {96}, 96: {96, 2}, 190: {96, 96}, 200: {96, 96, 11}} {
		var sizes []int
		seen := map[string]bool{}
		for i, p := range workorder.New(result(n)).Plates {
			require.Equal(t, i+1, p.Number)
			sizes = append(sizes, len(p.Wells))
			blanks := 0
			wells := map[string]bool{}
			for _, w := range p.Wells {
				require.False(t, wells[w.Well], w.Well)
				wells[w.Well] = true
				if w.Blank {
					blanks++
				} else {
					seen[w.Voucher] = true
				}
			}
			require.Equal(t, 1, blanks, "plate %d of %d vouchers", p.Number, n)
			if len(p.Wells) == 96 {
				require.Equal(t, "H12", p.Wells[95].Well)
			}
		}
		require.Equal(t, want, sizes, "%d vouchers", n)
		require.Len(t, seen, n)
	}
}

func TestWhatIsSentBack(t *testing.T) {
	blank := voucher("NTC", seqqc.ActExtractAgain)
	blank.Voucher.Kind = seqqc.Blank
	primer := voucher("one end", seqqc.ActSequenceAgain)
	primer.Verdict.Causes[0].Primer = "ITS4"
	read := voucher("by its reads", seqqc.ActSequenceAgain)
	read.Samples[0] = seqqc.SampleResult{Sample: seqqc.Sample{ID: "2"}, ReadFiles: []string{"b.ab1", "c.ab1"}}
	none := voucher("fine", "")
	none.Verdict.Causes = nil
	settled := voucher("settled", seqqc.ActExtractAgain)
	settled.Reviewed = &seqqc.Reviewed{By: "A", Kind: seqqc.Agrees}
	open := voucher("accepted", seqqc.ActExtractAgain)
	open.Reviewed = &seqqc.Reviewed{By: "A", Accepted: true}
	two := voucher("two samples", seqqc.ActAmplifyAgain)
	two.Samples = append(two.Samples, seqqc.SampleResult{Sample: seqqc.Sample{ID: "rerun"}})
	two.Chosen = 0
	res := &seqqc.Result{
		Vouchers: []seqqc.VoucherResult{primer, read, voucher("look", seqqc.ActLookAgain), blank, none, settled, open, two},
		Reads: []seqqc.Read{
			{File: "a.ab1", Primer: "ITS5", Direction: seqqc.Forward},
			{File: "b.ab1", Primer: "ITS1", Direction: seqqc.Forward}, {File: "c.ab1", Primer: "ITS4-B", Direction: seqqc.Reverse},
		},
	}
	var said []string
	for _, row := range workorder.New(res).Cells() {
		said = append(said, strings.Join(row[1:6], ","))
	}
	require.Equal(t, []string{
		"A01,accepted,,extract_again,ITS1-F ITS4",
		"B01,two samples,,amplify_again,ITS1-F ITS4",
		"C01,one end,,sequence_again,ITS4",
		"D01,by its reads,2,sequence_again,ITS1 ITS4-B",
		"E01,blank,,extract_again,ITS1-F ITS4 ITS1 ITS4-B",
	}, said)
}

func TestPrinted(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, workorder.New(result(0)).WriteText(&b))
	require.Equal(t, "Nothing to send back.\n", b.String())
	res := result(100)
	res.Vouchers[0].Voucher.Code = "a code that is longer than a well"
	b.Reset()
	require.NoError(t, workorder.New(res).WriteText(&b))
	text := b.String()
	require.Contains(t, text, "Plate 1, 96 tubes")
	require.Contains(t, text, "Plate 2, 6 tubes")
	require.Contains(t, text, "A a code that~ X-009 ")
	require.Contains(t, text, "A01  a code that is longer than a well: amplify again from the same extract, sequence (ITS1-F, ITS4)")
	require.Equal(t, 3, strings.Count(text, "\nA "), "two halves of the first plate, one of the second")
	for line := range strings.Lines(text) {
		require.Equal(t, strings.TrimRight(line, " \n"), strings.TrimRight(line, "\n"))
		if slices.Contains([]byte("ABCDEFGH "), line[0]) && line[1] == ' ' {
			require.LessOrEqual(t, len(line), 81)
		}
	}
}

func ExampleNew() {
	res := &seqqc.Result{Vouchers: []seqqc.VoucherResult{{
		Voucher: seqqc.Voucher{Code: "EX-7", Kind: seqqc.Specimen},
		Samples: []seqqc.SampleResult{{Sample: seqqc.Sample{PrimerForward: "ITS1-F", PrimerReverse: "ITS4"}}},
		Chosen:  0,
		Verdict: seqqc.Verdict{Causes: []seqqc.Cause{{Code: seqqc.CauseGrowth, Action: seqqc.ActExtractAgain, Says: "What grew on it was sequenced."}}},
	}}}
	if err := workorder.New(res).WriteText(os.Stdout); err != nil {
		fmt.Println(err)
	}
	// Output:
	// Plate 1, 2 tubes
	//
	//   1            2            3            4            5            6
	// A EX-7         .            .            .            .            .
	// B blank        .            .            .            .            .
	// C .            .            .            .            .            .
	// D .            .            .            .            .            .
	// E .            .            .            .            .            .
	// F .            .            .            .            .            .
	// G .            .            .            .            .            .
	// H .            .            .            .            .            .
	//
	// A01  EX-7: extract again from clean tissue inside the specimen, amplify, sequence (ITS1-F, ITS4)
	//      Likeliest cause: What grew on it was sequenced.
	//
	// B01  blank: the steps of this plate without any DNA (ITS1-F, ITS4)
	//      A blank goes with every plate, to show DNA that does not belong there.
}

// One primer that a sheet and a file name write in two ways stays one.
func TestOnePrimerHasOneName(t *testing.T) {
	res := result(2)
	res.Vouchers[0].Samples[0].Sample.PrimerForward = "ITS1F"
	wells := workorder.New(res).Plates[0].Wells
	for _, w := range wells {
		require.Equal(t, []string{"ITS1-F", "ITS4"}, w.Primers, w.Label())
	}
	res.Vouchers[0].Samples[0].Sample.PrimerForward = "our own"
	require.Equal(t, []string{"our own", "ITS4"}, workorder.New(res).Plates[0].Wells[0].Primers)
}
