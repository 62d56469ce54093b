package verdict

import (
	"fmt"

	"forayseq/seqqc"
)

// Silence is told only by a read that was opened: a blank that was never
// sequenced, or whose files are damaged, has passed nothing.
func checkBlankUntested(c Case, _ Params) []seqqc.Finding {
	if c.Kind != seqqc.Blank || c.Chosen >= 0 || c.ReadsOpened > 0 {
		return nil
	}
	return undetermined(seqqc.Control, notTested(c, "blank"), untestedStep)
}

const untestedStep = "Look for the reads of this control in the laboratory's delivery, and ask for them if they are not there: the batch has one control less."

// notTested says of a control that none of its reads could be opened.
func notTested(c Case, kind string) string {
	return "Not tested: no read of this " + kind + " control could be read" + because(c.Unused) + "."
}

func checkBlankSilent(c Case, p Params) []seqqc.Finding {
	if c.Kind != seqqc.Blank || c.Chosen >= 0 || c.ReadsOpened == 0 || c.LongestKept > p.BlankBases {
		return nil
	}
	return []seqqc.Finding{{
		Verdict: seqqc.Undetermined, ReasonCode: seqqc.Control,
		Reason:   fmt.Sprintf("Pass: this blank control gave no usable sequence, as it should (%s looked at).", seqqc.Count(c.ReadsOpened, "read")),
		NextStep: "Nothing to do.",
	}}
}

// A stretch too short to compare does not tell whose DNA it is, but it tells
// that there was some. The flag is set: a needless look at one trace costs less
// than a contaminated batch.
func checkBlankTrace(c Case, p Params) []seqqc.Finding {
	if c.Kind != seqqc.Blank || c.Chosen >= 0 || c.ReadsOpened == 0 || c.LongestKept <= p.BlankBases {
		return nil
	}
	return []seqqc.Finding{{
		Verdict: seqqc.Undetermined, ReasonCode: seqqc.Control,
		Flags: []seqqc.Flag{seqqc.ControlSignal}, Attention: true,
		Reason: fmt.Sprintf("Doubtful: this blank control should hold no DNA, but one of its reads holds %d clear bases in a row, too few to compare and more than the %d that primers alone can give.",
			c.LongestKept, p.BlankBases),
		NextStep: "Look at the trace of this control, ask the laboratory to repeat it with a new blank, and take this batch with care until then.",
	}}
}

func checkBlankSignal(c Case, _ Params) []seqqc.Finding {
	if c.Kind != seqqc.Blank || c.Chosen < 0 {
		return nil
	}
	what := fmt.Sprintf("of %d bases", len(c.contig().Bases))
	if c.best() != nil {
		what += ", " + evidence(c)
	}
	return []seqqc.Finding{{
		Verdict: seqqc.Undetermined, ReasonCode: seqqc.Control,
		Flags: []seqqc.Flag{seqqc.ControlSignal}, Attention: true,
		Reason:   "Fail: this blank control should hold no DNA, but it gave a usable sequence " + what + ".",
		NextStep: "Distrust every voucher of this batch with the same DNA, and ask the laboratory to repeat it with a new blank.",
	}}
}

func checkPositive(c Case, p Params) []seqqc.Finding {
	if c.Kind != seqqc.Positive {
		return nil
	}
	f := seqqc.Finding{Verdict: seqqc.Undetermined, ReasonCode: seqqc.Control, Attention: true}
	fieldTaxon, dna, h := c.fieldTaxon(), c.dnaTaxon(), c.best()
	kin, _ := relate(fieldTaxon, dna)
	switch {
	case c.Chosen < 0 && c.ReadsOpened == 0:
		f.Reason = notTested(c, "positive")
		f.NextStep = untestedStep
	case c.Chosen < 0:
		f.Reason = "Fail: this positive control should have given a sequence, but gave none that is usable."
		f.NextStep = "Ask the laboratory whether the PCR or the sequencing failed before trusting the failures of other vouchers."
	case !c.named():
		f.Reason = "This positive control gave a sequence, but the sheet does not say in a known name what it was made from."
		f.NextStep = "Write the name of the control's DNA into the field_id column and run again."
	case h != nil && (kin == sameGenus || kin == otherName || kin == dnaInside || kin == fieldInside && broadEnough(dna)):
		f.Attention = false
		f.Reason = fmt.Sprintf("Pass: this positive control was made from %s, and its DNA fits: %s.", fieldTaxon.name, evidence(c))
		f.NextStep = "Nothing to do."
		f = withDoubts(f, c, p, "")
	case kin == apart:
		f.Flags = []seqqc.Flag{seqqc.ControlSignal}
		f.Reason = fmt.Sprintf("Fail: this positive control was made from %s, but its DNA is of %s: %s.",
			fieldTaxon.name, taxonWords(dna), evidence(c))
		f.NextStep = "Do not rely on this batch until the laboratory has explained it: samples may have changed places."
	default:
		f.Reason = fmt.Sprintf("This positive control gave a sequence, but the references do not tell whether it is of %s.", fieldTaxon.name)
		f.NextStep = "Add references of the control's species to the library and run again."
	}
	return []seqqc.Finding{f}
}
