package report

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/doubts"
	"forayseq/seqqc/draw"
)

const (
	// mostDifferences bounds the list of differences, mostCards the cards with
	// pictures of one voucher; results.json has all of the first, and what is
	// beyond the second is told in words.
	mostDifferences = 40
	mostCards       = 40
)

// voucherView is one voucher as the page shows it.
type voucherView struct {
	*seqqc.VoucherResult
	// ID is that of its section; made of its number alone, so that no code of a
	// sheet gets into it.
	ID   string
	Name string // the field name, or that there is none
	// Word is the verdict, with the rank at which a conflict lies; Mark the sign
	// before it, so that no colour is needed.
	Word, Mark, Class string
	Flags             []flagView
	Causes            []causeView // the likeliest first
	// Vague is true where nothing speaks for the first of them.
	Vague   bool
	Facts   []fact
	Samples []sampleView
}

type flagView struct{ Code, Means string }

type fact struct{ Name, Says string }

type causeView struct {
	seqqc.Cause
	For []string // less what the reason says
	// Same is true where its next step is the verdict's.
	Same bool
}

// sampleView is one sample of a voucher.
type sampleView struct {
	*seqqc.SampleResult
	// Query names the sample apart from all others, Title heads it where the
	// voucher has several.
	Query, Title string
	Chosen       bool
	Contig       template.HTML
	Identity     template.HTML
	Hits         []*seqqc.Hit
	Best         *seqqc.Hit
	Differences  []seqqc.Difference
	// More counts what the lists leave out.
	More    int
	Open    []cardView
	Settled []cardView
	Untold  int
}

type cardView struct {
	doubts.Card
	Pictures []strandPicture
}

type strandPicture struct {
	Read  string
	Peaks template.HTML
}

func newVoucherView(i int, v *seqqc.VoucherResult, res *seqqc.Result, reads map[string]*seqqc.Read) *voucherView {
	view := &voucherView{VoucherResult: v, ID: fmt.Sprintf("voucher-%d", i+1), Name: fieldName(v)}
	view.Word = verdictWord[v.Verdict.Kind]
	if v.Verdict.ReasonCode == seqqc.Control {
		view.Word = "control"
	} else if at := v.Verdict.PartsAt.String(); at != "" && v.Verdict.Kind == seqqc.Conflict {
		view.Word += " at " + at
	}
	switch state(v) {
	case draw.Look:
		view.Mark, view.Class = "◆", "look"
	case draw.Unsure:
		view.Mark, view.Class = "○", "unsure"
	default:
		view.Mark, view.Class = "●", "fine"
	}
	for _, f := range v.Verdict.Flags {
		view.Flags = append(view.Flags, flagView{string(f), flagMeaning[f]})
	}
	for _, c := range v.Verdict.Causes {
		cause := causeView{Cause: c, Same: c.NextStep == v.Verdict.NextStep}
		for _, says := range c.For {
			if !strings.Contains(strings.ToLower(v.Verdict.Reason), strings.ToLower(strings.TrimSuffix(says, "."))) {
				cause.For = append(cause.For, says)
			}
		}
		view.Causes = append(view.Causes, cause)
	}
	view.Vague = len(v.Verdict.Causes) > 0 && len(v.Verdict.Causes[0].For) == 0
	view.Facts = facts(v)
	byFile := func(file string) *seqqc.Read { return reads[file] }
	cards := doubts.Cards(v, byFile)
	for j := range v.Samples {
		view.Samples = append(view.Samples, newSampleView(view, j, cards, res, byFile))
	}
	return view
}

// state says how a verdict is marked. Vouchers that need attention are all
// marked alike: the word tells the rest.
func state(v *seqqc.VoucherResult) draw.State {
	switch {
	case v.Verdict.ReasonCode == seqqc.Control && !v.Verdict.Attention:
		return draw.Fine
	case v.Verdict.Kind == seqqc.Undetermined && v.Verdict.ReasonCode != seqqc.Control:
		return draw.Unsure
	case v.Verdict.Attention:
		return draw.Look
	}
	return draw.Fine
}

