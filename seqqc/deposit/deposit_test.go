package deposit

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/refs"
	"forayseq/seqqc"
)

// synthetic is an invented barcode: letters without a pattern around the two
// pieces that every fungus has in its 5.8S.
func synthetic() []byte {
	spacer := func(seed uint32, n int) string {
		var b strings.Builder
		for range n {
			seed = seed*1664525 + 1013904223 // Numerical Recipes, from memory
			b.WriteByte("ACGT"[seed>>30])
		}
		return b.String()
	}
	return []byte(spacer(1, 190) + "AACTTTCAACAACGGATCTCTTGGCTCTCGCATCGATGAAGAACGCAGC" + spacer(2, 110) + spacer(3, 180))
}

// voucher gives a voucher that passes every rule.
func voucher(code string) seqqc.VoucherResult {
	bases := synthetic()
	name := refs.ParseName("Russula ficticia")
	return seqqc.VoucherResult{
		Voucher: seqqc.Voucher{
			Code: code, FieldID: "Russula ficticia", Field: name, Kind: seqqc.Specimen, Collector: "Fern Placeholder",
			IdentifiedBy: "Moss Testwright", Date: "2026-09-03", Country: "missing: synthetic construct", Elevation: "320 m",
			Substrate: "soil", Habitat: "beech wood",
		},
		Samples: []seqqc.SampleResult{{
			Sample: seqqc.Sample{PrimerForward: "ITS1F", PrimerReverse: "ITS4"},
			Contig: &seqqc.Contig{
				Bases: bases, Quals: bytes.Repeat([]byte{40}, len(bases)), Sequence: string(bases),
				Region: seqqc.Region{
					Located: true, ITS1: seqqc.Interval{Start: 10, End: 190}, R58S: seqqc.Interval{Start: 190, End: 348},
					ITS2: seqqc.Interval{Start: 348, End: len(bases)}, SSU: seqqc.Interval{End: 10}, ITS1Whole: true,
				},
			},
			Match: &seqqc.Match{Supported: refs.Species, Taxon: "Russula ficticia", Lineage: refs.Lineage{Kingdom: "Fungi", Family: "Russulaceae", Genus: "Russula", Species: "Russula ficticia"}},
		}},
		Verdict: seqqc.Verdict{Kind: seqqc.Agrees, AgreeRank: refs.Species},
	}
}

func prepare(vouchers ...seqqc.VoucherResult) *Deposit {
	return Prepare(&seqqc.Result{Vouchers: vouchers, Library: seqqc.LibraryInfo{Name: "refs.fasta"}, Program: "forayseq"}, Defaults())
}

func written(t *testing.T, d *Deposit, name string) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, d.WriteFile(name, &b))
	return b.String()
}

func ExampleCheck() {
	found, err := Check(strings.NewReader(">a [organism=Russula sp.] [country=Germany]\n"+strings.Repeat("ACGT", 60)+"\n"), time.Time{})
	if err != nil {
		panic(err)
	}
	for _, f := range found.Faults {
		fmt.Println(f)
	}
	// Output:
	// line 1, a, country: it was renamed in June 2024 (write geo_loc_name)
	// line 1, a, collection-date: it is missing (add it; a date or place that is not known is written with a published term, such as "not collected")
	// line 1, a, specimen-voucher: nothing names the specimen (add [specimen-voucher=...] or [isolate=...])
}

