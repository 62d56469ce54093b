package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// noise is a level of noise by name.
type noise struct {
	name string
	p    simulate.Params
}

// simulated are the rows made with invented DNA: number samples each, clean of
// the row without any phenomenon.
func simulated(w world, number, clean int) []phenomenon {
	noises := []noise{{"clean", simulate.Good()}, {"ordinary", simulate.Fair()}, {"noisy", simulate.Poor()}}
	var out []phenomenon
	for i, z := range noises {
		n := clean
		if i > 0 {
			n = number
		}
		out = append(out, phenomenon{"one template", "-", z.name, n, func(rng *rand.Rand, _ int) (sample, error) {
			l, _ := w.any(rng)
			return pair(rng, z.p, molecule{l.Seq(), 1})
		}, []question{falseFlag(seqqc.MixedTemplate), falseFlag(seqqc.IndelHeterozygote), alarms(), falseCodes, contigRight}})
	}
	for _, z := range noises {
		for _, pct := range []int{5, 10, 15, 25, 40, 50} {
			out = append(out, twoTaxa(w, z, pct, number))
		}
	}
	for _, z := range noises {
		for _, pct := range []int{50, 30, 15} {
			out = append(out, doublePeaks(w, z, pct, number))
		}
		out = append(out, indelRows(w, z, number)...)
		out = append(out, chimeraRows(w, z, number)...)
		out = append(out, separate(w, z, number), inner(w, z, number))
	}
	return append(out, artefacts(w, number)...)
}

func twoTaxa(w world, z noise, pct, number int) phenomenon {
	questions := []question{found(seqqc.MixedTemplate), alarms(seqqc.MixedTemplate), otherNamed}
	if pct < 50 {
		questions = append(questions, mainNamed)
	}
	return phenomenon{"two taxa", fmt.Sprintf("%d %%", pct), z.name, number, func(rng *rand.Rand, _ int) (sample, error) {
		a, b, ga, gb := w.two(rng)
		s, err := pair(rng, z.p, molecule{a.Seq(), float64(100 - pct)}, molecule{b.Seq(), float64(pct)})
		s.truth.genus, s.truth.other, s.truth.reads = genera[ga], genera[gb], nil
		return s, err
	}, questions}
}

func doublePeaks(w world, z noise, pct, number int) phenomenon {
	return phenomenon{"four double peaks", fmt.Sprintf("%d %%", pct), z.name, number, func(rng *rand.Rand, _ int) (sample, error) {
		a, _ := w.any(rng)
		b, sites, err := changed(rng, a, 4)
		if err != nil {
			return sample{}, err
		}
		s, err := pair(rng, z.p, molecule{a.Seq(), float64(100 - pct)}, molecule{b.Seq(), float64(pct)})
		s.truth.sites = sites
		return s, err
	}, []question{codes, falseCodes, alarms()}}
}

// indelRows are alleles that differ by insertions: their sizes and, for two
// bases, the share of the longer allele.
func indelRows(w world, z noise, number int) []phenomenon {
	row := func(name, level string, questions []question, tube func(rng *rand.Rand, a simulate.Locus) ([]molecule, error)) phenomenon {
		return phenomenon{name, level, z.name, number, func(rng *rand.Rand, _ int) (sample, error) {
			a, _ := w.any(rng)
			m, err := tube(rng, a)
			if err != nil {
				return sample{}, err
			}
			return pair(rng, z.p, m...)
		}, questions}
	}
	one := []question{found(seqqc.IndelHeterozygote), alarms(seqqc.IndelHeterozygote), indelPlace("indel place right, of reads", 0),
		indelPlace("indel place within 5, of reads", 5), indelSize, allelesRight}
	var out []phenomenon
	for _, c := range []struct{ size, pct int }{{1, 40}, {2, 40}, {3, 40}, {8, 40}, {20, 40}, {2, 50}, {2, 30}, {2, 20}, {2, 10}} {
		out = append(out, row("an indel", fmt.Sprintf("%d bases, %d %%", c.size, c.pct), one, func(rng *rand.Rand, a simulate.Locus) ([]molecule, error) {
			b, err := longer(rng, a, 1+rng.IntN(2), c.size)
			return []molecule{{a.Seq(), float64(100 - c.pct)}, {b.Seq(), float64(c.pct)}}, err
		}))
	}
	out = append(out, row("two indels", "2 and 3 bases, 40 %", []question{found(seqqc.IndelHeterozygote), alarms(seqqc.IndelHeterozygote), allelesRight},
		func(rng *rand.Rand, a simulate.Locus) ([]molecule, error) {
			b, err := longer(rng, a, 1, 2)
			if err != nil {
				return nil, err
			}
			b, err = longer(rng, b, 2, 3)
			return []molecule{{a.Seq(), 60}, {b.Seq(), 40}}, err
		}))
	return append(out, row("three alleles", "40, 35, 25 %", []question{manyCopies, alarms(seqqc.IndelHeterozygote, seqqc.MixedTemplate)},
		func(rng *rand.Rand, a simulate.Locus) ([]molecule, error) {
			b, err := longer(rng, a, 1, 2)
			if err != nil {
				return nil, err
			}
			c, err := longer(rng, a, 1, 5)
			return []molecule{{a.Seq(), 40}, {b.Seq(), 35}, {c.Seq(), 25}}, err
		}))
}

