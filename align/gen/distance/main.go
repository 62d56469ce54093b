// Command distance writes the assembly of align.PatternLanes: one routine for
// AVX2, one for AVX-512F.
//
//	go run ./gen/distance -out lanes_distance_amd64.s -stubs lanes_distance_stubs_amd64.go -pkg align
//
// in the folder of package align, or go generate ./align. What the routines
// work out is written out in Go at columnsGo.
package main

import (
	. "github.com/mmcloughlin/avo/build"
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

// signature is that of both routines: the state, the blocks with their
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
	avx512()
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

func avx512() {
	TEXT("distanceColumnsAVX512", NOSPLIT, signature)
	Doc("distanceColumnsAVX512 is columnsGo with eight lanes a register.")
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

	Label("column512")
	hp, hm := ZMM(), ZMM()
	VMOVDQA64(above, hp)
	VPXORQ(hm, hm, hm)
	block, profile, left := GP64(), GP64(), GP64()
	XORQ(block, block)
	MOVQ(a.profile, profile)
	MOVQ(a.blocks, left)
	pv, mv, e, xv, t, mh, ph, mhLast := ZMM(), ZMM(), ZMM(), ZMM(), ZMM(), ZMM(), ZMM(), ZMM()

	Label("block512")
	// The row of each lane's letter, of the sixteen in two registers.
	VMOVDQU64(Mem{Base: profile}, e)
	VPERMT2Q(Mem{Base: profile, Disp: 64}, letters, e)
	VMOVDQU64(Mem{Base: a.pv, Index: block, Scale: 1}, pv)
	VMOVDQU64(Mem{Base: a.mv, Index: block, Scale: 1}, mv)
	VPORQ(e, mv, xv)
	VPORQ(e, hm, e)
	VPANDQ(e, pv, t)
	VPADDQ(t, pv, t)
	VPTERNLOGQ(Imm(xorOr), e, pv, t)
	VPANDQ(t, pv, mhLast)
	VPTERNLOGQ(Imm(notOr), mv, pv, t)
	VMOVDQA64(t, ph)
	VPADDQ(t, t, t)
	VPORQ(t, hp, t)
	VPADDQ(mhLast, mhLast, mh)
	VPORQ(mh, hm, mh)
	VPSRLQ(Imm(63), ph, hp)
	VPSRLQ(Imm(63), mhLast, hm)
	VPANDQ(t, xv, mv)
	VPTERNLOGQ(Imm(notOr), mh, xv, t)
	VMOVDQU64(t, Mem{Base: a.pv, Index: block, Scale: 1})
	VMOVDQU64(mv, Mem{Base: a.mv, Index: block, Scale: 1})
	ADDQ(Imm(64), block)
	ADDQ(Imm(128), profile)
	DECQ(left)
	JNZ(LabelRef("block512"))

	VPSRLQ(out, ph, ph)
	VPSRLQ(out, mhLast, mhLast)
	VPANDQ(one, ph, ph)
	VPANDQ(one, mhLast, mhLast)
	VPADDQ(ph, at, at)
	VPSUBQ(mhLast, at, at)
	VPORQ(at, skipped, t)
	VPMINSQ(t, least, least)
	VPSRLQ(Imm(4), letters, letters)
	DECQ(a.columns)
	JNZ(LabelRef("column512"))

	VMOVDQU64(letters, field(text))
	VMOVDQU64(at, field(score))
	VMOVDQU64(least, field(best))
	VZEROUPPER()
	RET()
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
