package simulate

import (
	"math/rand/v2"

	"forayseq/align"
	"forayseq/seqqc"
)

// Template is one kind of molecule in the sequencing reaction.
type Template struct {
	// Seq is the strand that grows, 5' to 3', from the base after the
	// sequencing primer to the end of the amplicon. An ambiguity code is a
	// site where the molecules of this kind differ: the peak is shared out
	// evenly over its bases.
	Seq []byte
	// Weight is the share of the molecules. Weights need not sum to one.
	Weight float64
}

// Truth is what a read of known templates really holds.
type Truth struct {
	// Template gives for each call the position in the sequence of the
	// heaviest template that it stands for, -1 for a call that stands for no
	// base of it.
	Template []int
	// Missed counts the bases of that template inside the recorded stretch
	// that no call stands for.
	Missed int
	// Shares are the shares of the templates in the signal, in the order in
	// which the templates were given; they sum to one.
	Shares []float64
	// Under gives for each template the position in it that each call lies
	// over, -1 where there is none: Under[k][i] for template k and call i.
	Under [][]int
}

// Mask gives the bases (as align.Mask) that lie under call i in the templates
// whose share is at least least.
func (tr Truth) Mask(i int, templates []Template, least float64) byte {
	var mask byte
	for k, under := range tr.Under {
		if at := under[i]; at >= 0 && tr.Shares[k] >= least {
			mask |= align.Mask(templates[k].Seq[at])
		}
	}
	return mask
}

// Call gives the first call that lies over template k at position at or behind
// it: where what begins at this position begins in the read. It is the number
// of calls where there is none.
func (tr Truth) Call(k, at int) int {
	for i, under := range tr.Under[k] {
		if under >= at {
			return i
		}
	}
	return len(tr.Under[k])
}

// Read simulates the sequencing of one template, as Mixture does.
func Read(rng *rand.Rand, template []byte, p Params) *seqqc.Trace {
	t, _ := Mixture(rng, []Template{{Seq: template, Weight: 1}}, p)
	return t
}

// Mixture simulates one sequencing reaction of several templates: the four
// traces and the calls with their qualities that a base caller makes of them.
// Two templates that differ at a base give a double peak there; two that
// differ by an insertion give double peaks from there on. The same rng state
// gives the same read on every machine. Codes of a template that are no
// nucleotide letter give no peak. No template at all, or a Signal of zero,
// gives a failed reaction: noise and what the caller makes of it.
func Mixture(rng *rand.Rand, templates []Template, p Params) (*seqqc.Trace, Truth) {
	run := layOut(rng, templates, p)
	channels := run.render(rng, templates)
	t := called(channels)
	return t, run.truth(t.Peaks, templates)
}

// Recall gives the bases and qualities that this package's caller makes of the
// traces of t, whoever called them before. A trace without channels gives no
// bases.
func Recall(t *seqqc.Trace) *seqqc.Trace { return called(t.Channels) }

func called(channels [4][]int32) *seqqc.Trace {
	calls := callBases(channels)
	t := &seqqc.Trace{
		Format:   "ABIF",
		Channels: channels,
		Bases:    make([]byte, len(calls)),
		Quals:    make([]byte, len(calls)),
		Peaks:    make([]int, len(calls)),
	}
	for i, c := range calls {
		t.Bases[i], t.Quals[i], t.Peaks[i] = c.base, c.quality, c.at
	}
	return t
}

// Error reports whether call i of a read is wrong, given its truth and the
// heaviest template: it stands for no base, or for one that it does not name.
// A call of N is never wrong.
func (tr Truth) Error(i int, call byte, template []byte) bool {
	if call == 'N' {
		return false
	}
	at := tr.Template[i]
	return at < 0 || align.Mask(call)&align.Mask(template[at]) == 0
}
