package occurrence

import (
	"archive/zip"
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/deposit"
)

// Params say what the archive tells of the batch as a whole.
type Params struct {
	// Title names the data set; Holder, of the rights, is a club or person.
	Title, Holder string
	// License is one of Licenses by its key, empty where none was chosen.
	License string
	Deposit deposit.Params
}

// Licenses are those that biodiversity portals take (Creative Commons), by
// the short word for them.
var Licenses = map[string]string{
	"cc0":   "http://creativecommons.org/publicdomain/zero/1.0/legalcode",
	"by":    "http://creativecommons.org/licenses/by/4.0/legalcode",
	"by-nc": "http://creativecommons.org/licenses/by-nc/4.0/legalcode",
}

// Archive is a batch arranged for biodiversity databases.
type Archive struct {
	params Params
	tables []table
	// Records counts the occurrences, Sequences those with DNA.
	Records, Sequences int
	// WithoutInstitution counts the occurrences without an institution's code, whose ids another
	// club's specimens may have too.
	WithoutInstitution int
}

// New arranges every specimen of a result but those held back by a reviewer; a
// specimen has its DNA where dep has an entry of it.
func New(res *seqqc.Result, dep *deposit.Deposit, p Params) *Archive {
	p.Title = cmp.Or(p.Title, "ITS barcodes of a mushroom club's vouchers")
	entries := map[string]*deposit.Entry{}
	for i := range dep.Entries {
		entries[dep.Entries[i].Voucher] = &dep.Entries[i]
	}
	core := table{"occurrence.txt", dwc("Occurrence").uri, coreTerms, nil}
	history := table{"identification.txt", dwc("Identification").uri, historyTerms, nil}
	dna := table{"dna.txt", "http://rs.gbif.org/terms/1.0/DNADerivedData", dnaTerms, nil}
	without := 0
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		if v.Voucher.Kind == seqqc.Blank || v.Voucher.Kind == seqqc.Positive || v.Reviewed != nil && v.Reviewed.Submission == seqqc.Hold {
			continue
		}
		r := record{v, entries[v.Voucher.Code], p, res.Library}
		if r.institution() == "" {
			without++
		}
		core.rows = append(core.rows, cells(r.id(), core.terms, r.core()))
		for _, ident := range r.history() {
			history.rows = append(history.rows, cells(r.id(), history.terms, ident))
		}
		if r.entry != nil {
			dna.rows = append(dna.rows, cells(r.id(), dna.terms, r.dna()))
		}
	}
	return &Archive{p, []table{core, history, dna}, len(core.rows), len(dna.rows), without}
}

// cells puts values into the order of the columns, the id before them.
func cells(id string, terms []term, values map[string]string) []string {
	row := []string{id}
	for _, t := range terms {
		row = append(row, clean(values[t.name]))
	}
	return row
}

// clean gives a value on one line: not every reader knows that a quoted one may
// have several.
func clean(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool {
		return r == '\t' || r == '\n' || r == '\r' || r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == 0x2028 || r == 0x2029
	}), " ")
}

// record is one specimen on its way into the tables.
type record struct {
	v       *seqqc.VoucherResult
	entry   *deposit.Entry
	p       Params
	library seqqc.LibraryInfo
}

func (r record) institution() string {
	return cmp.Or(r.v.Voucher.Institution, r.p.Deposit.Institution)
}

// id names the record for ever, if the institution's code and the voucher's
// do: "urn:catalog:institution:code", the pattern of Darwin Core's example.
func (r record) id() string {
	code := strings.Join(strings.Fields(r.v.Voucher.Code), "_")
	return "urn:catalog:" + strings.Join(strings.Fields(r.institution()), "_") + ":" + code
}

