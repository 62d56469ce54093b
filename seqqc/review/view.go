package review

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/decisions"
	"forayseq/seqqc/doubts"
	"forayseq/seqqc/draw"
)

// batchView is what the list shows.
type batchView struct {
	Name     string          `json:"name"`
	Who      string          `json:"who"`
	Library  string          `json:"library"`
	SHA256   string          `json:"sha256"`
	Changes  int             `json:"changes"`
	Outdated string          `json:"outdated"`
	Kinds    []string        `json:"kinds"`
	Rows     []rowView       `json:"rows"`
	Cautions []string        `json:"cautions"`
	Problems []seqqc.Problem `json:"problems"`
}

// rowView is one voucher in the list.
type rowView struct {
	Code       string `json:"code"`
	FieldID    string `json:"field_id"`
	Kind       string `json:"kind"`
	DNA        string `json:"dna"`
	Verdict    string `json:"verdict"`
	Word       string `json:"word"` // the verdict for a reader
	Mark       string `json:"mark"` // how it is marked: fine, look, unsure
	Given      string `json:"given"`
	Attention  bool   `json:"attention"`
	Gravity    int    `json:"gravity"` // the gravest is lowest
	Doubts     int    `json:"doubts"`  // not settled, and not answered
	Decided    int    `json:"decided"`
	Final      string `json:"final"`
	Submission string `json:"submission"`
	Identity   string `json:"identity"`
	Reason     string `json:"reason"`
}

func (s *server) showBatch(w http.ResponseWriter, _ *http.Request) {
	changes, _ := s.batch.Changes()
	res := s.batch.Result()
	v := batchView{
		Name: s.batch.Name, Who: s.opt.Who, Changes: changes, Outdated: s.batch.Outdated(), Cautions: res.Cautions, Problems: res.Problems,
		Library: fmt.Sprintf("%s, %s of %s", res.Library.Name, seqqc.Count(res.Library.Records, "record"), seqqc.Count(res.Library.Genera, "genus")), SHA256: res.Library.SHA256,
	}
	for _, k := range seqqc.VerdictKinds {
		v.Kinds = append(v.Kinds, string(k))
	}
	for i := range res.Vouchers {
		code := res.Vouchers[i].Voucher.Code
		// The voucher's own view, so that list and page count alike.
		voucher, reads, list, err := s.batch.Voucher(code)
		if err != nil {
			fail(w, err)
			return
		}
		v.Rows = append(v.Rows, rowOf(&voucher, cardsOf(&voucher, reads, list), list))
	}
	answer(w, http.StatusOK, v)
}

func rowOf(v *seqqc.VoucherResult, cards []card, list []seqqc.Decision) rowView {
	row := rowView{
		Code: v.Voucher.Code, FieldID: v.Voucher.FieldID, Kind: string(v.Voucher.Kind), Verdict: string(v.Verdict.Kind), Given: given(v),
		Attention: v.Verdict.Attention, Gravity: v.Gravity(), Reason: v.Verdict.Reason, DNA: dnaTaxon(v),
		Identity: identity(v), Word: v.Word(), Mark: marks[draw.StateOf(v)],
	}
	for _, c := range cards {
		if !c.Settled && c.Answered == "" {
			row.Doubts++
		}
	}
	standing, _ := decisions.Standing(list, "")
	row.Decided = len(standing)
	if v.Reviewed != nil {
		row.Final, row.Submission = v.Reviewed.FinalName, v.Reviewed.Submission
	}
	return row
}

// marks name the ways to mark a verdict.
var marks = map[draw.State]string{draw.Fine: "fine", draw.Look: "look", draw.Unsure: "unsure"}

// given is what a person said of the verdict.
func given(v *seqqc.VoucherResult) string {
	switch {
	case v.Reviewed == nil:
	case v.Reviewed.Kind != "":
		given := seqqc.VoucherResult{Verdict: seqqc.Verdict{Kind: v.Reviewed.Kind}}
		return "overruled: " + given.Word()
	case v.Reviewed.Accepted:
		return "accepted"
	}
	return ""
}

