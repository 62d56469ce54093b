package trace

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
)

func TestABIFKeepsEveryPart(t *testing.T) {
	full := synthetic(1, 60)
	full.Channels[2][5] = -7 // baselines go below zero
	edited := synthetic(2, 40)
	edited.Called = bytes.Clone(edited.Bases)
	edited.Called[3], edited.Edited = 'N', true
	inserted := synthetic(3, 40)
	inserted.Called, inserted.Edited = bytes.Clone(inserted.Bases[1:]), true
	bare := &seqqc.Trace{Format: "ABIF", Bases: []byte("ACGTRYN"),
		Notes: []string{"it holds no analysed traces (DATA 9 to 12), so that its peaks cannot be looked at"}}
	short := synthetic(4, 3) // every small element lies in its entry

	for name, want := range map[string]*seqqc.Trace{
		"full": full, "edited": edited, "inserted": inserted, "bare": bare, "short": short,
	} {
		t.Run(name, func(t *testing.T) {
			got, err := DecodeABIF(bytes.NewReader(encodeABIF(t, want)), Limits{})
			require.NoError(t, err)
			assert.Equal(t, want, got)
		})
	}
}

func TestEncodeABIFRefusesWhatDoesNotFit(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*seqqc.Trace)
		want   string
	}{
		"no bases":         {func(tr *seqqc.Trace) { *tr = seqqc.Trace{} }, "no bases"},
		"qualities":        {func(tr *seqqc.Trace) { tr.Quals = tr.Quals[1:] }, "19 qualities for 20 bases"},
		"positions":        {func(tr *seqqc.Trace) { tr.Peaks = tr.Peaks[1:] }, "19 peak positions for 20 bases"},
		"position":         {func(tr *seqqc.Trace) { tr.Peaks[2] = 40000 }, "40000 of base 2 does not fit 16 bits"},
		"sample":           {func(tr *seqqc.Trace) { tr.Channels[1][9] = 1 << 15 }, "sample 9 of channel C is 32768"},
		"channels":         {func(tr *seqqc.Trace) { tr.Channels[1] = tr.Channels[1][1:] }, "differ in length"},
		"name":             {func(tr *seqqc.Trace) { tr.Name = strings.Repeat("x", 256) }, "SMPL of 256 bytes"},
		"model":            {func(tr *seqqc.Trace) { tr.Model = "37300" }, "longer than 4"},
		"day":              {func(tr *seqqc.Trace) { tr.RunDate = "2026-02-30" }, "not YYYY-MM-DD"},
		"day in old order": {func(tr *seqqc.Trace) { tr.RunDate = "03/10/2026" }, "not YYYY-MM-DD"},
	} {
		t.Run(name, func(t *testing.T) {
			tr := synthetic(1, 20)
			c.change(tr)
			var b bytes.Buffer
			require.ErrorContains(t, EncodeABIF(&b, tr), c.want)
			assert.Zero(t, b.Len(), "nothing is written")
		})
	}
}

