package deposit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"forayseq/seqqc"
)

// Reason says why a voucher stays, and what would let it go.
type Reason struct {
	Rule string
	What string
	ToDo string
}

// candidate is a voucher to be asked about, with the reads of the batch.
type candidate struct {
	*seqqc.VoucherResult
	reads map[string]*seqqc.Read
}

func (c candidate) contig() *seqqc.Contig {
	if s := c.ChosenSample(); s != nil {
		return s.Contig
	}
	return nil
}

func (c candidate) flagged(flags ...seqqc.Flag) bool {
	return slices.ContainsFunc(flags, func(f seqqc.Flag) bool {
		return slices.Contains(c.Verdict.Flags, f) || c.contig() != nil && slices.Contains(c.contig().Flags, f)
	})
}

// reviewed reports whether a person looked at the verdict and decided on it, or
// gave the specimen its name.
func (c candidate) reviewed() bool {
	r := c.Reviewed
	return r != nil && (r.Accepted || r.Kind != "" || r.FinalName != "")
}

// rule is one ground to leave a voucher out.
type rule struct {
	id string
	// always is true where no decision can outweigh it: there is nothing to
	// submit, or a person said no.
	always bool
	check  func(candidate, Params) (what, toDo string)
}

const review = "look at it in 'forayseq review', and accept, overrule or submit it there"

var rules = []rule{
	{"held-back", true, checkHeld},
	{"control", false, checkControl},
	{"no-sequence", true, checkNoSequence},
	{"undetermined", false, checkUndetermined},
	{"not-of-the-specimen", false, checkForeign},
	{"conflict-not-reviewed", false, checkConflict},
	{"mix-up-not-reviewed", false, checkMixUp},
	{"chimera", false, checkChimera},
	{"mixed-template", false, checkMixed},
	{"two-parts", false, checkTwoParts},
	{"strand-unknown", false, checkStrand},
	{"short", false, checkShort},
	{"ambiguous", false, checkAmbiguous},
	{"ends", false, checkEnds},
	{"tails", false, checkTails},
	{"no-date", false, checkNoDate},
	{"future-date", false, checkFutureDate},
	{"no-place", false, checkNoPlace},
}

// refusals gives the reasons that keep a voucher out. Those that a decision to
// submit outweighs come back as doubts to be told.
func refusals(c candidate, p Params) (reasons []Reason, doubts []string) {
	submit := c.Reviewed != nil && c.Reviewed.Submission == seqqc.Submit
	for _, r := range rules {
		what, toDo := r.check(c, p)
		switch {
		case what == "":
		case submit && !r.always:
			doubts = append(doubts, "Submitted by decision although "+what+".")
		default:
			reasons = append(reasons, Reason{r.id, what, toDo})
		}
	}
	return reasons, doubts
}

func checkHeld(c candidate, _ Params) (string, string) {
	if c.Reviewed != nil && c.Reviewed.Submission == seqqc.Hold {
		return "a reviewer held it back" + because(c.Reviewed.SubmissionWhy), "nothing, unless that has changed"
	}
	return "", ""
}

func because(why string) string {
	if why = oneLine(why); why != "" {
		return ": " + why
	}
	return ""
}

func checkNoSequence(c candidate, _ Params) (string, string) {
	if c.contig() == nil || len(c.contig().Bases) == 0 {
		if c.Reviewed != nil && c.Reviewed.Submission == seqqc.Submit {
			return "it has no sequence, so that the decision to submit it cannot be followed", "sequence it again"
		}
		return "it has no sequence", "sequence it again"
	}
	return "", ""
}

func checkControl(c candidate, _ Params) (string, string) {
	if c.Voucher.Kind == seqqc.Blank || c.Voucher.Kind == seqqc.Positive {
		return "it is a control and no specimen", "nothing"
	}
	return "", ""
}

