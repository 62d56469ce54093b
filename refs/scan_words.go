package refs

import "forayseq/align"

// gram is the length of the words by which clusters are known, gramRows how
// many such words there are, and blockClusters the clusters of one block of
// the index.
const (
	gram          = 6
	gramRows      = 1 << (2 * gram)
	blockWords    = 8
	blockClusters = 64 * blockWords
)

// gramBlock says of 512 clusters, or groups, which words of six bases lie in any of their
// units: one bit a cluster in the row of a word. Rows of a block lie together,
// so that a query reads one line of memory a word, and writing stays within
// 256 KB.
type gramBlock [gramRows * blockWords]uint64

func (b *gramBlock) row(word int) *[blockWords]uint64 {
	return (*[blockWords]uint64)(b[word*blockWords:])
}

// block gives block n of the words.
func (x *scanIndex) block(n int) *gramBlock {
	return (*gramBlock)(x.words[n*len(gramBlock{}):])
}

// enterWords makes what the clusters are known by besides their centres.
func (x *scanIndex) enterWords() {
	clusters, nodes := x.clusters(), x.clusters()+x.groups()
	x.least, x.most = make([]int32, nodes), make([]int32, nodes)
	x.ns, x.open = make([]int32, nodes), make([]int32, nodes)
	x.words = make([]uint64, wordsOf(clusters, x.groups()))
	x.tileStarts = []int32{0}
	x.wordCounts = make([]int32, x.groups())
	var seq []byte
	for c := range int32(clusters) {
		at := int(c % blockClusters)
		block := x.block(int(c / blockClusters))
		units, _ := x.membersOf(c)
		for i, u := range units {
			seq = x.appendLetters(seq[:0], u, 0)
			if i == 0 {
				x.tiles = appendTiles(x.tiles, seq)
				x.tileStarts = append(x.tileStarts, int32(len(x.tiles)))
				x.least[c] = x.bases[u]
			}
			x.least[c], x.most[c] = min(x.least[c], x.bases[u]), max(x.most[c], x.bases[u])
			x.ns[c] = max(x.ns[c], x.lengths[u]-x.bases[u])
			x.open[c] = max(x.open[c], int32(block.add(seq, at/64, 1<<(at%64))))
		}
	}
	for g := range int32(x.groups()) {
		node := int32(clusters) + g
		group, bit := x.place(node)
		first, end := x.clustersOf(g)
		x.least[node] = x.least[first]
		for c := first; c < end; c++ {
			x.least[node], x.most[node] = min(x.least[node], x.least[c]), max(x.most[node], x.most[c])
			x.ns[node], x.open[node] = max(x.ns[node], x.ns[c]), max(x.open[node], x.open[c])
		}
		for c := first; c < end; {
			// Those in one word of the block are looked at together.
			block, at := x.place(c)
			upto := min(end, c+64-at%64)
			mask := (^uint64(0) >> (64 - (upto - c))) << (at % 64)
			for row := range gramRows {
				if block.row(row)[at/64]&mask != 0 {
					group.row(row)[bit/64] |= 1 << (bit % 64)
				}
			}
			c = upto
		}
		for row := range gramRows {
			x.wordCounts[g] += int32(group.row(row)[bit/64] >> (bit % 64) & 1)
		}
	}
}

// placeOf gives the number of the bit of a cluster or a group, over all blocks.
func (x *scanIndex) placeOf(node int32) int32 {
	if g := node - int32(x.clusters()); g >= 0 {
		return int32(blocksOf(x.clusters()))*blockClusters + g
	}
	return node
}

// place gives the block that has the words of a cluster or a group, and its bit
// there.
func (x *scanIndex) place(node int32) (b *gramBlock, bit int32) {
	at := x.placeOf(node)
	return x.block(int(at / blockClusters)), at % blockClusters
}

// groupBlock gives block n of the words of the groups.
func (x *scanIndex) groupBlock(n int) *gramBlock { return x.block(blocksOf(x.clusters()) + n) }

// blocksOf gives the blocks that so many clusters or groups take, wordsOf the
// length of scanIndex.words.
func blocksOf(n int) int { return (n + blockClusters - 1) / blockClusters }
func wordsOf(clusters, groups int) int {
	return (blocksOf(clusters) + blocksOf(groups)) * len(gramBlock{})
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
			b.row(code)[word] |= bit
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
		b.row(code)[word] |= bit
		return
	}
	mask := align.Mask(window[0])
	for base := range 4 {
		if mask>>base&1 != 0 {
			b.expand(window[1:], code<<2|base, word, bit)
		}
	}
}

// noTile stands for a tile with letters that stand for several bases.
const noTile = gramRows

// appendTiles appends the tiles of a sequence, the words at its positions 0, 6,
// 12 and so on.
func appendTiles(dst []uint16, seq []byte) []uint16 {
	for ; len(seq) >= gram; seq = seq[gram:] {
		code := 0
		for _, c := range seq[:gram] {
			base, ok := plainBase(c)
			if !ok {
				code = noTile
				break
			}
			code = code<<2 | base
		}
		dst = append(dst, uint16(code))
	}
	return dst
}

// tilesOf gives the tiles of the centre of a cluster.
func (x *scanIndex) tilesOf(cluster int32) []uint16 {
	return x.tiles[x.tileStarts[cluster]:x.tileStarts[cluster+1]]
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