// TestABIFLeniences: what contradicts the bases is left out and told; the
// bases stay.
func TestABIFLeniences(t *testing.T) {
	ramp := func(number int32) abifItem { return shorts("DATA", number, 0, 10, 20, 30, 20, 10, 0) }
	traces := []abifItem{ramp(9), ramp(10), ramp(11), ramp(12)}
	order := chars("FWO_", 1, "GATC")
	bases := chars("PBAS", 1, "ACGT")
	peaks := shorts("PLOC", 1, 0, 2, 4, 6)
	for name, c := range map[string]struct {
		items    []abifItem
		note     string // empty where nothing is to be told
		channels bool
		peaks    bool
		quals    bool
	}{
		"no traces, no qualities": {items: []abifItem{bases, peaks}, peaks: true, note: "it holds no analysed traces"},
		"all there": {
			items:    append([]abifItem{bases, peaks, order, chars("PCON", 1, "\x05\x06\x07\x08")}, traces...),
			channels: true, peaks: true, quals: true,
		},
		"the other number": {
			items: []abifItem{bases, chars("PCON", 2, "\x05\x06\x07\x08")},
			note:  "PCON 1 is missing, and PCON 2 is used", quals: true,
		},
		"too few qualities": {
			items: []abifItem{bases, chars("PCON", 1, "\x05\x06\x07")},
			note:  "the qualities (PCON 1) are not used: 3 values for 4 bases",
		},
		"quality 253": {
			items: []abifItem{bases, chars("PCON", 1, "\x05\x06\x07\xfd")},
			note:  "253 at base 4 is no Phred value",
		},
		"position past the samples": {
			items: append([]abifItem{bases, shorts("PLOC", 1, 0, 2, 4, 7), order}, traces...),
			note:  "the position of base 4 is 7, and the trace ends at 7", channels: true,
		},
		"position backwards": {
			items: append([]abifItem{bases, shorts("PLOC", 1, 0, 4, 2, 6), order}, traces...),
			note:  "the position of base 3 lies before that of base 2", channels: true,
		},
		"positions all zero": {
			items: []abifItem{bases, shorts("PLOC", 1, 0, 0, 0, 0)}, note: "they are all zero",
		},
		"too few positions": {
			items: []abifItem{bases, shorts("PLOC", 1, 0, 4)}, note: "2 values for 4 bases",
		},
		"one trace missing": {
			items: append([]abifItem{bases, peaks, order}, traces[:3]...),
			note:  "only 3 of the 4 analysed traces", peaks: true,
		},
		"no order": {
			items: append([]abifItem{bases, peaks}, traces...),
			note:  `FWO_ "" does not tell which is which`, peaks: true,
		},
		"order with a base twice": {
			items: append([]abifItem{bases, peaks, chars("FWO_", 1, "GATT")}, traces...),
			note:  `FWO_ "GATT" does not tell`, peaks: true,
		},
		"channel order of any length": {
			items: append([]abifItem{bases, peaks, chars("FWO_", 1, strings.Repeat("GATC", 999))}, traces...),
			note:  `FWO_ "GATCG" does not tell`, peaks: true,
		},
		"traces of two lengths": {
			items: append([]abifItem{bases, peaks, order, shorts("DATA", 12, 1, 2)}, traces[:3]...),
			note:  "differ in length", peaks: true,
		},
		"letters nobody called": {
			items: []abifItem{chars("PBAS", 1, "AC-.x?U")}, note: "signs that are no base, read as N: 4",
		},
		"run date no day": {
			items: []abifItem{bases, {"RUND", 1, DateType, 1, []byte{7, 0xd8, 2, 30}}},
			note:  "RUND 1 is no date",
		},
		"name of numbers":          {items: []abifItem{bases, shorts("SMPL", 1, 1, 2)}, note: "SMPL 1 cannot be read"},
		"run date of another type": {items: []abifItem{bases, shorts("RUND", 1, 2008, 2)}, note: "RUND 1 is no date"},
		"name longer than its element": {
			items: []abifItem{bases, {"SMPL", 1, PString, 3, []byte{9, 'a', 'b'}}},
			note:  "SMPL 1 cannot be read and is left out",
		},
	} {
		t.Run(name, func(t *testing.T) {
			tr, err := DecodeABIF(bytes.NewReader(buildABIF(c.items...)), Limits{})
			require.NoError(t, err)
			notes := strings.Join(tr.Notes, "\n")
			if c.note == "" {
				assert.Empty(t, notes)
			} else {
				assert.Contains(t, notes, c.note)
			}
			assert.Equal(t, c.channels, tr.Channels[0] != nil, "channels")
			assert.Equal(t, c.peaks, tr.Peaks != nil, "peaks")
			assert.Equal(t, c.quals, tr.Quals != nil, "qualities")
			assert.Len(t, tr.Bases, len(c.items[0].data))
		})
	}
}

func TestABIFChannelOrder(t *testing.T) {
	tr, err := DecodeABIF(bytes.NewReader(buildABIF(
		chars("PBAS", 2, "ac"), chars("FWO_", 1, "CTGA"),
		shorts("DATA", 9, 1, 1), shorts("DATA", 10, 2, 2), shorts("DATA", 11, 3, 3), shorts("DATA", 12, 4, 4),
	)), Limits{})
	require.NoError(t, err)
	assert.Equal(t, [4][]int32{{4, 4}, {1, 1}, {3, 3}, {2, 2}}, tr.Channels, "A C G T")
	assert.Equal(t, "AC", string(tr.Bases), "number 2 where there is no number 1")
	assert.False(t, tr.Edited)
}

// TestABIFEdited: a difference in case only is no edit.
func TestABIFEdited(t *testing.T) {
	tr, err := DecodeABIF(bytes.NewReader(buildABIF(chars("PBAS", 1, "ACGT"), chars("PBAS", 2, "acgt"))), Limits{})
	require.NoError(t, err)
	assert.False(t, tr.Edited)
	assert.Nil(t, tr.Called)

	tr, err = DecodeABIF(bytes.NewReader(buildABIF(chars("PBAS", 1, "ACGT"), chars("PBAS", 2, "acgn"))), Limits{})
	require.NoError(t, err)
	assert.True(t, tr.Edited)
	assert.Equal(t, "ACGN", string(tr.Called))
}

// TestABIFPositionsOfLongTraces: the layout calls positions signed, and a trace
// of more than 32,767 points still has them.
func TestABIFPositionsOfLongTraces(t *testing.T) {
	tr, err := DecodeABIF(bytes.NewReader(buildABIF(chars("PBAS", 1, "AC"), shorts("PLOC", 1, 5, -25536))), Limits{})
	require.NoError(t, err)
	assert.Equal(t, []int{5, 40000}, tr.Peaks)

	for kind, data := range map[ElementType]string{
		Word: "\x00\x05\x9c\x40", Long: "\x00\x00\x00\x05\x00\x00\x9c\x40", Byte: "\x05\x40",
	} {
		tr, err := DecodeABIF(bytes.NewReader(buildABIF(chars("PBAS", 1, "AC"), abifItem{"PLOC", 1, kind, 2, []byte(data)})), Limits{})
		require.NoError(t, err)
		assert.Equal(t, 5, tr.Peaks[0], "type %d", kind)
		assert.Contains(t, []int{40000, 0x40}, tr.Peaks[1])
	}
}

