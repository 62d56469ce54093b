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

// Answer is what a search of a library found, and how far that goes.
type Answer struct {
	// Level is the identity, -1 for any, below which nothing mattered.
	Level float64
	// End is the lower end of the window, above 100 where there was none: of what
	// was asked for, all with this identity or more is among Records.
	End float64
	// Identity, Coverage and Score are those of the last of as many as were asked
	// for: all that ranks no lower is among Records. Identity is -1 where there
	// were fewer: then all down to the least identity asked for is.
	Identity, Coverage, Score float64
	// Records are the keys of those found.
	Records []uint64
}
