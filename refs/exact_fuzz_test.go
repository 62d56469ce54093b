package refs_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"forayseq/align"
	"forayseq/refs"
)

// FuzzScanExact reads any bytes as a small library with a query, and holds the
// search against aligning every record.
func FuzzScanExact(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{0, 0, 0, 40, 0x11, 0x28, 0x84, 0x12, 0x48})
	for seed := range 40 {
		r := rand.New(rand.NewPCG(uint64(seed), 7))
		data := make([]byte, 40+r.IntN(160))
		for i := range data {
			data[i] = byte(r.Uint32())
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 250 {
			return // made of more than it takes, and slow
		}
		c, r := caseOfBytes(data)
		checkCase(t, r, c.library(), c)
	})
}

// caseOfBytes makes a case of any bytes, and what draws the questions. After
// the gate and the ends of the intervals each sequence, of which the query is
// the first, begins with a byte that says how it is made: letters, or a copy of
// an earlier one, whole, turned or in part, changed in some places.
func caseOfBytes(data []byte) (exactCase, *rand.Rand) {
	next := func() int {
		if len(data) == 0 {
			return 0
		}
		b := data[0]
		data = data[1:]
		return int(b)
	}
	r := rand.New(rand.NewPCG(uint64(next()), 1))
	g := refs.Gate{MinCoveragePct: float64(next() % 104), MinOutside: next() % 64}
	ends := []int{next(), next(), next(), next()}
	wholes := next()
	var seqs [][]byte
	for total := 0; (len(data) > 0 || len(seqs) < 2) && total < 700; {
		var seq []byte
		if how := next(); how%4 == 0 || len(seqs) == 0 {
			// Most letters are plain: two a byte, or one a byte of any code.
			for range how / 4 {
				if b := next(); how%8 < 6 {
					seq = append(seq, "ACGT"[b&3], "ACGT"[b>>2&3], "ACGT"[b>>4&3])
				} else {
					seq = append(seq, align.Code(uint8(1+b%15)))
				}
			}
		} else {
			seq = slices.Clone(seqs[next()%len(seqs)])
			if how&4 != 0 {
				seq = align.ReverseComplement(seq)
			}
			if how&8 != 0 {
				lo := next() % (len(seq) + 1)
				seq = seq[lo:]
			}
			for range how >> 4 {
				at, b := next()%(len(seq)+1), next()
				letter := []byte{align.Code(uint8([]int{1, 2, 4, 8}[b>>2&3]))}
				if b > 220 {
					letter[0] = align.Code(uint8(1 + b%15))
				}
				switch b & 3 {
				case 0:
					seq = slices.Concat(seq[:at], letter, seq[at:])
				case 1:
					seq = slices.Concat(seq[:at], seq[min(len(seq), at+1+b>>6):])
				default:
					seq = slices.Concat(seq[:at], letter, seq[min(len(seq), at+1):])
				}
			}
		}
		total += len(seq)
		seqs = append(seqs, seq)
	}
	q := refs.Query{Seq: seqs[0]}
	for i := range ends {
		ends[i] %= len(q.Seq) + 1
	}
	slices.Sort(ends)
	q.Exclude = align.Interval{Start: ends[1], End: ends[2]}
	for i, v := range []align.Interval{{Start: ends[0], End: ends[1]}, {Start: ends[2], End: ends[3]}} {
		if wholes>>i&1 != 0 {
			q.Whole = append(q.Whole, v)
		}
	}
	// The query itself is a record now and then.
	if wholes&4 == 0 {
		seqs = seqs[1:]
	}
	return exactCase{seqs, q, g}, r
}
