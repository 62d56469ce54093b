package trace

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// forSCF gives a synthetic read as SCF keeps it.
func forSCF(seed uint64, n int) *seqqc.Trace {
	t := synthetic(seed, n)
	t.Format = "SCF"
	return t
}

func TestSCFKeepsEveryPart(t *testing.T) {
	wide := forSCF(2, 30)
	for i := range wide.Channels[1] {
		wide.Channels[1][i] = int32(i * 2000 % 65536) // jumps that wrap the differences
	}
	unsure := forSCF(3, 12)
	unsure.Bases[4], unsure.Bases[5] = 'N', 'R'
	calls := &seqqc.Trace{Format: "SCF", Bases: []byte("ACGT"), Quals: []byte{1, 2, 3, 4}, Peaks: []int{0, 5, 9, 20}}
	for name, c := range map[string]struct {
		t     *seqqc.Trace
		sizes []int
	}{
		"full":         {forSCF(1, 40), []int{1, 2}},
		"16 bits":      {wide, []int{2}},
		"N and R":      {unsure, []int{1, 2}},
		"without runs": {calls, []int{1, 2}},
	} {
		for _, version := range []int{2, 3} {
			for _, size := range c.sizes {
				t.Run(fmt.Sprintf("%s, version %d, %d bytes", name, version, size), func(t *testing.T) {
					got, err := DecodeSCF(bytes.NewReader(encodeSCF(t, c.t, version, size)), Limits{})
					require.NoError(t, err)
					assert.Equal(t, c.t, got)
				})
			}
		}
	}
}

// TestSCFByHand: files laid out here after the published description, not by
// the encoder: header words, sections in reverse order, samples of a worked
// example.
func TestSCFByHand(t *testing.T) {
	header := func(version string, samples, samplesAt, bases, basesAt, comments, commentsAt, size uint32) []byte {
		h := []byte(".scf")
		for _, w := range []uint32{samples, samplesAt, bases, 0, 0, basesAt, comments, commentsAt} {
			h = binary.BigEndian.AppendUint32(h, w)
		}
		h = append(h, version...)
		h = binary.BigEndian.AppendUint32(h, size)
		return append(h, make([]byte, 128-len(h))...)
	}
	want := [4][]int32{{10, 12, 20}, {0, 0, 1}, {255, 0, 7}, {5, 5, 5}}

	// Version 2: comments, bases, samples.
	v2 := header("2.00", 3, 128+8+24, 2, 128+8, 8, 128, 1)
	v2 = append(v2, "NAME=s1\n"...)
	v2 = append(v2, "\x00\x00\x00\x00\x1f\x00\x00\x00a\x00\x00\x00"...)
	v2 = append(v2, "\x00\x00\x00\x02\x07\x05\x06\x08-\x00\x00\x00"...)
	v2 = append(v2, 10, 0, 255, 5, 12, 0, 0, 5, 20, 1, 7, 5)
	got, err := DecodeSCF(bytes.NewReader(v2), Limits{})
	require.NoError(t, err)
	assert.Equal(t, want, got.Channels)
	assert.Equal(t, "s1", got.Name)
	assert.Equal(t, "AN", string(got.Bases))
	assert.Equal(t, []byte{31, 5}, got.Quals, "of the called base; the least of four where none is")
	assert.Equal(t, []int{0, 2}, got.Peaks)
	assert.Equal(t, []string{"signs that are no base, read as N: 1"}, got.Notes)

	// Version 1 had no sample size: 8 bits.
	v1 := bytes.Clone(v2)
	copy(v1[36:], "1.00\x00\x00\x00\x00")
	old, err := DecodeSCF(bytes.NewReader(v1), Limits{})
	require.NoError(t, err)
	assert.Equal(t, got, old)

	// Version 3: bases before samples. Differences of differences of
	// 10 12 20 are 10, 2-10 = -8, 8-2 = 6, modulo 256.
	v3 := header("3.00", 3, 128+24, 2, 128, 0, 0, 1)
	v3 = append(v3, "\x00\x00\x00\x00\x00\x00\x00\x02"+"\x1f\x07"+"\x00\x05"+"\x00\x06"+"\x00\x08"+"A-"+"\x00\x00\x00\x00\x00\x00"...)
	v3 = append(v3, 10, 248, 6, 0, 0, 1, 255, 2, 6, 5, 251, 0)
	got, err = DecodeSCF(bytes.NewReader(v3), Limits{})
	require.NoError(t, err)
	assert.Equal(t, want, got.Channels)
	assert.Equal(t, []byte{31, 5}, got.Quals)
}

func TestSCFComments(t *testing.T) {
	for comment, want := range map[string]seqqc.Trace{
		"NAME=a b \nSRCE=ABI 3730\x00":                  {Name: "a b", Model: "ABI 3730"},
		"TUBE=A01\nRUND=20260703.074845 - 20260703\n":   {Well: "A01", RunDate: "2026-07-03"},
		"DATE=2026-07-03":                               {RunDate: "2026-07-03"},
		"DATE=Fri 03 Jul 2026\nno pair\n=x\nOTHR=1=2\n": {},
		"RUND=20261303":                                 {},
	} {
		var got seqqc.Trace
		fillSCFComments(&got, comment)
		assert.Equal(t, want, got, comment)
	}
}

