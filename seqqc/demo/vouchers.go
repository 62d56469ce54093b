package demo

import (
	"slices"

	"forayseq/seqqc"
	"forayseq/seqqc/simulate"
)

// voucher is one row of the sheet, the reads behind it, and what is true of
// it.
type voucher struct {
	code  string
	field string
	kind  seqqc.Kind
	reads []read
	truth truth
}

// truth is what the evidence built in must lead to.
type truth struct {
	verdict   seqqc.VerdictKind
	reason    seqqc.ReasonCode
	agreeRank string
	partsAt   string
	flags     []seqqc.Flag
	builtIn   string
}

// read is one trace file: what was in the tube, and from which primer of which
// pair it was sequenced.
type read struct {
	label  string // what the file says: the voucher's code, or something worse
	says   string // the primer in the file name
	sample string
	tube   []molecule
	// forward and reverse are the primers of the PCR, with the read from the
	// one in the direction from.
	forward, reverse string
	from             seqqc.Direction
	params           simulate.Params
}

// molecule is one kind of DNA in a tube.
type molecule struct {
	locus  func(w world, code string) simulate.Locus
	weight float64
}

// of is the DNA of a collection of a species.
func of(binomial string) []molecule {
	return []molecule{{func(w world, code string) simulate.Locus { return w.collection(binomial, code) }, 1}}
}

// tubeOf is the DNA in the tube of another voucher.
func tubeOf(code, binomial string) []molecule {
	return []molecule{{func(w world, _ string) simulate.Locus { return w.collection(binomial, code) }, 1}}
}

// besideGenus is the DNA of a lineage of its own that left the genus where the
// genus began, and has changed by rate since.
func besideGenus(genus string, rate float64) []molecule {
	return []molecule{{func(w world, code string) simulate.Locus {
		return w.genus(cladeOf(genus)).Evolve(w.rng("lineage "+code), rate)
	}, 1}}
}

// besideFamily is the same for the family of a genus.
func besideFamily(genus string, rate float64) []molecule {
	return []molecule{{func(w world, code string) simulate.Locus {
		return w.family(cladeOf(genus)).Evolve(w.rng("lineage "+code), rate)
	}, 1}}
}

// mixed adds other kinds of DNA to a tube.
func mixed(tube []molecule, others ...molecule) []molecule { return slices.Concat(tube, others) }

// withWeight gives the first molecule of a tube another weight.
func withWeight(tube []molecule, weight float64) molecule {
	return molecule{tube[0].locus, weight}
}

// secondAllele is the same DNA with three bases less in the middle of ITS1.
func secondAllele(binomial string, weight float64) molecule {
	return molecule{func(w world, code string) simulate.Locus {
		l := w.collection(binomial, code)
		half := len(l.ITS1) / 2
		l.ITS1 = slices.Concat(l.ITS1[:half], l.ITS1[half+3:])
		return l
	}, weight}
}

const (
	its1f = "ITS1-F"
	its4  = "ITS4"
)

// forward and backward are the two reads of the usual pair.
func forward(label string, tube []molecule, p simulate.Params) read {
	return read{label: label, says: "ITS1F", tube: tube, forward: its1f, reverse: its4, from: seqqc.Forward, params: p}
}

func backward(label string, tube []molecule, p simulate.Params) read {
	return read{label: label, says: "ITS4", tube: tube, forward: its1f, reverse: its4, from: seqqc.Reverse, params: p}
}

// both is the everyday case: two reads of one tube.
func both(label string, tube []molecule) []read {
	return []read{forward(label, tube, good()), backward(label, tube, fair())}
}

func good() simulate.Params { return closer(simulate.Good()) }
func fair() simulate.Params { return closer(simulate.Fair()) }
func dead() simulate.Params { return upTo(closer(simulate.Failed()), 300) }

// upTo breaks the recording off after some bases.
func upTo(p simulate.Params, bases int) simulate.Params {
	p.MaxBases = bases
	return p
}

// closer brings the peaks a little nearer together, so that the files stay
// small: ten samples a base instead of twelve.
func closer(p simulate.Params) simulate.Params {
	const by = 10.0 / 12
	p.Spacing *= by
	p.Jitter *= by
	p.Width *= by
	p.Widening /= by
	return p
}

// inSample gives reads of a further sample of a voucher.
func inSample(id string, reads []read) []read {
	for i := range reads {
		reads[i].sample = id
	}
	return reads
}

func agrees(rank, builtIn string, flags ...seqqc.Flag) truth {
	return truth{verdict: seqqc.Agrees, agreeRank: rank, builtIn: builtIn, flags: flags}
}

func undetermined(code seqqc.ReasonCode, builtIn string, flags ...seqqc.Flag) truth {
	return truth{verdict: seqqc.Undetermined, reason: code, builtIn: builtIn, flags: flags}
}

func parts(kind seqqc.VerdictKind, at, builtIn string, flags ...seqqc.Flag) truth {
	return truth{verdict: kind, partsAt: at, builtIn: builtIn, flags: flags}
}
