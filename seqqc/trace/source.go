package trace

import (
	"bytes"
	"io"
	"path"
	"strings"
)

// source is a file that can be opened, in a folder or in an archive.
type source struct {
	file  string // as in Item.File
	read  func() ([]byte, error)
	zip   func() bool   // reads it as an archive; nil where that is not allowed
	head  func() []byte // gives its first bytes, as far as they can be read
	err   error         // what is wrong with it before it is opened
	named bool          // it is what Folder was asked for
	// holds is the format that a file of no known ending begins as.
	holds string
}

func (s source) dir() string { return path.Dir(s.file) }
func (s source) ext() string { return extension(s.file) }

// stem is the name without its ending, case ignored. Of "x.fasta.qual" and
// "x.ab1.seq", which tell what they were made from, it is x.
func (s source) stem() string {
	base := strings.ToLower(path.Base(s.file))
	base = strings.TrimSuffix(base, path.Ext(base))
	if rank(base) != noRank {
		base = strings.TrimSuffix(base, path.Ext(base))
	}
	return base
}

// headBytes are enough to know a format by.
const headBytes = 64

// look sets holds of a file without a known ending: mail programs and browsers
// drop endings, or add .txt. Chromatograms begin with a magic that nothing else
// has; that of a text is one sign, and is looked for in .txt only.
func (s source) look() source {
	ext := s.ext()
	if rank(s.file) != noRank || ext == qualExt || ext == zipExt || packed[ext] || s.err != nil {
		return s
	}
	head := s.head()
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case isABIF(head):
		s.holds = "ABIF"
	case isSCF(head):
		s.holds = "SCF"
	case ext == ".txt" && bytes.HasPrefix(text, []byte(">")):
		s.holds = "FASTA"
	case ext == ".txt" && bytes.HasPrefix(text, []byte("@")):
		s.holds = "FASTQ"
	}
	return s
}

// readHead gives the first bytes of a file that open opens.
func readHead(open func() (io.ReadCloser, error)) []byte {
	f, err := open()
	if err != nil {
		return nil // told where the file is read, if it is
	}
	defer f.Close() //nolint:errcheck // read only
	head := make([]byte, headBytes)
	n, _ := io.ReadFull(f, head)
	return head[:n]
}

const (
	qualExt = ".qual"
	zipExt  = ".zip"

	fastqRank = 2
	fastaRank = 3
	seqRank   = 4
	noRank    = 9
)

// rank orders the forms of a read by what they tell; chromatograms are below
// fastqRank, and noRank is no form of a read.
func rank(name string) int {
	ext := extension(name)
	if ext == ".seq" {
		return seqRank
	}
	return formatRank(formats[ext])
}

func formatRank(format string) int {
	switch format {
	case "ABIF":
		return 0
	case "SCF":
		return 1
	case "FASTQ":
		return fastqRank
	case "FASTA":
		return fastaRank
	}
	return noRank
}

func (s source) rank() int { return min(rank(s.file), formatRank(s.holds)) }
