package decisions

import (
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"forayseq/align"
	"forayseq/seqqc"
)

// The longest texts of a decision, in bytes.
const (
	MaxName = 200  // a name, a code, a person, a file is shorter
	MaxWhy  = 4000 // a page
)

// ErrUnknownKind is a decision of a kind that this program does not know, for a
// later one wrote it.
var ErrUnknownKind = errors.New("a kind of decision that this program does not know")

// RefusedError is a decision that was not written, for it makes no sense or is
// about something that the batch does not have.
type RefusedError struct{ Why string }

func (e *RefusedError) Error() string { return e.Why }

// Check says what is wrong with a decision, by itself: whether its voucher and
// its read are there is for others to say. The error is ErrUnknownKind where
// nothing else can be said.
func Check(d seqqc.Decision) error {
	for _, text := range []struct {
		name, value string
		most        int
		needed      bool
	}{
		{"id", d.ID, MaxName, true},
		{"who", d.Who, MaxName, true},
		{"voucher", d.Voucher, MaxName, true},
		{"what", string(d.What), MaxName, true},
		{"file", d.File, 10 * MaxName, false},
		{"name", d.Name, MaxName, false},
		{"why", d.Why, MaxWhy, false},
	} {
		switch {
		case text.needed && strings.TrimSpace(text.value) == "":
			return fmt.Errorf("%s is missing", text.name)
		case len(text.value) > text.most:
			return fmt.Errorf("%s is longer than %d bytes", text.name, text.most)
		case !utf8.ValidString(text.value):
			return fmt.Errorf("%s is no UTF-8", text.name)
		}
	}
	if _, err := time.Parse(time.RFC3339, d.When); err != nil {
		return fmt.Errorf("when: %q is no time such as 2026-10-03T18:04:05Z", d.When)
	}
	switch d.What {
	case seqqc.DecideBase:
		if d.Code != "-" && (len(d.Code) != 1 || align.Invalid([]byte(d.Code)) >= 0 || d.Code == "U" || strings.ToUpper(d.Code) != d.Code) {
			return fmt.Errorf("code: %q is neither an upper-case nucleotide code nor '-'", d.Code)
		}
		return checkPlace(d.Place)
	case seqqc.DecideOpen:
		return checkPlace(d.Place)
	case seqqc.DecideWindow:
		if d.File == "" || d.Kept == nil || d.Kept.Start < 0 || d.Kept.Empty() {
			return errors.New("a kept window needs a file and a stretch of it")
		}
	case seqqc.DecideAside:
		if d.File == "" {
			return errors.New("file is missing")
		}
	case seqqc.DecideVerdict:
		if !isVerdict(d.Verdict) || !isVerdict(d.Found) {
			return fmt.Errorf("%q over %q: one of them is no verdict", d.Verdict, d.Found)
		}
		if d.Verdict != d.Found && strings.TrimSpace(d.Why) == "" {
			return errors.New("a verdict is overruled with a reason only: why is missing")
		}
	case seqqc.DecideName:
		if strings.TrimSpace(d.Name) == "" {
			return errors.New("name is missing")
		}
	case seqqc.DecideSubmission:
		if d.Submission != seqqc.Submit && d.Submission != seqqc.Hold {
			return fmt.Errorf("submission: %q is neither %q nor %q", d.Submission, seqqc.Submit, seqqc.Hold)
		}
	case seqqc.DecideNote:
		if strings.TrimSpace(d.Why) == "" {
			return errors.New("why is missing: a note without words")
		}
	case seqqc.DecideUndo:
		if d.Undoes == "" {
			return errors.New("undoes is missing")
		}
	default:
		return ErrUnknownKind
	}
	return nil
}

func checkPlace(p *seqqc.Place) error {
	if p == nil || p.File == "" || p.At < 0 || p.Around == "" || len(p.Around) > 2*seqqc.PlaceReach+1 {
		return errors.New("place: a file, a position of it and the bases around are needed")
	}
	return nil
}

func isVerdict(kind seqqc.VerdictKind) bool {
	for _, k := range seqqc.VerdictKinds {
		if k == kind {
			return true
		}
	}
	return false
}
