package trace

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
	"testing/fstest"

	"forayseq/seqqc"
)

// checkTrace holds what every decoded trace promises.
func checkTrace(t *testing.T, tr *seqqc.Trace) {
	t.Helper()
	n := len(tr.Bases)
	switch {
	case n == 0:
		t.Fatal("no bases")
	case len(bytes.Trim(tr.Bases, "ACGTRYKMSWBDHVN")) > 0:
		t.Fatalf("bases %q are no upper-case codes", tr.Bases)
	case tr.Quals != nil && len(tr.Quals) != n, tr.Peaks != nil && len(tr.Peaks) != n:
		t.Fatalf("%d bases, %d qualities, %d peaks", n, len(tr.Quals), len(tr.Peaks))
	case tr.Edited != (tr.Called != nil) || tr.Edited && bytes.Equal(tr.Bases, tr.Called):
		t.Fatal("edited or not?")
	}
	samples := len(tr.Channels[0])
	for _, c := range tr.Channels {
		if len(c) != samples {
			t.Fatal("channels of different length")
		}
	}
	for _, q := range tr.Quals {
		if q > maxPhred {
			t.Fatalf("quality %d", q)
		}
	}
	for i, p := range tr.Peaks {
		if p < 0 || (samples > 0 && p >= samples) || (i > 0 && p < tr.Peaks[i-1]) {
			t.Fatalf("peak %d at %d of %d", i, p, samples)
		}
	}
}

// small bounds a fuzzed input, so that the fuzzer spends its time on layout.
var small = Limits{FileBytes: 1 << 16, Samples: 1 << 12, Bases: 1 << 12, Entries: 64, Records: 64}

func FuzzDecodeABIF(f *testing.F) {
	f.Add(encodeABIF(f, synthetic(1, 6)))
	f.Add(buildABIF(chars("PBAS", 1, "ACGT"), chars("PBAS", 2, "ACGN"), chars("PCON", 2, "\x01\x02\x03\x04"), shorts("PLOC", 2, 1, 2, 3, 4)))
	f.Add(buildABIF(chars("PBAS", 2, "AC"), abifItem{"SMPL", 1, PString, 3, []byte("\x02hi")}, abifItem{"RUND", 1, DateType, 1, []byte{7, 208, 1, 1}}))
	f.Fuzz(func(t *testing.T, file []byte) {
		dir, dirErr := DecodeABIFDirectory(bytes.NewReader(file), small)
		if dirErr == nil {
			for _, e := range dir.Elements {
				if v, err := e.Value(); (err == nil) == (v == nil) {
					t.Fatalf("%s %d: value %v, error %v", e.Name, e.Number, v, err)
				}
			}
		}
		tr, err := DecodeABIF(bytes.NewReader(file), small)
		if err != nil {
			if tr != nil {
				t.Fatal("a trace beside an error")
			}
			return
		}
		if dirErr != nil {
			t.Fatal("a trace without a directory")
		}
		checkTrace(t, tr)
		// What can be written back is read back as it was.
		tr.Notes = nil
		var b bytes.Buffer
		if EncodeABIF(&b, tr) != nil {
			return
		}
		again, err := DecodeABIF(&b, Limits{})
		if err != nil {
			t.Fatal("cannot read what was written:", err)
		}
		checkTrace(t, again)
		if !bytes.Equal(again.Bases, tr.Bases) || !bytes.Equal(again.Quals, tr.Quals) || !bytes.Equal(again.Called, tr.Called) {
			t.Fatal("other bases came back")
		}
	})
}

func FuzzDecodeSCF(f *testing.F) {
	for _, version := range []int{2, 3} {
		for _, size := range []int{1, 2} {
			f.Add(encodeSCF(f, synthetic(1, 6), version, size))
		}
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		tr, err := DecodeSCF(bytes.NewReader(file), small)
		if err != nil {
			return
		}
		checkTrace(t, tr)
		if tr.Peaks == nil {
			return // are written as zeros
		}
		var b bytes.Buffer
		if err := EncodeSCF(&b, tr, 3, 2); err != nil {
			t.Fatal("an SCF trace does not fit SCF:", err)
		}
		again, err := DecodeSCF(&b, Limits{})
		if err != nil {
			t.Fatal("cannot read what was written:", err)
		}
		for c := range tr.Channels {
			for i := range tr.Channels[c] {
				if tr.Channels[c][i] != again.Channels[c][i] {
					t.Fatalf("channel %d, sample %d", c, i)
				}
			}
		}
	})
}