func checkUndetermined(c candidate, _ Params) (string, string) {
	if c.Verdict.Kind == seqqc.Undetermined && c.Verdict.ReasonCode != seqqc.Control && !c.reviewed() {
		return fmt.Sprintf("its verdict is undetermined (%s)", c.Verdict.ReasonCode), review
	}
	return "", ""
}

func checkForeign(c candidate, _ Params) (string, string) {
	foreign := c.Verdict.Kind == seqqc.Overgrowth || c.Verdict.Kind == seqqc.NonFungal
	if foreign && (c.Reviewed == nil || c.Reviewed.Kind == "" && c.Reviewed.FinalName == "") {
		return fmt.Sprintf("its verdict is %s: the sequence is not the specimen's", c.Verdict.Kind), "extract again from clean tissue, or give the final name of what was sequenced in 'forayseq review'"
	}
	return "", ""
}

func checkConflict(c candidate, _ Params) (string, string) {
	if c.Verdict.Kind == seqqc.Conflict && !c.reviewed() {
		return "its verdict is a conflict that nobody has reviewed", review
	}
	return "", ""
}

// unreviewed are the flags for which somebody must have looked at a verdict.
var unreviewed = []seqqc.Flag{seqqc.SwapSuspected, seqqc.PlateShift, seqqc.StrandsDisagree, seqqc.ReferenceDoubtful, seqqc.SpeciesDiffers}

func checkMixUp(c candidate, _ Params) (string, string) {
	if c.reviewed() || c.Verdict.Kind == seqqc.Conflict {
		return "", ""
	}
	var flags []string
	for _, f := range unreviewed {
		if c.flagged(f) {
			flags = append(flags, string(f))
		}
	}
	if len(flags) == 0 {
		return "", ""
	}
	return "it has a doubt that nobody has reviewed (" + strings.Join(flags, ", ") + ")", review
}

func checkChimera(c candidate, _ Params) (string, string) {
	if c.flagged(seqqc.ChimeraSuspected) {
		return "it looks joined from two organisms", "amplify and sequence it again"
	}
	return "", ""
}

func checkMixed(c candidate, _ Params) (string, string) {
	if c.flagged(seqqc.MixedTemplate) {
		return "its reads hold two templates", "extract again from clean tissue, or clone"
	}
	return "", ""
}

func checkTwoParts(c candidate, _ Params) (string, string) {
	if s := c.contig(); s != nil && !s.Gap.Empty() {
		return "its two parts do not join, and how far apart they lie is not known", "sequence from an inner primer"
	}
	return "", ""
}

// A contig is brought to the coding strand by its parts; where none was found,
// nothing tells its strand.
func checkStrand(c candidate, _ Params) (string, string) {
	if s := c.contig(); s != nil && !s.Region.Located {
		return "no part of the ITS was found on it, so that its strand is not known", review
	}
	return "", ""
}

func checkShort(c candidate, p Params) (string, string) {
	if s := c.contig(); s != nil && len(s.Bases) > 0 && len(s.Bases) < p.MinBases {
		return fmt.Sprintf("it has %d bases, and archives take none under %d", len(s.Bases), p.MinBases), "sequence it again"
	}
	return "", ""
}

func checkAmbiguous(c candidate, p Params) (string, string) {
	s := c.contig()
	if s == nil || len(s.Bases) == 0 {
		return "", ""
	}
	if pct := 100 * float64(s.Ambiguous) / float64(len(s.Bases)); pct > p.MaxAmbiguousPct {
		return fmt.Sprintf("%d of its %d bases are ambiguous, more than %g %%", s.Ambiguous, len(s.Bases), p.MaxAmbiguousPct),
			"look at the doubtful places in 'forayseq review', or sequence it again"
	}
	return "", ""
}

