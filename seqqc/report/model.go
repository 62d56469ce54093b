package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"forayseq/seqqc"
)

// Model is a result arranged for printing: tables of text cells, and the
// counts a summary begins with.
type Model struct {
	Result   *seqqc.Result
	Verdicts Table
	Hits     Table
	Reads    Table
	Problems Table
	// Counts are the vouchers of each verdict, in the order of
	// seqqc.VerdictKinds, verdicts without a voucher included; Controls says
	// how many of the undetermined are controls.
	Counts   []Count
	Controls int
	// Attention are the vouchers a coordinator should look at, the gravest first.
	Attention []*seqqc.VoucherResult
	// Unread and Doubts are the problems that kept an input out, and those
	// that did not.
	Unread, Doubts []seqqc.Problem
	// Untied are the reads that belong to no voucher.
	Untied []*seqqc.Read
}

// Count is a verdict and the number of vouchers that got it.
type Count struct {
	Verdict  seqqc.VerdictKind
	Vouchers int
}

// Table is a heading and rows of as many cells.
type Table struct {
	Columns []string
	Rows    [][]string
}

// column is one column of a table over T: its heading and what its cell says.
// A new output column is one more entry in one of the lists below.
type column[T any] struct {
	name string
	cell func(T) string
}

func tabulate[T any](cols []column[T], items []T) Table {
	t := Table{Rows: make([][]string, len(items))}
	for _, c := range cols {
		t.Columns = append(t.Columns, c.name)
	}
	for i, item := range items {
		row := make([]string, len(cols))
		for j, c := range cols {
			row[j] = c.cell(item)
		}
		t.Rows[i] = row
	}
	return t
}

// New arranges a result.
func New(res *seqqc.Result) *Model {
	m := &Model{Result: res}
	vouchers := make([]*seqqc.VoucherResult, len(res.Vouchers))
	counts := map[seqqc.VerdictKind]int{}
	var hits []queryHit
	for i := range res.Vouchers {
		v := &res.Vouchers[i]
		vouchers[i] = v
		counts[v.Verdict.Kind]++
		if v.Verdict.ReasonCode == seqqc.Control {
			m.Controls++
		}
		if v.Verdict.Attention {
			m.Attention = append(m.Attention, v)
		}
		for j := range v.Samples {
			if s := &v.Samples[j]; s.Match != nil {
				hits = append(hits, queryHits(QueryName(v.Voucher.Code, s.Sample.ID), s.Match)...)
			}
		}
	}
	slices.SortStableFunc(m.Attention, func(a, b *seqqc.VoucherResult) int { return cmp.Compare(a.Gravity(), b.Gravity()) })
	for _, kind := range seqqc.VerdictKinds {
		m.Counts = append(m.Counts, Count{kind, counts[kind]})
	}
	reads := make([]*seqqc.Read, len(res.Reads))
	for i := range res.Reads {
		reads[i] = &res.Reads[i]
		if reads[i].Untied != "" {
			m.Untied = append(m.Untied, reads[i])
		}
	}
	for _, p := range res.Problems {
		if p.Unread {
			m.Unread = append(m.Unread, p)
		} else {
			m.Doubts = append(m.Doubts, p)
		}
	}
	m.Verdicts = tabulate(verdictColumns, vouchers)
	m.Hits = tabulate(hitColumns, hits)
	m.Reads = tabulate(readColumns, reads)
	m.Problems = tabulate(problemColumns, res.Problems)
	return m
}

// QueryName names a contig: the voucher, and the sample after a slash where it
// has a name.
func QueryName(voucher, sample string) string {
	if sample == "" {
		return voucher
	}
	return voucher + "/" + sample
}

