package trace

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

// The open data are not part of the project: instrument files of Biopython's
// and BioRuby's tests, fungal ITS1-F reads of a subalpine survey (SubalpineMyco,
// MIT), SCF files of BioRuby's and BioPerl's tests. See the README beside them.

func decodeOpen(t *testing.T, parts ...string) *seqqc.Trace {
	t.Helper()
	data := readFile(t, append([]string{openData(t)}, parts...)...)
	got, err := Decode(bytes.NewReader(data), parts[len(parts)-1], Limits{})
	require.NoError(t, err)
	require.Len(t, got, 1)
	checkTrace(t, got[0])
	return got[0]
}

// TestSameReadInThreeFormats: the ABIF, SCF 2 and SCF 3 file of one read hold
// the same 4 x 5,236 samples (BioRuby).
func TestSameReadInThreeFormats(t *testing.T) {
	abif := decodeOpen(t, "abif", "instruments", "same_read.ab1")
	v2 := decodeOpen(t, "scf", "same_read_v2.scf")
	v3 := decodeOpen(t, "scf", "same_read_v3.scf")
	assert.Len(t, abif.Channels[0], 5236)
	assert.Equal(t, abif.Channels, v2.Channels)
	assert.Equal(t, abif.Channels, v3.Channels)
	assert.Equal(t, v2, v3)
	// Another base caller made the SCF files: its calls differ.
	assert.Len(t, abif.Bases, 428)
	assert.Len(t, v3.Bases, 436)
	assert.Equal(t, "3276528", abif.Name)
	assert.Equal(t, "3276528", v3.Name)
	assert.Equal(t, "ABI 3730", v3.Model)
	assert.True(t, v3.HasQuals())
	assert.True(t, v3.HasChannels())
	assert.Empty(t, append(append(abif.Notes, v2.Notes...), v3.Notes...))
}

// TestSCFVersions: one read in both versions (BioPerl).
func TestSCFVersions(t *testing.T) {
	v2, v3 := decodeOpen(t, "scf", "version2.scf"), decodeOpen(t, "scf", "version3.scf")
	assert.Equal(t, v2, v3)
	assert.Len(t, v3.Bases, 1106)
	assert.Len(t, v3.Channels[0], 14107)
	assert.Equal(t, "IIABP1D4373", v3.Name)
	assert.Empty(t, v3.Notes)

	chad := decodeOpen(t, "scf", "chad100.scf")
	assert.Len(t, chad.Bases, 761)
	assert.Equal(t, "ACTTGGTGCGCCTGCAGGTACCGG", string(chad.Bases[:24]))
	assert.Equal(t, []byte{6, 6, 6, 8, 16}, chad.Quals[:5])
	assert.Equal(t, []int{5, 16, 19}, chad.Peaks[:3])
	assert.Equal(t, "ML4942R", chad.Name)
}

// TestSCFWithProbabilities: bases before samples, no comments, and where
// qualities should be, values up to 253 (BioPerl): no Phred values, so none
// are invented. One position runs backwards.
func TestSCFWithProbabilities(t *testing.T) {
	tr := decodeOpen(t, "scf", "13-pilE-F.scf")
	assert.Len(t, tr.Bases, 427)
	assert.Equal(t, "TAACATTACGCCAAGAAAAATAGGCTGG", string(tr.Bases[:28]))
	assert.Len(t, tr.Channels[0], 8665)
	assert.Nil(t, tr.Quals)
	assert.Nil(t, tr.Peaks)
	require.Len(t, tr.Notes, 2)
	assert.Contains(t, tr.Notes[0], "the qualities are not used: 252 at base 2 is no Phred value")
	assert.Contains(t, tr.Notes[1], "the peak positions are not used: the position of base")
}