func TestWhatPassesGoesInTheArchivesForms(t *testing.T) {
	v := voucher("QM-101")
	v.Voucher.Institution, v.Voucher.Country, v.Voucher.Locality = "QMC", "Deutschland", "Old [Tarn] Bank"
	lat, lon := 47.94, -28.12
	v.Voucher.Latitude, v.Voucher.Longitude = &lat, &lon
	d := prepare(v)
	require.Empty(t, d.LeftOut)
	require.Len(t, d.Entries, 1)
	head, _, _ := strings.Cut(written(t, d, FASTAName), "\n")
	require.Equal(t, ">QM-101 [organism=Russula ficticia] [isolate=QM-101] [specimen-voucher=QMC:QM-101]"+
		" [geo_loc_name=Germany: Old (Tarn) Bank] [lat-lon=47.94 N 28.12 W] [altitude=320 m] [collection-date=03-Sep-2026]"+
		" [collected-by=Fern Placeholder] [identified-by=Moss Testwright] [isolation-source=soil; beech wood]"+
		" [fwd-PCR-primer-name=ITS1-F] [fwd-PCR-primer-seq=cttggtcatttagaggaagtaa] [rev-PCR-primer-name=ITS4]"+
		" [rev-PCR-primer-seq=tcctccgcttattgatatgc]"+
		" Russula ficticia small subunit ribosomal RNA gene, partial sequence; internal transcribed spacer 1 and 5.8S ribosomal RNA gene, complete sequence; and internal transcribed spacer 2, partial sequence", head)
	require.Equal(t, ">Feature QM-101\n<1\t10\trRNA\n\t\t\tproduct\tsmall subunit ribosomal RNA\n11\t190\tmisc_RNA\n\t\t\tproduct\tinternal transcribed spacer 1\n"+
		"191\t348\trRNA\n\t\t\tproduct\t5.8S ribosomal RNA\n349\t>529\tmisc_RNA\n\t\t\tproduct\tinternal transcribed spacer 2\n", written(t, d, FeaturesName))
	found, err := Check(strings.NewReader(written(t, d, FASTAName)), time.Time{})
	require.NoError(t, err)
	require.Equal(t, Checked{Sequences: 1}, found)
	source := strings.Split(written(t, d, SourceName), "\n")
	require.Equal(t, strings.Count(source[0], "\t"), strings.Count(source[1], "\t"))
	require.Contains(t, source[0], "Sequence_ID\torganism\tisolate\tspecimen_voucher\tgeo_loc_name\tlat_lon\taltitude\tcollection_date")
	for _, caution := range seqqc.Cautions {
		require.Contains(t, written(t, d, ChecklistName), caution)
	}
}

// Every rule: what fires it, and that a decision to submit outweighs it where
// it can.
func TestEachRuleLeavesOut(t *testing.T) {
	for _, c := range []struct {
		rule   string
		change func(*seqqc.VoucherResult)
		always bool
	}{
		{"held-back", func(v *seqqc.VoucherResult) { v.Reviewed = &seqqc.Reviewed{Submission: "hold", Why: "type"} }, true},
		{"no-sequence", func(v *seqqc.VoucherResult) { v.Chosen = -1 }, true},
		{"control", func(v *seqqc.VoucherResult) { v.Voucher.Kind = seqqc.Positive }, false},
		{"undetermined", func(v *seqqc.VoucherResult) {
			v.Verdict.Kind, v.Verdict.ReasonCode = seqqc.Undetermined, seqqc.TooDistant
		}, false},
		{"not-of-the-specimen", func(v *seqqc.VoucherResult) { v.Verdict.Kind = seqqc.Overgrowth }, false},
		{"not-of-the-specimen", func(v *seqqc.VoucherResult) {
			v.Verdict.Kind, v.Reviewed = seqqc.NonFungal, &seqqc.Reviewed{Accepted: true}
		}, false},
		{"conflict-not-reviewed", func(v *seqqc.VoucherResult) { v.Verdict.Kind = seqqc.Conflict }, false},
		{"mix-up-not-reviewed", func(v *seqqc.VoucherResult) { v.Verdict.Flags = []seqqc.Flag{seqqc.SwapSuspected} }, false},
		{"chimera", func(v *seqqc.VoucherResult) { v.Verdict.Flags = []seqqc.Flag{seqqc.ChimeraSuspected} }, false},
		{"mixed-template", func(v *seqqc.VoucherResult) { v.Samples[0].Contig.Flags = []seqqc.Flag{seqqc.MixedTemplate} }, false},
		{"two-parts", func(v *seqqc.VoucherResult) { v.Samples[0].Contig.Gap = seqqc.Interval{Start: 200, End: 210} }, false},
		{"strand-unknown", func(v *seqqc.VoucherResult) { v.Samples[0].Contig.Region = seqqc.Region{} }, false},
		{"short", func(v *seqqc.VoucherResult) {
			s := v.Samples[0].Contig
			s.Bases, s.Quals = s.Bases[:199], s.Quals[:199]
		}, false},
		{"ambiguous", func(v *seqqc.VoucherResult) { v.Samples[0].Contig.Ambiguous = 11 }, false},
		{"ends", func(v *seqqc.VoucherResult) { copy(v.Samples[0].Contig.Quals[500:], bytes.Repeat([]byte{8}, 40)) }, false},
		{"ends", func(v *seqqc.VoucherResult) { v.Samples[0].Contig.Flags = []seqqc.Flag{seqqc.QualityMissing} }, false},
		{"ends", func(v *seqqc.VoucherResult) { v.Samples[0].Contig.Bases[0] = 'N' }, false},
		{"tails", func(v *seqqc.VoucherResult) { copy(v.Samples[0].Contig.Bases[300:], "TGTAAAACGACGGCCAGT") }, false},
		{"tails", func(v *seqqc.VoucherResult) { copy(v.Samples[0].Contig.Bases[3:], "CTTGGTCATTTAGAGGAAGTAA") }, false},
		{"no-date", func(v *seqqc.VoucherResult) { v.Voucher.Date = "" }, false},
		{"no-place", func(v *seqqc.VoucherResult) { v.Voucher.Country = "" }, false},
		{"no-place", func(v *seqqc.VoucherResult) { v.Voucher.Country = "Exampleland" }, false},
	} {
		v := voucher("A")
		c.change(&v)
		d := prepare(v)
		require.Empty(t, d.Entries, c.rule)
		require.Len(t, d.LeftOut, 1)
		require.Equal(t, c.rule, d.LeftOut[0].Reasons[0].Rule)
		require.NotEmpty(t, d.LeftOut[0].Reasons[0].ToDo)
		if v.Reviewed == nil {
			v.Reviewed = &seqqc.Reviewed{}
		}
		if v.Reviewed.Submission == "" {
			v.Reviewed.Submission = "submit"
		}
		d = prepare(v)
		require.Equal(t, c.always, len(d.Entries) == 0, c.rule)
		if !c.always {
			require.Contains(t, d.Entries[0].Doubts[0], "by decision although")
		}
	}
}

