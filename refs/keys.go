package refs

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
)

// Keys gives a key of each record: what a search may find, and under which name.
// Records of two libraries with one key are alike in id, sequence, name as read
// and as the table of names has it, and lineage; of records alike in one library
// each has a key of its own. Keys are 64 bits of a SHA-256, so that two records
// of 100,000 that differ share one with a chance of about 3 in 10^10.
func (l *Library) Keys() []uint64 {
	keys := make([]uint64, l.Len())
	seen := make(map[uint64]int, len(keys))
	var buf []byte
	for i, r := range l.All() {
		buf = fmt.Appendf(buf[:0], "%q %q %+v %+v %q", r.ID, r.Seq, r.Name, r.Lineage, l.Current(r.Name).Taxon())
		key := shortSum(buf)
		for again := seen[key]; again > 0; again = seen[key] {
			key = shortSum(fmt.Appendf(buf[:0], "%d again", key))
		}
		seen[key]++
		keys[i] = key
	}
	return keys
}

func shortSum(text []byte) uint64 {
	sum := sha256.Sum256(text)
	return binary.BigEndian.Uint64(sum[:])
}

// SearchKey stands for a query and what of a library was asked.
type SearchKey [16]byte

// Answer is what a search of a library found, by the keys of its records: all
// that was asked for and has an identity of Level or more, -1 for any, and ranks
// no lower than the last of Records where there are as many as were asked for.
type Answer struct {
	Level   float64
	Records []uint64
}