func checkEnds(c candidate, p Params) (string, string) {
	s := c.contig()
	if s == nil || len(s.Bases) == 0 {
		return "", ""
	}
	const shorten = "shorten the kept window in 'forayseq review', or sequence it again"
	if c.flagged(seqqc.QualityMissing) {
		return "its reads have no qualities, so that nothing tells how good its ends are", review
	}
	n := min(p.EndBases, len(s.Quals))
	for _, end := range []struct {
		name  string
		quals []byte
		bases []byte
	}{{"beginning", s.Quals[:n], s.Bases[:n]}, {"end", s.Quals[len(s.Quals)-n:], s.Bases[len(s.Bases)-n:]}} {
		errors := 0.0
		for _, q := range end.quals {
			errors += math.Pow(10, -float64(q)/10)
		}
		if errors > p.MaxEndErrors {
			return fmt.Sprintf("the %d bases at its %s have %.1f errors by their qualities, more than %g", n, end.name, errors, p.MaxEndErrors), shorten
		}
	}
	if s.Bases[0] == 'N' || s.Bases[len(s.Bases)-1] == 'N' {
		return "it begins or ends with N", shorten
	}
	return "", ""
}

// checkTails looks for what does not come from the organism: sequencing tails
// anywhere, and the outer primers at the ends, either strand. Primers are cut
// off by trimming; one that is still there was not recognised in the reads.
func checkTails(c candidate, _ Params) (string, string) {
	s := c.contig()
	if s == nil {
		return "", ""
	}
	own := c.ChosenSample().Sample
	if name := foreignPiece(s.Bases, own.PrimerForward, own.PrimerReverse); name != "" {
		return fmt.Sprintf("a piece of %s is still in it", name), "shorten the kept window in 'forayseq review'"
	}
	return "", ""
}

// foreignPiece names the tail or primer of which a piece is in the sequence,
// empty where there is none. Where the primers of its amplicon are known only
// these count: the site of another, as that of ITS1 behind ITS1-F, is the
// organism's own.
func foreignPiece(bases []byte, own ...string) string {
	var amplicon []string
	for _, name := range own {
		if p, known := seqqc.PrimerByName(name); known {
			amplicon = append(amplicon, p.Name)
		}
	}
	seq := strings.ToUpper(string(bases))
	for _, t := range seqqc.Tails {
		if strings.Contains(seq, t.Seq) || strings.Contains(seq, reverseComplement(t.Seq)) {
			return t.Name
		}
	}
	const end = 10 // bases that may still stand before a primer
	for _, t := range seqqc.Primers {
		if t.Inner || len(amplicon) > 0 && !slices.Contains(amplicon, t.Name) {
			continue
		}
		for _, site := range []string{t.Seq, reverseComplement(t.Seq)} {
			at := strings.Index(seq, site)
			if at >= 0 && (at <= end || at+len(site) >= len(seq)-end) {
				return t.Name
			}
		}
	}
	return ""
}

// reverseComplement gives the other strand of A, C, G and T; other letters
// stay.
func reverseComplement(s string) string {
	out := []byte(strings.NewReplacer("A", "T", "C", "G", "G", "C", "T", "A").Replace(s))
	slices.Reverse(out)
	return string(out)
}

func checkNoDate(c candidate, _ Params) (string, string) {
	if c.Voucher.Date == "" {
		return "the sheet has no collection date that can be read", "write the date into the sheet, or decide to submit it with the date 'not provided'"
	}
	return "", ""
}

func checkFutureDate(c candidate, p Params) (string, string) {
	if isFuture(c.Voucher.Date, p.Today) {
		return fmt.Sprintf("its collection date %s lies in the future", c.Voucher.Date), "write the day of the find into the sheet"
	}
	return "", ""
}

func checkNoPlace(c candidate, p Params) (string, string) {
	if PlaceOf(c.VoucherResult, p).archived() != "" {
		return "", ""
	}
	if written := oneLine(c.Voucher.Country); written != "" {
		return fmt.Sprintf("%q is not in the archives' list of countries and seas", written), "write the country into the sheet as the list has it; the list here was written down from memory"
	}
	return "the sheet has no country", "write the country into the sheet, or decide to submit it with the place 'not provided'"
}
