package verdict

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
)

// Explanation is what one cause says and asks for.
type Explanation struct {
	Code seqqc.CauseCode
	// Says gives the cause as a clause, without capital and full stop.
	Says func(facts) string
	// Next is the next step, a sentence; empty where that is the deciding rule's.
	Next   string
	Action seqqc.Action
	// Patterns are those between vouchers that show this cause, and whose next
	// step goes first.
	Patterns []seqqc.Pattern
}

func fixed(s string) func(facts) string { return func(facts) string { return s } }

// Explanations are the causes in the order in which they are told where nothing
// parts them: faults of the data first, then of the library, then names, and
// last the person in the field.
var Explanations = []Explanation{
	{seqqc.CausePlate, fixed("the plate was shifted, turned or mirrored"),
		"Lay the plate's list beside the laboratory's, correct the wells, and run again.", seqqc.ActCheckTubes, []seqqc.Pattern{seqqc.PatternPlateMoved}},
	{seqqc.CauseReadsCrossed, fixed("reads of two vouchers were put under this one"),
		"Check for swapped reads: tie each read to its own voucher in reads.csv, and run again.", seqqc.ActCheckTubes, []seqqc.Pattern{seqqc.PatternReadCrossed}},
	{seqqc.CauseExchanged, saysExchanged,
		"Check label, tube, well and file name of this voucher and of its neighbours for a mix-up.", seqqc.ActCheckTubes,
		[]seqqc.Pattern{seqqc.PatternExchange, seqqc.PatternHalfExchange}},
	{seqqc.CauseReadsMissing, fixed("the files of this voucher are missing or damaged"), "", seqqc.ActCheckTubes, nil},
	{seqqc.CausePoorReads, fixed("the reads are too bad or too short to tell more"),
		"Have it sequenced again, for a better read.", seqqc.ActSequenceAgain, nil},
	{seqqc.CauseOtherLocus, fixed("another stretch of DNA than the ITS was amplified"),
		"Have the barcode region (ITS) amplified with its own primers.", seqqc.ActAmplifyAgain, nil},
	{seqqc.CauseTwoTemplates, fixed("two organisms were in the tube"),
		"Extract again from clean tissue inside the specimen.", seqqc.ActExtractAgain, nil},
	{seqqc.CauseChimera, fixed("DNA of two organisms was joined in the PCR"),
		"Repeat the PCR from the same DNA with fewer cycles, and publish neither half.", seqqc.ActAmplifyAgain, nil},
	{seqqc.CauseContamination, fixed("DNA of another tube or of a reagent got into this one"),
		"Extract again from clean tissue, with a blank beside it, and compare the two sequences.", seqqc.ActExtractAgain,
		[]seqqc.Pattern{seqqc.PatternControl, seqqc.PatternCarryOver}},
	{seqqc.CauseTwoAlleles, fixed("two copies of one organism run out of step, so that the read ends in double peaks"),
		"Have it sequenced from the other end too, where the copies are still in step.", seqqc.ActSequenceAgain, nil},
	{seqqc.CauseGrowth, fixed("what grew on or in the specimen was sequenced"), cleanTissue, seqqc.ActExtractAgain, nil},
	{seqqc.CauseForeignDNA, fixed("DNA of something in or on the specimen was sequenced"), cleanTissue, seqqc.ActExtractAgain, nil},
	{seqqc.CauseHost, fixed("the host of the fungus on it was sequenced"),
		"Extract again from the parasite's own tissue, without its host's.", seqqc.ActExtractAgain, nil},
	{seqqc.CauseReference, fixed("a reference bears a wrong name"),
		"Look at the records nearest to this sequence, leave a mislabelled one out of the library, and run again.", seqqc.ActCheckReference, nil},
	{seqqc.CauseLibrary, fixed("the library lacks what the test needs"),
		"Add references near to the field name to the library, and run again.", seqqc.ActAddReferences, nil},
	{seqqc.CauseAlike, fixed("the species are too alike in this region to be told apart"),
		"Tell the species by the specimen: this region does not part them.", seqqc.ActLookAgain, nil},
	{seqqc.CauseRenamed, saysRenamed,
		"Look both names up in a current name index; if they were one, enter that in names.csv and run again.", seqqc.ActCorrectSheet, nil},
	{seqqc.CauseLabel, fixed("the name on the label tells no taxon that can be tested"), "", seqqc.ActCorrectSheet, nil},
	{seqqc.CauseFieldName, saysFieldName,
		"Look at the specimen again, with a description of what the DNA points to; rule out a mix-up before the label is changed.", seqqc.ActLookAgain, nil},
}

