package trace

import (
	"bytes"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestABIFCutAnywhere: the directory lies at the end, so every shorter copy of
// the file is an error, and one that says so.
func TestABIFCutAnywhere(t *testing.T) {
	file := encodeABIF(t, synthetic(1, 8))
	for n := range len(file) {
		tr, err := DecodeABIF(bytes.NewReader(file[:n]), Limits{})
		require.Error(t, err, "cut at %d", n)
		require.Nil(t, tr)
		var e *ParseError
		require.ErrorAs(t, err, &e)
		if n < len(abifMagic) && n > 0 {
			require.ErrorIs(t, err, ErrFormat, "cut at %d", n)
		} else {
			require.ErrorIs(t, err, ErrTruncated, "cut at %d", n)
		}
	}
}

// TestABIFDirectoryFirst: with the directory before the data, a copy cut
// inside the data is found by the entry that points past its end.
func TestABIFDirectoryFirst(t *testing.T) {
	file := encodeABIF(t, synthetic(1, 30))
	dir := directoryBytes(file)
	moved := append(bytes.Clone(file[:abifHeaderSize]), dir...)
	shift := uint32(len(dir))
	moved = append(moved, file[abifHeaderSize:len(file)-len(dir)]...)
	moved = patched(moved, 26, abifHeaderSize)
	for at := abifHeaderSize; at < abifHeaderSize+len(dir); at += abifEntrySize {
		if e := parseEntry(moved[at:]); e.bytes > 4 {
			moved = patched(moved, at+20, e.offset+shift)
		}
	}
	want, err := DecodeABIF(bytes.NewReader(file), Limits{})
	require.NoError(t, err)
	got, err := DecodeABIF(bytes.NewReader(moved), Limits{})
	require.NoError(t, err)
	require.Equal(t, want, got)

	for n := abifHeaderSize; n < len(moved); n++ {
		tr, err := DecodeABIF(bytes.NewReader(moved[:n]), Limits{})
		if err != nil {
			require.ErrorIs(t, err, ErrTruncated, "cut at %d", n)
			continue
		}
		// Only the name, which comes last and is not needed, may be missing.
		require.Contains(t, tr.Notes, "SMPL 1 cannot be read and is left out", "cut at %d", n)
	}
}

// directoryBytes gives the directory of a file that EncodeABIF wrote.
func directoryBytes(file []byte) []byte { return file[parseEntry(file[6:]).offset:] }

func TestABIFBadFiles(t *testing.T) {
	good := encodeABIF(t, synthetic(1, 8))
	dirAt := int(parseEntry(good[6:]).offset)
	entryOf := func(name string, number int32) int {
		for at := dirAt; at < len(good); at += abifEntrySize {
			if e := parseEntry(good[at:]); e.name == name && e.number == number {
				return at
			}
		}
		require.Fail(t, "no such entry", name)
		return 0
	}
	for name, c := range map[string]struct {
		file []byte
		want error
		text string
	}{
		"empty":                      {nil, ErrTruncated, "the file is empty"},
		"wrong magic":                {append([]byte("ABIG"), good[4:]...), ErrFormat, `does not begin with "ABIF"`},
		"version 2":                  {append([]byte("ABIF\x00\xc9"), good[6:]...), ErrUnsupported, "version 2.01"},
		"4 billion entries":          {patched(good, 18, 0xffffffff), ErrTooLarge, "entries: 4294967295, and the limit is 10000"},
		"more entries than the file": {patched(good, 18, 9000), ErrTruncated, "directory"},
		"directory past the end":     {patched(good, 26, uint32(len(good))), ErrTruncated, "it would end at byte"},
		"directory at 4 GB":          {patched(good, 26, 0xfffffff0), ErrTruncated, "it would end at byte"},
		"entries of another size":    {patched(good, 16, 27<<16), ErrFormat, "entries of 27 bytes"},
		"entries of negative size":   {append(append(bytes.Clone(good[:16]), 0xff, 0xff), good[18:]...), ErrFormat, "entries of -1 bytes"},
		"bases past the end":         {patched(good, entryOf("PBAS", 1)+20, uint32(len(good)-2)), ErrTruncated, "PBAS 1, byte"},
		"bases at a negative offset": {patched(good, entryOf("PBAS", 1)+20, 0x80000000), ErrTruncated, "PBAS 1"},
		"4 billion bases":            {patched(patched(good, entryOf("PBAS", 1)+12, 0xffffffff), entryOf("PBAS", 1)+16, 0xffffffff), ErrTruncated, "PBAS 1"},
		"more bases than their size": {patched(good, entryOf("PBAS", 1)+12, 9), ErrFormat, "9 elements of 1 bytes do not fit its 8 bytes"},
		"samples of negative size":   {patched(good, entryOf("DATA", 9)+8, 4<<16|0xfffe), ErrFormat, "elements of -2 bytes where type 4 has 2"},
		"samples past the end":       {patched(good, entryOf("DATA", 11)+20, uint32(len(good))), ErrTruncated, "DATA 11"},
		"samples that are text":      {patched(patched(good, entryOf("DATA", 11)+8, 18<<16|1), entryOf("DATA", 11)+12, 30), ErrFormat, "type 18 where whole numbers are expected"},
		"bases that are numbers":     {buildABIF(shorts("PBAS", 1, 1, 2, 3)), ErrFormat, "'\\x00' at base 1 is no nucleotide code"},
		"protein":                    {buildABIF(chars("PBAS", 1, "ACEF")), ErrFormat, "'E' at base 3"},
		"bases without bytes":        {buildABIF(abifItem{"PBAS", 1, UserType, 4, nil}), ErrFormat, "have no bytes"},
		"fragment file": {
			buildABIF(shorts("DATA", 1, 1, 2), shorts("DATA", 9, 1, 2), chars("MODL", 1, "3130")),
			ErrUnsupported, "a fragment-analysis file is not a sequence",
		},
		"not base-called": {buildABIF(shorts("DATA", 1, 1, 2), chars("FWO_", 1, "GATC")), ErrUnsupported, "has not been base-called"},
		"nothing in it":   {buildABIF(), ErrUnsupported, "no base calls (PBAS) and no traces"},
	} {
		t.Run(name, func(t *testing.T) {
			tr, err := DecodeABIF(bytes.NewReader(c.file), Limits{})
			require.ErrorIs(t, err, c.want)
			assert.ErrorContains(t, err, c.text)
			assert.Nil(t, tr)
			assert.NotEmpty(t, Hint(err))
			var e *ParseError
			require.ErrorAs(t, err, &e)
			assert.Equal(t, "ABIF", e.Format)
		})
	}
}

// TestABIFDamageElsewhere: an entry that nobody needs may be damaged; its value
// is an error and the read is not.
func TestABIFDamageElsewhere(t *testing.T) {
	file := buildABIF(chars("PBAS", 1, "ACGT"), chars("XTRA", 1, "unused text"))
	at := len(file) - abifEntrySize
	file = patched(file, at+20, 1<<30)
	tr, err := DecodeABIF(bytes.NewReader(file), Limits{})
	require.NoError(t, err)
	assert.Equal(t, "ACGT", string(tr.Bases))
	d, err := DecodeABIFDirectory(bytes.NewReader(file), Limits{})
	require.NoError(t, err)
	e, ok := d.Find("XTRA", 1)
	require.True(t, ok)
	_, err = e.Value()
	require.ErrorIs(t, err, ErrTruncated)
}

func TestABIFLimits(t *testing.T) {
	file := encodeABIF(t, synthetic(1, 30))
	for name, lim := range map[string]Limits{
		"bytes": {FileBytes: 500}, "bases": {Bases: 29}, "samples": {Samples: 300}, "entries": {Entries: 5},
	} {
		_, err := DecodeABIF(bytes.NewReader(file), lim)
		require.ErrorIs(t, err, ErrTooLarge, name)
	}
	_, err := DecodeABIF(bytes.NewReader(file), Limits{FileBytes: int64(len(file)), Bases: 30, Samples: 380, Entries: 16})
	require.NoError(t, err, "a limit is what is still allowed")
}

// failing is a reader whose disk breaks.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

func TestReaderErrorsComeThrough(t *testing.T) {
	broken := errors.New("the disk broke")
	_, err := DecodeABIF(failing{broken}, Limits{})
	require.ErrorIs(t, err, broken)
	_, err = Decode(failing{broken}, "x.ab1", Limits{})
	require.ErrorIs(t, err, broken)
}