// TestCallsEqualTheLaboratorysText: the .seq text beside each of the 26 fungal
// reads holds our base calls, and the folder reads each of them once.
func TestCallsEqualTheLaboratorysText(t *testing.T) {
	dir := filepath.Join(openData(t), "abif", "fungal_its1f")
	reads := 0
	duplicates := 0
	for it := range Folder(os.DirFS(dir), ".", Limits{}) {
		switch it.Status {
		case Duplicate:
			duplicates++
		case Usable:
			reads++
			checkTrace(t, it.Trace)
			stem := strings.TrimSuffix(it.File, ".ab1")
			assert.Equal(t, stem, it.Trace.Name)
			assert.Equal(t, "2021-03-19", it.Trace.RunDate)
			assert.True(t, it.Trace.HasChannels() && it.Trace.HasQuals(), it.File)
			assert.Empty(t, it.Trace.Notes)
			text, err := Decode(bytes.NewReader(readFile(t, dir, stem+".seq")), stem+".seq", Limits{})
			require.NoError(t, err)
			require.Len(t, text, 1)
			assert.Equal(t, string(text[0].Bases), string(it.Trace.Bases), it.File)
		default:
			assert.Equal(t, "LICENSE", it.File)
			assert.Equal(t, Ignored, it.Status)
		}
	}
	assert.Equal(t, 26, reads)
	assert.Equal(t, 26, duplicates)
}

// TestOddInstrumentFiles: the files of Biopython's tests that are made to be
// odd.
func TestOddInstrumentFiles(t *testing.T) {
	open := func(name string) *seqqc.Trace { return decodeOpen(t, "abif", "instruments", name) }

	tr := open("310.ab1")
	assert.Len(t, tr.Quals, 868)
	assert.False(t, tr.HasQuals(), "all zero is no information")
	assert.Equal(t, "310", tr.Model)
	assert.Equal(t, "C5", tr.Well)

	tr = open("empty.ab1")
	assert.Equal(t, "NNNNN", string(tr.Bases))
	assert.False(t, tr.HasQuals())

	// The two base elements differ in every byte, and only in case.
	tr = open("no_smpl1.ab1")
	dir, err := DecodeABIFDirectory(bytes.NewReader(readFile(t, openData(t), "abif", "instruments", "no_smpl1.ab1")), Limits{})
	require.NoError(t, err)
	assert.Len(t, dir.Elements, 19)
	var raw [2]string
	for i := range raw {
		e, ok := dir.Find("PBAS", int32(i+1))
		require.True(t, ok)
		v, err := e.Value()
		require.NoError(t, err)
		raw[i] = string(v.([]byte))
	}
	assert.NotEqual(t, raw[0], raw[1])
	assert.Equal(t, raw[0], strings.ToUpper(raw[1]))
	assert.Equal(t, raw[0], string(tr.Bases))
	assert.False(t, tr.Edited)
	assert.Empty(t, tr.Name+tr.Well+tr.Model+tr.RunDate)

	tr = open("nonascii_encoding.ab1")
	assert.Equal(t, "8s11-KO-F1", tr.Name)
	assert.Len(t, tr.Bases, 1076)

	tr = open("3730.ab1")
	assert.Contains(t, string(tr.Bases), "GGGCGAGCKYYAYATTTTGG", "the base caller's own ambiguity codes stay")

	for name, want := range map[string]struct {
		err  error
		says string
	}{
		"fake.ab1":     {ErrFormat, "named .ab1 and does not begin as ABIF does"},
		"not_abif.bin": {ErrFormat, "no sequencing file"},
		"test.fsa":     {ErrUnsupported, "a fragment-analysis file is not a sequence"},
	} {
		_, err := Decode(bytes.NewReader(readFile(t, openData(t), "abif", "instruments", name)), name, Limits{})
		require.ErrorIs(t, err, want.err, name)
		assert.ErrorContains(t, err, want.says)
	}
}

// abifFiles gives every real ABIF file, fragment file included.
func abifFiles(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(openData(t), "abif", "*", "*"))
	require.NoError(t, err)
	var out []string
	for _, f := range files {
		if isABIF(readFile(t, f)) {
			out = append(out, f)
		}
	}
	require.Len(t, out, 35)
	return out
}