// A primer inside the sequence, as ITS3 is in every ITS, is no tail; and a
// verdict that a person accepted is reviewed.
func TestWhatDoesNotLeaveOut(t *testing.T) {
	for _, change := range []func(*seqqc.VoucherResult){
		func(v *seqqc.VoucherResult) { copy(v.Samples[0].Contig.Bases[230:], "GCATCGATGAAGAACGCAGC") },
		func(v *seqqc.VoucherResult) { copy(v.Samples[0].Contig.Bases[260:], "CTTGGTCATTTAGAGGAAGTAA") },
		// The site of ITS1 lies behind that of ITS1-F, with which it was amplified.
		func(v *seqqc.VoucherResult) { copy(v.Samples[0].Contig.Bases, "TCCGTAGGTGAACCTGCGG") },
		func(v *seqqc.VoucherResult) {
			v.Verdict.Kind, v.Reviewed = seqqc.Conflict, &seqqc.Reviewed{Accepted: true}
		},
		func(v *seqqc.VoucherResult) {
			v.Verdict.Kind, v.Reviewed = seqqc.Overgrowth, &seqqc.Reviewed{FinalName: "Asterophora sp."}
		},
		func(v *seqqc.VoucherResult) { v.Verdict.Kind = seqqc.Renamed },
		func(v *seqqc.VoucherResult) { v.Verdict.Kind = seqqc.Refines },
	} {
		v := voucher("A")
		change(&v)
		require.Empty(t, prepare(v).LeftOut)
	}
}

func TestNoNameIsMorePreciseThanTheEvidence(t *testing.T) {
	dna := func(v *seqqc.VoucherResult, l refs.Lineage) {
		m := v.Samples[0].Match
		m.Lineage, m.Supported = l, l.Deepest()
	}
	for _, c := range []struct {
		want   string
		change func(*seqqc.VoucherResult)
	}{
		{"Russula ficticia", func(*seqqc.VoucherResult) {}},
		{"Russula cf. ficticia", func(v *seqqc.VoucherResult) {
			v.Verdict.AgreeRank, v.Voucher.Field = refs.Genus, refs.ParseName("Russula sp.")
		}},
		{"Russula cf. ficticia", func(v *seqqc.VoucherResult) { v.Voucher.Field = refs.ParseName("Russula cf. ficticia") }},
		{"Russula cf. ficticia", func(v *seqqc.VoucherResult) {
			v.Verdict.Kind, v.Reviewed = seqqc.Conflict, &seqqc.Reviewed{Accepted: true}
		}},
		{"Russula sp.", func(v *seqqc.VoucherResult) { v.Verdict.Flags = []seqqc.Flag{seqqc.SpeciesComplex} }},
		{"Russula sp.", func(v *seqqc.VoucherResult) { dna(v, refs.Lineage{Family: "Russulaceae", Genus: "Russula"}) }},
		{"Russulaceae sp.", func(v *seqqc.VoucherResult) { dna(v, refs.Lineage{Family: "Russulaceae"}) }},
		{"Russula sp.", func(v *seqqc.VoucherResult) {
			dna(v, refs.Lineage{})
			v.Verdict.Kind, v.Verdict.Flags = seqqc.Consistent, []seqqc.Flag{seqqc.NearestIsFieldGenus}
		}},
		{"Fungi sp.", func(v *seqqc.VoucherResult) { dna(v, refs.Lineage{}) }},
		{"Lactarius cf. alter", func(v *seqqc.VoucherResult) { v.Reviewed = &seqqc.Reviewed{FinalName: "Lactarius cf. alter"} }},
		{"Lactarius sp.", func(v *seqqc.VoucherResult) { v.Reviewed = &seqqc.Reviewed{FinalName: "Lactarius"} }},
	} {
		v := voucher("A")
		c.change(&v)
		name, _ := Organism(&v)
		require.Equal(t, c.want, name)
		require.NoError(t, checkOrganism(name))
	}
}

