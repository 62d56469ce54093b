package trace

import (
	"encoding/binary"
	"fmt"
	"io"
	"strings"

	"forayseq/seqqc"
)

// EncodeSCF writes t as an SCF file of version 2 or 3 with samples of
// sampleSize bytes (1 or 2). Name, model, well and run date go into the
// comments NAME, SRCE, TUBE and RUND. The quality of a base is written for the
// called base and zero for the others; for a base that is not A, C, G or T,
// for all four.
//
// Samples are unsigned: a value outside 0 to 255 or 65,535 is an error, and
// nothing is written. Called is not: the format has one sequence.
func EncodeSCF(w io.Writer, t *seqqc.Trace, version, sampleSize int) error {
	if version != 2 && version != 3 {
		return fmt.Errorf("cannot write SCF: version %d is not 2 or 3", version)
	}
	if sampleSize != 1 && sampleSize != 2 {
		return fmt.Errorf("cannot write SCF: samples of %d bytes, not 1 or 2", sampleSize)
	}
	if err := checkForSCF(t, sampleSize); err != nil {
		return fmt.Errorf("cannot write SCF: %w", err)
	}
	var samples, bases []byte
	if version == 2 {
		samples, bases = appendSamples2(t, sampleSize), appendBases2(t)
	} else {
		samples, bases = appendSamples3(t, sampleSize), appendBases3(t)
	}
	comments := scfComments(t)

	head := make([]byte, scfHeaderSize)
	copy(head, scfMagic)
	copy(head[36:], fmt.Sprintf("%d.00", version))
	word := func(i, v int) { binary.BigEndian.PutUint32(head[4*i:], uint32(v)) }
	word(1, len(t.Channels[0]))
	word(2, scfHeaderSize)
	word(3, len(t.Bases))
	word(6, scfHeaderSize+len(samples))
	word(7, len(comments))
	word(8, scfHeaderSize+len(samples)+len(bases))
	word(10, sampleSize)

	out := append(append(append(head, samples...), bases...), comments...)
	_, err := w.Write(out)
	return err
}

func checkForSCF(t *seqqc.Trace, sampleSize int) error {
	n := len(t.Bases)
	switch {
	case n == 0:
		return fmt.Errorf("the trace has no bases")
	case t.Quals != nil && len(t.Quals) != n:
		return fmt.Errorf("%d qualities for %d bases", len(t.Quals), n)
	case t.Peaks != nil && len(t.Peaks) != n:
		return fmt.Errorf("%d peak positions for %d bases", len(t.Peaks), n)
	}
	for c, channel := range t.Channels {
		if len(channel) != len(t.Channels[0]) {
			return fmt.Errorf("the four channels differ in length")
		}
		for i, v := range channel {
			if v < 0 || v >= 1<<(8*sampleSize) {
				return fmt.Errorf("sample %d of channel %c is %d and does not fit %d unsigned bits", i, "ACGT"[c], v, 8*sampleSize)
			}
		}
	}
	for i, p := range t.Peaks {
		if p < 0 {
			return fmt.Errorf("peak position %d of base %d is negative", p, i)
		}
	}
	return nil
}

func appendSample(b []byte, v uint32, size int) []byte {
	if size == 1 {
		return append(b, byte(v))
	}
	return binary.BigEndian.AppendUint16(b, uint16(v))
}

func appendSamples2(t *seqqc.Trace, size int) (b []byte) {
	for i := range t.Channels[0] {
		for c := range t.Channels {
			b = appendSample(b, uint32(t.Channels[c][i]), size)
		}
	}
	return b
}

func appendSamples3(t *seqqc.Trace, size int) (b []byte) {
	for _, channel := range t.Channels {
		var value, slope uint32
		for _, v := range channel {
			s := uint32(v) - value
			b = appendSample(b, s-slope, size)
			value, slope = uint32(v), s
		}
	}
	return b
}

// peakAt and probAt give what a base record holds; a trace without peaks or
// qualities has zeros.
func peakAt(t *seqqc.Trace, i int) uint32 {
	if t.Peaks == nil {
		return 0
	}
	return uint32(t.Peaks[i])
}

func probAt(t *seqqc.Trace, i, channel int) byte {
	if t.Quals == nil {
		return 0
	}
	if c := channelOf(t.Bases[i]); c >= 0 && c != channel {
		return 0
	}
	return t.Quals[i]
}

func appendBases2(t *seqqc.Trace) (b []byte) {
	for i, base := range t.Bases {
		b = binary.BigEndian.AppendUint32(b, peakAt(t, i))
		for c := range t.Channels {
			b = append(b, probAt(t, i, c))
		}
		b = append(b, base, 0, 0, 0)
	}
	return b
}

func appendBases3(t *seqqc.Trace) (b []byte) {
	for i := range t.Bases {
		b = binary.BigEndian.AppendUint32(b, peakAt(t, i))
	}
	for c := range t.Channels {
		for i := range t.Bases {
			b = append(b, probAt(t, i, c))
		}
	}
	b = append(b, t.Bases...)
	return append(b, make([]byte, 3*len(t.Bases))...)
}

func scfComments(t *seqqc.Trace) []byte {
	var lines []string
	add := func(key, value string) {
		if value != "" {
			lines = append(lines, key+"="+strings.Join(strings.Fields(value), " "))
		}
	}
	add("NAME", t.Name)
	add("SRCE", t.Model)
	add("TUBE", t.Well)
	add("RUND", strings.ReplaceAll(t.RunDate, "-", ""))
	if lines == nil {
		return nil
	}
	return append([]byte(strings.Join(lines, "\n")), 0)
}