var verdictColumns = []column[*seqqc.VoucherResult]{
	{"voucher", func(v *seqqc.VoucherResult) string { return v.Voucher.Code }},
	{"field_id", func(v *seqqc.VoucherResult) string { return v.Voucher.FieldID }},
	{"field_taxon", func(v *seqqc.VoucherResult) string { return v.Voucher.Field.Taxon() }},
	{"field_rank", func(v *seqqc.VoucherResult) string { return v.Voucher.Field.Rank.String() }},
	{"reads_used", ofContig(func(c *seqqc.Contig) string { return strconv.Itoa(len(c.Reads)) })},
	{"contig_bp", ofContig(func(c *seqqc.Contig) string { return strconv.Itoa(len(c.Bases)) })},
	{"predicted_errors", ofContig(predictedErrors)},
	{"ambiguous_bp", ofContig(func(c *seqqc.Contig) string { return strconv.Itoa(c.Ambiguous) })},
	{"region", ofContig(func(c *seqqc.Contig) string { return c.Region.Text })},
	{"best_reference", ofBest(func(h *seqqc.Hit) string { return h.Reference })},
	{"best_name", ofBest(hitName)},
	{"identity_pct", ofBest(func(h *seqqc.Hit) string { return seqqc.Percent(h.IdentityPct) })},
	{"identity_strict_pct", ofBest(func(h *seqqc.Hit) string { return seqqc.Percent(h.IdentityStrictPct) })},
	{"coverage_pct", ofBest(func(h *seqqc.Hit) string { return seqqc.Percent(h.CoveragePct) })},
	{"next_genus", ofMatch(func(m *seqqc.Match) string {
		if m.NextGenus == nil {
			return ""
		}
		return m.NextGenus.Lineage.Genus
	})},
	{"next_genus_identity_pct", ofMatch(func(m *seqqc.Match) string {
		if m.NextGenus == nil {
			return ""
		}
		return seqqc.Percent(m.NextGenus.IdentityPct)
	})},
	{"field_genus_records", func(v *seqqc.VoucherResult) string {
		if s := v.ChosenSample(); s != nil && s.Match != nil && v.Voucher.Field.Genus != "" {
			return strconv.Itoa(s.Match.Field.GenusRecords)
		}
		return ""
	}},
	{"dna_taxon", ofMatch(func(m *seqqc.Match) string { return m.Taxon })},
	{"dna_rank", ofMatch(func(m *seqqc.Match) string { return m.Supported.String() })},
	{"verdict", func(v *seqqc.VoucherResult) string { return string(v.Verdict.Kind) }},
	{"agree_rank", func(v *seqqc.VoucherResult) string { return v.Verdict.AgreeRank.String() }},
	{"parts_at", func(v *seqqc.VoucherResult) string { return v.Verdict.PartsAt.String() }},
	{"reason_code", func(v *seqqc.VoucherResult) string { return string(v.Verdict.ReasonCode) }},
	{"flags", func(v *seqqc.VoucherResult) string { return seqqc.JoinFlags(v.Verdict.Flags) }},
	{"reason", func(v *seqqc.VoucherResult) string { return v.Verdict.Reason }},
	{"next_step", func(v *seqqc.VoucherResult) string { return v.Verdict.NextStep }},
	{"test_power", func(v *seqqc.VoucherResult) string {
		if v.Power == nil {
			return ""
		}
		return v.Power.Text
	}},
	{"reviewed_verdict", ofReview(func(r *seqqc.Reviewed) string {
		if r.Accepted {
			return "accepted"
		}
		return string(r.Kind)
	})},
	{"final_name", ofReview(func(r *seqqc.Reviewed) string { return r.FinalName })},
	{"submission", ofReview(func(r *seqqc.Reviewed) string { return r.Submission })},
	{"reviewed_by", ofReview(func(r *seqqc.Reviewed) string { return r.By })},
}

// ofReview leaves the cell empty where nobody decided anything.
func ofReview(cell func(*seqqc.Reviewed) string) func(*seqqc.VoucherResult) string {
	return func(v *seqqc.VoucherResult) string {
		if v.Reviewed == nil {
			return ""
		}
		return cell(v.Reviewed)
	}
}

// ofContig, ofMatch and ofBest lift a cell of the chosen sample to the
// voucher; the cell is empty where there is no such thing.
func ofContig(cell func(*seqqc.Contig) string) func(*seqqc.VoucherResult) string {
	return func(v *seqqc.VoucherResult) string {
		if s := v.ChosenSample(); s != nil && s.Contig != nil {
			return cell(s.Contig)
		}
		return ""
	}
}