func TestIDsAreShortAndTheirOwn(t *testing.T) {
	long := strings.Repeat("x", 30)
	var vouchers []seqqc.VoucherResult
	for _, code := range []string{"A 1", "A/1", "a_1", long, long + "2", "Ä", ""} {
		vouchers = append(vouchers, voucher(code))
	}
	d := prepare(vouchers...)
	seen := map[string]bool{}
	for _, e := range d.Entries {
		require.LessOrEqual(t, len(e.SeqID), maxSeqID)
		require.False(t, seen[strings.ToLower(e.SeqID)], e.SeqID)
		seen[strings.ToLower(e.SeqID)] = true
	}
	require.Len(t, seen, len(vouchers))
}

func TestSensitiveFindsAreToldRoughly(t *testing.T) {
	lat, lon := 12.3456, -34.5678
	for _, mark := range []func(*seqqc.VoucherResult, *Params){
		func(v *seqqc.VoucherResult, _ *Params) { v.Voucher.Extra = map[string]string{"Sensitive": "yes"} },
		func(_ *seqqc.VoucherResult, p *Params) { p.Sensitive = []string{"russula"} },
		func(_ *seqqc.VoucherResult, p *Params) { p.Sensitive = []string{"Russula ficticia"} },
	} {
		v, p := voucher("A"), Defaults()
		v.Voucher.Latitude, v.Voucher.Longitude, v.Voucher.Locality, v.Voucher.Country = &lat, &lon, "secret", "Norway"
		mark(&v, &p)
		d := Prepare(&seqqc.Result{Vouchers: []seqqc.VoucherResult{v}}, p)
		require.Equal(t, "12.3 N 34.6 W", d.Entries[0].value("lat-lon"))
		require.Equal(t, "Norway", d.Entries[0].value("geo_loc_name"))
		require.Empty(t, d.Entries[0].value("altitude"))
		require.Contains(t, d.Entries[0].Doubts[0], "rounded to 0.1 degrees; locality withheld; elevation withheld")
	}
	v := voucher("A")
	v.Voucher.Extra = map[string]string{"sensitive": "no"}
	require.Empty(t, PlaceOf(&v, Defaults()).Withheld)
}

// The published terms, values and forms: INSDC feature table v11.3 (October
// 2024) and its list of missing-value terms.
func TestPublishedForms(t *testing.T) {
	for value, ok := range map[string]bool{
		"23-Aug-1948": true, "Aug-1948": true, "1948": true, "1948-08-23": true, "1948-08": true, "21-Oct-1952/15-Feb-1953": true,
		"2010-06-01T11:45Z": true, "not collected": true, "missing: lab stock": true,
		"23-AUG-1948": false, "31-Feb-2020": false, "08/23/1948": false, "23 August 1948": false, "unknown": false, "Missing": false,
		"2020/2019": false, "2019/2020/2021": false, "1948-13": false, "": false,
	} {
		require.Equal(t, ok, checkDate(value) == nil, "date %q", value)
	}
	for value, ok := range map[string]bool{
		"France:Cote d'Azur, Antibes": true, "France": true, "USA: Oregon": true, "Atlantic Ocean": true, "not provided": true,
		"United States": false, "Francia": false, "france": false, "France:": false, "Bavaria": false, "": false,
	} {
		require.Equal(t, ok, checkPlace(value) == nil, "place %q", value)
	}
	for value, ok := range map[string]bool{
		"47.94 N 28.12 W": true, "45.0123 S 4.1234 E": true, "0 N 0 E": true, "restricted access": true,
		"47.94N 28.12W": false, "47.94, -28.12": false, "91 N 0 E": false, "9 N 181 W": false, "28.12 W 47.94 N": false,
	} {
		require.Equal(t, ok, checkLatLon(value) == nil, "coordinates %q", value)
	}
	for value, ok := range map[string]bool{"MICH:14410": true, "QM-1": true, "A:B:C": true, "A:B:C:D": false, "MICH:": false, ":1": false} {
		require.Equal(t, ok, checkSpecimenVoucher(value) == nil, "voucher %q", value)
	}
	require.Len(t, missingTerms, 13)
}