func facts(v *seqqc.VoucherResult) []fact {
	var out []fact
	add := func(name, says string) {
		if says != "" {
			out = append(out, fact{name, says})
		}
	}
	add("Field name as understood", v.Voucher.Field.Taxon())
	if s := v.ChosenSample(); s != nil && s.Match != nil {
		taxon := s.Match.Taxon
		if taxon != "" {
			taxon += " (" + s.Match.Supported.String() + ")"
		}
		add("DNA supports", taxon)
	}
	w := v.Voucher
	add("Collected", strings.Join(filled(w.Date, w.Locality, w.Country, w.Collector), ", "))
	add("Grew on", strings.Join(filled(w.Substrate, w.Host, w.Habitat), ", "))
	for _, o := range w.Observed {
		if o.Trait != seqqc.TraitGrowsOn { // told already
			add("Seen: "+strings.ReplaceAll(string(o.Trait), "_", " "), o.Written)
		}
	}
	add("Notes", w.Notes)
	if v.Power != nil {
		add("What the test could find", v.Power.Text)
	}
	add("In the ledger", earlier(v.Earlier))
	if r := v.Reviewed; r != nil {
		says := filled("by "+r.By, r.When, string(r.Kind), r.FinalName, r.Submission, r.Why)
		if r.Accepted {
			says = append(says, "verdict accepted")
		}
		if r.Edits > 0 {
			says = append(says, plural(r.Edits, "edit"))
		}
		add("Reviewed", strings.Join(says, "; "))
	}
	return out
}

// earlier words the barcodes of earlier batches that a voucher's is like, and
// the club's code for them.
func earlier(list []seqqc.Earlier) string {
	const most = 5
	var says []string
	for i, e := range list {
		if i == most {
			says = append(says, fmt.Sprintf("and %d more", len(list)-most))
			break
		}
		s := fmt.Sprintf("%s of batch %s (%s)", e.Voucher, e.Batch, strings.Join(filled(e.FieldID, e.Date, e.Code), ", "))
		says = append(says, s+fmt.Sprintf(" is %s %% identical", seqqc.Percent(e.IdentityPct)))
	}
	return strings.Join(says, "; ")
}

func filled(list ...string) []string {
	return slices.DeleteFunc(list, func(s string) bool { return s == "" })
}

func newSampleView(view *voucherView, j int, cards []doubts.Card, res *seqqc.Result, reads func(string) *seqqc.Read) sampleView {
	v := view.VoucherResult
	s := &v.Samples[j]
	id := func(what string, k int) string { return fmt.Sprintf("%s-s%d-%s%d", view.ID, j+1, what, k) }
	out := sampleView{SampleResult: s, Query: QueryName(v.Voucher.Code, s.Sample.ID), Chosen: j == v.Chosen && len(v.Samples) > 1}
	if len(v.Samples) > 1 {
		out.Title = "Sample " + s.Sample.ID
	}
	var own []doubts.Card
	for _, c := range cards {
		if c.Sample == j {
			own = append(own, c)
		}
	}
	if s.Contig != nil {
		out.Contig = template.HTML(draw.Contig(id("contig", 0), s.Contig, own, reads))
	}
	for k, c := range own {
		if k >= mostCards {
			out.Untold = len(own) - k
			break
		}
		card := cardView{Card: c}
		for n, strand := range c.Strands {
			if svg := draw.Peaks(id("card", k)+"-"+strconv.Itoa(n), strand); svg != "" {
				card.Pictures = append(card.Pictures, strandPicture{strandName(strand), template.HTML(svg)})
			}
		}
		if c.Settled {
			out.Settled = append(out.Settled, card)
		} else {
			out.Open = append(out.Open, card)
		}
	}
	m := s.Match
	if m == nil {
		return out
	}
	const mostHits = 10
	for k := range m.Hits {
		if k < mostHits {
			out.Hits = append(out.Hits, &m.Hits[k])
		}
	}
	for k := range m.Apart {
		out.Hits = append(out.Hits, &m.Apart[k])
	}
	if len(m.Hits) > 0 {
		out.Best = &m.Hits[0]
		out.Differences = out.Best.Differences[:min(len(out.Best.Differences), mostDifferences)]
		out.More = len(out.Best.Differences) - len(out.Differences)
		out.Identity = template.HTML(draw.Identity(id("identity", 0), scale(v, m, res.Spreads)))
	}
	return out
}

