package trace

import (
	"bytes"
	"fmt"
	"io"
	"path"
	"strings"

	"forayseq/seqqc"
)

// Decode reads a sequencing file of any known format: one Trace for a
// chromatogram, one a record for FASTQ and FASTA. The content decides, by its
// first bytes; name, which may be empty, only tells a .seq file without a
// header line, and what a file that is nothing known was meant to be. A name
// whose ending belongs to another format than the content is told in Notes.
func Decode(r io.Reader, name string, lim Limits) ([]*seqqc.Trace, error) {
	lim = lim.withDefaults()
	file, err := readAll(r, "", lim.FileBytes)
	if err != nil {
		return nil, err
	}
	return decode(file, name, lim)
}

func decode(file []byte, name string, lim Limits) ([]*seqqc.Trace, error) {
	ext := extension(name)
	traces, err := decodeContent(file, ext, lim)
	if err != nil {
		return nil, err
	}
	if want := formats[ext]; want != "" && want != traces[0].Format {
		for _, t := range traces {
			t.Notes = append(t.Notes, fmt.Sprintf("the file is named %s and holds %s", ext, t.Format))
		}
	}
	return traces, nil
}

// formats gives the format that an ending promises, lower case with its dot.
var formats = map[string]string{
	".ab1": "ABIF", ".abi": "ABIF", ".ab": "ABIF",
	".scf":   "SCF",
	".fastq": "FASTQ", ".fq": "FASTQ",
	".fasta": "FASTA", ".fas": "FASTA", ".fna": "FASTA", ".fa": "FASTA", ".seq": "FASTA",
}

func extension(name string) string { return strings.ToLower(path.Ext(name)) }

func decodeContent(file []byte, ext string, lim Limits) ([]*seqqc.Trace, error) {
	one := func(t *seqqc.Trace, err error) ([]*seqqc.Trace, error) {
		if err != nil {
			return nil, err
		}
		return []*seqqc.Trace{t}, nil
	}
	switch {
	case isABIF(file):
		return one(decodeABIF(file, lim))
	case isSCF(file):
		return one(decodeSCF(file, lim))
	}
	fail := func(err error) ([]*seqqc.Trace, error) {
		return nil, &ParseError{Offset: -1, Err: err}
	}
	for _, packed := range []struct{ magic, what, hint string }{
		{zipMagic, "a zip archive", "give it the ending .zip, or unpack it into the folder"},
		{"\x1f\x8b", "a gzip file", "unpack it into the folder"},
	} {
		if bytes.HasPrefix(file, []byte(packed.magic)) {
			return fail(hinted{because(ErrUnsupported, "this is %s where a sequencing file is expected", packed.what), packed.hint})
		}
	}
	body := bytes.TrimLeft(bytes.TrimPrefix(file, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case len(body) == 0:
		return fail(because(ErrTruncated, "the file has only blank lines"))
	case body[0] == '>' || body[0] == ';':
		return decodeFASTA(file, lim)
	case body[0] == '@':
		return decodeFASTQ(file, lim)
	case ext == ".seq":
		return decodeBareText(file, lim)
	}
	what := "this is no sequencing file (ABIF, SCF, FASTQ or FASTA)"
	if want := formats[ext]; want != "" {
		what = fmt.Sprintf("the file is named %s and does not begin as %s does", ext, want)
	}
	return fail(because(ErrFormat, "%s", what))
}
