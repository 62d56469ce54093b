package deposit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"forayseq/seqqc"
)

// Params are the limits of what goes to an archive.
type Params struct {
	// MinBases is the length, in bases, below which a sequence stays: archives
	// take none under 200 (published submission rule, from memory).
	MinBases int
	// MaxAmbiguousPct is the largest share, in percent, of codes other than A,
	// C, G and T; common practice, no source.
	MaxAmbiguousPct float64
	// EndBases is how many bases at each end are looked at, and MaxEndErrors
	// how many errors they may have by their qualities: 20 bases of Q13 have
	// one. Common practice, no source.
	EndBases     int
	MaxEndErrors float64
	// Institution is put before a specimen's code where the sheet names none,
	// empty for none.
	Institution string
	// Sensitive are families, genera or species whose finds are not told
	// precisely, and SensitiveDegrees what their coordinates are rounded to: a
	// tenth of a degree is about 11 km of latitude. Common practice, no source.
	Sensitive        []string
	SensitiveDegrees float64
	// Today is the day after which nothing was collected, zero where that is
	// not asked.
	Today time.Time
}

// Defaults gives the documented defaults.
func Defaults() Params {
	return Params{MinBases: 200, MaxAmbiguousPct: 2, EndBases: 20, MaxEndErrors: 1, SensitiveDegrees: 0.1}
}

// Entry is one sequence that goes to the archive.
type Entry struct {
	// SeqID names it in all files of the deposit.
	SeqID           string
	Voucher, Sample string
	// Modifiers are in the order of the published table; organism is the first.
	Modifiers []Modifier
	// Definition says what the sequence is, as archives word it.
	Definition string
	Bases      []byte
	Features   []Feature
	// Doubts are what the submitter should know, in plain sentences.
	Doubts []string
}

// value gives a modifier's value, empty where it is not there.
func (e Entry) value(name string) string {
	for _, m := range e.Modifiers {
		if m.Name == name {
			return m.Value
		}
	}
	return ""
}

// LeftOut is a voucher that does not go, with every reason.
type LeftOut struct {
	Voucher string
	FieldID string
	Reasons []Reason
}

// Deposit is a batch arranged for submission, both lists in sheet order.
type Deposit struct {
	Entries []Entry
	LeftOut []LeftOut
	// Library and Program say what the sequences were compared with, and by
	// what.
	Library seqqc.LibraryInfo
	Program string
}

// Prepare arranges a result. Every voucher is either an entry or left out with
// its reasons; a reviewer's decision to submit outweighs every reason that
// leaves a sequence to submit.
func Prepare(res *seqqc.Result, p Params) *Deposit {
	d := &Deposit{Library: res.Library, Program: res.Program}
	reads := map[string]*seqqc.Read{}
	for i := range res.Reads {
		reads[res.Reads[i].File] = &res.Reads[i]
	}
	taken := map[string]int{}
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		reasons, doubts := refusals(candidate{v, reads}, p)
		if len(reasons) > 0 {
			d.LeftOut = append(d.LeftOut, LeftOut{v.Voucher.Code, v.Voucher.FieldID, reasons})
			continue
		}
		e := newEntry(v, p)
		e.Doubts = append(doubts, e.Doubts...)
		if doubt := otherSide(v, res.Vouchers, p); doubt != "" {
			e.Doubts = append(e.Doubts, doubt)
		}
		e.SeqID = uniqueID(v.Voucher.Code, taken)
		d.Entries = append(d.Entries, e)
	}
	return d
}

// maxSeqID is the length of the longest sequence id that archives take (from
// memory).
const maxSeqID = 25

// uniqueID makes a sequence id of a voucher's code: letters, digits and
// "-_.:*#" are allowed (from memory), others become "_".
func uniqueID(code string, taken map[string]int) string {
	id := strings.Map(func(r rune) rune {
		if isSeqIDRune(r) {
			return r
		}
		return '_'
	}, code)
	id = cmp.Or(id, "voucher")
	id = id[:min(len(id), maxSeqID)]
	for try := id; ; {
		key := strings.ToLower(try)
		if taken[key] == 0 {
			taken[key] = 1
			return try
		}
		taken[strings.ToLower(id)]++
		suffix := fmt.Sprintf("_%d", taken[strings.ToLower(id)])
		try = id[:min(len(id), maxSeqID-len(suffix))] + suffix
	}
}

func isSeqIDRune(r rune) bool {
	return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || strings.ContainsRune("-_.:*#", r)
}

func newEntry(v *seqqc.VoucherResult, p Params) Entry {
	s := v.ChosenSample()
	e := Entry{
		Voucher: v.Voucher.Code, Sample: s.Sample.ID,
		Bases:    slices.Clone(s.Contig.Bases),
		Features: features(s.Contig.Region, len(s.Contig.Bases)),
	}
	organism, why := Organism(v)
	add := func(name, value string) {
		if value = oneLine(value); value != "" {
			e.Modifiers = append(e.Modifiers, Modifier{name, value})
		}
	}
	x := v.Voucher
	add("organism", organism)
	add("isolate", x.Code)
	add("specimen-voucher", specimenVoucher(x, p))
	place := PlaceOf(v, p)
	add("geo_loc_name", cmp.Or(place.archived(), "not provided"))
	if place.Latitude != nil {
		add("lat-lon", latLonValue(*place.Latitude, *place.Longitude))
	}
	if place.Withheld == "" {
		add("altitude", Altitude(x.Elevation))
	}
	add("collection-date", cmp.Or(dateValue(x.Date), "not provided"))
	add("collected-by", x.Collector)
	add("identified-by", x.IdentifiedBy)
	add("host", x.Host)
	add("isolation-source", joined(x.Substrate, x.Habitat))
	for _, end := range []struct{ prefix, primer string }{{"fwd", s.Sample.PrimerForward}, {"rev", s.Sample.PrimerReverse}} {
		if primer, known := seqqc.PrimerByName(end.primer); known {
			add(end.prefix+"-PCR-primer-name", primer.Name)
			add(end.prefix+"-PCR-primer-seq", strings.ReplaceAll(strings.ToLower(primer.Seq), "i", "<i>"))
		} else {
			add(end.prefix+"-PCR-primer-name", end.primer)
		}
	}
	if second := s.Contig.Second; second != nil {
		add("note", fmt.Sprintf("the commoner of two copies within the specimen; the other, about %.0f %% of the signal, differs at %s",
			second.SharePct, seqqc.Count(len(second.Variants), "place")))
	}
	if place.Withheld != "" {
		e.Doubts = append(e.Doubts, "The place is of a sensitive find: "+place.Withheld+".")
	}
	e.Definition = definition(organism, e.Features)
	if why != "" {
		e.Doubts = append(e.Doubts, why)
	}
	if x.Elevation != "" && Altitude(x.Elevation) == "" {
		e.Doubts = append(e.Doubts, fmt.Sprintf("The elevation %q is not a single figure in metres and was left out.", x.Elevation))
	}
	return e
}

// specimenVoucher gives "institution:specimen", or the specimen alone. Archives
// part the value at colons, so those of a code become hyphens.
func specimenVoucher(v seqqc.Voucher, p Params) string {
	code := strings.ReplaceAll(v.Code, ":", "-")
	if institution := strings.ReplaceAll(cmp.Or(v.Institution, p.Institution), ":", "-"); institution != "" {
		return institution + ":" + code
	}
	return code
}

func joined(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p = strings.TrimSpace(p); p != "" && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return strings.Join(out, "; ")
}
