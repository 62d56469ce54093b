package cmd

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"

	"forayseq/seqqc/batch"
	"forayseq/seqqc/report"
)

// progress shows one line that is written over, and only on a terminal.
type progress struct {
	w   io.Writer // nil where there is no terminal
	now func() time.Time

	doing          string
	started, shown time.Time
}

func newProgress(w io.Writer) *progress {
	p := &progress{now: time.Now}
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.w = w
	}
	return p
}

// eraseLine is ECMA-48 EL: back to the first column, erase to the end.
const eraseLine = "\r\x1b[K"

const (
	// showEvery spares the terminal what nobody could read.
	showEvery = 100 * time.Millisecond
	// rateAfter is how long work must have gone on for its rate to mean anything.
	rateAfter = 2 * time.Second
	// longestName of what was done last keeps the line on one row.
	longestName = 24
)

func (p *progress) show(s batch.Progress) {
	if p.w == nil {
		return
	}
	now := p.now()
	if s.Doing != p.doing {
		p.doing, p.started, p.shown = s.Doing, now, time.Time{}
	}
	if now.Sub(p.shown) < showEvery && s.Done != s.Of {
		return
	}
	p.shown = now
	text := fmt.Sprintf("%s %d", s.Doing, s.Done)
	if s.Of > 0 {
		text += fmt.Sprintf(" of %d", s.Of)
	}
	if s.Share > 0 {
		text += fmt.Sprintf(", %.0f %% of the file", 100*s.Share)
	}
	if gone := now.Sub(p.started); gone >= rateAfter {
		text += fmt.Sprintf(", %.3g a second", float64(s.Done)/gone.Seconds())
	}
	if name := []rune(report.SafeText(s.Name)); len(name) > 0 {
		text += ", " + string(name[:min(longestName, len(name))])
	}
	// A terminal that went away must not stop the work.
	_, _ = fmt.Fprint(p.w, eraseLine, text)
}

func (p *progress) clear() {
	if p.w != nil {
		_, _ = fmt.Fprint(p.w, eraseLine)
	}
}
