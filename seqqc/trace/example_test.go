package trace_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing/fstest"

	"forayseq/seqqc"
	"forayseq/seqqc/trace"
)

// A synthetic read of four bases, each with a peak in its own channel.
var read = &seqqc.Trace{
	Format: "ABIF", Name: "FC-0123_ITS1F", Well: "A01", Model: "3730", RunDate: "2026-10-03",
	Bases: []byte("ACGT"), Quals: []byte{31, 42, 40, 12}, Peaks: []int{1, 3, 5, 7},
	Channels: [4][]int32{
		{2, 90, 4, 3, 1, 0, 2, 1, 0},
		{1, 0, 3, 85, 5, 1, 0, 2, 1},
		{0, 1, 2, 1, 6, 88, 4, 0, 1},
		{3, 2, 0, 1, 2, 1, 40, 91, 6},
	},
}

func ExampleDecodeABIF() {
	var file bytes.Buffer
	if err := trace.EncodeABIF(&file, read); err != nil {
		fmt.Println(err)
		return
	}
	t, err := trace.DecodeABIF(&file, trace.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s in well %s: %s, qualities %d, run on %s\n", t.Name, t.Well, t.Bases, t.Quals, t.RunDate)
	fmt.Println("height of the first peak:", t.Channels[0][t.Peaks[0]])
	// Output:
	// FC-0123_ITS1F in well A01: ACGT, qualities [31 42 40 12], run on 2026-10-03
	// height of the first peak: 90
}

func ExampleEncodeABIF() {
	var file bytes.Buffer
	err := trace.EncodeABIF(&file, &seqqc.Trace{Bases: []byte("ACGT"), Quals: []byte{30, 30, 30}})
	fmt.Println(err)
	fmt.Println(file.Len(), "bytes written")
	// Output:
	// cannot write ABIF: 3 qualities for 4 bases
	// 0 bytes written
}

func ExampleDecodeABIFDirectory() {
	var file bytes.Buffer
	if err := trace.EncodeABIF(&file, read); err != nil {
		fmt.Println(err)
		return
	}
	dir, err := trace.DecodeABIFDirectory(&file, trace.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, name := range []string{"FWO_", "PLOC", "RUND", "SMPL"} {
		if e, ok := dir.Find(name, 1); ok {
			v, err := e.Value()
			fmt.Printf("%s 1: %v %v\n", e.Name, v, err)
		}
	}
	// Output:
	// FWO_ 1: [71 65 84 67] <nil>
	// PLOC 1: [1 3 5 7] <nil>
	// RUND 1: [2026-10-03] <nil>
	// SMPL 1: FC-0123_ITS1F <nil>
}

func ExampleDecodeSCF() {
	var file bytes.Buffer
	if err := trace.EncodeSCF(&file, read, 3, 2); err != nil {
		fmt.Println(err)
		return
	}
	whole := file.Bytes()
	t, err := trace.DecodeSCF(bytes.NewReader(whole), trace.Limits{})
	fmt.Printf("%s %s %v\n", t.Name, t.Bases, err)
	_, err = trace.DecodeSCF(bytes.NewReader(whole[:200]), trace.Limits{})
	fmt.Println(err)
	// Output:
	// FC-0123_ITS1F ACGT <nil>
	// SCF, bases, byte 200: the section would end at byte 248, and the file ends at 200
}

func ExampleEncodeSCF() {
	var v2, v3 bytes.Buffer
	fmt.Println(trace.EncodeSCF(&v2, read, 2, 1), trace.EncodeSCF(&v3, read, 3, 1))
	fmt.Println(v2.Len() == v3.Len(), bytes.Equal(v2.Bytes(), v3.Bytes()))
	// Output:
	// <nil> <nil>
	// true false
}

func ExampleDecodeFASTA() {
	traces, err := trace.DecodeFASTA(strings.NewReader(">FC-1 first\nACGT\nACG-N\n>FC-2\nacgu\n"), trace.Limits{})
	for _, t := range traces {
		fmt.Printf("%s %s %q\n", t.Name, t.Bases, t.Notes)
	}
	fmt.Println(err)
	_, err = trace.DecodeFASTA(strings.NewReader(">FC-1\nACGT\n>FC-2\nMKLV\n"), trace.Limits{})
	fmt.Println(err)
	// Output:
	// FC-1 ACGTACGN ["gap signs taken out: 1"]
	// FC-2 ACGT []
	// <nil>
	// FASTA, record "FC-2", line 4: 'L' is no nucleotide code; it is an amino-acid letter, so this may be a protein
}

func ExampleJoinQual() {
	traces, err := trace.DecodeFASTA(strings.NewReader(">FC-1\nACGT\n"), trace.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	err = trace.JoinQual(traces, strings.NewReader(">FC-1\n12 31 40 8\n"), trace.Limits{})
	fmt.Printf("%d %v\n", traces[0].Quals, err)
	err = trace.JoinQual(traces, strings.NewReader(">FC-1\n12 31\n"), trace.Limits{})
	fmt.Println(err)
	// Output:
	// [12 31 40 8] <nil>
	// qual, record "FC-1", line 2: 2 values for 4 bases
}

func ExampleDecodeFASTQ() {
	traces, err := trace.DecodeFASTQ(strings.NewReader("@FC-1\nACGT\n+\n!+5I\n"), trace.Limits{})
	fmt.Printf("%s %d %v\n", traces[0].Bases, traces[0].Quals, err)
	// Output:
	// ACGT [0 10 20 40] <nil>
}

func ExampleDecode() {
	_, err := trace.Decode(strings.NewReader("The sequencing failed.\n"), "FC-1.ab1", trace.Limits{})
	fmt.Println("error:", err)
	fmt.Println("hint:", trace.Hint(err))
	var at *trace.ParseError
	fmt.Println(errors.As(err, &at), errors.Is(err, trace.ErrFormat))
	// Output:
	// error: the file is named .ab1 and does not begin as ABIF does
	// hint: check that this is a sequencing file and that its name has the right ending, or ask the laboratory for it again
	// true true
}

func ExampleHint() {
	fmt.Println(trace.Hint(os.ErrPermission))
	fmt.Println(trace.Hint(trace.ErrTruncated))
	// Output:
	// check that the file can be opened, then run again
	// the copy is incomplete: copy the file again, or ask the laboratory for it
}

func ExampleFolder() {
	batch := fstest.MapFS{
		"reads/FC-1.fasta": {Data: []byte(">FC-1\nACGT\n")},
		"reads/FC-1.qual":  {Data: []byte(">FC-1\n30 31 32 33\n")},
		"reads/FC-1.seq":   {Data: []byte("ACGT\n")},
		"reads/FC-2.ab1":   {Data: []byte("ABIF")},
		"reads/notes.docx": {Data: []byte("...")},
	}
	for it := range trace.Folder(batch, "reads", trace.Limits{}) {
		fmt.Println(it.Status, it.File)
		if p := it.Problem(); p != nil {
			fmt.Println(" ", p.What)
		}
	}
	// Output:
	// unreadable reads/FC-2.ab1
	//   the file ends too early
	// ignored reads/notes.docx
	// usable reads/FC-1.fasta
	// duplicate reads/FC-1.seq
	// joined reads/FC-1.qual
}
