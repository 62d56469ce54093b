package review

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/seqqc"
)

// request is a decision as the page sends it.
type request struct {
	Who     string             `json:"who"`
	Voucher string             `json:"voucher"`
	What    seqqc.DecisionKind `json:"what"`
	Why     string             `json:"why"`
	// File and At name a base of a read; Code is in contig direction.
	File string `json:"file"`
	At   *int   `json:"at"`
	Code string `json:"code"`
	// From and To are the first and last base to keep, counted from 1.
	From int `json:"from"`
	To   int `json:"to"`
	// Found is the verdict that the person saw.
	Found      seqqc.VerdictKind `json:"found"`
	Verdict    seqqc.VerdictKind `json:"verdict"`
	Name       string            `json:"name"`
	Submission string            `json:"submission"`
	Undoes     string            `json:"undoes"`
}

// decided is the answer to a decision.
type decided struct {
	// Said is what became of it, for the person to read or hear.
	Said string       `json:"said"`
	View *voucherView `json:"view"`
}

func (s *server) decide(w http.ResponseWriter, r *http.Request) {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		refuse(w, http.StatusUnsupportedMediaType, "a decision is sent as application/json")
		return
	}
	var q request
	dec := json.NewDecoder(http.MaxBytesReader(w, r.Body, maxBody))
	dec.DisallowUnknownFields()
	err := dec.Decode(&q)
	if err == nil {
		if _, more := dec.Token(); !errors.Is(more, io.EOF) {
			err = errors.New("more than one decision")
		}
	}
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		refuse(w, http.StatusRequestEntityTooLarge, fmt.Sprintf("a decision has at most %d bytes", maxBody))
		return
	case err != nil:
		refuse(w, http.StatusBadRequest, "this is no decision: "+err.Error())
		return
	}
	before, reads, _, err := s.batch.Voucher(q.Voucher)
	if err != nil {
		fail(w, err)
		return
	}
	d, why := q.decision(&before, reads)
	if why != "" {
		refuse(w, http.StatusUnprocessableEntity, why)
		return
	}
	if q.What == seqqc.DecideVerdict && q.Found != before.Verdict.Kind {
		refuse(w, http.StatusConflict, fmt.Sprintf("the verdict is now %s: look at it again", before.Verdict.Kind))
		return
	}
	if _, err := s.batch.Decide(r.Context(), d); err != nil {
		fail(w, err)
		return
	}
	view, err := s.view(q.Voucher)
	if err != nil {
		fail(w, err)
		return
	}
	after, _, _, err := s.batch.Voucher(q.Voucher)
	if err != nil {
		fail(w, err)
		return
	}
	answer(w, http.StatusOK, decided{said(&before, &after), view})
}

// decision makes a decision of what the page sent, or says why it cannot.
func (q *request) decision(v *seqqc.VoucherResult, reads []*seqqc.Read) (d seqqc.Decision, why string) {
	d = seqqc.Decision{Who: strings.TrimSpace(q.Who), Voucher: q.Voucher, What: q.What, Why: strings.TrimSpace(q.Why)}
	if d.Who == "" {
		return d, "say who decides: fill in your name at the top of the page"
	}
	switch q.What {
	case seqqc.DecideBase, seqqc.DecideOpen:
		if q.File == "" || q.At == nil {
			return d, "a place needs a read and a position"
		}
		d.Place = &seqqc.Place{File: q.File, At: *q.At}
		if q.What == seqqc.DecideBase {
			d.Code = inRead(v, q.File, strings.ToUpper(strings.TrimSpace(q.Code)))
		}
	case seqqc.DecideWindow:
		d.File, d.Kept = q.File, &seqqc.Interval{Start: q.From - 1, End: q.To}
		i := slices.IndexFunc(reads, func(r *seqqc.Read) bool { return r.File == q.File })
		if q.From < 1 || q.To < q.From || i >= 0 && q.To > reads[i].Stats.Bases {
			return d, "keep a stretch inside the read, its first base before its last"
		}
	case seqqc.DecideAside:
		d.File = q.File
	case seqqc.DecideVerdict:
		d.Found, d.Verdict = q.Found, q.Verdict
	case seqqc.DecideName:
		d.Name = strings.TrimSpace(q.Name)
	case seqqc.DecideSubmission:
		d.Submission = q.Submission
	case seqqc.DecideUndo:
		d.Undoes = q.Undoes
	}
	return d, ""
}

// inRead turns a code in contig direction into the direction of a read.
func inRead(v *seqqc.VoucherResult, file, code string) string {
	if len(code) != 1 || align.Invalid([]byte(code)) >= 0 || !turned(v, file) {
		return code // no base, refused later, or as the contig has it
	}
	return string(align.ReverseComplement([]byte(code)))
}

// turned reports whether a read lies in a contig on the other strand.
func turned(v *seqqc.VoucherResult, file string) bool {
	return slices.ContainsFunc(v.Samples, func(s seqqc.SampleResult) bool {
		return s.Contig != nil && slices.ContainsFunc(s.Contig.Reads, func(p seqqc.ReadPlacement) bool {
			return p.File == file && p.Complemented
		})
	})
}

// said says what became of a decision.
func said(before, after *seqqc.VoucherResult) string {
	text := "Written down."
	switch was, is := before.Word(), after.Word(); {
	case was != is:
		text += fmt.Sprintf(" The program's verdict was %q and is now %q.", was, is)
	default:
		text += fmt.Sprintf(" The program's verdict is %q as before.", is)
	}
	switch was, is := identity(before), identity(after); {
	case is == "":
	case was == "":
		text += fmt.Sprintf(" Identity to the nearest reference %s.", is)
	case was != is:
		text += fmt.Sprintf(" Identity to the nearest reference was %s and is now %s.", was, is)
	}
	if was, is := dnaTaxon(before), dnaTaxon(after); was != is {
		text += fmt.Sprintf(" The DNA's taxon was %s and is now %s.", orNone(was), orNone(is))
	}
	return text
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}
