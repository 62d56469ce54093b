package trace

import (
	"encoding/binary"
	"fmt"
	"io"
	"strings"
	"time"

	"forayseq/seqqc"
)

// The fixed parts of an SCF file.
const (
	scfMagic      = ".scf"
	scfHeaderSize = 128
	scfBaseSize   = 12 // of a base record, in either version
)

// scfHeader is the part of the header that is used.
type scfHeader struct {
	samples, samplesAt   uint32
	bases, basesAt       uint32
	comments, commentsAt uint32
	version              string // "2.00"
	sampleSize           uint32 // bytes of a sample, 1 or 2
}

// DecodeSCF reads an SCF chromatogram of version 1, 2 or 3, with samples of 8
// or 16 bits and its sections in any order.
//
// The quality of a base is the value of the called base among the four that
// the file gives; for a base that is not A, C, G or T it is the smallest of
// the four. Name, model, well and run date come from the comments NAME, SRCE,
// TUBE and RUND (or DATE); the first two are in the files seen, the rest from
// memory of common practice.
//
// Values that are no Phred qualities and positions past the samples or out of
// order are not used, and Notes says so. A file without bases is
// ErrUnsupported.
//
// Source: Dear & Staden 1992, A standard file format for data from DNA
// sequencing instruments, DNA Sequence 3: 107-110, and the published
// description of version 3.00.
func DecodeSCF(r io.Reader, lim Limits) (*seqqc.Trace, error) {
	lim = lim.withDefaults()
	file, err := readAll(r, "SCF", lim.FileBytes)
	if err != nil {
		return nil, err
	}
	return decodeSCF(file, lim)
}

func decodeSCF(file []byte, lim Limits) (*seqqc.Trace, error) {
	h, err := parseSCFHeader(file, lim)
	if err != nil {
		return nil, err
	}
	sampleBytes, err := section(file, "samples", h.samplesAt, h.samples, 4*int64(h.sampleSize))
	if err != nil {
		return nil, err
	}
	baseBytes, err := section(file, "bases", h.basesAt, h.bases, scfBaseSize)
	if err != nil {
		return nil, err
	}
	comments, err := section(file, "comments", h.commentsAt, h.comments, 1)
	if err != nil {
		return nil, err
	}

	t := &seqqc.Trace{Format: "SCF"}
	split := splitBases2
	samples := samples2
	if h.version[0] == '3' {
		split, samples = splitBases3, samples3
	}
	if h.samples > 0 {
		t.Channels = samples(sampleBytes, int(h.samples), int(h.sampleSize))
	}
	if err := fillSCFBases(t, split(baseBytes, int(h.bases)), int64(h.basesAt)); err != nil {
		return nil, err
	}
	fillSCFComments(t, text(comments))
	return t, nil
}

func parseSCFHeader(file []byte, lim Limits) (scfHeader, error) {
	fail := func(at int64, err error) (scfHeader, error) {
		return scfHeader{}, &ParseError{Format: "SCF", Offset: at, Field: "header", Err: err}
	}
	if !isSCF(file) {
		return fail(0, because(ErrFormat, "the file does not begin with %q", scfMagic))
	}
	if len(file) < scfHeaderSize {
		return fail(int64(len(file)), ErrTruncated)
	}
	// The header is uint32 words: magic, samples, samples offset, bases, two
	// obsolete clips, bases offset, comments size, comments offset, version,
	// sample size, code set, private size, private offset, 18 spare.
	word := func(i int) uint32 { return binary.BigEndian.Uint32(file[4*i:]) }
	h := scfHeader{
		samples: word(1), samplesAt: word(2),
		bases: word(3), basesAt: word(6),
		comments: word(7), commentsAt: word(8),
		version:    text(file[36:40]),
		sampleSize: word(10),
	}
	if v := h.version[0]; v < '1' || v > '3' {
		return fail(36, because(ErrUnsupported, "version %q is not supported", h.version))
	}
	if h.sampleSize == 0 {
		h.sampleSize = 1 // version 1 had no such field, and samples of 8 bits
	}
	if h.sampleSize > 2 {
		return fail(40, because(ErrUnsupported, "samples of %d bytes are not supported", h.sampleSize))
	}
	if int64(h.samples) > int64(lim.Samples) {
		return fail(4, tooLarge("samples", int64(h.samples), int64(lim.Samples)))
	}
	if int64(h.bases) > int64(lim.Bases) {
		return fail(12, tooLarge("bases", int64(h.bases), int64(lim.Bases)))
	}
	if h.bases == 0 {
		return fail(12, because(ErrUnsupported, "it holds no base calls"))
	}
	return h, nil
}

func isSCF(file []byte) bool {
	return len(file) >= len(scfMagic) && string(file[:len(scfMagic)]) == scfMagic
}