func saysExchanged(f facts) string {
	if b := f.pattern(seqqc.PatternExchange); b != nil && len(b.Vouchers) > 1 {
		return "tubes, labels or files of " + listed(b.Vouchers) + " were exchanged"
	}
	return "tubes, labels or files were exchanged"
}

func saysRenamed(f facts) string {
	if f.f.name == "" || f.d.name == "" {
		return "the two names are an old and a new one of the same fungus"
	}
	return fmt.Sprintf("%s and %s are an old and a new name of the same fungus", f.f.name, f.d.name)
}

func saysFieldName(f facts) string {
	if f.d.name == "" || f.f.name == f.d.name {
		return "the specimen was named wrongly in the field"
	}
	return fmt.Sprintf("the specimen was named wrongly in the field, and is %s", taxonWords(f.d))
}

// words gives a cause its sentences and its action. The cause that the deciding
// rule tells of has the rule's next step, where no pattern gives one.
func (x Explanation) words(w *weighed, f facts) {
	w.says = x.Says(f)
	w.cause.Says, w.cause.Action, w.cause.NextStep = sentence(w.says), x.Action, x.Next
	for _, kind := range x.Patterns {
		if b := f.pattern(kind); b != nil && b.NextStep != "" {
			w.cause.For = append(w.cause.For, b.Evidence...)
			w.cause.NextStep = b.NextStep
			if b.Read != "" {
				w.cause.Action = seqqc.ActSequenceAgain
			}
			return
		}
	}
	if told := candidates(f); len(told) > 0 && told[0] == x.Code || w.cause.NextStep == "" {
		w.cause.NextStep = f.v.NextStep
	}
	switch x.Code {
	case seqqc.CausePoorReads, seqqc.CauseTwoAlleles:
		w.cause.Action, w.cause.Primer = again(f.c)
	case seqqc.CauseExchanged:
		// Only a new extraction tells which of two samples is the specimen's.
		if f.v.ReasonCode == seqqc.SamplesDisagree {
			w.cause.Action = seqqc.ActExtractAgain
		}
	}
}

// again says what a laboratory should do over for better reads. Where every read
// of one end failed and one of the other end is usable, it is that end's read.
// Where none held a clear stretch, the amplification failed.
func again(c Case) (a seqqc.Action, primer string) {
	good, bad := map[seqqc.Direction]bool{}, map[seqqc.Direction]string{}
	clear := c.LongestKept > 0
	for _, r := range c.Reads {
		clear = clear || r.Kept.Len() > 0 || r.Usable
		switch {
		case r.Usable:
			good[r.Direction] = true
		case r.Primer != "" && r.Direction != seqqc.UnknownDirection:
			bad[r.Direction] = r.Primer
		}
	}
	if !clear {
		return seqqc.ActAmplifyAgain, ""
	}
	for _, d := range []seqqc.Direction{seqqc.Forward, seqqc.Reverse} {
		if good[-d] && !good[d] {
			if bad[d] != "" {
				return seqqc.ActSequenceAgain, bad[d]
			}
			return seqqc.ActSequenceAgain, otherEnd(c, d)
		}
	}
	return seqqc.ActSequenceAgain, ""
}

// otherEnd gives the primer of an end that was never read, empty where nothing
// tells it.
func otherEnd(c Case, d seqqc.Direction) string {
	for _, s := range c.Samples {
		name := s.Sample.PrimerForward
		if d == seqqc.Reverse {
			name = s.Sample.PrimerReverse
		}
		if name != "" {
			return name
		}
	}
	for _, r := range c.Reads {
		if r.Direction == -d && strings.TrimSpace(r.Partner) != "" {
			return r.Partner
		}
	}
	return ""
}

// candidates gives the causes that are told of a row whether or not anything
// speaks for them, the one that the deciding rule's sentences tell of first.
// Others are told where something speaks for them.
func candidates(f facts) []seqqc.CauseCode {
	switch f.v.Kind {
	case seqqc.Conflict:
		list := []seqqc.CauseCode{seqqc.CauseExchanged, seqqc.CauseContamination, seqqc.CauseReference, seqqc.CauseRenamed, seqqc.CauseFieldName}
		if f.v.Rule == ruleHost {
			list = append([]seqqc.CauseCode{seqqc.CauseHost}, list...)
		}
		return list
	case seqqc.Overgrowth:
		return []seqqc.CauseCode{seqqc.CauseGrowth, seqqc.CauseContamination, seqqc.CauseExchanged}
	case seqqc.NonFungal:
		return []seqqc.CauseCode{seqqc.CauseForeignDNA, seqqc.CauseContamination}
	case seqqc.Renamed:
		return []seqqc.CauseCode{seqqc.CauseRenamed}
	case seqqc.Undetermined:
		return undecided(f)
	}
	return standing(f)
}

