package match

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// leastTaught is the least number of records with a neighbour of another
// species, and of records asked for one of another genus, that teach a cutoff;
// one in mostMisplaced may lie on its wrong side.
const (
	leastTaught   = 4
	mostMisplaced = 10
)

// Spread compares up to sampled of the independent records of a genus with one
// another, with the nearest record of another species of the genus and with the
// nearest of another genus, themselves left out. Only what passes the gate is
// compared. locate finds the parts of the ribosomal DNA in a record. A record
// with a doubtful label is not known to be of its genus and is left out.
//
// Records of other genera are told down to the threshold of a family: to look
// further takes long and teaches nothing. Time is that of three searches a record,
// of which two look at the genus alone, and of two more where another genus is
// near.
func Spread(ctx context.Context, lib *refs.Library, genus string, sampled int, locate func(*seqqc.Contig), p Params) (seqqc.Spread, error) {
	records := independentOf(lib, lib.OfGenus(genus))
	s := seqqc.Spread{Genus: genus, Records: len(records), FloorPct: p.Thresholds.Family}
	g := genusSearch{lib: lib, locate: locate, p: p, doubtful: map[int]bool{}}
	var sample []int
	nearest := map[string]int{}
	for _, r := range evenly(records, sampled) {
		other, err := g.other(ctx, r, s.FloorPct)
		switch {
		case err != nil:
			return s, fmt.Errorf("%s: %w", lib.Record(r).ID, err)
		case g.doubtful[r]:
			s.LeftOut++
			continue
		case other == nil:
			s.Beyond++
		default:
			s.OtherGenus = append(s.OtherGenus, other.IdentityPct)
			nearest[lib.Record(other.Record).Lineage.Genus]++
		}
		sample = append(sample, r)
	}
	s.Sampled = len(sample)
	for i, r := range sample {
		if err := g.compare(ctx, &s, r, sample[i+1:]); err != nil {
			return s, fmt.Errorf("%s: %w", lib.Record(r).ID, err)
		}
	}
	for name, n := range nearest {
		if n > nearest[s.NearestGenus] || n == nearest[s.NearestGenus] && name < s.NearestGenus {
			s.NearestGenus = name
		}
	}
	slices.Sort(s.Within)
	slices.Sort(s.OtherSpecies)
	slices.Sort(s.OtherGenus)
	s.CutoffPct, s.Misplaced = cutoff(s)
	return s, nil
}

// genusSearch compares the records of one genus.
type genusSearch struct {
	lib      *refs.Library
	locate   func(*seqqc.Contig)
	p        Params
	doubtful map[int]bool // records whose labels were looked at
}

// query gives the ITS of a record.
func (g genusSearch) query(record int) refs.Query {
	seq := g.lib.Record(record).Seq
	c := &seqqc.Contig{Bases: slices.Clone(seq), Quals: make([]byte, len(seq))}
	g.locate(c)
	q := query(c, c.Region.ITS(len(c.Bases)))
	q.Every = g.p.Every
	return q
}

// compare adds what one record of the sample shows within its genus, beside those
// that follow it.
func (g genusSearch) compare(ctx context.Context, s *seqqc.Spread, record int, later []int) error {
	scan, err := refs.NewScan(ctx, g.lib, g.query(record), g.p.Gate)
	if err != nil {
		return err
	}
	pairs, err := scan.BestOf(later, len(later))
	if err != nil {
		return err
	}
	for _, f := range pairs {
		s.Within = append(s.Within, f.IdentityPct)
	}
	own := g.lib.Record(record)
	relatives := slices.DeleteFunc(slices.Clone(g.lib.OfGenus(s.Genus)), func(o int) bool {
		return !isOtherSpecies(own, g.lib.Record(o)) || g.doubtful[o]
	})
	kin, err := scan.BestOf(relatives, 1)
	if err != nil {
		return err
	}
	if len(kin) > 0 {
		s.OtherSpecies = append(s.OtherSpecies, kin[0].IdentityPct)
	}
	return nil
}

