package cross

import (
	"crypto/sha256"
	"encoding/binary"

	"forayseq/align"
)

// maxPairs bounds the pairs that are kept; with more they are forgotten, and
// compared anew. A batch of 500 has some ten thousand that lie near one another.
const maxPairs = 200_000

// Pairs keeps what pairs of barcodes came to, so that a batch of which one voucher
// changed is compared in the time that this one takes. It serves one Compare at a
// time, all with the same Params.
type Pairs struct{ of map[pairKey]aligned }

// NewPairs gives one in which nothing is known.
func NewPairs() *Pairs { return &Pairs{map[pairKey]aligned{}} }

// pairKey names two barcodes by all that is compared of them.
type pairKey [2][sha256.Size]byte

type aligned struct {
	link link
	near bool
}

// align compares two barcodes, or tells what they came to before: see alignPair.
func (c *comparison) align(x, y *barcode) (link, bool, error) {
	key := pairKey{x.sum(), y.sum()}
	if known, ok := c.pairs.of[key]; ok {
		return known.link, known.near, nil
	}
	l, near, err := c.alignPair(x, y)
	if err != nil {
		return l, near, err
	}
	if len(c.pairs.of) >= maxPairs {
		clear(c.pairs.of)
	}
	c.pairs.of[key] = aligned{l, near}
	return l, near, nil
}

// sum is the same for barcodes that compare alike.
func (b *barcode) sum() [sha256.Size]byte {
	if b.hash == nil {
		text := []byte{0}
		if b.isLocated {
			text[0] = 1
		}
		for _, v := range append([]align.Interval{b.exclude}, b.whole...) {
			text = binary.AppendVarint(binary.AppendVarint(text, int64(v.Start)), int64(v.End))
		}
		text = append(text, 0xff)
		sum := sha256.Sum256(append(text, b.seq...))
		b.hash = &sum
	}
	return *b.hash
}