func ofMatch(cell func(*seqqc.Match) string) func(*seqqc.VoucherResult) string {
	return func(v *seqqc.VoucherResult) string {
		if s := v.ChosenSample(); s != nil && s.Match != nil {
			return cell(s.Match)
		}
		return ""
	}
}

func ofBest(cell func(*seqqc.Hit) string) func(*seqqc.VoucherResult) string {
	return ofMatch(func(m *seqqc.Match) string {
		if len(m.Hits) == 0 {
			return ""
		}
		return cell(&m.Hits[0])
	})
}

// queryHit is a hit with the name of what was compared; hit is nil for a query
// without any, which has its row too.
type queryHit struct {
	query string
	hit   *seqqc.Hit
}

// ofHit leaves the cell of a query without a hit empty.
func ofHit(cell func(*seqqc.Hit) string) func(queryHit) string {
	return func(q queryHit) string {
		if q.hit == nil {
			return ""
		}
		return cell(q.hit)
	}
}

func queryHits(query string, m *seqqc.Match) []queryHit {
	var out []queryHit
	for i := range m.Hits {
		out = append(out, queryHit{query, &m.Hits[i]})
	}
	for i := range m.Apart {
		out = append(out, queryHit{query, &m.Apart[i]})
	}
	if len(out) == 0 {
		out = append(out, queryHit{query, nil})
	}
	return out
}

var hitColumns = []column[queryHit]{
	{"query", func(q queryHit) string { return q.query }},
	{"rank", ofHit(func(h *seqqc.Hit) string {
		if h.Rank == 0 {
			return ""
		}
		return strconv.Itoa(h.Rank)
	})},
	{"reference", ofHit(func(h *seqqc.Hit) string { return h.Reference })},
	{"name", ofHit(hitName)},
	{"strand", ofHit(func(h *seqqc.Hit) string { return h.Strand.String() })},
	{"identity_pct", ofHit(func(h *seqqc.Hit) string { return seqqc.Percent(h.IdentityPct) })},
	{"identity_strict_pct", ofHit(func(h *seqqc.Hit) string { return seqqc.Percent(h.IdentityStrictPct) })},
	{"coverage_pct", ofHit(func(h *seqqc.Hit) string { return seqqc.Percent(h.CoveragePct) })},
	{"columns", ofHit(func(h *seqqc.Hit) string { return strconv.Itoa(h.Columns) })},
	{"substitutions", ofHit(func(h *seqqc.Hit) string { return strconv.Itoa(h.Substitutions) })},
	{"gap_events", ofHit(func(h *seqqc.Hit) string { return strconv.Itoa(h.GapEvents) })},
	{"gap_bases", ofHit(func(h *seqqc.Hit) string { return strconv.Itoa(h.GapBases) })},
	{"ambiguous_columns", ofHit(func(h *seqqc.Hit) string { return strconv.Itoa(h.AmbiguousColumns) })},
	{"score", ofHit(func(h *seqqc.Hit) string { return strconv.Itoa(h.Score) })},
	{"gate", func(q queryHit) string {
		if q.hit == nil {
			return "no reference can be compared"
		}
		return q.hit.Gate
	}},
}

