package batch

import (
	"io"

	"forayseq/seqqc"
	"forayseq/seqqc/region"
)

// Named is a sequence with its name, on the coding strand, its parts located.
type Named struct {
	Name   string
	Contig *seqqc.Contig
}

// Sequences reads all sequences of an input as Match does. What cannot be used
// is a problem each; an error means that nothing could be read.
func Sequences(in io.Reader, file string) ([]Named, []seqqc.Problem, error) {
	var out []Named
	var problems []seqqc.Problem
	for q := range queries(in, file) {
		switch {
		case q.err != nil:
			return nil, nil, q.err
		case q.problem != nil:
			problems = append(problems, *q.problem)
		default:
			c := &seqqc.Contig{Bases: q.bases, Quals: make([]byte, len(q.bases))}
			region.Orient(c)
			out = append(out, Named{q.name, c})
		}
	}
	return out, problems, nil
}
