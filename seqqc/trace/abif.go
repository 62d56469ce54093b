package trace

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"forayseq/seqqc"
)

// The fixed parts of an ABIF file: magic, version 1.01, a header of 128 bytes
// whose first directory entry, at byte 6, describes the directory.
const (
	abifMagic      = "ABIF"
	abifVersion    = 101
	abifHeaderSize = 128
	abifEntrySize  = 28
)

// DecodeABIF reads an ABIF chromatogram (.ab1).
//
// Bases, qualities and peak positions are those of number 1, which an editor
// may have changed, and of number 2, as called, where number 1 is missing;
// Called and Edited tell where the two differ in more than case. Qualities,
// peak positions, channels, sample name, well, model and run date are left
// empty where the file has none.
//
// A file without base calls (fragment analysis) is ErrUnsupported. Parts that
// contradict the bases (another length, qualities above Phred 99, positions
// past the samples or out of order) are not used, and Notes says so: the bases
// themselves are still good. So does a damaged name, well, model or run date.
// Other data that the directory promises and the file does not have are
// ErrTruncated, and damage in elements that are not used is not looked for.
//
// Source: Applied Biosystems Genetic Analysis Data File Format, July 2006; the
// meaning of numbers 1 and 2 from memory of it.
func DecodeABIF(r io.Reader, lim Limits) (*seqqc.Trace, error) {
	lim = lim.withDefaults()
	file, err := readAll(r, "ABIF", lim.FileBytes)
	if err != nil {
		return nil, err
	}
	return decodeABIF(file, lim)
}

func decodeABIF(file []byte, lim Limits) (*seqqc.Trace, error) {
	dir, err := parseABIF(file, lim)
	if err != nil {
		return nil, err
	}
	a := abifReader{dir: dir, lim: lim, t: &seqqc.Trace{Format: "ABIF"}}
	if err := a.bases(); err != nil {
		return nil, err
	}
	if err := a.channels(); err != nil {
		return nil, err
	}
	if err := a.qualities(); err != nil {
		return nil, err
	}
	if err := a.peaks(); err != nil {
		return nil, err
	}
	a.run()
	return a.t, nil
}

// abifReader fills a Trace from a directory, part by part.
type abifReader struct {
	dir    *Directory
	lim    Limits
	t      *seqqc.Trace
	number int32 // of the PBAS used
}

func (a *abifReader) note(format string, args ...any) {
	a.t.Notes = append(a.t.Notes, fmt.Sprintf(format, args...))
}

// find gives the element if it is there and not empty.
func (a *abifReader) find(name string, number int32) (Element, bool) {
	e, ok := a.dir.Find(name, number)
	return e, ok && e.Count > 0
}

// findCall gives the element that goes with the bases used, or the one of the
// other number: editing that keeps the length keeps the positions, and lengths
// are checked against the bases by the caller.
func (a *abifReader) findCall(name string) (Element, bool) {
	if e, ok := a.find(name, a.number); ok {
		return e, true
	}
	other := 3 - a.number
	e, ok := a.find(name, other)
	if ok {
		a.note("%s %d is missing, and %s %d is used", name, a.number, name, other)
	}
	return e, ok
}

func (a *abifReader) bases() error {
	edited, hasEdited := a.find("PBAS", 1)
	called, hasCalled := a.find("PBAS", 2)
	switch {
	case hasEdited:
		a.number = 1
	case hasCalled:
		a.number, edited = 2, called
	default:
		return a.noCalls()
	}
	var err error
	if a.t.Bases, err = a.letters(edited, true); err != nil {
		return err
	}
	if len(a.t.Bases) == 0 {
		return edited.fail(because(ErrFormat, "its %d elements have no bytes", edited.Count))
	}
	if !hasEdited || !hasCalled {
		return nil
	}
	first, err := a.letters(called, false)
	if err != nil {
		return err
	}
	if !bytes.Equal(first, a.t.Bases) {
		a.t.Called, a.t.Edited = first, true
	}
	return nil
}

// noCalls says what kind of file has no bases.
func (a *abifReader) noCalls() error {
	what := "it holds no base calls (PBAS) and no traces"
	_, analysed := a.find("DATA", 9)
	_, raw := a.find("DATA", 1)
	_, order := a.find("FWO_", 1)
	switch {
	case order && (analysed || raw):
		what = "it holds traces but no base calls (PBAS): it has not been base-called"
	case analysed || raw:
		what = "it holds no base calls (PBAS): a fragment-analysis file is not a sequence"
	}
	return &ParseError{Format: "ABIF", Offset: -1, Field: "directory", Err: because(ErrUnsupported, "%s", what)}
}