// undecided gives the causes of a row in which no test was possible.
func undecided(f facts) []seqqc.CauseCode {
	switch f.v.ReasonCode {
	case seqqc.NoSequence:
		if f.c.ReadsOpened == 0 {
			return []seqqc.CauseCode{seqqc.CauseReadsMissing}
		}
		return []seqqc.CauseCode{seqqc.CausePoorReads}
	case seqqc.PoorSequence:
		m := f.c.match()
		switch {
		case m == nil || m.Chimera == nil:
			return []seqqc.CauseCode{seqqc.CausePoorReads}
		case m.Chimera.Joint == seqqc.JointOfReads:
			return []seqqc.CauseCode{seqqc.CauseReadsCrossed}
		case m.Chimera.Joint == seqqc.JointInRead:
			return []seqqc.CauseCode{seqqc.CauseChimera}
		}
		return []seqqc.CauseCode{seqqc.CauseChimera, seqqc.CauseReadsCrossed}
	case seqqc.SamplesDisagree:
		return []seqqc.CauseCode{seqqc.CauseExchanged, seqqc.CauseContamination}
	case seqqc.NotITS:
		if f.c.contig().Region.NotITS == "" { // nothing shows what it is
			return []seqqc.CauseCode{seqqc.CausePoorReads, seqqc.CauseOtherLocus}
		}
		return []seqqc.CauseCode{seqqc.CauseOtherLocus}
	case seqqc.NoMatch:
		if fewOutside(f.c, f.p) {
			return []seqqc.CauseCode{seqqc.CausePoorReads, seqqc.CauseLibrary}
		}
		return []seqqc.CauseCode{seqqc.CauseLibrary, seqqc.CauseOtherLocus}
	case seqqc.TooDistant:
		return []seqqc.CauseCode{seqqc.CauseLibrary, seqqc.CausePoorReads}
	case seqqc.ReferencesDisagree:
		return []seqqc.CauseCode{seqqc.CauseReference, seqqc.CauseRenamed}
	case seqqc.FieldGenusNotInLibrary:
		return []seqqc.CauseCode{seqqc.CauseLibrary, seqqc.CauseExchanged, seqqc.CauseFieldName}
	case seqqc.NoFieldName, seqqc.FieldNameUnknown:
		return []seqqc.CauseCode{seqqc.CauseLabel}
	case seqqc.Control:
		return control(f)
	}
	return []seqqc.CauseCode{seqqc.CauseLibrary}
}

// control gives the causes of a control that did not pass.
func control(f facts) []seqqc.CauseCode {
	switch {
	case f.c.ReadsOpened == 0 && f.c.Chosen < 0:
		return []seqqc.CauseCode{seqqc.CauseReadsMissing}
	case f.c.Kind == seqqc.Blank:
		return []seqqc.CauseCode{seqqc.CauseContamination}
	case f.c.Chosen < 0:
		return []seqqc.CauseCode{seqqc.CausePoorReads}
	case !f.c.named():
		return []seqqc.CauseCode{seqqc.CauseLabel}
	case f.has(seqqc.ControlSignal):
		return []seqqc.CauseCode{seqqc.CauseExchanged, seqqc.CauseContamination}
	}
	return []seqqc.CauseCode{seqqc.CauseLibrary}
}

// standing gives the causes of a doubt about a row whose name stands.
func standing(f facts) []seqqc.CauseCode {
	switch {
	case f.has(seqqc.StrandsDisagree):
		return []seqqc.CauseCode{seqqc.CauseReadsCrossed}
	case f.has(seqqc.ChimeraSuspected):
		return []seqqc.CauseCode{seqqc.CauseChimera}
	case f.has(seqqc.SpeciesDiffers):
		return []seqqc.CauseCode{seqqc.CauseFieldName, seqqc.CauseReference}
	case minorIsField(f.c):
		return []seqqc.CauseCode{seqqc.CauseTwoTemplates}
	}
	return nil
}