// section gives count records of size bytes at offset.
func section(file []byte, name string, offset, count uint32, size int64) ([]byte, error) {
	if count == 0 {
		return nil, nil // the offset of an empty section means nothing
	}
	begin, end := int64(offset), int64(offset)+int64(count)*size
	switch {
	case begin < scfHeaderSize:
		return nil, &ParseError{Format: "SCF", Offset: begin, Field: name, Err: because(ErrFormat, "the section begins inside the header")}
	case end > int64(len(file)):
		return nil, &ParseError{Format: "SCF", Offset: begin, Field: name, Err: because(ErrTruncated, "the section would end at byte %d, and the file ends at %d", end, len(file))}
	}
	return file[begin:end], nil
}

func sampleAt(b []byte, i, size int) uint32 {
	if size == 1 {
		return uint32(b[i])
	}
	return uint32(binary.BigEndian.Uint16(b[2*i:]))
}

// samples2 reads the samples of versions 1 and 2: A, C, G and T of one point
// after another.
func samples2(b []byte, n, size int) (out [4][]int32) {
	for c := range out {
		out[c] = make([]int32, n)
		for i := range n {
			out[c][i] = int32(sampleAt(b, 4*i+c, size))
		}
	}
	return out
}

// samples3 reads the samples of version 3: one channel after another, each as
// differences of differences modulo 2^8 or 2^16.
func samples3(b []byte, n, size int) (out [4][]int32) {
	mask := uint32(1)<<(8*size) - 1
	for c := range out {
		out[c] = make([]int32, n)
		var slope, value uint32
		for i := range n {
			slope += sampleAt(b, c*n+i, size)
			value += slope
			out[c][i] = int32(value & mask)
		}
	}
	return out
}

// scfBases are the columns of the base section.
type scfBases struct {
	peaks   []int
	letters []byte
	probs   [4][]byte // for A, C, G, T
}

// splitBases2 reads the base records of versions 1 and 2.
func splitBases2(b []byte, n int) scfBases {
	s := scfBases{peaks: make([]int, n), letters: make([]byte, n)}
	for c := range s.probs {
		s.probs[c] = make([]byte, n)
	}
	for i := range n {
		rec := b[scfBaseSize*i:]
		s.peaks[i] = int(binary.BigEndian.Uint32(rec))
		for c := range s.probs {
			s.probs[c][i] = rec[4+c]
		}
		s.letters[i] = rec[8]
	}
	return s
}

// splitBases3 reads the base columns of version 3.
func splitBases3(b []byte, n int) scfBases {
	s := scfBases{peaks: make([]int, n)}
	for i := range n {
		s.peaks[i] = int(binary.BigEndian.Uint32(b[4*i:]))
	}
	for c := range s.probs {
		s.probs[c] = b[(4+c)*n : (5+c)*n]
	}
	s.letters = b[8*n : 9*n]
	return s
}

func fillSCFBases(t *seqqc.Trace, s scfBases, at int64) error {
	bases, unknown, bad := cleanBases(s.letters)
	if bad >= 0 {
		return &ParseError{Format: "SCF", Offset: at, Field: "bases", Err: badLetter(s.letters[bad], bad)}
	}
	t.Bases = bases
	if unknown > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("signs that are no base, read as N: %d", unknown))
	}
	raw := make([]byte, len(bases))
	for i, b := range bases {
		if c := channelOf(b); c >= 0 {
			raw[i] = s.probs[c][i]
		} else {
			raw[i] = min(s.probs[0][i], s.probs[1][i], s.probs[2][i], s.probs[3][i])
		}
	}
	var why string
	if t.Quals, why = checkQuals(raw, len(bases)); why != "" {
		t.Notes = append(t.Notes, "the qualities are not used: "+why)
	}
	if t.Peaks, why = checkPeaks(s.peaks, len(bases), len(t.Channels[0])); why != "" {
		t.Notes = append(t.Notes, "the peak positions are not used: "+why)
	}
	return nil
}

// fillSCFComments reads the lines KEY=value.
func fillSCFComments(t *seqqc.Trace, comments string) {
	for line := range strings.Lines(comments) {
		key, value, ok := strings.Cut(trimPadding(line), "=")
		if !ok {
			continue
		}
		switch value = trimPadding(value); key {
		case "NAME":
			t.Name = value
		case "SRCE":
			t.Model = value
		case "TUBE":
			t.Well = value
		case "RUND", "DATE":
			if day := scfDay(value); day != "" {
				t.RunDate = day
			}
		}
	}
}

// scfDay gives the day at the start of a run date, empty where it is written
// another way: it is only told, so it is not worth a guess.
func scfDay(value string) string {
	for _, layout := range []string{"20060102", time.DateOnly} {
		if len(value) >= len(layout) {
			if d, err := time.Parse(layout, value[:len(layout)]); err == nil {
				return d.Format(time.DateOnly)
			}
		}
	}
	return ""
}