func best(v *seqqc.VoucherResult) *seqqc.Hit {
	if s := v.ChosenSample(); s != nil && s.Match != nil && len(s.Match.Hits) > 0 {
		return &s.Match.Hits[0]
	}
	return nil
}

func dnaTaxon(v *seqqc.VoucherResult) string {
	if s := v.ChosenSample(); s != nil && s.Match != nil {
		return s.Match.Taxon
	}
	return ""
}

func identity(v *seqqc.VoucherResult) string {
	if h := best(v); h != nil {
		return seqqc.Percent(h.IdentityPct) + "\u00a0%"
	}
	return ""
}

// voucherView is the page of a voucher.
type voucherView struct {
	Row      rowView        `json:"row"`
	Voucher  seqqc.Voucher  `json:"voucher"`
	Verdict  seqqc.Verdict  `json:"verdict"`
	Facts    [][2]string    `json:"facts"`
	Names    []string       `json:"names"` // that the final name may be
	Why      string         `json:"why"`   // of the verdict given
	Key      draw.SVG       `json:"key"`
	Cards    []card         `json:"cards"`
	Pictures []sampleView   `json:"pictures"`
	Reads    []readView     `json:"reads"`
	Hits     []hitView      `json:"hits"`
	History  []decisionView `json:"history"`
	Problems []string       `json:"problems"`
	Changes  int            `json:"changes"`
	Outdated string         `json:"outdated"`
}

// sampleView is a sample in pictures.
type sampleView struct {
	Title    string   `json:"title"` // empty where there is one
	Contig   draw.SVG `json:"contig"`
	Identity draw.SVG `json:"identity"`
	// Unmeasured are the genera that Identity tells no spread of.
	Unmeasured []string `json:"unmeasured"`
}

// card is a doubt with its pictures, and what was decided about it.
type card struct {
	doubts.Card
	ID       string     `json:"id"`
	Sample   string     `json:"sample_name"`
	Pictures []draw.SVG `json:"pictures"`
	// File and Place are the read and the position that an answer is about.
	File  string `json:"file"`
	Place int    `json:"place"`
	// Answered says what was decided, and by whom; Decision is its ID.
	Answered string `json:"answered"`
	Decision string `json:"decision"`
}

type readView struct {
	File     string `json:"file"`
	About    string `json:"about"`
	Bases    int    `json:"bases"`
	From     int    `json:"from"` // counted from 1
	To       int    `json:"to"`
	Usable   bool   `json:"usable"`
	Why      string `json:"why"`
	ByHand   string `json:"by_hand"` // the ID of the decision on the window
	SetAside string `json:"set_aside"`
	HasTrace bool   `json:"has_trace"`
}

type hitView struct {
	Rank      string `json:"rank"`
	Reference string `json:"reference"`
	Name      string `json:"name"`
	Identity  string `json:"identity"`
	Coverage  string `json:"coverage"`
	Gate      string `json:"gate"`
}

type decisionView struct {
	ID     string `json:"id"`
	When   string `json:"when"`
	Who    string `json:"who"`
	Words  string `json:"words"`
	Why    string `json:"why"`
	Stands bool   `json:"stands"`
	Undo   bool   `json:"undo"` // it is an undo
}

func (s *server) showVoucher(w http.ResponseWriter, r *http.Request) {
	v, err := s.view(r.URL.Query().Get("code"))
	if err != nil {
		fail(w, err)
		return
	}
	answer(w, http.StatusOK, v)
}

