// Command distance writes the assembly of align.PatternLanes: one routine for
// AVX2, one for AVX-512F and one for that with VBMI2.
//
//	go run ./gen/distance -out lanes_distance_amd64.s -stubs lanes_distance_stubs_amd64.go -pkg align
//
// in the folder of package align, or go generate ./align. What the routines
// work out is written out in Go at columnsGo.
package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/ir"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// Offsets of the fields of laneState.
const (
	text = 64 * iota
	top
	score
	best
	skip
)

// signature is that of all routines: the state, the blocks with their
// profile, how many blocks and columns (one or more), and the bit of the last block
// that score follows.
const signature = "func(state, pv, mv, profile *uint64, blocks, columns int, out uint64)"

// notOr is the truth table of c | ^(a | b), xorOr that of a ^ b | c.
const (
	notOr = 0xab
	xorOr = 0xbe
)

func main() {
	ConstraintExpr("!purego")
	avx512("distanceColumnsVBMI2", true)
	avx512("distanceColumnsAVX512", false)
	avx2()
	Generate()
}

// arguments are those of signature in registers.
type arguments struct {
	state, pv, mv, profile, blocks, columns, out reg.Register
}

func load() arguments {
	get := func(name string) reg.Register { return Load(Param(name), GP64()) }
	return arguments{get("state"), get("pv"), get("mv"), get("profile"), get("blocks"), get("columns"), get("out")}
}

// avx512 writes a routine with AVX-512F, or with the shifts across two registers
// of AVX-512 VBMI2 too. It goes through two columns at a time, so that what a block
// holds is loaded and stored once for both.
func avx512(name string, double bool) {
	TEXT(name, NOSPLIT, signature)
	Doc(name + " is columnsGo with eight lanes a register.")
	a := load()
	field := func(offset int) Mem { return Mem{Base: a.state, Disp: offset} }
	out := XMM()
	VMOVQ(a.out, out)
	letters, above, at, least, skipped, one := ZMM(), ZMM(), ZMM(), ZMM(), ZMM(), ZMM()
	VMOVDQU64(field(text), letters)
	VMOVDQU64(field(top), above)
	VMOVDQU64(field(score), at)
	VMOVDQU64(field(best), least)
	VMOVDQU64(field(skip), skipped)
	VPTERNLOGQ(Imm(0xff), one, one, one)
	VPSRLQ(Imm(63), one, one)
	block, profile, left := GP64(), GP64(), GP64()

	// through writes a pass through the blocks for the columns of some letters.
	through := func(label string, letters ...reg.VecVirtual) {
		columns := make([]column, len(letters))
		for i := range columns {
			columns[i] = newColumn(double, above)
		}
		XORQ(block, block)
		MOVQ(a.profile, profile)
		MOVQ(a.blocks, left)
		Label(label)
		low, high, pv, mv := ZMM(), ZMM(), ZMM(), ZMM()
		VMOVDQU64(Mem{Base: profile}, low)
		VMOVDQU64(Mem{Base: profile, Disp: 64}, high)
		VMOVDQU64(Mem{Base: a.pv, Index: block, Scale: 1}, pv)
		VMOVDQU64(Mem{Base: a.mv, Index: block, Scale: 1}, mv)
		for i, c := range columns {
			// The row of each lane's letter, of the sixteen in two registers.
			e := ZMM()
			VMOVDQA64(letters[i], e)
			VPERMI2Q(high, low, e)
			c.step(e, pv, mv)
		}
		VMOVDQU64(pv, Mem{Base: a.pv, Index: block, Scale: 1})
		VMOVDQU64(mv, Mem{Base: a.mv, Index: block, Scale: 1})
		ADDQ(Imm(64), block)
		ADDQ(Imm(128), profile)
		DECQ(left)
		JNZ(LabelRef(label))
		for _, c := range columns {
			t := ZMM()
			VPSRLQ(out, c.ph, c.ph)
			VPSRLQ(out, c.mh, c.mh)
			VPANDQ(one, c.ph, c.ph)
			VPANDQ(one, c.mh, c.mh)
			VPADDQ(c.ph, at, at)
			VPSUBQ(c.mh, at, at)
			VPORQ(at, skipped, t)
			VPMINSQ(t, least, least)
		}
	}

	SUBQ(Imm(2), a.columns)
	JLT(LabelRef("odd"))
	Label("pair")
	next := ZMM()
	VPSRLQ(Imm(4), letters, next)
	through("pairBlock", letters, next)
	VPSRLQ(Imm(4), next, letters)
	SUBQ(Imm(2), a.columns)
	JGE(LabelRef("pair"))

	Label("odd")
	CMPQ(a.columns, I32(-1))
	JNE(LabelRef("done"))
	through("oddBlock", letters)
	VPSRLQ(Imm(4), letters, letters)

	Label("done")
	VMOVDQU64(letters, field(text))
	VMOVDQU64(at, field(score))
	VMOVDQU64(least, field(best))
	VZEROUPPER()
	RET()
}

