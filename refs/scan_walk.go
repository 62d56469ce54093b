package refs

import (
	"container/heap"
	"math"
)

// purpose says what a walk is for.
type purpose uint8

const (
	forBest  purpose = iota // alignments that pass the gate
	forApart                // alignments that do not, and that Apart may give
)

// walk shows every record for which keep is true (all where it is nil) to
// visit, except those that need not be aligned: those of which no alignment
// can serve the purpose with an identity of need() or more. Alignments may be
// outlines (see complete).
//
// That these are all is seen so. An alignment that serves the purpose lies
// under one of the views of its strand, so its identity is no more than the
// highest ceiling of the views of both strands (see ceiling). Records are taken
// up by that, highest first; a ceiling that rests on a distance cut off at
// a limit is worked out further before the record is aligned. When the
// highest is below need(), all are. A ceiling equal to need() is still taken
// up, so ties are complete. need() never falls, and where several are taken up
// at a time some may turn out not to have been needed, which is no harm.
func (s *Scan) walk(keep func(record int) bool, p purpose, need func() float64, visit func(*Found)) error {
	var queue candidates
	for r := range s.states {
		if keep != nil && !keep(r) {
			continue
		}
		if f, ok := s.found[r]; ok {
			visit(f)
		} else if c, _ := s.highest(r, p); !math.IsInf(c, -1) {
			queue = append(queue, candidate{c, r})
		}
	}
	heap.Init(&queue)
	for {
		records, err := s.next(&queue, p, need())
		if err != nil || len(records) == 0 {
			return err
		}
		found, err := s.alignAll(records)
		if err != nil {
			return err
		}
		for _, f := range found {
			visit(f)
		}
	}
}

// next takes the highest records from the queue, of those with a ceiling of
// least or more: as many as are aligned side by side, but only one as long as
// every identity is enough, so that no more distances are worked out than
// it takes to know which is next.
func (s *Scan) next(queue *candidates, p purpose, least float64) ([]int, error) {
	most := 1
	if least > 0 {
		most = s.lanes.Width()
	}
	var records []int
	for q := *queue; len(records) < most && len(q) > 0 && q[0].ceiling >= least; q = *queue {
		if err := s.ctx.Err(); err != nil {
			return nil, err
		}
		r := q[0].record
		if _, v := s.highest(r, p); !s.states[r].views[v].done {
			s.deepen(r, v, least)
			q[0].ceiling, _ = s.highest(r, p)
			heap.Fix(queue, 0)
			continue
		}
		heap.Pop(queue)
		records = append(records, r)
	}
	return records, s.ctx.Err()
}

// candidate is a record with its ceiling.
type candidate struct {
	ceiling float64
	record  int
}

// candidates is a heap, the highest ceiling first, then library order.
type candidates []candidate

var _ heap.Interface = (*candidates)(nil)

func (c candidates) Len() int      { return len(c) }
func (c candidates) Swap(i, j int) { c[i], c[j] = c[j], c[i] }
func (c candidates) Less(i, j int) bool {
	if c[i].ceiling != c[j].ceiling {
		return c[i].ceiling > c[j].ceiling
	}
	return c[i].record < c[j].record
}
func (c *candidates) Push(x any) { *c = append(*c, x.(candidate)) }
func (c *candidates) Pop() any {
	last := (*c)[len(*c)-1]
	*c = (*c)[:len(*c)-1]
	return last
}