// TestElementTypes: one value of each type, from the sizes and field orders of
// the published layout (Genetic Analysis Data File Format, July 2006; from
// memory where no real file shows the type).
func TestElementTypes(t *testing.T) {
	for name, c := range map[string]struct {
		kind ElementType
		n    int
		data string
		want any
	}{
		"byte":      {Byte, 2, "\x01\xff", []byte{1, 255}},
		"char":      {Char, 4, "GATC", []byte("GATC")},
		"word":      {Word, 2, "\x00\x01\xff\xff", []uint16{1, 65535}},
		"short":     {Short, 2, "\x00\x01\xff\xff", []int16{1, -1}},
		"long":      {Long, 2, "\x00\x00\x21\x34\xff\xff\xff\xff", []int32{8500, -1}},
		"rational":  {RatioType, 1, "\x00\x00\x00\x01\x00\x00\x00\x02", []Ratio{{1, 2}}},
		"float":     {Float, 1, "\x3f\x80\x00\x00", []float32{1}},
		"double":    {Double, 1, "\x3f\xf8\x00\x00\x00\x00\x00\x00", []float64{1.5}},
		"bcd":       {BCD, 0, "", []byte(nil)},
		"date":      {DateType, 1, "\x07\xd8\x02\x0b", []Date{{2008, 2, 11}}},
		"time":      {TimeType, 1, "\x0a\x04\x2d\x00", []Time{{10, 4, 45, 0}}},
		"thumb":     {ThumbType, 1, "\x00\x00\x00\x01\x00\x00\x00\x02\x03\x04", []Thumb{{1, 2, 3, 4}}},
		"bool":      {Bool, 2, "\x00\x01", []bool{false, true}},
		"point":     {PointType, 1, "\x00\x01\xff\xff", []Point{{1, -1}}},
		"rect":      {RectType, 1, "\x00\x01\x00\x02\x00\x03\x00\x04", []Rect{{1, 2, 3, 4}}},
		"vPoint":    {VPoint, 1, "\x00\x00\x00\x01\x00\x00\x00\x02", []Point{{1, 2}}},
		"vRect":     {VRectType, 1, "\x00\x00\x00\x01\x00\x00\x00\x02\x00\x00\x00\x03\x00\x00\x00\x04", []Rect{{1, 2, 3, 4}}},
		"pString":   {PString, 4, "\x03P15", "P15"},
		"pString 0": {PString, 0, "", ""},
		"cString":   {CString, 7, "3730xl\x00", "3730xl"},
		"cString 8": {CString, 3, "\xe9\xe8\x00", "éè"},
		"tag":       {TagType, 1, "PBAS\x00\x00\x00\x02", []Tag{{"PBAS", 2}}},
	} {
		t.Run(name, func(t *testing.T) {
			d, err := DecodeABIFDirectory(bytes.NewReader(buildABIF(abifItem{"Test", 7, c.kind, c.n, []byte(c.data)})), Limits{})
			require.NoError(t, err)
			e, ok := d.Find("Test", 7)
			require.True(t, ok)
			got, err := e.Value()
			require.NoError(t, err)
			assert.Equal(t, c.want, got)
			_, ok = d.Find("Test", 8)
			assert.False(t, ok)
		})
	}
	assert.Equal(t, "2008-02-11", Date{2008, 2, 11}.String())
	assert.Equal(t, "10:04:45.07", Time{10, 4, 45, 7}.String())
	for _, d := range []Date{{2008, 2, 30}, {2008, 13, 1}, {2008, 0, 1}, {0, 1, 1}, {-5, 1, 1}, {math.MaxInt16, 2, 0}} {
		assert.False(t, d.Valid(), d)
	}
	assert.True(t, Date{2008, 2, 29}.Valid())
}

// TestElementTypesWithoutALayout: bytes come back as they are.
func TestElementTypesWithoutALayout(t *testing.T) {
	for _, kind := range []ElementType{BCD, DeltaComp, LZWComp, DeltaLZW, UserType, UserType + 5} {
		file := buildABIF(abifItem{"Test", 1, kind, 6, []byte("\x00\x01abcd")})
		file[len(file)-abifEntrySize+11] = 1 // element size
		d, err := DecodeABIFDirectory(bytes.NewReader(file), Limits{})
		require.NoError(t, err)
		v, err := d.Elements[0].Value()
		require.NoError(t, err)
		assert.Equal(t, []byte("\x00\x01abcd"), v)
	}
}
