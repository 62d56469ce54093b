package sheet

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	textunicode "golang.org/x/text/encoding/unicode"
	"golang.org/x/text/unicode/norm"

	"forayseq/seqqc"
)

// decodeText turns the bytes of a text file to UTF-8. A byte order mark tells;
// without one, bytes that are valid UTF-8 are UTF-8, every second byte zero is
// UTF-16 (headings are mostly ASCII), and what is left is Windows-1252, in
// which nearly every byte has a meaning: spreadsheet programs write it where
// they are asked for plain "CSV" (common practice, no source).
func decodeText(data []byte, name string) (string, *seqqc.Problem, error) {
	var dec *encoding.Decoder
	little := textunicode.UTF16(textunicode.LittleEndian, textunicode.UseBOM)
	big := textunicode.UTF16(textunicode.BigEndian, textunicode.UseBOM)
	switch {
	case bytes.HasPrefix(data, []byte{0xef, 0xbb, 0xbf}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		dec = little.NewDecoder()
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		dec = big.NewDecoder()
	default:
		switch utf16Order(data) {
		case binary.LittleEndian:
			dec = textunicode.UTF16(textunicode.LittleEndian, textunicode.IgnoreBOM).NewDecoder()
		case binary.BigEndian:
			dec = textunicode.UTF16(textunicode.BigEndian, textunicode.IgnoreBOM).NewDecoder()
		}
	}
	if dec == nil && !utf8.Valid(data) {
		dec = charmap.Windows1252.NewDecoder()
	}
	text := string(data)
	if dec != nil {
		out, err := dec.Bytes(data)
		if err != nil {
			return "", nil, failure(ErrMalformed, name, "its characters cannot be decoded", "save it again as UTF-8")
		}
		text = string(out)
	}
	if strings.ContainsRune(text, 0) {
		return "", nil, failure(ErrUnsupported, name, "this is no text file and no .xlsx workbook",
			"save the sheet as .csv, .tsv or .xlsx")
	}
	var problem *seqqc.Problem
	if strings.ContainsRune(text, utf8.RuneError) {
		problem = &seqqc.Problem{File: name, What: "some characters could not be read and show as \ufffd",
			Hint: "save the sheet again as UTF-8"}
	}
	return norm.NFC.String(text), problem, nil
}

// utf16Order tells UTF-16 without a mark by the zero bytes of its ASCII part;
// nil where it is not UTF-16.
func utf16Order(data []byte) binary.ByteOrder {
	head := data[:min(len(data), 2000)&^1]
	var zero [2]int
	for i, c := range head {
		if c == 0 {
			zero[i%2]++
		}
	}
	switch pairs := len(head) / 2; {
	case pairs < 2:
	case zero[1] > pairs/2 && zero[0] == 0:
		return binary.LittleEndian
	case zero[0] > pairs/2 && zero[1] == 0:
		return binary.BigEndian
	}
	return nil
}

// tidy trims a cell and takes out what cannot be seen: a byte order mark,
// zero-width characters and other controls. Line breaks inside stay.
func tidy(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0' || r == '\u202f' || r == '\t':
			return ' '
		case r == '\n':
			return r
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, s)
	return strings.TrimSpace(s)
}

// oneLine is tidy with every stretch of white space made one space.
func oneLine(s string) string { return strings.Join(strings.Fields(tidy(s)), " ") }
