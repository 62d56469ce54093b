package trace

import (
	"encoding/binary"
	"fmt"
	"math"
	"time"
	"unicode/utf8"
)

// ElementType is the type code of an ABIF directory entry.
type ElementType int16

// The element types of the published layout.
const (
	Byte      ElementType = 1
	Char      ElementType = 2
	Word      ElementType = 3
	Short     ElementType = 4
	Long      ElementType = 5
	RatioType ElementType = 6
	Float     ElementType = 7
	Double    ElementType = 8
	BCD       ElementType = 9 // obsolete
	DateType  ElementType = 10
	TimeType  ElementType = 11
	ThumbType ElementType = 12
	Bool      ElementType = 13
	PointType ElementType = 14 // obsolete, as the rest down to VRectType
	RectType  ElementType = 15
	VPoint    ElementType = 16
	VRectType ElementType = 17
	PString   ElementType = 18
	CString   ElementType = 19
	TagType   ElementType = 20
	// DeltaComp, LZWComp and DeltaLZW are compressed and not supported by the
	// published layout either; UserType and above belong to the writer.
	DeltaComp ElementType = 128
	LZWComp   ElementType = 256
	DeltaLZW  ElementType = 384
	UserType  ElementType = 1024

	directoryType ElementType = 1023
)

// elementSizes gives the bytes of one element; a type that is not here is kept
// as bytes.
var elementSizes = map[ElementType]int{
	Byte: 1, Char: 1, Word: 2, Short: 2, Long: 4, RatioType: 8, Float: 4, Double: 8,
	DateType: 4, TimeType: 4, ThumbType: 10, Bool: 1, PointType: 4, RectType: 8,
	VPoint: 8, VRectType: 16, PString: 1, CString: 1, TagType: 8,
}

// Ratio is an element of type rational.
type Ratio struct{ Numerator, Denominator int32 }

// Date is an element of type date.
type Date struct {
	Year       int16
	Month, Day uint8
}

// Valid reports whether the calendar has the date.
func (d Date) Valid() bool {
	t := time.Date(int(d.Year), time.Month(d.Month), int(d.Day), 0, 0, 0, 0, time.UTC)
	return d.Year > 0 && t.Month() == time.Month(d.Month) && t.Day() == int(d.Day)
}

// String gives YYYY-MM-DD.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// Time is an element of type time, a time of day.
type Time struct{ Hour, Minute, Second, Hundredth uint8 }

// String gives HH:MM:SS.hh.
func (t Time) String() string {
	return fmt.Sprintf("%02d:%02d:%02d.%02d", t.Hour, t.Minute, t.Second, t.Hundredth)
}

// Thumb is an element of type thumbprint, a unique file identifier.
type Thumb struct {
	D, U int32
	C, N uint8
}

// Point is an element of type point or vPoint.
type Point struct{ V, H int32 }

// Rect is an element of type rect or vRect.
type Rect struct{ Top, Left, Bottom, Right int32 }

// Tag is an element of type tag: the key of another entry.
type Tag struct {
	Name   string
	Number int32
}

// decodeElements gives the typed value of data, which holds whole elements:
// a slice, or a string for the two string types. BCD, compressed and user
// types stay bytes.
func decodeElements(kind ElementType, data []byte) (any, error) {
	be := binary.BigEndian
	i16 := func(b []byte) int16 { return int16(be.Uint16(b)) }
	i32 := func(b []byte) int32 { return int32(be.Uint32(b)) }
	switch kind {
	case Word:
		return each(data, 2, be.Uint16), nil
	case Short:
		return each(data, 2, i16), nil
	case Long:
		return each(data, 4, i32), nil
	case RatioType:
		return each(data, 8, func(b []byte) Ratio { return Ratio{i32(b), i32(b[4:])} }), nil
	case Float:
		return each(data, 4, func(b []byte) float32 { return math.Float32frombits(be.Uint32(b)) }), nil
	case Double:
		return each(data, 8, func(b []byte) float64 { return math.Float64frombits(be.Uint64(b)) }), nil
	case DateType:
		return each(data, 4, func(b []byte) Date { return Date{i16(b), b[2], b[3]} }), nil
	case TimeType:
		return each(data, 4, func(b []byte) Time { return Time{b[0], b[1], b[2], b[3]} }), nil
	case ThumbType:
		return each(data, 10, func(b []byte) Thumb { return Thumb{i32(b), i32(b[4:]), b[8], b[9]} }), nil
	case Bool:
		return each(data, 1, func(b []byte) bool { return b[0] != 0 }), nil
	case PointType:
		return each(data, 4, func(b []byte) Point { return Point{int32(i16(b)), int32(i16(b[2:]))} }), nil
	case RectType:
		return each(data, 8, func(b []byte) Rect {
			return Rect{int32(i16(b)), int32(i16(b[2:])), int32(i16(b[4:])), int32(i16(b[6:]))}
		}), nil
	case VPoint:
		return each(data, 8, func(b []byte) Point { return Point{i32(b), i32(b[4:])} }), nil
	case VRectType:
		return each(data, 16, func(b []byte) Rect { return Rect{i32(b), i32(b[4:]), i32(b[8:]), i32(b[12:])} }), nil
	case TagType:
		return each(data, 8, func(b []byte) Tag { return Tag{text(b[:4]), i32(b[4:])} }), nil
	case PString:
		if len(data) == 0 {
			return "", nil
		}
		if n := int(data[0]); n > len(data)-1 {
			return nil, because(ErrTruncated, "a string of %d bytes does not fit its element of %d", n, len(data))
		}
		return text(data[1 : 1+int(data[0])]), nil
	case CString:
		if n := len(data); n > 0 && data[n-1] == 0 {
			data = data[:n-1]
		}
		return text(data), nil
	}
	return append([]byte(nil), data...), nil
}

func each[T any](data []byte, size int, read func([]byte) T) []T {
	out := make([]T, 0, len(data)/size)
	for ; len(data) >= size; data = data[size:] {
		out = append(out, read(data))
	}
	return out
}

// text gives b as a string. The layout says nothing about the encoding; what
// is no UTF-8 is read as Latin-1, so that no byte is lost.
func text(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}