func TestSCFLeniences(t *testing.T) {
	for note, change := range map[string]func(*seqqc.Trace){
		"the qualities are not used: 253 at base 3 is no Phred value": func(tr *seqqc.Trace) { tr.Quals[2] = 253 },
		"the position of base 4 is 9999, and the trace ends at 92":    func(tr *seqqc.Trace) { tr.Peaks[3] = 9999 },
		"the position of base 3 lies before that of base 2":           func(tr *seqqc.Trace) { tr.Peaks[2] = 12 },
		"the peak positions are not used: they are all zero":          func(tr *seqqc.Trace) { tr.Peaks = nil },
	} {
		for _, version := range []int{2, 3} {
			tr := forSCF(1, 6)
			change(tr)
			got, err := DecodeSCF(bytes.NewReader(encodeSCF(t, tr, version, 2)), Limits{})
			require.NoError(t, err)
			assert.Contains(t, strings.Join(got.Notes, "\n"), note)
			assert.Equal(t, tr.Bases, got.Bases)
			assert.Equal(t, tr.Channels, got.Channels)
			assert.True(t, got.Quals == nil || got.Peaks == nil)
		}
	}
}

func TestSCFBadFiles(t *testing.T) {
	good := encodeSCF(t, forSCF(1, 8), 3, 2)
	basesAt := int(binary.BigEndian.Uint32(good[24:]))
	wrongLetter := bytes.Clone(good)
	wrongLetter[basesAt+8*8+2] = 'E'
	for name, c := range map[string]struct {
		file []byte
		want error
		text string
	}{
		"empty":                    {nil, ErrTruncated, "the file is empty"},
		"wrong magic":              {append([]byte(".scg"), good[4:]...), ErrFormat, `does not begin with ".scf"`},
		"version 4":                {patched(good, 36, 0x342e3030), ErrUnsupported, `version "4.00"`},
		"version of zeros":         {patched(good, 36, 0), ErrUnsupported, "version"},
		"samples of 4 bytes":       {patched(good, 40, 4), ErrUnsupported, "samples of 4 bytes"},
		"4 billion samples":        {patched(good, 4, 0xffffffff), ErrTooLarge, "samples: 4294967295"},
		"4 billion bases":          {patched(good, 12, 0xffffffff), ErrTooLarge, "bases: 4294967295"},
		"4 billion comments":       {patched(good, 28, 0xffffffff), ErrTruncated, "comments"},
		"samples past the end":     {patched(good, 8, uint32(len(good))), ErrTruncated, "samples"},
		"samples at 4 GB":          {patched(good, 8, 0xffffffff), ErrTruncated, "samples"},
		"bases past the end":       {patched(good, 24, uint32(len(good))-50), ErrTruncated, "bases"},
		"bases inside the header":  {patched(good, 24, 4), ErrFormat, "begins inside the header"},
		"more samples than stored": {patched(good, 4, 999), ErrTruncated, "samples"},
		"no bases":                 {patched(good, 12, 0), ErrUnsupported, "no base calls"},
		"a letter that is no base": {wrongLetter, ErrFormat, "'E' at base 3"},
	} {
		t.Run(name, func(t *testing.T) {
			tr, err := DecodeSCF(bytes.NewReader(c.file), Limits{})
			require.ErrorIs(t, err, c.want)
			assert.ErrorContains(t, err, c.text)
			assert.Nil(t, tr)
			var e *ParseError
			require.ErrorAs(t, err, &e)
			assert.Equal(t, "SCF", e.Format)
		})
	}
	for name, lim := range map[string]Limits{"bytes": {FileBytes: 300}, "bases": {Bases: 7}, "samples": {Samples: 100}} {
		_, err := DecodeSCF(bytes.NewReader(good), lim)
		require.ErrorIs(t, err, ErrTooLarge, name)
	}
}

// TestSCFCutAnywhere: the sections fill the file, so every shorter copy ends
// inside one.
func TestSCFCutAnywhere(t *testing.T) {
	for _, version := range []int{2, 3} {
		file := encodeSCF(t, forSCF(1, 8), version, 2)
		for n := len(scfMagic); n < len(file); n++ {
			tr, err := DecodeSCF(bytes.NewReader(file[:n]), Limits{})
			require.ErrorIs(t, err, ErrTruncated, "version %d cut at %d", version, n)
			require.Nil(t, tr)
		}
	}
}

func TestEncodeSCFRefusesWhatDoesNotFit(t *testing.T) {
	for want, change := range map[string]func(*seqqc.Trace){
		"no bases":                   func(tr *seqqc.Trace) { *tr = seqqc.Trace{} },
		"19 qualities for 20 bases":  func(tr *seqqc.Trace) { tr.Quals = tr.Quals[1:] },
		"19 peak positions":          func(tr *seqqc.Trace) { tr.Peaks = tr.Peaks[1:] },
		"of base 2 is negative":      func(tr *seqqc.Trace) { tr.Peaks[2] = -1 },
		"sample 9 of channel C is -": func(tr *seqqc.Trace) { tr.Channels[1][9] = -1 },
		"does not fit 8 unsigned":    func(tr *seqqc.Trace) { tr.Channels[1][9] = 256 },
		"differ in length":           func(tr *seqqc.Trace) { tr.Channels[1] = tr.Channels[1][1:] },
	} {
		tr := forSCF(1, 20)
		change(tr)
		var b bytes.Buffer
		require.ErrorContains(t, EncodeSCF(&b, tr, 3, 1), want)
		assert.Zero(t, b.Len())
	}
	require.ErrorContains(t, EncodeSCF(&bytes.Buffer{}, forSCF(1, 5), 1, 1), "version 1")
	require.ErrorContains(t, EncodeSCF(&bytes.Buffer{}, forSCF(1, 5), 2, 4), "samples of 4 bytes")
}
