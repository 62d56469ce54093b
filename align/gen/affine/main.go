// Command affine writes the assembly of align.Lanes: one
// routine for AVX2, one for AVX-512F.
//
//	go run ./gen/affine -out lanes_affine_amd64.s -stubs lanes_affine_stubs_amd64.go -pkg align
//
// in the folder of package align, or go generate ./align. What the routines
// work out is written out in Go at laneBlock, in the package's tests.
package main

import (
	"fmt"

	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/gotypes"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// The words of a cell, each a vector of one value a lane.
const (
	key = iota
	one
	two
	gapKey // of E in state, of F in top and bottom
	gapOne
	gapTwo
	cellWords
)

// The words of a kind of row in profile.
const (
	pairKey = iota
	pairOne
	pairTwo
	onlyBTwo
	onlyATwo
	kindWords
)

// penalties of Scoring ITS and K = 8192: open and first base, next base.
const (
	open   = 6*8192 + 1
	extend = 2*8192 + 1
)

func main() {
	ConstraintExpr("!purego")
	for _, f := range []form{{name: "laneBlockAVX2", bytes: 32}, {name: "laneBlockAVX512", bytes: 64, wide: true}} {
		f.write()
	}
	Generate()
}

// form is one of the two routines.
type form struct {
	name  string
	bytes int // of a vector
	wide  bool
}

func (f form) vector() reg.VecVirtual {
	if f.wide {
		return ZMM()
	}
	return YMM()
}

func (f form) load(at Mem, v Op) {
	if f.wide {
		VMOVDQU32(at, v)
	} else {
		VMOVDQU(at, v)
	}
}

func (f form) store(v Op, at Mem) {
	if f.wide {
		VMOVDQU32(v, at)
	} else {
		VMOVDQU(v, at)
	}
}

func (f form) move(from, to Op) {
	if f.wide {
		VMOVDQA32(from, to)
	} else {
		VMOVDQA(from, to)
	}
}

// word is the nth vector from base on.
func (f form) word(base reg.Register, n int) Mem { return Mem{Base: base, Disp: n * f.bytes} }

func (f form) broadcast(value int) reg.VecVirtual {
	r, x, v := GP32(), XMM(), f.vector()
	MOVL(U32(value), r)
	if f.wide {
		VPBROADCASTD(r, v)
		return v
	}
	VMOVD(r, x)
	VPBROADCASTD(x, v)
	return v
}

// gap sets g, three words, to the better of opening a gap after h and going
// on with g; where both are as good it is opened: the shorter gap.
func (f form) gap(h, g [3]Op, into [3]reg.VecVirtual, opening, extending reg.VecVirtual) {
	fresh := f.vector()
	VPSUBD(opening, h[key], fresh)
	if _, inMemory := g[key].(Mem); inMemory {
		f.load(g[key].(Mem), into[key])
	}
	VPSUBD(extending, into[key], into[key])
	if f.wide {
		k := K()
		VPCMPGTD(fresh, into[key], k)
		VPMAXSD(fresh, into[key], into[key])
		for _, w := range []int{one, two} {
			VPBLENDMD(g[w], h[w], k, into[w])
		}
		return
	}
	mask := f.vector()
	VPCMPGTD(fresh, into[key], mask)
	VPMAXSD(fresh, into[key], into[key])
	for _, w := range []int{one, two} {
		VPBLENDVB(mask, g[w], h[w], into[w])
	}
}

// better sets d, three words, to g where g is better.
func (f form) better(g, d [3]reg.VecVirtual) {
	if f.wide {
		k := K()
		VPCMPGTD(d[key], g[key], k)
		VPMAXSD(d[key], g[key], d[key])
		for _, w := range []int{one, two} {
			VMOVDQA32(g[w], k, d[w])
		}
		return
	}
	mask := f.vector()
	VPCMPGTD(d[key], g[key], mask)
	VPMAXSD(d[key], g[key], d[key])
	for _, w := range []int{one, two} {
		VPBLENDVB(mask, g[w], d[w], d[w])
	}
}

// profile works out the words of every kind of row for the letters of a
// column.
func (f form) profile(letters Mem, tables, profile reg.Register, kinds Mem) {
	y := f.vector()
	f.load(letters, y)
	from, to, count := GP64(), GP64(), GP64()
	MOVQ(tables, from)
	MOVQ(profile, to)
	MOVQ(kinds, count)
	var high reg.VecVirtual
	if !f.wide {
		high = f.vector()
		VPSLLD(U8(28), y, high)
	}
	Label(f.name + "_kind")
	for w := range kindWords {
		v := f.vector()
		if f.wide {
			VPERMD(Mem{Base: from, Disp: 64 * w}, y, v)
		} else {
			v2 := f.vector()
			VPERMD(Mem{Base: from, Disp: 64 * w}, y, v)
			VPERMD(Mem{Base: from, Disp: 64*w + 32}, y, v2)
			VBLENDVPS(high, v2, v, v)
		}
		f.store(v, f.word(to, w))
	}
	ADDQ(U32(64*kindWords), from)
	ADDQ(U32(f.bytes*kindWords), to)
	DECQ(count)
	JNZ(LabelRef(f.name + "_kind"))
}

func (f form) write() {
	TEXT(f.name, NOSPLIT, "func(rows, columns, kinds int, kind []uint32, letters, tables, profile, state, top, bottom []int32)")
	Doc(fmt.Sprintf("%s is a laneForm of %d lanes.", f.name, f.bytes/4))
	Pragma("noescape")
	slice := func(name string) reg.GPVirtual { return Load(Param(name).Base(), GP64()).(reg.GPVirtual) }
	// What is needed once a column stays in memory.
	again := func(c gotypes.Component) Mem {
		b, err := c.Resolve()
		if err != nil {
			panic(err)
		}
		return b.Addr
	}
	letters, top, bottom := slice("letters"), slice("top"), slice("bottom")
	tables, profile := slice("tables"), slice("profile")
	columns := Load(Param("columns"), GP64()).(reg.GPVirtual)
	opening, extending := f.broadcast(open), f.broadcast(extend)

	Label(f.name + "_column")
	f.profile(Mem{Base: letters}, tables, profile, again(Param("kinds")))

	// The cell above the first row in the column before is the first diagonal
	// one.
	var d, h, gap [3]reg.VecVirtual
	for w := range d {
		d[w], h[w], gap[w] = f.vector(), f.vector(), f.vector()
		f.load(f.word(top, w), d[w])
		f.load(f.word(top, cellWords+w), h[w])
		f.load(f.word(top, cellWords+gapKey+w), gap[w])
	}
	rows, state, kind := GP64(), GP64(), GP64()
	MOVQ(again(Param("rows")), rows)
	MOVQ(again(Param("state").Base()), state)
	MOVQ(again(Param("kind").Base()), kind)

	Label(f.name + "_row")
	row := GP64()
	MOVLQZX(Mem{Base: kind}, row)
	ADDQ(profile, row)

	// F, from the row above.
	f.gap([3]Op{h[0], h[1], h[2]}, [3]Op{gap[0], gap[1], gap[2]}, gap, opening, extending)
	VPADDD(f.word(row, onlyATwo), gap[two], gap[two])

	// E, from the column before.
	var left, e [3]reg.VecVirtual
	for w := range left {
		left[w], e[w] = f.vector(), f.vector()
		f.load(f.word(state, w), left[w])
	}
	f.gap([3]Op{left[0], left[1], left[2]},
		[3]Op{f.word(state, gapKey), f.word(state, gapOne), f.word(state, gapTwo)}, e, opening, extending)
	VPADDD(f.word(row, onlyBTwo), e[two], e[two])
	for w := range e {
		f.store(e[w], f.word(state, gapKey+w))
	}

	// H: a pair before OnlyB before OnlyA. It takes the place of the diagonal,
	// which keeps the AVX2 form within 16 registers.
	for w := range d {
		VPADDD(f.word(row, pairKey+w), d[w], d[w])
	}
	f.better(e, d)
	f.better(gap, d)
	for w := range d {
		f.store(d[w], f.word(state, w))
		f.move(d[w], h[w])
		f.move(left[w], d[w])
	}
	ADDQ(U32(cellWords*f.bytes), state)
	ADDQ(Imm(4), kind)
	DECQ(rows)
	JNZ(LabelRef(f.name + "_row"))

	ADDQ(U32(cellWords*f.bytes), top)
	ADDQ(U32(cellWords*f.bytes), bottom)
	for w := range h {
		f.store(h[w], f.word(bottom, w))
		f.store(gap[w], f.word(bottom, gapKey+w))
	}
	ADDQ(Imm(uint64(f.bytes)), letters)
	DECQ(columns)
	JNZ(LabelRef(f.name + "_column"))
	VZEROUPPER()
	RET()
}