func (r record) core() map[string]string {
	x := r.v.Voucher
	place := deposit.PlaceOf(r.v, r.p.Deposit)
	name, qualifier, lineage, rank := r.name()
	m := map[string]string{
		"license": Licenses[r.p.License], "rightsHolder": r.p.Holder, "institutionCode": r.institution(), "datasetName": r.p.Title,
		"basisOfRecord": "PreservedSpecimen", "occurrenceID": r.id(), "catalogNumber": x.Code, "recordedBy": x.Collector,
		"occurrenceStatus": "present", "eventDate": x.Date, "habitat": joined(x.Habitat, x.Substrate),
		"country": countryOf(x, place), "countryCode": isoCode(place.Country.Code), "locality": place.Locality,
		"verbatimIdentification": x.FieldID, "previousIdentifications": r.previous(),
		"scientificName": name, "identificationQualifier": qualifier, "taxonRank": rank.String(),
		"identificationRemarks": fmt.Sprintf("ITS barcode compared by the club: %s. %s", r.v.Verdict.Kind, r.v.Verdict.Reason),
		"kingdom":               lineage.Kingdom, "phylum": lineage.Phylum, "class": lineage.Class, "order": lineage.Order,
		"family": lineage.Family, "genus": lineage.Genus,
	}
	if _, epithet, ok := strings.Cut(lineage.Species, " "); ok {
		m["specificEpithet"] = epithet
	}
	if x.Host != "" {
		m["associatedTaxa"] = fmt.Sprintf("%q:%q", "host", x.Host)
	}
	if place.Withheld == "" {
		m["verbatimElevation"] = x.Elevation
		if metres := strings.TrimSuffix(deposit.Altitude(x.Elevation), " m"); metres != "" {
			m["minimumElevationInMeters"], m["maximumElevationInMeters"] = metres, metres
		}
	} else {
		m["dataGeneralizations"] = "The place is less precise than known: " + place.Withheld + "."
	}
	if place.Latitude != nil {
		m["decimalLatitude"], m["decimalLongitude"] = decimal(*place.Latitude), decimal(*place.Longitude)
		m["geodeticDatum"] = "not recorded" // the sheet does not tell it
		if place.Withheld != "" {
			m["coordinatePrecision"] = decimal(r.p.Deposit.SensitiveDegrees)
		}
	}
	m["identifiedBy"] = x.IdentifiedBy
	if rev := r.v.Reviewed; rev != nil {
		m["identifiedBy"], m["dateIdentified"] = cmp.Or(rev.By, x.IdentifiedBy), rev.When
		m["identificationVerificationStatus"] = "reviewed by the club"
	}
	return m
}

// isoCode leaves out the code that ISO 3166 does not have: XK is of users' own.
func isoCode(code string) string {
	if code == "XK" {
		return ""
	}
	return code
}

// countryOf gives the country of the archives' list or, where it is not in it,
// as the sheet has it.
func countryOf(x seqqc.Voucher, place deposit.Place) string {
	if place.Country.Name == "" && place.Missing == "" {
		return x.Country
	}
	return place.Country.Name
}

// decimal gives degrees to six decimals, which is a tenth of a metre: minutes
// and seconds have none that end.
func decimal(x float64) string {
	const digits = 1e6
	return strconv.FormatFloat(math.Round(x*digits)/digits, 'f', -1, 64)
}

// name gives the name that stands, no more precise than what is deposited: the
// scientific name without its qualifier, the qualifier, lineage and rank. Where
// no sequence goes, the field name stands.
func (r record) name() (name, qualifier string, l refs.Lineage, rank refs.Rank) {
	n := r.v.Voucher.Field
	if rev := r.v.Reviewed; r.entry != nil {
		organism, _ := deposit.Organism(r.v)
		n = refs.ParseName(organism)
	} else if rev != nil && rev.FinalName != "" {
		n = refs.ParseName(rev.FinalName)
	}
	name, rank, qualifier = n.Taxon(), n.Rank, qualifierOf(n)
	if name == "" {
		// Databases want a name with every record (from memory).
		name = unplaced
	}
	// The lineage is known from the DNA; it goes as far as the name does.
	if s := r.v.ChosenSample(); s != nil && s.Match != nil && holds(s.Match.Lineage, n) {
		l = s.Match.Lineage.Upto(rank)
	}
	if n.Genus != "" {
		l.Genus = n.Genus
	}
	if rank == refs.Species {
		l.Species = n.Binomial()
	} else {
		l.Species = ""
	}
	return name, qualifier, l, rank
}

// unplaced is the scientific name of what nobody has named.
const unplaced = "incertae sedis"

// qualifierOf gives the doubt of a name as Darwin Core writes it, with the
// epithet that is in doubt: "cf. ficticia".
func qualifierOf(n refs.Name) string {
	switch {
	case n.Doubt&refs.DoubtAff != 0 && n.Epithet != "":
		return "aff. " + n.Epithet
	case n.Doubt&refs.DoubtSp != 0 && n.Epithet == "":
		return "sp."
	case n.Doubt != 0 && n.Epithet != "":
		return "cf. " + n.Epithet
	}
	return n.Doubt.String()
}

// holds reports whether a name lies in a lineage.
func holds(l refs.Lineage, n refs.Name) bool {
	if n.Genus != "" {
		return l.Genus == n.Genus
	}
	return n.Rank != refs.NoRank && l.At(n.Rank) == n.Higher
}

// previous gives the field name where it is not the name that stands.
func (r record) previous() string {
	x := r.v.Voucher
	if name, _, _, _ := r.name(); x.FieldID == "" || name == x.Field.Taxon() {
		return ""
	}
	if x.IdentifiedBy != "" {
		return x.FieldID + ", field ID by " + x.IdentifiedBy
	}
	return x.FieldID + ", field ID"
}