func FuzzDecodeText(f *testing.F) {
	for _, s := range []string{
		">a\nACGT\n>b\nNN-\n", "@a\nACGT\n+\nIIII\n", "@a\nAC\nGT\n+a\n@+\nII\n@b\nA\n+\n~", "ACGT\n", "\xef\xbb\xbf>a\rA", "",
	} {
		f.Add(s, ">a\n1 2 3 4\n")
	}
	f.Fuzz(func(t *testing.T, file, qual string) {
		for _, decode := range []func() ([]*seqqc.Trace, error){
			func() ([]*seqqc.Trace, error) { return DecodeFASTA(strings.NewReader(file), small) },
			func() ([]*seqqc.Trace, error) { return DecodeFASTQ(strings.NewReader(file), small) },
			func() ([]*seqqc.Trace, error) { return Decode(strings.NewReader(file), "x.seq", small) },
		} {
			traces, err := decode()
			if (err == nil) != (len(traces) > 0) {
				t.Fatalf("%d traces and error %v", len(traces), err)
			}
			if err != nil && (err.Error() == "" || Hint(err) == "") {
				t.Fatal("an error without words")
			}
			for _, tr := range traces {
				checkTrace(t, tr)
			}
			if err == nil && JoinQual(traces, strings.NewReader(qual), small) == nil {
				for _, tr := range traces {
					checkTrace(t, tr)
				}
			}
		}
	})
}

func FuzzFolderArchive(f *testing.F) {
	f.Add(zipOf(f, "a.fa", ">a\nACGT\n", "b/c.seq", "ACGT", "../x.fa", ">x\nA\n"))
	f.Add(zipOf(f, "a.ab1", string(encodeABIF(f, synthetic(1, 4)))))
	f.Fuzz(func(t *testing.T, data []byte) {
		lim := small
		lim.ArchiveBytes, lim.ArchiveMembers = 1<<18, 50
		seen := map[string]bool{}
		for it := range Folder(fstest.MapFS{"lab.zip": file(data)}, ".", lim) {
			if !strings.HasPrefix(it.File, "lab.zip") {
				t.Fatalf("an item named %q", it.File)
			}
			if it.Status == Usable {
				checkTrace(t, it.Trace)
				if seen[it.File] {
					t.Fatalf("%q is used twice", it.File)
				}
				seen[it.File] = true
			}
		}
	})
}

// TestABIFEveryWordOfTheDirectory sets each 32-bit word of header and
// directory to the values that break arithmetic.
func TestABIFEveryWordOfTheDirectory(t *testing.T) {
	file := encodeABIF(t, synthetic(1, 12))
	begin := int(parseEntry(file[6:]).offset)
	words := []uint32{0, 1, 4, 5, 0x7fffffff, 0x80000000, 0x80000001, 0xfffffffc, 0xffffffff, uint32(len(file)), uint32(len(file) - 1)}
	decoded := 0
	try := func(at int) {
		for _, w := range words {
			bad := patched(file, at, w)
			tr, err := DecodeABIF(bytes.NewReader(bad), Limits{})
			if err == nil {
				checkTrace(t, tr)
				decoded++
			} else if tr != nil {
				t.Fatal("a trace beside an error")
			}
			if dir, err := DecodeABIFDirectory(bytes.NewReader(bad), Limits{}); err == nil {
				for _, e := range dir.Elements {
					_, _ = e.Value() // must not panic
				}
			}
		}
	}
	for at := 0; at+4 <= abifHeaderSize; at += 2 {
		try(at)
	}
	for at := begin; at+4 <= len(file); at += 2 {
		try(at)
	}
	if decoded == 0 {
		t.Fatal("the sweep reached no decoded file")
	}
}

// TestSCFEveryWordOfTheHeader does the same for SCF.
func TestSCFEveryWordOfTheHeader(t *testing.T) {
	for _, version := range []int{2, 3} {
		file := encodeSCF(t, synthetic(1, 12), version, 2)
		for at := 0; at+4 <= scfHeaderSize; at += 4 {
			for _, w := range []uint32{0, 1, 2, 127, 128, 0x7fffffff, 0x80000000, 0xffffffff, uint32(len(file)), binary.BigEndian.Uint32(file[at:]) + 1} {
				if tr, err := DecodeSCF(bytes.NewReader(patched(file, at, w)), Limits{}); err == nil {
					checkTrace(t, tr)
				}
			}
		}
	}
}