func TestCheckFindsEachFault(t *testing.T) {
	const good = "[organism=Russula sp.] [isolate=1] [geo_loc_name=Norway] [collection-date=2026]"
	bases := string(synthetic())
	for rule, fasta := range map[string]string{
		"sequence-id":      "> " + good + "\n" + bases,
		"brackets":         ">a " + good + " [host=Fagus\n" + bases,
		"title":            ">a " + good + "\tx\n" + bases,
		"modifier-name":    ">a " + good + " [colection-date=2026]\n" + bases,
		"modifier-twice":   ">a " + good + " [isolate=2]\n" + bases,
		"modifier-value":   ">a [organism=russula] [isolate=1] [geo_loc_name=Norway] [collection-date=2026]\n" + bases,
		"modifier-missing": ">a [organism=Russula sp.] [isolate=1] [geo_loc_name=Norway]\n" + bases,
		"primer":           ">a " + good + " [fwd-PCR-primer-seq=acgt]\n" + bases,
		"letters":          ">a " + good + "\n" + bases[:300] + "\nACG-T\n" + bases[300:],
		"length":           ">a " + good + "\n" + bases[:199],
		"ambiguous":        ">a " + good + "\n" + bases[:300] + strings.Repeat("R", 20),
		"ends":             ">a " + good + "\nN" + bases,
		"tails":            ">a " + good + "\nTGTAAAACGACGGCCAGT" + bases,
		"strand":           ">a " + good + "\n" + reverseComplement(bases),
		"fasta":            good + "\n>a " + good + "\n" + bases,
	} {
		found, err := Check(strings.NewReader(fasta+"\n"), time.Time{})
		require.NoError(t, err)
		require.Len(t, found.Faults, 1, "%s: %v", rule, found.Faults)
		require.Equal(t, rule, found.Faults[0].Rule)
		require.NotEmpty(t, found.Faults[0].Hint)
	}
	found, err := Check(strings.NewReader(">a "+good+"\r\n"+strings.ToLower(bases)+"\r\n"), time.Time{})
	require.NoError(t, err)
	require.Empty(t, found.Faults)
	for title, faults := range map[string]int{"": 1, " [fwd-PCR-primer-name=ITS1]": 1, " [fwd-PCR-primer-name=ITS1-F]": 0} {
		found, err = Check(strings.NewReader(">a "+good+title+"\nTCCGTAGGTGAACCTGCGG"+bases+"\n"), time.Time{})
		require.NoError(t, err)
		require.Len(t, found.Faults, faults, title)
	}
	found, err = Check(strings.NewReader(""), time.Time{})
	require.NoError(t, err)
	require.Len(t, found.Faults, 1)
	found, err = Check(strings.NewReader(">a "+good+"\n"+bases+"\n>A "+good+"\n"+bases), time.Time{})
	require.NoError(t, err)
	require.Len(t, found.Faults, 1)
	require.Equal(t, 3, found.Faults[0].Line)
}

// Whatever stands in the sheet, a title is one line whose brackets can be read
// back, and no cell leaves its column.
func FuzzTitlesReadBack(f *testing.F) {
	f.Add("A\n>B", "x] [organism=y", "=1+1\t2", "\u2028")
	f.Fuzz(func(t *testing.T, code, locality, collector, notes string) {
		v := voucher(code)
		v.Voucher.Country, v.Voucher.Locality, v.Voucher.Collector, v.Voucher.Host = "Norway", locality, collector, notes
		d := prepare(v)
		require.Len(t, d.Entries, 1)
		fasta := written(t, d, FASTAName)
		require.Equal(t, 1, strings.Count(fasta, ">")-strings.Count(title(d.Entries[0]), ">"))
		line, _, _ := strings.Cut(fasta, "\n")
		seqID, mods, err := parseTitle(strings.TrimPrefix(line, ">"))
		require.NoError(t, err)
		require.Equal(t, d.Entries[0].SeqID, seqID)
		require.Len(t, mods, len(d.Entries[0].Modifiers))
		rows := strings.Split(strings.TrimSuffix(written(t, d, SourceName), "\n"), "\n")
		require.Len(t, rows, 2)
		require.Equal(t, strings.Count(rows[0], "\t"), strings.Count(rows[1], "\t"))
	})
}

