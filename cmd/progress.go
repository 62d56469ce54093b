package cmd

import (
	"fmt"
	"io"
	"os"

	"golang.org/x/term"

	"forayseq/seqqc/batch"
)

// progress shows one line that is written over, and only on a terminal.
type progress struct {
	w io.Writer // nil where there is no terminal
}

func newProgress(w io.Writer) progress {
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return progress{w}
	}
	return progress{}
}

// eraseLine is ECMA-48 EL: back to the first column, erase to the end.
const eraseLine = "\r\x1b[K"

func (p progress) show(s batch.Progress) {
	if p.w == nil {
		return
	}
	text := fmt.Sprintf("%s %d", s.Doing, s.Done)
	if s.Of > 0 {
		text += fmt.Sprintf(" of %d", s.Of)
	}
	// A terminal that went away must not stop the work.
	_, _ = fmt.Fprint(p.w, eraseLine, text)
}

func (p progress) clear() {
	if p.w != nil {
		_, _ = fmt.Fprint(p.w, eraseLine)
	}
}