// TestEveryElementOfRealFiles: no entry of a real directory is an error.
func TestEveryElementOfRealFiles(t *testing.T) {
	elements := 0
	kinds := map[ElementType]bool{}
	for _, f := range abifFiles(t) {
		dir, err := DecodeABIFDirectory(bytes.NewReader(readFile(t, f)), Limits{})
		require.NoError(t, err)
		assert.Equal(t, 101, dir.Version)
		for _, e := range dir.Elements {
			_, err := e.Value()
			require.NoError(t, err, f)
			kinds[e.Type] = true
			elements++
		}
	}
	t.Logf("%d elements of %d types", elements, len(kinds))
	assert.GreaterOrEqual(t, elements, 4000)
	for _, k := range []ElementType{Byte, Char, Short, Long, Float, DateType, TimeType, ThumbType, Bool, PString, CString, UserType} {
		assert.True(t, kinds[k], "type %d occurs", k)
	}
}

// TestRealFilesSurviveRewriting: what was read from a real file, written by
// EncodeABIF, is read back the same.
func TestRealFilesSurviveRewriting(t *testing.T) {
	for _, f := range abifFiles(t) {
		want, err := DecodeABIF(bytes.NewReader(readFile(t, f)), Limits{})
		if errors.Is(err, ErrUnsupported) {
			continue // the fragment file
		}
		require.NoError(t, err, f)
		got, err := DecodeABIF(bytes.NewReader(encodeABIF(t, want)), Limits{})
		require.NoError(t, err, f)
		assert.Equal(t, want, got, f)
	}
}

// biopythonSays is what Biopython's ABIF reader finds in a file.
type biopythonSays struct {
	File              string
	Bases, Name, Well string
	Quals, Peaks      []int
	Date, Model       string
	Channels          [4][]int32 // A C G T
}

const askBiopython = `
import json, sys
from Bio import SeqIO
for path in sys.argv[1:]:
    with open(path, "rb") as f:
        r = SeqIO.read(f, "abi")
    raw = r.annotations["abif_raw"]
    text = lambda k: raw.get(k, b"").decode("latin-1").strip("\x00 ") if isinstance(raw.get(k, b""), bytes) else raw[k]
    n = 1 if "PBAS1" in raw else 2
    if "PBAS1" not in raw and "PBAS2" not in raw: continue
    order = text("FWO_1")
    data = {b: list(raw["DATA%d" % (9 + i)]) for i, b in enumerate(order)}
    day = raw.get("RUND1")
    print(json.dumps(dict(File=path, Bases=text("PBAS%d" % n), Name=text("SMPL1"), Well=text("TUBE1"), Model=text("MODL1"),
        Quals=list(raw["PCON%d" % n]), Peaks=list(raw["PLOC%d" % n]),
        Date=str(day) if day else "", Channels=[data[b] for b in "ACGT"])))
`

// TestAgainstBiopython compares every part of every real file, and of a file
// that EncodeABIF wrote, with what Biopython, a general library of another
// language, reads there. It runs where Python and Biopython are installed.
func TestAgainstBiopython(t *testing.T) {
	files := abifFiles(t)
	ours := filepath.Join(t.TempDir(), "ours.ab1")
	require.NoError(t, os.WriteFile(ours, encodeABIF(t, synthetic(1, 300)), 0o600))
	files = append(files, ours)
	python := ""
	for _, p := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(p, "-c", "import Bio").Run() == nil {
			python = p
			break
		}
	}
	if python == "" {
		t.Skip("no Python with Biopython here: its reader is not compared")
	}
	var stderr bytes.Buffer
	cmd := exec.Command(python, append([]string{"-c", askBiopython}, files...)...)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	require.NoError(t, err, stderr.String())
	compared := 0
	for dec := json.NewDecoder(bytes.NewReader(out)); dec.More(); compared++ {
		var want biopythonSays
		require.NoError(t, dec.Decode(&want))
		got, err := DecodeABIF(bytes.NewReader(readFile(t, want.File)), Limits{})
		require.NoError(t, err)
		quals := make([]int, len(got.Quals))
		for i, q := range got.Quals {
			quals[i] = int(q)
		}
		assert.Equal(t, want, biopythonSays{
			File: want.File, Bases: string(got.Bases), Name: got.Name, Well: got.Well, Quals: quals,
			Peaks: got.Peaks, Date: got.RunDate, Model: got.Model, Channels: got.Channels,
		}, want.File)
	}
	assert.Equal(t, len(files)-1, compared, "all but the fragment file")
}