func (s *server) view(code string) (*voucherView, error) {
	changes, _ := s.batch.Changes()
	v, reads, list, err := s.batch.Voucher(code)
	if err != nil {
		return nil, err
	}
	cards := cardsOf(&v, reads, list)
	out := &voucherView{
		Row: rowOf(&v, cards, list), Voucher: v.Voucher, Verdict: v.Verdict, Facts: facts(&v), Names: names(&v),
		Key: draw.Key("key"), Cards: cards, Hits: hits(&v), History: history(list), Changes: changes,
		Pictures: pictures(&v, cards, reads, s.batch.Result().Spreads), Outdated: s.batch.Outdated(),
	}
	if v.Reviewed != nil {
		out.Why = v.Reviewed.Why
	}
	for _, read := range reads {
		out.Reads = append(out.Reads, readOf(read, list))
	}
	for _, p := range s.batch.Result().Problems {
		if slices.ContainsFunc(list, func(d seqqc.Decision) bool { return p.Field == d.ID }) {
			out.Problems = append(out.Problems, p.What+"; "+p.Hint)
		}
	}
	return out, nil
}

func byFile(reads []*seqqc.Read) func(file string) *seqqc.Read {
	return func(file string) *seqqc.Read {
		if i := slices.IndexFunc(reads, func(r *seqqc.Read) bool { return r.File == file }); i >= 0 {
			return reads[i]
		}
		return nil
	}
}

// pictures draws the samples that have a contig.
func pictures(v *seqqc.VoucherResult, cards []card, reads []*seqqc.Read, spreads []seqqc.Spread) []sampleView {
	var out []sampleView
	for i := range v.Samples {
		s := &v.Samples[i]
		if s.Contig == nil {
			continue
		}
		var own []doubts.Card
		for _, c := range cards {
			if c.Card.Sample == i {
				own = append(own, c.Card)
			}
		}
		p := sampleView{Contig: draw.Contig(fmt.Sprintf("contig-%d", i), s.Contig, own, byFile(reads))}
		if len(v.Samples) > 1 {
			p.Title = "Sample " + s.Sample.ID
		}
		if s.Match != nil && len(s.Match.Hits) > 0 {
			scale := draw.ScaleOf(v, s.Match, spreads)
			p.Identity, p.Unmeasured = draw.Identity(fmt.Sprintf("identity-%d", i), scale), scale.Unmeasured
		}
		out = append(out, p)
	}
	return out
}

// cardsOf makes the cards of a voucher, with what was decided about them.
func cardsOf(v *seqqc.VoucherResult, reads []*seqqc.Read, list []seqqc.Decision) []card {
	standing, _ := decisions.Standing(list, "")
	var out []card
	for i, d := range doubts.Cards(v, byFile(reads)) {
		c := card{Card: d, ID: fmt.Sprintf("doubt-%d", i+1), Sample: v.Samples[d.Sample].Sample.ID}
		for k, strand := range d.Strands {
			c.Pictures = append(c.Pictures, draw.Peaks(fmt.Sprintf("%s-%d", c.ID, k), strand))
			if c.File == "" && strand.Place != nil && strand.Call != "-" {
				c.File, c.Place = strand.File, strand.At
			}
		}
		for _, x := range standing {
			if x.Place == nil || !slices.ContainsFunc(d.Strands, func(s doubts.Strand) bool {
				return s.Call != "-" && s.File == x.Place.File && s.At == x.Place.At
			}) {
				continue
			}
			c.Decision = x.ID
			c.Answered = "left open by " + x.Who
			if x.What == seqqc.DecideBase {
				c.Answered = fmt.Sprintf("%s, decided by %s", codeWords(d.Code), x.Who)
			}
		}
		out = append(out, c)
	}
	return out
}

func codeWords(code string) string {
	if code == "-" {
		return "no base"
	}
	return code
}

