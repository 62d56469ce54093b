package report

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

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
	Unmeasured   []string // genera that the picture of identities tells no spread of
	Hits         []*seqqc.Hit
	Gates        []string // what hits lack that do not count, each once
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
	view := &voucherView{VoucherResult: v, ID: fmt.Sprintf("voucher-%d", i+1), Name: fieldName(v), Word: v.Word()}
	switch draw.StateOf(v) {
	case draw.Look:
		view.Mark, view.Class = "◆", "look"
	case draw.Unsure:
		view.Mark, view.Class = "○", "unsure"
	default:
		view.Mark, view.Class = "●", "fine"
	}
	for _, f := range v.Verdict.Flags {
		view.Flags = append(view.Flags, flagView{string(f), v.FlagMeans(f)})
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

func facts(v *seqqc.VoucherResult) []fact {
	var out []fact
	add := func(name, says string) {
		if says != "" {
			out = append(out, fact{name, says})
		}
	}
	add("Label read as", v.Voucher.Field.Taxon())
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
	add("In the ledger", earlier(v.Earlier))
	if r := v.Reviewed; r != nil {
		says := filled("by "+r.By, r.When, string(r.Kind), r.FinalName, r.Submission, r.Why)
		if r.Accepted {
			says = append(says, "verdict accepted")
		}
		if r.Edits > 0 {
			says = append(says, seqqc.Count(r.Edits, "edit"))
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
	for _, h := range out.Hits {
		if h.Gate != seqqc.GatePass && !slices.Contains(out.Gates, h.Gate) {
			out.Gates = append(out.Gates, h.Gate)
		}
	}
	if len(m.Hits) > 0 {
		out.Best = &m.Hits[0]
		out.Differences = out.Best.Differences[:min(len(out.Best.Differences), mostDifferences)]
		out.More = len(out.Best.Differences) - len(out.Differences)
		scale := draw.ScaleOf(v, m, res.Spreads)
		out.Identity, out.Unmeasured = template.HTML(draw.Identity(id("identity", 0), scale)), scale.Unmeasured
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
