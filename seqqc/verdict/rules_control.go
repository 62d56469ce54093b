package verdict

import (
	"fmt"

	"forayseq/seqqc"
)

func checkBlankSilent(c Case, _ Params) []seqqc.Finding {
	if c.Kind != seqqc.Blank || c.Chosen >= 0 {
		return nil
	}
	return []seqqc.Finding{{
		Verdict: seqqc.Undetermined, ReasonCode: seqqc.Control,
		Reason:   "Pass: this blank control gave no usable sequence, as it should.",
		NextStep: "Nothing to do.",
	}}
}

func checkBlankSignal(c Case, _ Params) []seqqc.Finding {
	if c.Kind != seqqc.Blank || c.Chosen < 0 {
		return nil
	}
	what := fmt.Sprintf("of %d bases", len(c.contig().Bases))
	if h := c.best(); h != nil {
		what += ", " + nearest(h)
	}
	return []seqqc.Finding{{
		Verdict: seqqc.Undetermined, ReasonCode: seqqc.Control,
		Flags: []seqqc.Flag{seqqc.ControlSignal}, Attention: true,
		Reason:   "Fail: this blank control should hold no DNA, but it gave a usable sequence " + what + ".",
		NextStep: "Distrust every voucher of this batch with the same DNA, and ask the laboratory to repeat it with a new blank.",
	}}
}

func checkPositive(c Case, _ Params) []seqqc.Finding {
	if c.Kind != seqqc.Positive {
		return nil
	}
	f := seqqc.Finding{Verdict: seqqc.Undetermined, ReasonCode: seqqc.Control, Attention: true}
	fieldTaxon, dna, h := c.fieldTaxon(), c.dnaTaxon(), c.best()
	kin, _ := relate(fieldTaxon, dna)
	switch {
	case c.Chosen < 0:
		f.Reason = "Fail: this positive control should have given a sequence, but gave none that is usable."
		f.NextStep = "Ask the laboratory whether the PCR or the sequencing failed before trusting the failures of other vouchers."
	case !c.named():
		f.Reason = "This positive control gave a sequence, but the sheet does not say in a known name what it was made from."
		f.NextStep = "Write the name of the control's DNA into the field_id column and run again."
	case h != nil && (kin == sameGenus || kin == dnaInside || kin == fieldInside && broadEnough(dna)):
		f.Attention = false
		f.Reason = fmt.Sprintf("Pass: this positive control was made from %s, and its DNA fits: %s.", fieldTaxon.name, nearest(h))
		f.NextStep = "Nothing to do."
	case kin == apart:
		f.Flags = []seqqc.Flag{seqqc.ControlSignal}
		f.Reason = fmt.Sprintf("Fail: this positive control was made from %s, but its DNA is of %s: %s.",
			fieldTaxon.name, taxonWords(dna), nearest(h))
		f.NextStep = "Do not rely on this batch until the laboratory has explained it: samples may have changed places."
	default:
		f.Reason = fmt.Sprintf("This positive control gave a sequence, but the references do not tell whether it is of %s.", fieldTaxon.name)
		f.NextStep = "Add references of the control's species to the library and run again."
	}
	return []seqqc.Finding{f}
}
