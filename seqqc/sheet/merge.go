package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"forayseq/seqqc"
)

// merge fills what the voucher's earlier rows left empty from a later row, and
// names what differs; the earlier value stays.
func (b *builder) merge(v *seqqc.Voucher, later seqqc.Voucher, row int) {
	differs := func(ours, have, said string) {
		b.add(row, b.heading(ours), fmt.Sprintf("%q differs from %q in row %d of the same voucher; row %d is used",
			clip(said), clip(have), v.Row, v.Row), "make the rows of one voucher agree", false)
	}
	for _, f := range []struct {
		ours string
		have *string
		said string
	}{
		{"field_id", &v.FieldID, later.FieldID},
		{"collector", &v.Collector, later.Collector},
		{"identified_by", &v.IdentifiedBy, later.IdentifiedBy},
		{"institution", &v.Institution, later.Institution},
		{"date", &v.Date, later.Date},
		{"country", &v.Country, later.Country},
		{"locality", &v.Locality, later.Locality},
		{"elevation", &v.Elevation, later.Elevation},
		{"substrate", &v.Substrate, later.Substrate},
		{"host", &v.Host, later.Host},
		{"habitat", &v.Habitat, later.Habitat},
	} {
		switch {
		case *f.have == "":
			*f.have = f.said
		case f.said != "" && !strings.EqualFold(f.said, *f.have):
			differs(f.ours, *f.have, f.said)
		}
	}
	for _, f := range []struct {
		ours string
		have **float64
		said *float64
	}{
		{"latitude", &v.Latitude, later.Latitude},
		{"longitude", &v.Longitude, later.Longitude},
	} {
		switch {
		case *f.have == nil:
			*f.have = f.said
		case f.said != nil && *f.said != **f.have:
			differs(f.ours, strconv.FormatFloat(**f.have, 'f', -1, 64), strconv.FormatFloat(*f.said, 'f', -1, 64))
		}
	}
	for _, o := range later.Observed {
		i := slices.IndexFunc(v.Observed, func(have seqqc.Observation) bool { return have.Trait == o.Trait })
		switch {
		case i < 0:
			v.Observed = append(v.Observed, o)
		case !strings.EqualFold(o.Written, v.Observed[i].Written):
			differs(string(o.Trait), v.Observed[i].Written, o.Written)
		}
	}
	if later.Kind != "" && later.Kind != v.Kind {
		differs("kind", string(v.Kind), string(later.Kind))
	}
	// Notes and unknown columns may well be about the sample: they are kept
	// side by side.
	v.Notes = joinNotes(v.Notes, later.Notes)
	for heading, said := range later.Extra {
		if v.Extra == nil {
			v.Extra = map[string]string{}
		}
		v.Extra[heading] = joinNotes(v.Extra[heading], said)
	}
}

func joinNotes(have, said string) string {
	switch {
	case have == "":
		return said
	case said == "" || said == have:
		return have
	}
	return have + "; " + said
}

// alike names codes that file names cannot tell apart.
func (b *builder) alike() {
	first := map[string]int{}
	for i, v := range b.vouchers {
		key := runKey(runs(v.Code))
		if key == "" {
			b.add(v.Row, b.heading("voucher"), fmt.Sprintf("the code %q has no letter or digit, so no file name can carry it", clip(v.Code)),
				"give it another, or list its reads in reads.csv", false)
			continue
		}
		if j, ok := first[key]; ok {
			b.add(v.Row, b.heading("voucher"), fmt.Sprintf("voucher %s differs from %s in row %d only in punctuation, so file names cannot tell them apart",
				v.Code, b.vouchers[j].Code, b.vouchers[j].Row), "correct the code, or list the reads of both in reads.csv", false)
			continue
		}
		first[key] = i
	}
}