// chimeraRows are PCR chimeras of two genera of the library, at least a tenth
// apart in both spacers, that change over at an end of the 5.8S or inside a
// spacer.
func chimeraRows(w world, z noise, number int) []phenomenon {
	row := func(level string, at func(rng *rand.Rand, a simulate.Locus) int) phenomenon {
		return phenomenon{"chimera", level, z.name, number, func(rng *rand.Rand, _ int) (sample, error) {
			a, b, _, _ := w.two(rng)
			seq, err := simulate.Chimera(a.Seq(), b.Seq(), at(rng, a))
			if err != nil {
				return sample{}, err
			}
			return pair(rng, z.p, molecule{seq, 1})
		}, []question{found(seqqc.ChimeraSuspected), alarms(seqqc.ChimeraSuspected)}}
	}
	return []phenomenon{
		row("between the spacers", func(_ *rand.Rand, a simulate.Locus) int { return len(a.SSU) + len(a.ITS1) }),
		row("inside ITS1", func(rng *rand.Rand, a simulate.Locus) int {
			return len(a.SSU) + len(a.ITS1)/4 + rng.IntN(len(a.ITS1)/2)
		}),
		row("inside ITS2", func(rng *rand.Rand, a simulate.Locus) int {
			return len(a.SSU) + len(a.ITS1) + len(a.R58S) + len(a.ITS2)/4 + rng.IntN(len(a.ITS2)/2)
		}),
	}
}

// separate is a forward read of one specimen and a reverse read of another.
func separate(w world, z noise, number int) phenomenon {
	return phenomenon{"reads of two specimens", "-", z.name, number, func(rng *rand.Rand, _ int) (sample, error) {
		a, b, _, _ := w.two(rng)
		s, err := pair(rng, z.p, molecule{a.Seq(), 1})
		if err != nil {
			return s, err
		}
		other, err := pair(rng, z.p, molecule{b.Seq(), 1})
		s.reads[1] = other.reads[1]
		return s, err
	}, []question{found(seqqc.StrandsDisagree), alarms()}}
}

// inner is a specimen read in four parts, with the primers in the 5.8S too.
func inner(w world, z noise, number int) phenomenon {
	return phenomenon{"inner primers", "4 reads", z.name, number, func(rng *rand.Rand, _ int) (sample, error) {
		l, _ := w.any(rng)
		s, err := pair(rng, z.p, molecule{l.Seq(), 1})
		if err != nil {
			return s, err
		}
		for k, primers := range [][2]string{{"ITS1-F", "ITS2"}, {"ITS3", "ITS4"}} {
			half, err := sequence(rng, z.p, primers[0], primers[1], []molecule{{l.Seq(), 1}})
			if err != nil {
				return s, err
			}
			s.reads = append(s.reads, half.reads[1-k]) // ITS2 backward, ITS3 forward
			s.truth.reads = append(s.truth.reads, readTruth{})
		}
		return s, nil
	}, []question{alarms(), falseCodes, contigRight}}
}

// artefacts are clean reads with one fault each that is no second template.
func artefacts(w world, number int) []phenomenon {
	run := func(l simulate.Locus) simulate.Locus {
		l.ITS1 = bytes.Join([][]byte{l.ITS1[:100], l.ITS1[100:]}, []byte("CAAAAAAAAAAAG"))
		return l
	}
	same := func(l simulate.Locus) simulate.Locus { return l }
	var out []phenomenon
	for _, c := range []struct {
		name, level string
		edit        func(p *simulate.Params)
		locus       func(simulate.Locus) simulate.Locus
	}{
		{"slip behind 11 A", "24 %", func(p *simulate.Params) { p.Slip = 0.09 }, run},
		{"slip behind 11 A", "50 %", func(p *simulate.Params) { p.Slip = 0.2 }, run},
		{"loss behind 11 A", "90 %", func(p *simulate.Params) { p.RunLoss = 0.55 }, run},
		{"hump of dye", "1.5 peaks high", func(p *simulate.Params) { p.Hump = 1.5 }, same},
		{"crosstalk left", "6 %", func(p *simulate.Params) { p.Crosstalk = 0.06 }, same},
		{"saturation", "half of the peaks", func(p *simulate.Params) { p.Signal, p.Saturation = 1500, 1500 }, same},
	} {
		p := simulate.Good()
		c.edit(&p)
		out = append(out, phenomenon{c.name, c.level, "clean", number, func(rng *rand.Rand, _ int) (sample, error) {
			l, _ := w.any(rng)
			return pair(rng, p, molecule{c.locus(l).Seq(), 1})
		}, []question{falseFlag(seqqc.MixedTemplate), falseFlag(seqqc.IndelHeterozygote), falseCodes, contigRight}})
	}
	return out
}