// facts are the figures of a voucher, each with its name.
func facts(v *seqqc.VoucherResult) [][2]string {
	var out [][2]string
	add := func(name, value string) {
		if value != "" {
			out = append(out, [2]string{name, value})
		}
	}
	add("Name on the label", v.Voucher.FieldID)
	add("Name from the DNA", dnaTaxon(v))
	if h := best(v); h != nil {
		add("Nearest reference", fmt.Sprintf("%s (%s)", h.Name.Label(), h.Reference))
		add("Identity", fmt.Sprintf("%s\u00a0%%, strictly %s\u00a0%%, over %s\u00a0%% of the barcode region", seqqc.Percent(h.IdentityPct), seqqc.Percent(h.IdentityStrictPct), seqqc.Percent(h.CoveragePct)))
	}
	if s := v.ChosenSample(); s != nil && s.Contig != nil {
		reads := "reads"
		if len(s.Contig.Reads) == 1 {
			reads = "read"
		}
		add("Sequence", fmt.Sprintf("%d bases of %d %s, %d ambiguous", len(s.Contig.Bases), len(s.Contig.Reads), reads, s.Contig.Ambiguous))
		add("Region", strings.TrimSuffix(s.Contig.Region.Text+", "+s.Contig.Region.Lengths, ", "))
	}
	if v.Power != nil {
		add("What the test could find", v.Power.Text)
	}
	var flags []string
	for _, f := range v.Verdict.Flags {
		flags = append(flags, v.FlagMeans(f))
	}
	add("Circumstances", strings.Join(flags, "; "))
	return out
}

// names are those that the final name may be: of the label and of the DNA.
func names(v *seqqc.VoucherResult) []string {
	var out []string
	h := best(v)
	for _, name := range []string{dnaTaxon(v), v.Voucher.Field.Taxon(), v.Voucher.FieldID} {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	if h != nil && h.Name.Taxon() != "" && !slices.Contains(out, h.Name.Taxon()) {
		out = append(out, h.Name.Taxon())
	}
	return out
}

func hits(v *seqqc.VoucherResult) []hitView {
	s := v.ChosenSample()
	if s == nil || s.Match == nil {
		return nil
	}
	const most = 10
	var out []hitView
	for _, h := range append(slices.Clone(s.Match.Hits[:min(most, len(s.Match.Hits))]), s.Match.Apart...) {
		rank := ""
		if h.Rank > 0 {
			rank = fmt.Sprint(h.Rank)
		}
		out = append(out, hitView{rank, h.Reference, h.Name.Label(), seqqc.Percent(h.IdentityPct), seqqc.Percent(h.CoveragePct), h.Gate})
	}
	return out
}

func readOf(r *seqqc.Read, list []seqqc.Decision) readView {
	v := readView{File: r.File, Usable: r.Usable, Why: r.Why, Bases: r.Stats.Bases, From: r.Kept.Start + 1, To: r.Kept.End}
	if r.Trace != nil {
		v.HasTrace = r.Trace.HasChannels()
	}
	about := []string{r.Direction.String()}
	if r.Primer != "" {
		about = append(about, r.Primer)
	}
	if r.Sample != "" {
		about = append(about, "sample "+r.Sample)
	}
	if r.Stats.Qualities {
		about = append(about, fmt.Sprintf("mean Q%.0f, %.1f errors expected in %d bases", r.Stats.MeanQuality, r.Stats.PredictedErrors, r.Stats.KeptBases))
	}
	v.About = strings.Join(about, ", ")
	standing, _ := decisions.Standing(list, "")
	for _, d := range standing {
		switch {
		case d.File != r.File:
		case d.What == seqqc.DecideWindow:
			v.ByHand = d.ID
		case d.What == seqqc.DecideAside:
			v.SetAside = d.ID
		}
	}
	return v
}

// history lists the decisions, the last first.
func history(list []seqqc.Decision) []decisionView {
	undone := map[string]bool{}
	for _, d := range slices.Backward(list) {
		if d.What == seqqc.DecideUndo && !undone[d.ID] {
			undone[d.Undoes] = true
		}
	}
	var out []decisionView
	for _, d := range slices.Backward(list) {
		words := decisions.Words(d)
		if d.What == seqqc.DecideUndo {
			if i := slices.IndexFunc(list, func(x seqqc.Decision) bool { return x.ID == d.Undoes }); i >= 0 {
				words = "undone: " + decisions.Words(list[i])
			}
		}
		out = append(out, decisionView{d.ID, d.When, d.Who, words, d.Why, !undone[d.ID], d.What == seqqc.DecideUndo})
	}
	return out
}