// column is what goes down a column from block to block: the horizontal
// differences of the last row, hm as the lowest bit, hp too where there is no
// shift across two registers; and all those of the block, ph and mh.
type column struct {
	hp, hm, ph, mh reg.VecVirtual
	double         bool
}

// newColumn sets up a column for its first block, above which D rises where above
// is 1.
func newColumn(double bool, above reg.VecVirtual) column {
	c := column{ZMM(), ZMM(), ZMM(), ZMM(), double}
	VPXORQ(c.hm, c.hm, c.hm)
	if double {
		VPSLLQ(Imm(63), above, c.ph)
		VPXORQ(c.mh, c.mh, c.mh)
	} else {
		VMOVDQA64(above, c.hp)
	}
	return c
}

// step takes a block through the column: pv and mv become what they are behind it,
// where e are the rows that the letter matches.
func (c column) step(e, pv, mv reg.VecVirtual) {
	xv, t, mh := ZMM(), ZMM(), ZMM()
	VPORQ(e, mv, xv)
	VPORQ(e, c.hm, e)
	VPANDQ(e, pv, t)
	VPADDQ(t, pv, t)
	VPTERNLOGQ(Imm(xorOr), e, pv, t)
	VPANDQ(t, pv, mh)
	VPTERNLOGQ(Imm(notOr), mv, pv, t)
	last := ZMM()
	if c.double {
		shiftIn(c.ph, t, pv)
		shiftIn(c.mh, mh, last)
	} else {
		VPADDQ(t, t, pv)
		VPORQ(pv, c.hp, pv)
		VPADDQ(mh, mh, last)
		VPORQ(last, c.hm, last)
		VPSRLQ(Imm(63), t, c.hp)
	}
	VPSRLQ(Imm(63), mh, c.hm)
	VMOVDQA64(t, c.ph)
	VMOVDQA64(mh, c.mh)
	VPANDQ(pv, xv, mv)
	VPTERNLOGQ(Imm(notOr), last, xv, pv)
}

// shiftIn writes VPSHLDQ, which avo does not know: to is v shifted left by one
// bit, its lowest bit the highest of low.
func shiftIn(low, v, to reg.VecVirtual) {
	Instruction(&ir.Instruction{
		Opcode:   "VPSHLDQ",
		Operands: []Op{Imm(1), low, v, to},
		Inputs:   []Op{low, v},
		Outputs:  []Op{to},
		ISA:      []string{"AVX512VBMI2"},
	})
}

