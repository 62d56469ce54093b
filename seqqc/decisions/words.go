package decisions

import (
	"fmt"

	"forayseq/seqqc"
)

// Words says a decision in words; positions are counted from 1.
func Words(d seqqc.Decision) string {
	switch d.What {
	case seqqc.DecideBase, seqqc.DecideOpen:
		at := ""
		if d.Place != nil {
			at = fmt.Sprintf("base %d of %s", d.Place.At+1, d.Place.File)
		}
		switch {
		case d.What == seqqc.DecideOpen:
			return at + " left open"
		case d.Code == "-":
			return "no base at " + at
		}
		return d.Code + " at " + at
	case seqqc.DecideWindow:
		if d.Kept != nil {
			return fmt.Sprintf("bases %d to %d of %s kept", d.Kept.Start+1, d.Kept.End, d.File)
		}
	case seqqc.DecideAside:
		return d.File + " set aside"
	case seqqc.DecideVerdict:
		if d.Verdict == d.Found {
			return fmt.Sprintf("verdict %s accepted", d.Found)
		}
		return fmt.Sprintf("verdict %s instead of %s", d.Verdict, d.Found)
	case seqqc.DecideName:
		return "final name " + d.Name
	case seqqc.DecideSubmission:
		if d.Submission == seqqc.Hold {
			return "held back from submission"
		}
		return "marked for submission"
	case seqqc.DecideNote:
		return "note"
	case seqqc.DecideUndo:
		return "undo of " + d.Undoes
	}
	return string(d.What)
}
