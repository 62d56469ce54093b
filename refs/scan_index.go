package refs

import (
	"cmp"
	"slices"

	"forayseq/align"
)

// gram is the length of the words by which records are known, rows how many
// such words there are, and blockRecords the records of one block of the index.
const (
	gram         = 6
	gramRows     = 1 << (2 * gram)
	blockWords   = 8
	blockRecords = 64 * blockWords
)

// gramBlock says of 512 records which words of six bases lie in each: one bit
// a record in the row of a word. Rows of a block lie together, so that a query
// reads one line of memory a word, and writing stays within 256 KB.
type gramBlock [gramRows][blockWords]uint64

// scanIndex is what all Scans of a library share: 512 bytes a record for the
// words, and the record's sequence at half a byte a base.
type scanIndex struct {
	bases    []int32        // by record: letters that are not N
	open     []int32        // by record: windows that may be any word, see add
	packed   []align.Packed // by record
	byLength []int32        // the records, the shortest first
	blocks   []gramBlock
}

// scanIndexOf gives the index of a library, made when first asked for.
func (l *Library) scanIndexOf() *scanIndex {
	l.scanOnce.Do(func() {
		x := &scanIndex{
			bases:    make([]int32, len(l.Records)),
			open:     make([]int32, len(l.Records)),
			packed:   make([]align.Packed, len(l.Records)),
			byLength: make([]int32, len(l.Records)),
			blocks:   make([]gramBlock, (len(l.Records)+blockRecords-1)/blockRecords),
		}
		for r := range l.Records {
			seq := l.Records[r].Seq
			x.bases[r] = int32(countBases(seq))
			x.packed[r] = align.Pack(seq)
			x.byLength[r] = int32(r)
			at := r % blockRecords
			x.open[r] = int32(x.blocks[r/blockRecords].add(seq, at/64, 1<<(at%64)))
		}
		slices.SortStableFunc(x.byLength, func(a, b int32) int {
			return cmp.Compare(x.packed[a].Len(), x.packed[b].Len())
		})
		l.scanIndex = x
	})
	return l.scanIndex
}

// maxOpen is the most letters of a window that stand for several bases for
// which all words that it may be are entered.
const maxOpen = 2

// add enters the words of a sequence. Where letters stand for several bases,
// all words that the window may be are entered, unless there are more than
// maxOpen of them; open is the most such windows that lie apart from one
// another. A window with a letter that is no code is no word.
func (b *gramBlock) add(seq []byte, word int, bit uint64) (open int) {
	code, plain, end := 0, 0, 0 // of the last letters; how many of them are plain; of the last open window
	for i, c := range seq {
		base, ok := plainBase(c)
		if !ok {
			plain = 0
		} else {
			code = (code<<2 | base) & (gramRows - 1)
			plain++
		}
		switch {
		case plain >= gram:
			b[code][word] |= bit
		case i+1 >= gram:
			window := seq[i+1-gram : i+1]
			switch several, valid := openLetters(window); {
			case !valid:
			case several <= maxOpen:
				b.expand(window, 0, word, bit)
			case i+1-gram >= end:
				open++
				end = i + 1
			}
		}
	}
	return open
}

// openLetters counts the letters that stand for several bases; false where one
// stands for none.
func openLetters(window []byte) (n int, valid bool) {
	for _, c := range window {
		if align.Mask(c) == 0 {
			return 0, false
		}
		if !align.Plain(c) {
			n++
		}
	}
	return n, true
}

// expand enters all words that begin with code and go on as one of those that
// window may be.
func (b *gramBlock) expand(window []byte, code, word int, bit uint64) {
	if len(window) == 0 {
		b[code][word] |= bit
		return
	}
	mask := align.Mask(window[0])
	for base := range 4 {
		if mask>>base&1 != 0 {
			b.expand(window[1:], code<<2|base, word, bit)
		}
	}
}

// plainBase gives the number of a base, in the order of the bits of align.Mask;
// false for a letter that is none of A, C, G, T.
func plainBase(c byte) (int, bool) {
	switch align.Mask(c) {
	case align.MaskA:
		return 0, true
	case align.MaskC:
		return 1, true
	case align.MaskG:
		return 2, true
	case align.MaskT:
		return 3, true
	}
	return 0, false
}
