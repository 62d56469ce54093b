package trace

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"forayseq/seqqc"
)

// abifOrder is the order in which EncodeABIF writes the channels, the one
// found in every file of an instrument seen so far.
const abifOrder = "GATC"

// EncodeABIF writes t as an ABIF 1.01 file: bases (PBAS), qualities (PCON) and
// peak positions (PLOC) under the numbers 1 (edited) and 2 (as called), the
// four channels (DATA 9 to 12 in the order FWO_), sample (SMPL), well (TUBE),
// instrument model (MODL) and run date (RUND). What t lacks is left out.
//
// Where t is edited, number 2 holds t.Called, and PCON 2 and PLOC 2 are
// written only if Called has the length of Bases.
//
// The format holds 16-bit samples and positions, names of up to 255 bytes and
// four bytes of model: a trace that does not fit, or whose parts differ in
// length, is an error and nothing is written.
//
// Source: Applied Biosystems Genetic Analysis Data File Format, July 2006.
func EncodeABIF(w io.Writer, t *seqqc.Trace) error {
	var f abifWriter
	if err := f.addTrace(t); err != nil {
		return fmt.Errorf("cannot write ABIF: %w", err)
	}
	_, err := w.Write(f.bytes())
	return err
}

type abifItem struct {
	name   string
	number int32
	kind   ElementType
	count  int
	data   []byte
}

type abifWriter struct{ items []abifItem }

func (f *abifWriter) add(name string, number int32, kind ElementType, count int, data []byte) {
	f.items = append(f.items, abifItem{name, number, kind, count, data})
}

func (f *abifWriter) addTrace(t *seqqc.Trace) error {
	if len(t.Bases) == 0 {
		return fmt.Errorf("the trace has no bases")
	}
	if err := f.addCalls(t); err != nil {
		return err
	}
	if err := f.addChannels(t); err != nil {
		return err
	}
	return f.addRun(t)
}

func (f *abifWriter) addCalls(t *seqqc.Trace) error {
	n := len(t.Bases)
	called := t.Bases
	if t.Called != nil {
		called = t.Called
	}
	f.add("PBAS", 1, Char, n, t.Bases)
	f.add("PBAS", 2, Char, len(called), called)

	numbers := []int32{1, 2}
	if len(called) != n {
		numbers = numbers[:1]
	}
	if t.Quals != nil {
		if len(t.Quals) != n {
			return fmt.Errorf("%d qualities for %d bases", len(t.Quals), n)
		}
		for _, number := range numbers {
			f.add("PCON", number, Char, n, t.Quals)
		}
	}
	if t.Peaks != nil {
		if len(t.Peaks) != n {
			return fmt.Errorf("%d peak positions for %d bases", len(t.Peaks), n)
		}
		data := make([]byte, 0, 2*n)
		for i, p := range t.Peaks {
			if p < 0 || p > math.MaxInt16 {
				return fmt.Errorf("peak position %d of base %d does not fit 16 bits", p, i)
			}
			data = binary.BigEndian.AppendUint16(data, uint16(p))
		}
		for _, number := range numbers {
			f.add("PLOC", number, Short, n, data)
		}
	}
	return nil
}

func (f *abifWriter) addChannels(t *seqqc.Trace) error {
	n := len(t.Channels[0])
	for _, c := range t.Channels {
		if len(c) != n {
			return fmt.Errorf("the four channels differ in length")
		}
	}
	if n == 0 {
		return nil
	}
	f.add("FWO_", 1, Char, 4, []byte(abifOrder))
	for i := range abifOrder {
		data := make([]byte, 0, 2*n)
		for at, v := range t.Channels[channelOf(abifOrder[i])] {
			if v < math.MinInt16 || v > math.MaxInt16 {
				return fmt.Errorf("sample %d of channel %c is %d and does not fit 16 bits", at, abifOrder[i], v)
			}
			data = binary.BigEndian.AppendUint16(data, uint16(int16(v)))
		}
		f.add("DATA", int32(9+i), Short, n, data)
	}
	return nil
}

func (f *abifWriter) addRun(t *seqqc.Trace) error {
	for _, s := range []struct{ name, value string }{{"SMPL", t.Name}, {"TUBE", t.Well}} {
		if s.value == "" {
			continue
		}
		if len(s.value) > math.MaxUint8 {
			return fmt.Errorf("%s of %d bytes is longer than 255", s.name, len(s.value))
		}
		f.add(s.name, 1, PString, len(s.value)+1, append([]byte{byte(len(s.value))}, s.value...))
	}
	if t.Model != "" {
		if len(t.Model) > 4 {
			return fmt.Errorf("instrument model %q is longer than 4 bytes", t.Model)
		}
		f.add("MODL", 1, Char, 4, fmt.Appendf(nil, "%-4s", t.Model))
	}
	if t.RunDate != "" {
		d, err := time.Parse(time.DateOnly, t.RunDate)
		if err != nil {
			return fmt.Errorf("run date %q is not YYYY-MM-DD", t.RunDate)
		}
		data := binary.BigEndian.AppendUint16(nil, uint16(d.Year()))
		f.add("RUND", 1, DateType, 1, append(data, byte(d.Month()), byte(d.Day())))
	}
	return nil
}

// bytes lays the file out as the specification draws it: a header of 128
// bytes, the data, the directory sorted by name and number.
func (f *abifWriter) bytes() []byte {
	slices.SortFunc(f.items, func(a, b abifItem) int {
		return cmp.Or(cmp.Compare(a.name, b.name), cmp.Compare(a.number, b.number))
	})
	out := make([]byte, abifHeaderSize)
	var dir []byte
	for _, it := range f.items {
		place := [4]byte{}
		if len(it.data) <= len(place) {
			copy(place[:], it.data)
		} else {
			binary.BigEndian.PutUint32(place[:], uint32(len(out)))
			out = append(out, it.data...)
		}
		dir = appendEntry(dir, it.name, it.number, it.kind, elementSizes[it.kind], it.count, len(it.data), place)
	}
	var place [4]byte
	binary.BigEndian.PutUint32(place[:], uint32(len(out)))
	head := append([]byte(abifMagic), 0, abifVersion)
	head = appendEntry(head, "tdir", 1, directoryType, abifEntrySize, len(f.items), len(dir), place)
	copy(out, head)
	return append(out, dir...)
}

func appendEntry(b []byte, name string, number int32, kind ElementType, size, count, bytes int, place [4]byte) []byte {
	b = append(b, name...)
	b = binary.BigEndian.AppendUint32(b, uint32(number))
	b = binary.BigEndian.AppendUint16(b, uint16(kind))
	b = binary.BigEndian.AppendUint16(b, uint16(size))
	b = binary.BigEndian.AppendUint32(b, uint32(count))
	b = binary.BigEndian.AppendUint32(b, uint32(bytes))
	b = append(b, place[:]...)
	return binary.BigEndian.AppendUint32(b, 0) // data handle, reserved
}
