package refs

import (
	"fmt"
	"math"
	"slices"
	"unsafe"
)

// texts are strings one behind the other.
type texts struct {
	bytes []uint8
	ends  []uint64 // in bytes; a text begins where the one before ends
}

func (t *texts) add(s string) {
	t.bytes = append(t.bytes, s...)
	t.ends = append(t.ends, uint64(len(t.bytes)))
}

func (t *texts) arrays(name string) []array {
	return []array{arrayOf(name+" ends", &t.ends), arrayOf(name, &t.bytes)}
}

// check reports whether each text lies in the bytes.
func (t *texts) check() bool {
	return slices.IsSorted(t.ends) && (len(t.ends) == 0 || t.ends[len(t.ends)-1] <= uint64(len(t.bytes)))
}

func (t *texts) len(i uint32) uint64 { return t.ends[i] - t.start(i) }

func (t *texts) start(i uint32) uint64 {
	if i == 0 {
		return 0
	}
	return t.ends[i-1]
}

// at gives a text where it lies, without copying: a mapped file stays mapped
// (see OpenIndex).
func (t *texts) at(i uint32) string {
	start, end := t.start(i), t.ends[i]
	if start == end {
		return ""
	}
	return unsafe.String(&t.bytes[start], int(end-start))
}

// pool numbers strings, the empty one 0.
type pool struct {
	texts
	numbers map[string]uint32
}

func newPool() *pool {
	p := &pool{numbers: make(map[string]uint32)}
	p.number("")
	return p
}

func (p *pool) number(s string) uint32 {
	n, ok := p.numbers[s]
	if !ok {
		n = uint32(len(p.ends))
		p.numbers[s] = n
		p.add(s)
	}
	return n
}

// lineageTable numbers lineages, each seven numbers of a pool.
type lineageTable struct {
	rows    []uint32
	numbers map[Lineage]uint32
}

const lineageWidth = int(Species) // one for each of Ranks

func (t *lineageTable) number(l Lineage, names *pool) uint32 {
	n, ok := t.numbers[l]
	if !ok {
		n = uint32(len(t.rows) / lineageWidth)
		t.numbers[l] = n
		for _, r := range Ranks {
			t.rows = append(t.rows, names.number(l.At(r)))
		}
	}
	return n
}

// fits32 gives n as a number of a row.
func fits32(what string, n int) (uint32, error) {
	if n < 0 || n > math.MaxUint32 {
		return 0, fmt.Errorf("%s %d does not fit a cached index", what, n)
	}
	return uint32(n), nil
}