var readColumns = []column[*seqqc.Read]{
	{"file", func(r *seqqc.Read) string { return r.File }},
	{"format", func(r *seqqc.Read) string { return r.Format }},
	{"voucher", func(r *seqqc.Read) string { return r.Voucher }},
	{"sample", func(r *seqqc.Read) string { return r.Sample }},
	{"primer", func(r *seqqc.Read) string { return r.Primer }},
	{"direction", func(r *seqqc.Read) string { return r.Direction.String() }},
	{"run", func(r *seqqc.Read) string { return r.Run }},
	{"bases", func(r *seqqc.Read) string { return strconv.Itoa(r.Stats.Bases) }},
	{"kept_start", func(r *seqqc.Read) string { return strconv.Itoa(r.Kept.Start) }},
	{"kept_end", func(r *seqqc.Read) string { return strconv.Itoa(r.Kept.End) }},
	{"kept_bases", func(r *seqqc.Read) string { return strconv.Itoa(r.Stats.KeptBases) }},
	{"mean_quality", ofQuality(func(s seqqc.ReadStats) string { return rounded(s.MeanQuality) })},
	{"q20_bases", ofQuality(func(s seqqc.ReadStats) string { return strconv.Itoa(s.Q20) })},
	{"q30_bases", ofQuality(func(s seqqc.ReadStats) string { return strconv.Itoa(s.Q30) })},
	{"predicted_errors", ofQuality(func(s seqqc.ReadStats) string { return rounded(s.PredictedErrors) })},
	{"n_bases", func(r *seqqc.Read) string { return strconv.Itoa(r.Stats.Ns) }},
	{"signal_to_noise", func(r *seqqc.Read) string {
		if r.Stats.SignalToNoise == 0 {
			return ""
		}
		return rounded(r.Stats.SignalToNoise)
	}},
	{"primer_sites", func(r *seqqc.Read) string {
		var sites []string
		for _, p := range r.Primers {
			state := "outside"
			switch {
			case p.Cut:
				state = "cut"
			case r.Kept.Contains(p.At):
				state = "kept"
			}
			sites = append(sites, fmt.Sprintf("%s %d-%d %s", p.Primer, p.At.Start, p.At.End, state))
		}
		return strings.Join(sites, ";")
	}},
	{"usable", func(r *seqqc.Read) string {
		if r.Usable {
			return "yes"
		}
		return "no"
	}},
	{"why", func(r *seqqc.Read) string {
		if r.Untied != "" && r.Why != "" {
			return r.Untied + "; " + r.Why
		}
		return r.Untied + r.Why
	}},
	{"flags", func(r *seqqc.Read) string { return seqqc.JoinFlags(r.Flags) }},
	{"notes", func(r *seqqc.Read) string { return strings.Join(r.Notes, "; ") }},
}

var problemColumns = []column[seqqc.Problem]{
	{"file", func(p seqqc.Problem) string { return p.File }},
	{"line", func(p seqqc.Problem) string { return numberOrNone(int64(p.Line)) }},
	{"byte", func(p seqqc.Problem) string { return numberOrNone(p.Offset) }},
	{"field", func(p seqqc.Problem) string { return p.Field }},
	{"left_out", func(p seqqc.Problem) string {
		if p.Unread {
			return "yes"
		}
		return "no"
	}},
	{"problem", func(p seqqc.Problem) string { return p.What }},
	{"what_to_do", func(p seqqc.Problem) string { return p.Hint }},
}

func numberOrNone(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

// ofQuality leaves the cell empty where the read has no qualities: zero would
// be a claim.
func ofQuality(cell func(seqqc.ReadStats) string) func(*seqqc.Read) string {
	return func(r *seqqc.Read) string {
		if !r.Stats.Qualities {
			return ""
		}
		return cell(r.Stats)
	}
}

// hitName is the name on a reference, shortened where it is a whole header
// that names nothing.
func hitName(h *seqqc.Hit) string {
	const longest = 60
	label := []rune(h.Name.Label())
	if len(label) > longest {
		return string(label[:longest-3]) + "..."
	}
	return string(label)
}

// ReadTable arranges reads alone, for the command that looks at reads only.
func ReadTable(reads []*seqqc.Read) Table { return tabulate(readColumns, reads) }

// HitTable arranges the hits of queries, each with its name.
func HitTable(names []string, matches []*seqqc.Match) Table {
	var hits []queryHit
	for i, name := range names {
		hits = append(hits, queryHits(name, matches[i])...)
	}
	return tabulate(hitColumns, hits)
}

// predictedErrors is empty where a read had no qualities: the sum then rests on
// stand-ins, and is no prediction.
func predictedErrors(c *seqqc.Contig) string {
	if slices.Contains(c.Flags, seqqc.QualityMissing) {
		return ""
	}
	return rounded(c.PredictedErrors)
}

// rounded prints two decimals.
func rounded(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }
