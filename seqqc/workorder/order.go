package workorder

import (
	"cmp"
	"fmt"
	"slices"

	"forayseq/seqqc"
)

// The plate of 96 wells (ANSI/SLAS 4-2004): rows A to H, columns 1 to 12.
const (
	Rows    = 8
	Columns = 12
	wells   = Rows * Columns
)

// Order is the work to send back, in plates; none where there is nothing to do.
type Order struct {
	Plates []Plate `json:"plates"`
}

// Plate is one plate of the order.
type Plate struct {
	Number int    `json:"plate"` // from 1
	Wells  []Well `json:"wells"` // those in use, down the columns
}

// Well is one tube of the order.
type Well struct {
	Well    string `json:"well"` // "A01"
	Voucher string `json:"voucher"`
	Sample  string `json:"sample,omitempty"`
	// Blank is true for the negative control, which goes through all steps of
	// its plate and has no voucher.
	Blank  bool         `json:"blank,omitempty"`
	Action seqqc.Action `json:"action"`
	// Primers are those to amplify or sequence with, as the sheet or the file
	// names give them; empty where neither does.
	Primers []string `json:"primers,omitempty"`
	Why     string   `json:"why"`
}

// steps are the actions that a laboratory can do, the one that begins earliest
// first.
var steps = []seqqc.Action{seqqc.ActExtractAgain, seqqc.ActAmplifyAgain, seqqc.ActSequenceAgain}

// New lays out the order of a result: by step, the vouchers of a step in sheet
// order, down the columns of each plate, with a blank behind the last tube. A
// voucher that a person settled is left out.
func New(res *seqqc.Result) Order {
	var tubes []Well
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		if len(v.Verdict.Causes) == 0 || settled(v.Reviewed) {
			continue
		}
		first := v.Verdict.Causes[0]
		if !slices.Contains(steps, first.Action) || v.Voucher.Kind == seqqc.Blank {
			continue
		}
		s := again(v)
		tubes = append(tubes, Well{
			Voucher: v.Voucher.Code, Sample: s.Sample.ID, Action: first.Action,
			Primers: primers(s, first, res.Reads), Why: first.Says,
		})
	}
	slices.SortStableFunc(tubes, func(a, b Well) int {
		return cmp.Compare(slices.Index(steps, a.Action), slices.Index(steps, b.Action))
	})
	var o Order
	for part := range slices.Chunk(tubes, wells-1) {
		p := Plate{Number: len(o.Plates) + 1, Wells: slices.Clone(part)}
		p.Wells = append(p.Wells, blank(part))
		for i := range p.Wells {
			p.Wells[i].Well = position(i)
		}
		o.Plates = append(o.Plates, p)
	}
	return o
}

// position names the i-th well down the columns.
func position(i int) string { return fmt.Sprintf("%c%02d", 'A'+i%Rows, i/Rows+1) }

// blank gives the control of a plate, from its earliest step on, with every
// primer in use on it.
func blank(tubes []Well) Well {
	b := Well{Blank: true, Action: tubes[0].Action, Why: "A blank goes with every plate, to show DNA that does not belong there."}
	for _, t := range tubes {
		for _, p := range t.Primers {
			if !slices.Contains(b.Primers, p) {
				b.Primers = append(b.Primers, p)
			}
		}
	}
	return b
}

// settled reports whether a person gave a verdict that leaves no question open,
// or a name.
func settled(r *seqqc.Reviewed) bool {
	if r == nil {
		return false
	}
	switch r.Kind {
	case seqqc.Agrees, seqqc.Refines, seqqc.Consistent, seqqc.Renamed:
		return true
	}
	return r.FinalName != ""
}

// again gives the sample to work on: that of the verdict, or the last one tried.
func again(v *seqqc.VoucherResult) seqqc.SampleResult {
	if s := v.ChosenSample(); s != nil {
		return *s
	}
	if n := len(v.Samples); n > 0 {
		return v.Samples[n-1]
	}
	return seqqc.SampleResult{}
}

// primers gives the one primer asked for, or those at both ends: of the sheet,
// or else of the sample's reads. There are none where they are the fault.
func primers(s seqqc.SampleResult, c seqqc.Cause, reads []seqqc.Read) []string {
	if c.Primer != "" {
		return []string{primerName(c.Primer)}
	}
	if c.Code == seqqc.CauseOtherLocus { // with those it would be the same again
		return nil
	}
	ends := map[seqqc.Direction]string{seqqc.Forward: s.Sample.PrimerForward, seqqc.Reverse: s.Sample.PrimerReverse}
	for i := range reads {
		r := &reads[i]
		if r.Direction != seqqc.UnknownDirection && ends[r.Direction] == "" && slices.Contains(s.ReadFiles, r.File) {
			ends[r.Direction] = r.Primer
		}
	}
	var out []string
	for _, from := range []seqqc.Direction{seqqc.Forward, seqqc.Reverse} {
		if ends[from] != "" {
			out = append(out, primerName(ends[from]))
		}
	}
	return out
}

// primerName gives a primer that is known its one name: a sheet and a file name
// may write it in two ways, and a laboratory would take them for two primers.
func primerName(written string) string {
	if p, known := seqqc.PrimerByName(written); known {
		return p.Name
	}
	return written
}