func strandName(s doubts.Strand) string {
	name := "Forward"
	if s.Complemented {
		name = "Reverse"
	}
	if s.Primer != "" {
		name += ", " + s.Primer
	}
	return name
}

// scale gathers what the picture of identities shows: the thresholds, the best
// hit and the nearest ones that it must be told from, and how far the library's
// records of the genera concerned lie apart.
func scale(v *seqqc.VoucherResult, m *seqqc.Match, spreads []seqqc.Spread) draw.Scale {
	var s draw.Scale
	for _, vote := range m.Votes {
		// The threshold of a class serves for what is broader too.
		if vote.Rank >= refs.Class {
			s.Limits = append(s.Limits, draw.Limit{Name: vote.Rank.String(), Pct: vote.Threshold})
		}
	}
	seen := map[int]bool{}
	add := func(what string, h *seqqc.Hit) {
		if h != nil && !seen[h.Record] {
			seen[h.Record] = true
			s.Hits = append(s.Hits, draw.Limit{Name: what + ": " + hitName(h), Pct: h.IdentityPct})
		}
	}
	add("best hit", &m.Hits[0])
	add("nearest of the field genus", m.Field.Genus)
	add("next genus", m.NextGenus)
	genera := []string{m.Hits[0].Lineage.Genus}
	if f := v.Voucher.Field.Genus; f != genera[0] {
		genera = append(genera, f)
	}
	for _, spread := range spreads {
		if !slices.Contains(genera, spread.Genus) {
			continue
		}
		for _, part := range []struct {
			name string
			pct  []float64
		}{
			{"library, within " + spread.Genus, spread.Within},
			{"library, " + spread.Genus + " to other genera", spread.OtherGenus},
		} {
			if n := len(part.pct); n > 0 {
				s.Spreads = append(s.Spreads, draw.Spread{Name: part.name, Low: part.pct[0], Mid: part.pct[n/2], High: part.pct[n-1]})
			}
		}
	}
	return s
}

// flagMeaning says in a few words what each flag is.
var flagMeaning = map[seqqc.Flag]string{
	seqqc.OneStrandOnly:       "read from one side only",
	seqqc.TwoPart:             "two parts that do not meet",
	seqqc.StrandsDisagree:     "another read does not fit",
	seqqc.MixedTemplate:       "the traces show two organisms",
	seqqc.IndelHeterozygote:   "two alleles of unequal length",
	seqqc.ChimeraSuspected:    "may be joined from two organisms",
	seqqc.ReverseComplemented: "was turned to the other strand",
	seqqc.RegionIncomplete:    "part of the ITS is missing",
	seqqc.Short:               "short",
	seqqc.LowQuality:          "many likely errors",
	seqqc.QualityEstimated:    "qualities are estimates",
	seqqc.QualityMissing:      "a read has no qualities",
	seqqc.SwapSuspected:       "may be exchanged with another",
	seqqc.PlateShift:          "the plate may be shifted",
	seqqc.SharedBarcode:       "shares its sequence with another genus",
	seqqc.ControlSignal:       "a blank holds the same DNA",
	seqqc.ReferenceDoubtful:   "a reference may bear a wrong name",
	seqqc.SingleReference:     "rests on one reference",
	seqqc.SpeciesComplex:      "several species are as near",
	seqqc.SpeciesDiffers:      "another species is nearer",
	seqqc.NearestIsFieldGenus: "the nearest are of the field genus",
	seqqc.NearestIsUnnamed:    "the nearest has no name",
	seqqc.FieldGenusAbsent:    "the library lacks the field genus",
	seqqc.HostParasite:        "a fungus on a fungus, or its host",
	seqqc.SpellingAssumed:     "the field name was respelt",
}