// history gives the identifications of a specimen, oldest first: that of the
// field, that of the DNA, that of a reviewer.
func (r record) history() []map[string]string {
	x := r.v.Voucher
	var out []map[string]string
	if x.FieldID != "" {
		out = append(out, map[string]string{
			"verbatimIdentification": x.FieldID, "scientificName": x.Field.Taxon(), "taxonRank": x.Field.Rank.String(),
			"identificationQualifier": qualifierOf(x.Field), "identifiedBy": x.IdentifiedBy,
			"identificationRemarks": "named in the field",
		})
	}
	if s := r.v.ChosenSample(); s != nil && s.Match != nil && s.Match.Supported != refs.NoRank {
		out = append(out, map[string]string{
			"verbatimIdentification": s.Match.Taxon, "scientificName": s.Match.Taxon, "taxonRank": s.Match.Supported.String(),
			"identificationRemarks": fmt.Sprintf("nearest references of an ITS barcode: %s. %s", r.v.Verdict.Kind, r.v.Verdict.Reason),
		})
	}
	if rev := r.v.Reviewed; rev != nil && rev.FinalName != "" {
		n := refs.ParseName(rev.FinalName)
		out = append(out, map[string]string{
			"verbatimIdentification": rev.FinalName, "scientificName": n.Taxon(), "taxonRank": n.Rank.String(),
			"identificationQualifier": qualifierOf(n), "identifiedBy": rev.By, "dateIdentified": rev.When,
			"identificationVerificationStatus": "reviewed by the club", "identificationRemarks": rev.Why,
		})
	}
	return out
}

func (r record) dna() map[string]string {
	s := r.v.ChosenSample()
	m := map[string]string{
		"samp_name":   sampleName(r.v.Voucher.Code, s.Sample.ID),
		"target_gene": "ITS", "target_subfragment": s.Contig.Region.Text, "seq_meth": "Sanger dideoxy sequencing",
		"seq_quality_check": fmt.Sprintf("trimmed by quality; reads: %d; predicted errors: %.2f", len(s.Contig.Reads), s.Contig.PredictedErrors),
		"chimera_check":     "parts compared apart: none found",
		"number_contig":     "1",
		"ref_db":            fmt.Sprintf("%s;SHA-256 %s", r.library.Name, r.library.SHA256),
		"sim_search_meth":   "overlap alignment with every reference, percent identity over the ITS",
		"DNA_sequence":      string(r.entry.Bases),
	}
	if slices.Contains(r.v.Verdict.Flags, seqqc.ChimeraSuspected) {
		m["chimera_check"] = "parts compared apart: suspected"
	}
	var sources []string
	for _, end := range []struct{ name, suffix string }{{s.Sample.PrimerForward, "forward"}, {s.Sample.PrimerReverse, "reverse"}} {
		m["pcr_primer_name_"+end.suffix] = end.name
		if primer, ok := seqqc.PrimerByName(end.name); ok {
			m["pcr_primer_name_"+end.suffix], m["pcr_primer_"+end.suffix] = primer.Name, primer.Seq
			if !slices.Contains(sources, primer.Source) {
				sources = append(sources, primer.Source)
			}
		}
	}
	m["pcr_primer_reference"] = strings.Join(sources, " | ")
	return m
}

// sampleName names a sample apart from those of other vouchers.
func sampleName(voucher, sample string) string {
	if sample == "" || strings.Contains(sample, voucher) {
		return cmp.Or(sample, voucher)
	}
	return voucher + " sample " + sample
}

func joined(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return strings.TrimSpace(s) == "" }), "; ")
}

// Write writes the zip. The same archive is the same bytes.
func (a *Archive) Write(w io.Writer) error {
	z := zip.NewWriter(w)
	files := []struct {
		name string
		data func() ([]byte, error)
	}{{"meta.xml", a.meta}, {"eml.xml", a.eml}}
	for _, t := range a.tables {
		files = append(files, struct {
			name string
			data func() ([]byte, error)
		}{t.file, t.text})
	}
	for _, f := range files {
		data, err := f.data()
		if err != nil {
			return err
		}
		out, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if _, err := out.Write(data); err != nil {
			return err
		}
	}
	return z.Close()
}

func (t table) text() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma = '\t'
	heads := []string{"id"}
	for _, c := range t.terms {
		heads = append(heads, c.name)
	}
	if err := w.Write(heads); err != nil {
		return nil, err
	}
	if err := w.WriteAll(t.rows); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func marshal(v any) ([]byte, error) {
	data, err := xml.MarshalIndent(v, "", "  ")
	if err != nil {
		return nil, err
	}
	return append([]byte(xml.Header), append(data, '\n')...), nil
}
