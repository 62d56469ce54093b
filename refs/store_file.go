package refs

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"unsafe"
)

// A container is a file of named arrays of fixed-size numbers, made to be
// mapped into memory and used where it lies. Numbers are in the byte order of
// the machine that wrote them; another machine refuses the file.
//
//	0     header, 64 bytes (containerHeader)
//	64    directory, 64 bytes a section (containerEntry), in the order of the file
//	...   the sections, each from a multiple of 64, zeros between
//	end   CRC-32C (Castagnoli) of all that is before it, four bytes
const (
	containerMagic   = "\x89Foray\r\n" // a text mode, or a seven-bit copy, spoils it
	containerVersion = 1
	containerOrder   = 0x01020304
	containerAlign   = 64
	containerCRC     = 4
	maxSections      = 1024
)

type containerHeader struct {
	Magic    [8]byte
	Order    uint32 // containerOrder
	Version  uint32
	Size     uint64 // of the file in bytes
	Sections uint32
	_        [36]byte
}

type containerEntry struct {
	Name  [40]byte // filled up with zeros
	Width uint32   // bytes a number
	_     uint32
	Start uint64 // bytes from the beginning of the file
	Count uint64 // numbers
}

// array is a slice in a container: what is written, and where what is found
// goes.
type array struct {
	name  string
	width int // bytes a number
	bytes func() []byte
	set   func(data []byte)
}

// arrayOf names a slice. What is found is mapped memory, not to be written to.
func arrayOf[T uint8 | uint16 | int32 | uint32 | uint64](name string, slice *[]T) array {
	width := int(unsafe.Sizeof(*new(T)))
	return array{
		name:  name,
		width: width,
		bytes: func() []byte {
			return unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(*slice))), len(*slice)*width)
		},
		set: func(data []byte) {
			*slice = unsafe.Slice((*T)(unsafe.Pointer(unsafe.SliceData(data))), len(data)/width)
		},
	}
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// writeContainer writes arrays, of different names, and gives the bytes written.
func writeContainer(w io.Writer, arrays []array) (int64, error) {
	head := containerHeader{Order: containerOrder, Version: containerVersion, Sections: uint32(len(arrays))}
	copy(head.Magic[:], containerMagic)
	entries := make([]containerEntry, len(arrays))
	end := uint64(containerAlign * (1 + len(arrays)))
	for i, a := range arrays {
		n := len(a.bytes())
		copy(entries[i].Name[:], a.name)
		entries[i].Width, entries[i].Start, entries[i].Count = uint32(a.width), end, uint64(n/a.width)
		end = aligned(end + uint64(n))
	}
	head.Size = end + containerCRC

	crc := crc32.New(castagnoli)
	buf := bufio.NewWriterSize(io.MultiWriter(w, crc), 1<<18)
	err := errors.Join(binary.Write(buf, binary.NativeEndian, head), binary.Write(buf, binary.NativeEndian, entries))
	for _, a := range arrays {
		// A bufio.Writer keeps its first error: it is seen at Flush.
		n := uint64(len(a.bytes()))
		_, _ = buf.Write(a.bytes())
		_, _ = buf.Write(make([]byte, aligned(n)-n))
	}
	if err = errors.Join(err, buf.Flush()); err != nil {
		return 0, err
	}
	if err := binary.Write(w, binary.NativeEndian, crc.Sum32()); err != nil {
		return 0, err
	}
	return int64(head.Size), nil
}

func aligned(n uint64) uint64 { return (n + containerAlign - 1) / containerAlign * containerAlign }

// container is an open file.
type container struct {
	data    []byte
	entries map[string]containerEntry
}

// errDamaged means that a container is not as it was written.
var errDamaged = errors.New("it is damaged")

func damaged(format string, args ...any) error {
	return fmt.Errorf("%w: "+format, append([]any{errDamaged}, args...)...)
}

// openContainer checks a file that lies in memory, from an address divisible
// by 8, and opens it. The data is used from then on.
func openContainer(data []byte) (*container, error) {
	var head containerHeader
	if len(data) < containerAlign {
		return nil, damaged("%d bytes", len(data))
	}
	if _, err := binary.Decode(data, binary.NativeEndian, &head); err != nil {
		return nil, err
	}
	switch {
	case string(head.Magic[:]) != containerMagic:
		return nil, damaged("it does not begin as a cached index does")
	case head.Order != containerOrder:
		return nil, errors.New("it was written on a machine with another byte order")
	case head.Version != containerVersion:
		return nil, fmt.Errorf("it has format %d, and this program writes format %d", head.Version, containerVersion)
	case head.Size != uint64(len(data)):
		return nil, damaged("%d bytes, of %d", len(data), head.Size)
	case head.Sections > maxSections || containerAlign*(1+uint64(head.Sections))+containerCRC > head.Size:
		return nil, damaged("%d sections", head.Sections)
	}
	body := data[:len(data)-containerCRC]
	if crc32.Checksum(body, castagnoli) != binary.NativeEndian.Uint32(data[len(body):]) {
		return nil, damaged("its checksum does not fit")
	}
	c := &container{data: body, entries: make(map[string]containerEntry, head.Sections)}
	entries := make([]containerEntry, head.Sections)
	if _, err := binary.Decode(data[containerAlign:], binary.NativeEndian, entries); err != nil {
		return nil, err
	}
	end := containerAlign * (1 + uint64(head.Sections))
	for _, e := range entries {
		name := string(bytes.TrimRight(e.Name[:], "\x00"))
		switch {
		case e.Width != 1 && e.Width != 2 && e.Width != 4 && e.Width != 8,
			e.Start%containerAlign != 0, e.Start < end, e.Start > uint64(len(body)),
			e.Count > (uint64(len(body))-e.Start)/uint64(e.Width):
			return nil, damaged("section %q lies outside", name)
		}
		if _, twice := c.entries[name]; twice {
			return nil, damaged("section %q is there twice", name)
		}
		c.entries[name] = e
		end = e.Start + e.Count*uint64(e.Width)
	}
	return c, nil
}

// alignedBytes gives memory that openContainer takes.
func alignedBytes(n int) []byte {
	words := make([]uint64, (n+7)/8)
	return unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(words))), n)
}

// fill sets arrays to what the container holds under their names, without
// copying.
func (c *container) fill(arrays []array) error {
	for _, a := range arrays {
		e, ok := c.entries[a.name]
		if !ok || int(e.Width) != a.width {
			return damaged("section %q is missing", a.name)
		}
		a.set(c.data[e.Start:][:e.Count*uint64(e.Width)])
	}
	return nil
}