// other gives the nearest record of another genus, nil where none is of
// identity floor or more. One as near as records of one genus are may bear a
// wrong label, or the record itself does.
func (g genusSearch) other(ctx context.Context, record int, floor float64) (*refs.Found, error) {
	scan, err := refs.NewScan(ctx, g.lib, g.query(record), g.p.Gate)
	if err != nil {
		return nil, err
	}
	number := g.lib.GenusNumber(record)
	for {
		found, err := scan.BestFrom(floor, 1, nil, func(o int) bool {
			n := g.lib.GenusNumber(o)
			return n != 0 && n != number && !g.doubtful[o]
		})
		if err != nil || len(found) == 0 {
			return nil, err
		}
		f := &found[0]
		if isDoubtful, err := g.isDoubtful(ctx, record); err != nil || isDoubtful {
			return nil, err
		}
		if f.IdentityPct < g.p.Thresholds.Genus {
			return f, nil
		}
		if isDoubtful, err := g.isDoubtful(ctx, f.Record); err != nil || !isDoubtful {
			return f, err
		}
	}
}

// isDoubtful looks at the label of a record, once.
func (g genusSearch) isDoubtful(ctx context.Context, record int) (bool, error) {
	is, looked := g.doubtful[record]
	if looked {
		return is, nil
	}
	s, err := Stand(ctx, g.lib, record, g.query(record), g.p)
	if err == nil {
		g.doubtful[record] = s.Doubtful
	}
	return s.Doubtful, err
}

// isOtherSpecies reports whether both records name a species, and not the same.
func isOtherSpecies(a, b refs.Record) bool {
	s, o := a.Name.Binomial(), b.Name.Binomial()
	return s != "" && o != "" && s != o
}

// independentOf leaves out copies, of one name and one sequence.
func independentOf(lib *refs.Library, records []int) []int {
	seen := map[copyKey]bool{}
	var out []int
	for _, r := range records {
		if key := keyOf(lib.Record(r)); !seen[key] {
			seen[key] = true
			out = append(out, r)
		}
	}
	return out
}

// evenly gives n of a list, or all where it has no more.
func evenly(list []int, n int) []int {
	if len(list) <= n {
		return list
	}
	out := make([]int, n)
	for i := range out {
		out[i] = list[i*len(list)/n]
	}
	return out
}

// cutoff gives the identity that parts the nearest records of other species from
// those of other genera with the fewest on the wrong side; of those as good, the
// middle of the widest gap. What lies below the floor stands at it.
func cutoff(s seqqc.Spread) (pct float64, misplaced int) {
	others := slices.Repeat([]float64{s.FloorPct}, s.Beyond)
	others = append(others, s.OtherGenus...)
	if len(s.OtherSpecies) < leastTaught || len(others) < leastTaught {
		return 0, 0
	}
	all := slices.Concat(s.OtherSpecies, others)
	slices.Sort(all)
	widest := 0.0
	misplaced = len(all)
	for i := range all[1:] {
		low, high := all[i], all[i+1]
		if high == low {
			continue
		}
		wrong := 0
		for _, v := range s.OtherSpecies {
			if v <= low {
				wrong++
			}
		}
		for _, v := range others {
			if v >= high {
				wrong++
			}
		}
		if wrong < misplaced || wrong == misplaced && high-low > widest {
			pct, misplaced, widest = (low+high)/2, wrong, high-low
		}
	}
	if misplaced*mostMisplaced > len(all) {
		return 0, 0
	}
	return pct, misplaced
}

// Offer is what a library has of one taxon.
type Offer struct{ Records, Species, Types int }

// OfferOf counts the independent records of a genus or, with a rank above it,
// of a broader taxon.
func OfferOf(lib *refs.Library, rank refs.Rank, taxon string) Offer {
	records := lib.OfGenus(taxon)
	if rank < refs.Genus {
		records = nil
		for i, r := range lib.All() {
			if r.Lineage.At(rank) == taxon {
				records = append(records, i)
			}
		}
	}
	var o Offer
	species := map[string]bool{}
	for _, i := range independentOf(lib, records) {
		r := lib.Record(i)
		o.Records++
		if s := r.Lineage.Species; s != "" {
			species[s] = true
		}
		if refs.TypeMaterial(r.Header) {
			o.Types++
		}
	}
	o.Species = len(species)
	return o
}