func (a *abifReader) letters(e Element, note bool) ([]byte, error) {
	raw, err := e.bytes()
	if err != nil {
		return nil, err
	}
	if len(raw) > a.lim.Bases {
		return nil, e.fail(tooLarge("bases", len(raw), a.lim.Bases))
	}
	bases, unknown, at := cleanBases(raw)
	if at >= 0 {
		return nil, &ParseError{Format: "ABIF", Offset: e.Offset + int64(at), Field: fmt.Sprintf("%s %d", e.Name, e.Number), Err: badLetter(raw[at], at)}
	}
	if note && unknown > 0 {
		a.note("signs that are no base, read as N: %d", unknown)
	}
	return bases, nil
}

func (a *abifReader) channels() error {
	order, ok := a.find("FWO_", 1)
	var samples [4][]int32
	found := 0
	for i := range samples {
		e, ok := a.find("DATA", int32(9+i))
		if !ok {
			continue
		}
		if e.Count > a.lim.Samples {
			return e.fail(tooLarge("samples", e.Count, a.lim.Samples))
		}
		v, err := e.ints()
		if err != nil {
			return err
		}
		samples[i] = v
		found++
	}
	if found == 0 {
		a.note("it holds no analysed traces (DATA 9 to 12), so that its peaks cannot be looked at")
		return nil
	}
	if found < len(samples) {
		a.note("only %d of the 4 analysed traces (DATA 9 to 12) are there, and none is used", found)
		return nil
	}
	var letters string
	if ok {
		// FWO_ is needed to use DATA; without it a guess could swap channels.
		raw, err := order.bytes()
		if err != nil {
			return err
		}
		letters = strings.ToUpper(string(raw[:min(len(raw), 5)])) // enough to be wrong
	}
	if !isChannelOrder(letters) {
		a.note("the traces are not used: FWO_ %q does not tell which is which", letters)
		return nil
	}
	for i := range samples {
		if len(samples[i]) != len(samples[0]) {
			a.note("the traces are not used: DATA 9 to 12 differ in length")
			return nil
		}
	}
	for i := range samples {
		a.t.Channels[channelOf(letters[i])] = samples[i]
	}
	return nil
}

func (a *abifReader) qualities() error {
	e, ok := a.findCall("PCON")
	if !ok {
		return nil
	}
	raw, err := e.bytes()
	if err != nil {
		return err
	}
	quals, why := checkQuals(raw, len(a.t.Bases))
	if why != "" {
		a.note("the qualities (%s %d) are not used: %s", e.Name, e.Number, why)
	}
	a.t.Quals = quals
	return nil
}

func (a *abifReader) peaks() error {
	e, ok := a.findCall("PLOC")
	if !ok {
		return nil
	}
	values, err := e.ints()
	if err != nil {
		return err
	}
	peaks := make([]int, len(values))
	for i, v := range values {
		if e.Type == Short {
			// A position is never negative: the upper half of the 16 bits
			// can only be a long trace.
			v &= 0xffff
		}
		peaks[i] = int(v)
	}
	peaks, why := checkPeaks(peaks, len(a.t.Bases), len(a.t.Channels[0]))
	if why != "" {
		a.note("the peak positions (%s %d) are not used: %s", e.Name, e.Number, why)
	}
	a.t.Peaks = peaks
	return nil
}

// run reads what describes the run. None of it is needed to use the bases, so
// what is damaged is left empty and named.
func (a *abifReader) run() {
	for _, f := range []struct {
		name string
		to   *string
	}{{"SMPL", &a.t.Name}, {"TUBE", &a.t.Well}, {"MODL", &a.t.Model}} {
		e, ok := a.find(f.name, 1)
		if !ok {
			continue
		}
		v, err := e.text()
		if err != nil {
			a.note("%s 1 cannot be read and is left out", f.name)
			continue
		}
		*f.to = v
	}
	e, ok := a.find("RUND", 1)
	if !ok {
		return
	}
	v, err := e.Value()
	dates, ok := v.([]Date)
	if err != nil || !ok || len(dates) == 0 || !dates[0].Valid() {
		a.note("RUND 1 is no date and is left out")
		return
	}
	a.t.RunDate = dates[0].String()
}