func avx2() {
	TEXT("distanceColumnsAVX2", NOSPLIT, signature)
	Doc("distanceColumnsAVX2 is columnsGo with four lanes a register, the first four lanes before the others.")
	a := load()
	field := func(offset int) Mem { return Mem{Base: a.state, Disp: offset} }
	halves, columns := GP64(), GP64()
	MOVQ(U32(2), halves)
	ones := YMM()
	VPCMPEQQ(ones, ones, ones)

	Label("half2")
	MOVQ(a.columns, columns)

	Label("column2")
	// By base: all bits of the lanes whose letter stands for it.
	var has [4]reg.VecVirtual
	letters, zero := YMM(), YMM()
	VMOVDQU(field(text), letters)
	VPXOR(zero, zero, zero)
	for i := range has {
		has[i] = YMM()
		VPSLLQ(Imm(uint64(63-i)), letters, has[i])
		VPCMPGTQ(has[i], zero, has[i])
	}
	VPSRLQ(Imm(4), letters, letters)
	VMOVDQU(letters, field(text))
	hp, hm := YMM(), YMM()
	VMOVDQU(field(top), hp)
	VPXOR(hm, hm, hm)
	block, profile, left := GP64(), GP64(), GP64()
	XORQ(block, block)
	MOVQ(a.profile, profile)
	MOVQ(a.blocks, left)
	pv, mv, e, xv, t, ph, mh := YMM(), YMM(), YMM(), YMM(), YMM(), YMM(), YMM()

	Label("block2")
	// The rows of a set of bases are those of its bases.
	for i := range has {
		if i == 0 {
			VPBROADCASTQ(Mem{Base: profile, Disp: 8}, e)
			VPAND(has[0], e, e)
			continue
		}
		VPBROADCASTQ(Mem{Base: profile, Disp: 8 << i}, t)
		VPAND(has[i], t, t)
		VPOR(t, e, e)
	}
	VMOVDQU(Mem{Base: a.pv, Index: block, Scale: 1}, pv)
	VMOVDQU(Mem{Base: a.mv, Index: block, Scale: 1}, mv)
	VPOR(e, mv, xv)
	VPOR(e, hm, e)
	VPAND(e, pv, t)
	VPADDQ(t, pv, t)
	VPXOR(t, pv, t)
	VPOR(t, e, t)
	VPAND(t, pv, mh)
	VPOR(t, pv, t)
	VPXOR(t, ones, t)
	VPOR(t, mv, ph)
	VPADDQ(ph, ph, t)
	VPOR(t, hp, t)
	VPADDQ(mh, mh, e)
	VPOR(e, hm, e)
	VPSRLQ(Imm(63), ph, hp)
	VPSRLQ(Imm(63), mh, hm)
	VPAND(t, xv, mv)
	VPOR(t, xv, t)
	VPXOR(t, ones, t)
	VPOR(t, e, t)
	VMOVDQU(t, Mem{Base: a.pv, Index: block, Scale: 1})
	VMOVDQU(mv, Mem{Base: a.mv, Index: block, Scale: 1})
	ADDQ(Imm(64), block)
	ADDQ(Imm(128), profile)
	DECQ(left)
	JNZ(LabelRef("block2"))

	out, one := XMM(), YMM()
	VMOVQ(a.out, out)
	VPSRLQ(Imm(63), ones, one)
	VPSRLQ(out, ph, ph)
	VPSRLQ(out, mh, mh)
	VPAND(one, ph, ph)
	VPAND(one, mh, mh)
	VPADDQ(field(score), ph, t)
	VPSUBQ(mh, t, t)
	VMOVDQU(t, field(score))
	VPOR(field(skip), t, t)
	least := YMM()
	VMOVDQU(field(best), least)
	VPCMPGTQ(t, least, mh)
	VBLENDVPD(mh, t, least, least)
	VMOVDQU(least, field(best))
	DECQ(columns)
	JNZ(LabelRef("column2"))

	// The other four lanes.
	ADDQ(Imm(32), a.state)
	ADDQ(Imm(32), a.pv)
	ADDQ(Imm(32), a.mv)
	DECQ(halves)
	JNZ(LabelRef("half2"))
	VZEROUPPER()
	RET()
}