// Power says what a match could have shown of a field name of which the
// library has the offer; spread is that of the field genus, nil where it was
// not measured.
func Power(m *seqqc.Match, field refs.Name, o Offer, spread *seqqc.Spread, p Params) *seqqc.Power {
	w := &seqqc.Power{Records: o.Records, Species: o.Species, Types: o.Types, GapPct: -1}
	best := bestOf(m.Hits)
	if m.NextGenus != nil {
		w.GapPct = max(0, best-m.NextGenus.IdentityPct)
	}
	if spread != nil && spread.CutoffPct > 0 {
		w.GenusCutoff, w.CutoffRank = spread.CutoffPct, refs.Genus
	}
	taxon := field.Genus
	if taxon == "" {
		taxon = field.Higher
	}
	switch {
	case taxon == "" || field.Rank == refs.NoRank:
		w.Text = "The label names no taxon that could be tested."
		return w
	case m.WindowPct == 0:
		w.Text = fmt.Sprintf("No reference is near enough to test %s%s.", taxon, offered(o, taxon))
		return w
	case o.Records == 0:
		w.Text = fmt.Sprintf("The library has no record of %s, so that only DNA very near another genus could have spoken against that name.", taxon)
		return w
	case field.Genus != "" && m.Field.Genus == nil:
		w.Text = fmt.Sprintf("Nothing of %s can be compared with this sequence%s.", taxon, offered(o, taxon))
		return w
	case m.OtherGenera == 0:
		w.Text = fmt.Sprintf("The library holds no genus but %s, so that no other could have been found.", taxon)
		return w
	}
	w.Could = m.Supported >= refs.Genus && (w.GapPct < 0 || w.GapPct > m.WindowPct)
	var text strings.Builder
	switch {
	case w.Could:
		text.WriteString("Another genus would have been seen: ")
	case m.Supported < refs.Genus:
		fmt.Fprintf(&text, "Another genus might not have been seen, for the nearest references, at %s %% at best, do not settle the genus: ", seqqc.Figure(best))
	default:
		text.WriteString("Another genus might not have been seen, for genera lie close here: ")
	}
	fmt.Fprintf(&text, "the library has %s", records(o, taxon))
	if m.NextGenus != nil {
		fmt.Fprintf(&text, ", and the next genus, %s, is %s points behind the best hit", m.NextGenus.Lineage.Genus, seqqc.Figure(w.GapPct))
	} else {
		text.WriteString(", and no other genus comes near")
	}
	if w.GenusCutoff > 0 {
		fmt.Fprintf(&text, "; in this library %s %% parts %s from other genera best (%s %% is used)", seqqc.Figure(w.GenusCutoff), taxon, seqqc.Figure(p.Thresholds.Genus))
		if spread.LeftOut > 0 {
			fmt.Fprintf(&text, ", %s with a doubtful label left out", seqqc.Count(spread.LeftOut, "record"))
		}
	}
	w.Text = text.String() + "."
	return w
}

func offered(o Offer, taxon string) string {
	if o.Records == 0 {
		return "; the library has no record of " + taxon
	}
	return "; the library has " + records(o, taxon)
}

// records writes "12 independent records of Russula in 5 species, 2 of them of
// type material".
func records(o Offer, taxon string) string {
	s := fmt.Sprintf("%d independent records of %s", o.Records, taxon)
	if o.Records == 1 {
		s = "1 record of " + taxon
	}
	if o.Species > 0 {
		s += fmt.Sprintf(" in %d species", o.Species)
	}
	if o.Types > 0 {
		s += fmt.Sprintf(", %d of them of type material", o.Types)
	}
	return s
}
