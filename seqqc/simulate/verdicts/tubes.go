package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
	"forayseq/seqqc/trace"
)

const (
	forward = "ITS1-F"
	reverse = "ITS4"
)

// tubeOf sequences a locus from both ends, one in eight as a chromatogram.
func (m maker) tubeOf(genus string, l simulate.Locus) (tube, error) {
	t, err := sequenced(genus, forward, reverse, nil, molecule{l.Seq(), 1})
	if m.rng.IntN(8) == 0 {
		good := simulate.Good()
		for i := range t.reads {
			t.reads[i].params = &good
		}
	}
	return t, err
}

type molecule struct {
	seq    []byte
	weight float64
}

func sequenced(genus, forward, reverse string, p *simulate.Params, molecules ...molecule) (tube, error) {
	var f, r []simulate.Template
	for _, m := range molecules {
		a, b, err := simulate.Amplicon(m.seq, forward, reverse)
		if err != nil {
			return tube{}, err
		}
		f = append(f, simulate.Template{Seq: a, Weight: m.weight})
		r = append(r, simulate.Template{Seq: b, Weight: m.weight})
	}
	return tube{genus, []read{{forward, f, p}, {reverse, r, p}}}, nil
}

// chimera joins two families between the spacers or inside one.
func (m maker) chimera() (voucher, error) {
	v, err := m.clean(1)
	if err != nil {
		return v, err
	}
	a := cladeOf(v.fieldGenus)
	b := drawn(m.rng, func(c clade) bool { return c.family != a.family })
	l, other := m.w.specimen(m.rng, a, ordinary[0]), m.w.specimen(m.rng, b, ordinary[0])
	seq := simulate.Locus{SSU: l.SSU, ITS1: l.ITS1, R58S: other.R58S, ITS2: other.ITS2, LSU: other.LSU}.Seq()
	if b.order == a.order && m.rng.IntN(2) == 0 { // others do not prime within a spacer
		if seq, err = simulate.Chimera(l.Seq(), other.Seq(), len(l.SSU)+len(l.ITS1)/2); err != nil {
			return v, err
		}
	}
	v.tube, err = sequenced("", forward, reverse, nil, molecule{seq, 1})
	v.dnaGenus = ""
	return v.undetermined(seqqc.PoorSequence, seqqc.CauseChimera), err
}

// mixed is a specimen with a quarter of the DNA of another genus.
func (m maker) mixed() (voucher, error) {
	v, err := m.clean(1)
	if err != nil {
		return v, err
	}
	own := cladeOf(v.fieldGenus)
	other := drawn(m.rng, func(c clade) bool { return c.family != own.family })
	good := simulate.Good()
	v.tube, err = sequenced(own.genus, forward, reverse, &good,
		molecule{m.w.specimen(m.rng, own, ordinary[0]).Seq(), 0.75}, molecule{m.w.specimen(m.rng, other, ordinary[0]).Seq(), 0.25})
	v.clean, v.cause = false, seqqc.CauseTwoTemplates
	return v, err
}

// poor is a specimen whose reads failed or broke off.
func (m maker) poor() (voucher, error) {
	v, err := m.clean(1)
	failed, short := simulate.Failed(), simulate.Good()
	failed.MaxBases, short.MaxBases = 300, 130+m.rng.IntN(40)
	reason := seqqc.NoSequence
	for i := range v.tube.reads {
		v.tube.reads[i].params = &failed
	}
	if m.rng.IntN(2) == 0 && err == nil {
		v.tube.reads[1].params, reason = &short, seqqc.PoorSequence
	}
	return v.undetermined(reason, seqqc.CausePoorReads), err
}

func (m maker) silent() (voucher, error) {
	v, err := m.clean(1)
	v.tube.reads = nil
	return v.undetermined(seqqc.NoSequence, seqqc.CauseReadsMissing), err
}

// otherLocus is the large subunit instead of the ITS.
func (m maker) otherLocus() (voucher, error) {
	v, err := m.clean(1)
	if err != nil {
		return v, err
	}
	l := m.w.specimen(m.rng, cladeOf(v.fieldGenus), ordinary[0])
	v.tube, err = sequenced(v.fieldGenus, "LR0R", "LR5", nil, molecule{l.Seq(), 1})
	return v.undetermined(seqqc.NotITS, seqqc.CauseOtherLocus), err
}

// silentBlank is a blank that worked.
func silentBlank() voucher {
	failed := simulate.Failed()
	failed.MaxBases = 300
	return voucher{kind: seqqc.Blank, truth: truth{scenario: "silent blank", verdict: seqqc.Undetermined, reason: seqqc.Control},
		tube: tube{reads: []read{{forward, nil, &failed}, {reverse, nil, &failed}}}}
}

// file gives the file of a read and its ending.
func (r read) file(rng *rand.Rand, name string) (data []byte, ending string, err error) {
	var out bytes.Buffer
	if r.params != nil {
		t, _ := simulate.Mixture(rng, r.templates, *r.params)
		t.Name = name
		err := trace.EncodeABIF(&out, t)
		return out.Bytes(), ".ab1", err
	}
	bases, quals := called(rng, r.templates[0].Seq)
	_, err = fmt.Fprintf(&out, "@%s\n%s\n+\n%s\n", name, bases, quals)
	return out.Bytes(), ".fastq", err
}

// called reads a strand without a trace: qualities as along a good read (14 on
// the first bases, 50, and from base 550 on one less in five bases), and errors as
// often as these say.
func called(rng *rand.Rand, strand []byte) (bases, quals []byte) {
	for i, b := range strand {
		q := 50
		switch {
		case i < 20:
			q = 14
		case i > 550:
			q = max(8, 50-(i-550)/5)
		}
		if rng.Float64() < math.Pow(10, -float64(q)/10) {
			b = "ACGT"[(strings.IndexByte("ACGT", b)+1+rng.IntN(3))%4]
		}
		bases, quals = append(bases, b), append(quals, byte('!'+q))
	}
	return bases, quals
}