func BenchmarkPrepare1000(b *testing.B) {
	res := &seqqc.Result{}
	for i := range 1000 {
		res.Vouchers = append(res.Vouchers, voucher(fmt.Sprintf("QM-%04d", i)))
	}
	for b.Loop() {
		d := Prepare(res, Defaults())
		var out bytes.Buffer
		for _, name := range Files() {
			if err := d.WriteFile(name, &out); err != nil {
				b.Fatal(err)
			}
		}
		if found, err := Check(&out, time.Time{}); err != nil || found.Sequences < 1000 {
			b.Fatal(found.Sequences, err)
		}
	}
}

// What a person decided is told with its ground, and a name that a person gave
// shows that somebody looked.
func TestDecisionsAreFollowedAndTold(t *testing.T) {
	held := voucher("QM-1")
	held.Reviewed = &seqqc.Reviewed{Submission: seqqc.Hold, SubmissionWhy: "a new [species]", Why: "of the verdict"}
	named := voucher("QM-2")
	named.Verdict.Kind, named.Reviewed = seqqc.Conflict, &seqqc.Reviewed{FinalName: "Russula ficticia"}
	silent := voucher("QM-3")
	silent.Samples[0].Contig, silent.Reviewed = nil, &seqqc.Reviewed{Submission: seqqc.Submit}
	d := prepare(held, named, silent)
	require.Len(t, d.Entries, 1)
	require.Equal(t, "QM-2", d.Entries[0].Voucher)
	require.Equal(t, "a reviewer held it back: a new (species)", d.LeftOut[0].Reasons[0].What)
	require.Contains(t, d.LeftOut[1].Reasons[0].What, "the decision to submit it cannot be followed")
}

func TestNothingWasCollectedTomorrow(t *testing.T) {
	p := Defaults()
	p.Today = time.Date(2026, 9, 1, 10, 0, 0, 0, time.UTC)
	v := voucher("QM-1") // of 2026-09-03
	d := Prepare(&seqqc.Result{Vouchers: []seqqc.VoucherResult{v}}, p)
	require.Equal(t, "future-date", d.LeftOut[0].Reasons[0].Rule)
	fasta := written(t, prepare(v), FASTAName)
	for day, faults := range map[int]int{1: 1, 2: 0, 3: 0} {
		found, err := Check(strings.NewReader(fasta), time.Date(2026, 9, day, 10, 0, 0, 0, time.UTC))
		require.NoError(t, err)
		require.Len(t, found.Faults, faults, "read on day %d", day)
	}
}

func TestPlacesAsPeopleWriteThem(t *testing.T) {
	v := voucher("QM-1")
	v.Voucher.Country, v.Voucher.Locality = "usa: Oregon ", " Old Tarn Bank"
	require.Equal(t, "USA: Oregon, Old Tarn Bank", PlaceOf(&v, Defaults()).archived())
	v.Voucher.Country = "Bavaria: Alps"
	require.Empty(t, PlaceOf(&v, Defaults()).archived())
}

// East for west is told where all other finds of the country lie on the other
// side, and not where they do not.
func TestASignThatOthersDoNotHave(t *testing.T) {
	place := func(code string, lat, lon float64) seqqc.VoucherResult {
		v := voucher(code)
		v.Voucher.Country, v.Voucher.Latitude, v.Voucher.Longitude = "Norway", &lat, &lon
		return v
	}
	odd := place("QM-1", 60.1, -10.2)
	others := []seqqc.VoucherResult{place("QM-2", 60, 10), place("QM-3", 61, 11), place("QM-4", 59, 9)}
	doubts := func(vouchers ...seqqc.VoucherResult) string {
		return strings.Join(prepare(vouchers...).Entries[0].Doubts, " ")
	}
	require.Contains(t, doubts(odd, others[0], others[1], others[2]), "longitude has another sign than those of all 3 other finds of Norway")
	require.Empty(t, doubts(odd, others[0], others[1]), "two are no pattern")
	require.Empty(t, doubts(odd, others[0], others[1], others[2], place("QM-5", 60, -1)), "others lie on both sides")
	require.Empty(t, doubts(place("QM-1", 60, -40), others[0], others[1], others[2]), "it would not lie among them")
}
