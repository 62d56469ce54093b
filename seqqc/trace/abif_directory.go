package trace

import (
	"encoding/binary"
	"fmt"
	"io"
)

// Element is one entry of an ABIF directory.
type Element struct {
	Name   string // four characters
	Number int32
	Type   ElementType
	Size   int // bytes of one element, as written
	Count  int // number of elements, as written
	Offset int64
	data   []byte
	err    error
}

// Value gives the element's value: a slice of the type that Type stands for
// ([]int16 for Short, []Date for DateType ...), []byte for Byte, Char and all
// types without a published layout, or a string for PString and CString. It is
// an error where the entry points outside the file or contradicts itself.
func (e Element) Value() (any, error) {
	data, err := e.bytes()
	if err != nil {
		return nil, err
	}
	v, err := decodeElements(e.Type, data)
	if err != nil {
		return nil, e.fail(err)
	}
	return v, nil
}

// bytes gives the data of all elements, which belongs to the file.
func (e Element) bytes() ([]byte, error) { return e.data, e.err }

// text gives a string element, or one of chars without its padding.
func (e Element) text() (string, error) {
	v, err := e.Value()
	if err != nil {
		return "", err
	}
	switch v := v.(type) {
	case string:
		return trimPadding(v), nil
	case []byte:
		return trimPadding(text(v)), nil
	}
	return "", e.fail(because(ErrFormat, "type %d where a text is expected", e.Type))
}

// ints gives an element of whole numbers, signed as its type says.
func (e Element) ints() ([]int32, error) {
	v, err := e.Value()
	if err != nil {
		return nil, err
	}
	switch v := v.(type) {
	case []int16:
		return widen(v), nil
	case []uint16:
		return widen(v), nil
	case []int32:
		return v, nil
	case []byte:
		return widen(v), nil
	}
	return nil, e.fail(because(ErrFormat, "type %d where whole numbers are expected", e.Type))
}

func widen[T byte | int16 | uint16](in []T) []int32 {
	out := make([]int32, len(in))
	for i, v := range in {
		out[i] = int32(v)
	}
	return out
}

func (e Element) fail(err error) error {
	return &ParseError{Format: "ABIF", Offset: e.Offset, Field: fmt.Sprintf("%s %d", e.Name, e.Number), Err: err}
}

// Directory is the directory of an ABIF file.
type Directory struct {
	Version  int // 100 x major + minor: 101 is 1.01
	Elements []Element
}

// Find gives the element of that name and number.
func (d *Directory) Find(name string, number int32) (Element, bool) {
	for _, e := range d.Elements {
		if e.Number == number && e.Name == name {
			return e, true
		}
	}
	return Element{}, false
}

// DecodeABIFDirectory reads the directory of an ABIF file, of sequences or of
// anything else. Entries whose data are missing or wrong stay in the list:
// their Value is an error.
//
// Source: Applied Biosystems Genetic Analysis Data File Format, July 2006.
func DecodeABIFDirectory(r io.Reader, lim Limits) (*Directory, error) {
	lim = lim.withDefaults()
	data, err := readAll(r, "ABIF", lim.FileBytes)
	if err != nil {
		return nil, err
	}
	return parseABIF(data, lim)
}

// entry is the 28 bytes of a directory entry, the last four of which are
// reserved.
type entry struct {
	name   string
	number int32
	kind   ElementType
	size   int16
	count  uint32
	bytes  uint32
	offset uint32
}

func parseEntry(b []byte) entry {
	be := binary.BigEndian
	return entry{
		name:   text(b[:4]),
		number: int32(be.Uint32(b[4:])),
		kind:   ElementType(be.Uint16(b[8:])),
		size:   int16(be.Uint16(b[10:])),
		count:  be.Uint32(b[12:]),
		bytes:  be.Uint32(b[16:]),
		offset: be.Uint32(b[20:]),
	}
}

// parseABIF reads the directory of file. Counts, sizes and offsets are 32-bit
// numbers that the layout calls signed; read as unsigned, a negative one is a
// very large one and falls to the same checks.
func parseABIF(file []byte, lim Limits) (*Directory, error) {
	fail := func(at int64, field string, err error) (*Directory, error) {
		return nil, &ParseError{Format: "ABIF", Offset: at, Field: field, Err: err}
	}
	if !isABIF(file) {
		return fail(0, "", because(ErrFormat, "the file does not begin with %q", abifMagic))
	}
	const rootAt, rootEnd = 6, 6 + abifEntrySize
	if len(file) < rootEnd {
		return fail(int64(len(file)), "header", ErrTruncated)
	}
	d := &Directory{Version: int(binary.BigEndian.Uint16(file[4:]))}
	if d.Version/100 != 1 {
		return fail(4, "header", because(ErrUnsupported, "version %d.%02d is not supported", d.Version/100, d.Version%100))
	}
	root := parseEntry(file[rootAt:rootEnd])
	if root.size != abifEntrySize {
		return fail(rootAt, "directory", because(ErrFormat, "entries of %d bytes, not %d", root.size, abifEntrySize))
	}
	if root.count > uint32(lim.Entries) {
		return fail(rootAt, "directory", tooLarge("entries", int64(root.count), int64(lim.Entries)))
	}
	begin, end := int64(root.offset), int64(root.offset)+int64(root.count)*abifEntrySize
	if end > int64(len(file)) {
		return fail(rootAt, "directory", because(ErrTruncated, "it would end at byte %d, and the file ends at %d", end, len(file)))
	}
	for at := begin; at < end; at += abifEntrySize {
		d.Elements = append(d.Elements, locate(file, at))
	}
	return d, nil
}

func isABIF(file []byte) bool {
	return len(file) >= len(abifMagic) && string(file[:len(abifMagic)]) == abifMagic
}

// locate reads the entry at that offset and finds its data: in the entry
// itself where they have four bytes or fewer.
func locate(file []byte, at int64) Element {
	raw := parseEntry(file[at : at+abifEntrySize])
	e := Element{
		Name: raw.name, Number: raw.number, Type: raw.kind,
		Size: int(raw.size), Count: int(raw.count), Offset: int64(raw.offset),
	}
	const inline = 4
	if raw.bytes <= inline {
		e.Offset = at + 20
	}
	size := int64(raw.size)
	if known, ok := elementSizes[raw.kind]; ok && size != int64(known) {
		e.err = e.fail(because(ErrFormat, "elements of %d bytes where type %d has %d", size, raw.kind, known))
		return e
	}
	need := int64(raw.count) * size
	switch {
	case size < 0 || need > int64(raw.bytes):
		e.err = e.fail(because(ErrFormat, "%d elements of %d bytes do not fit its %d bytes", raw.count, size, raw.bytes))
	case e.Offset+need > int64(len(file)):
		e.err = e.fail(because(ErrTruncated, "it would end at byte %d, and the file ends at %d", e.Offset+need, len(file)))
	default:
		e.data = file[e.Offset : e.Offset+need]
	}
	return e
}
