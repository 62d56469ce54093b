package sheet

import (
	"fmt"
	"path"
	"strings"

	"forayseq/seqqc"
)

// Tie says which voucher and sample each read belongs to. It sets Voucher,
// Sample, Primer, Direction and Run of the reads, or Untied with the reason
// and the candidates, and adds to Notes how a read was tied where that was not
// by its file name. The table may be nil.
//
// In this order, the first that tells decides:
//
//  1. The table, by path or file name. A row is the user's word: it goes
//     before the file name, and a voucher in it that the sheet does not have
//     leaves the read untied. A sample that only the table has is added to
//     its voucher in vouchers.
//  2. The file name (the record name of a FASTA or FASTQ record first), after
//     dates, primers, wells, runs and directions are masked: whole tokens
//     only, punctuation and case ignored, leading zeros only where that fits
//     one voucher.
//  3. The folders or archive it lies in, where the file name has no other
//     number that might be a code.
//  4. The sample name inside the trace, where the file name does not look like
//     a code that the sheet lacks.
//  5. The sequencing well, in the file name or the trace, where one sample of
//     the sheet has it and no name says otherwise. A sheet with two plates has
//     each well twice and ties nothing by it.
//
// A read of a voucher with several samples goes to the sample that its name
// carries, or whose sequencing well it carries, else to the first in the
// sheet, and says so: the first files are named before anyone knows that there
// will be a second extraction.
//
// The problems name the reads that are not tied, rows of the table that fit no
// read, and codes that cannot be told from wells, dates or primers (Line is the
// sheet's row, File is left to the caller).
func Tie(vouchers []seqqc.Voucher, reads []*seqqc.Read, table *Table) []seqqc.Problem {
	t := &tier{vouchers: vouchers}
	rows := t.table(reads, table)
	t.index = newIndex(vouchers)
	t.alike()
	for i, r := range reads {
		t.tie(r, rows[i])
		if r.Untied != "" {
			t.problems = append(t.problems, seqqc.Problem{File: r.File, What: "the read is not tied to a voucher: " + r.Untied,
				Hint: "rename the file, or list it with its voucher in reads.csv", Unread: true})
		}
	}
	return t.problems
}

type tier struct {
	vouchers []seqqc.Voucher
	index    *index
	problems []seqqc.Problem
}

// tie ties one read; row is its row of the table, nil where it has none.
func (t *tier) tie(r *seqqc.Read, row *tableChoice) {
	r.Voucher, r.Sample, r.Untied, r.Primer, r.Run, r.Direction = "", "", "", "", "", seqqc.UnknownDirection
	names := t.names(r)
	o := outcome{voucher: -1, sample: -1}
	switch {
	case row != nil && row.untied != "":
		o.why = row.untied
	case row != nil && row.voucher >= 0:
		o.voucher, o.sample = row.voucher, row.sample
	default:
		o = t.byNames(r, names)
	}
	r.Notes = append(r.Notes, o.notes...)
	if o.voucher < 0 {
		r.Untied = o.why
	} else {
		t.sample(r, &o, names)
	}
	t.primer(r, o, names, row)
	r.Run = names[0].split.run()
	if row != nil && row.Run != "" {
		r.Run = row.Run
	}
}

// source is a name by which a read may be known.
type source struct {
	kind  sourceKind
	text  string
	split *name
}

type sourceKind int

const (
	fromFile sourceKind = iota
	fromFolder
	fromTrace
)

// names gives the names of a read in the order in which they are asked. The
// first is always of the file.
func (t *tier) names(r *seqqc.Read) []source {
	var out []source
	add := func(kind sourceKind, text string) {
		out = append(out, source{kind, text, splitName(text, t.index.primers)})
	}
	file, record, isRecord := cutRecord(r.File)
	if isRecord {
		add(fromFile, record)
	}
	parts := strings.Split(path.Clean(strings.ReplaceAll(file, `\`, "/")), "/")
	add(fromFile, parts[len(parts)-1])
	for i := len(parts) - 2; i >= 0; i-- {
		add(fromFolder, parts[i])
	}
	if r.Trace != nil && r.Trace.Name != "" && !isRecord {
		add(fromTrace, r.Trace.Name)
	}
	return out
}

// cutRecord parts "file.fasta#name".
func cutRecord(file string) (string, string, bool) {
	for i := strings.IndexByte(file, '#'); i >= 0; {
		base := strings.TrimSuffix(strings.ToLower(file[:i]), ".gz")
		switch path.Ext(base) {
		case ".fasta", ".fa", ".fas", ".fna", ".fastq", ".fq", ".seq", ".txt":
			return file[:i], file[i+1:], true
		}
		next := strings.IndexByte(file[i+1:], '#')
		if next < 0 {
			break
		}
		i += 1 + next
	}
	return file, "", false
}

// byNames asks the names and then the well.
func (t *tier) byNames(r *seqqc.Read, names []source) outcome {
	x := t.index
	first := outcome{voucher: -1, sample: -1}
	number, another := false, false // of the file's own names
	for _, s := range names {
		switch {
		case s.kind == fromFolder && number, s.kind == fromTrace && another:
			continue
		}
		o := x.resolve(s.split)
		switch {
		case s.kind == fromFolder:
			if o.voucher < 0 || s.split.number(o.matches[0]) {
				continue // a folder of several vouchers is nothing unusual
			}
			o.notes = append(o.notes, fmt.Sprintf("tied by its folder %q", s.text))
		case s.kind == fromTrace && o.voucher >= 0:
			o.notes = append(o.notes, fmt.Sprintf("tied by the sample name %q inside the trace", s.text))
		}
		if o.voucher >= 0 {
			if s.kind == fromFile {
				t.checkTrace(r, o, names)
			}
			return o
		}
		if first.why == "" {
			first.why = o.why
		}
		if o.settled {
			first.why = o.why
			if s.kind == fromTrace {
				first.why = fmt.Sprintf("no voucher code stands in the file name; inside the trace, %q: %s", s.text, o.why)
			}
			return first
		}
		if s.kind == fromFile || s.kind == fromTrace {
			number = number || s.split.number(match{})
			another = another || x.namesAnother(s.split)
		}
	}
	if number && another {
		return first
	}
	return t.byWell(r, names, number, first)
}

// byWell ties a read by its well alone.
func (t *tier) byWell(r *seqqc.Read, names []source, number bool, none outcome) outcome {
	well := names[0].split.well()
	if well == "" && r.Trace != nil {
		well, _ = normalWell(r.Trace.Well)
	}
	owner := t.index.seqWell(well)
	if owner.voucher < 0 || number {
		return none
	}
	return outcome{voucher: owner.voucher, sample: owner.sample,
		notes: []string{fmt.Sprintf("tied by its well %s alone", well)}}
}

// checkTrace names a read whose file name and trace name different vouchers.
func (t *tier) checkTrace(r *seqqc.Read, o outcome, names []source) {
	for _, s := range names {
		if s.kind != fromTrace {
			continue
		}
		inner := t.index.resolve(s.split)
		if inner.voucher < 0 || inner.voucher == o.voucher {
			continue
		}
		t.problems = append(t.problems, seqqc.Problem{File: r.File,
			What: fmt.Sprintf("the file name says voucher %s, the sample name inside the trace (%q) says %s; the file name is used",
				t.vouchers[o.voucher].Code, s.text, t.vouchers[inner.voucher].Code),
			Hint: "find out which is right; reads.csv settles it"})
	}
}

// sample sets the voucher and the sample of a tied read.
func (t *tier) sample(r *seqqc.Read, o *outcome, names []source) {
	v := t.vouchers[o.voucher]
	r.Voucher = v.Code
	well := names[0].split.well()
	if o.sample < 0 && len(v.Samples) > 1 {
		if owner := ownWell(v, well); owner >= 0 {
			o.sample = owner
		} else {
			r.Notes = append(r.Notes, fmt.Sprintf("its name carries no sample of %s; the first, %q, was taken", v.Code, v.Samples[0].ID))
		}
	}
	if o.sample < 0 {
		o.sample = 0
	}
	if o.sample >= len(v.Samples) {
		return // a voucher without samples
	}
	s := v.Samples[o.sample]
	r.Sample = s.ID
	if well != "" && s.SeqWell != "" && s.SeqWell != well {
		r.Notes = append(r.Notes, fmt.Sprintf("its name says well %s, the sheet says %s", well, s.SeqWell))
	}
}

// ownWell gives the one sample of the voucher with the sequencing well, -1
// where there is none or several.
func ownWell(v seqqc.Voucher, well string) int {
	found := -1
	for k, s := range v.Samples {
		if well == "" || s.SeqWell != well {
			continue
		}
		if found >= 0 {
			return -1
		}
		found = k
	}
	return found
}

// primer sets the primer and the direction: of the table, else of the names.
func (t *tier) primer(r *seqqc.Read, o outcome, names []source, row *tableChoice) {
	said := seqqc.UnknownDirection
	var found []primer
	for _, s := range names {
		if said == seqqc.UnknownDirection && s.kind != fromFolder {
			said = s.split.direction()
		}
		if len(found) == 0 {
			found = s.split.primersOf(t.index.primers)
		}
	}
	if row != nil && row.Primer != "" {
		p, ok := t.index.primers[primerKey(row.Primer)]
		if !ok {
			p = primer{name: row.Primer, direction: said}
		}
		found = []primer{p}
	}
	switch p, ok := choosePrimer(found, said); {
	case ok:
		r.Primer, r.Direction = p.name, p.direction
	case len(found) > 0:
		r.Notes = append(r.Notes, "its name carries several primers and does not say which one read it")
	default:
		r.Direction = said
		if o.voucher >= 0 && o.sample >= 0 && o.sample < len(t.vouchers[o.voucher].Samples) {
			r.Primer = sheetPrimer(t.vouchers[o.voucher].Samples[o.sample], said)
		}
	}
}

// sheetPrimer gives the primer that the sheet has for a direction.
func sheetPrimer(s seqqc.Sample, d seqqc.Direction) string {
	name := ""
	switch d {
	case seqqc.Forward:
		name = s.PrimerForward
	case seqqc.Reverse:
		name = s.PrimerReverse
	}
	if p, ok := seqqc.PrimerByName(name); ok {
		return p.Name
	}
	return name
}

// choosePrimer picks the primer that made the read: of a tail and a primer the
// primer, of a pair the one of the direction said.
func choosePrimer(found []primer, said seqqc.Direction) (primer, bool) {
	var own []primer
	for _, p := range found {
		if !p.tail {
			own = append(own, p)
		}
	}
	if len(own) == 0 {
		own = found
	}
	if len(own) == 1 {
		return own[0], true
	}
	var fits []primer
	for _, p := range own {
		if p.direction == said && said != seqqc.UnknownDirection {
			fits = append(fits, p)
		}
	}
	if len(fits) == 1 {
		return fits[0], true
	}
	return primer{}, false
}

// primersOf gives the primers of a name once each.
func (n *name) primersOf(known map[string]primer) []primer {
	var out []primer
	seen := map[string]bool{}
	for i := 0; i < len(n.tokens); {
		text, group := "", n.tokens[i].group
		j := i
		for ; j < len(n.tokens) && (j == i || n.tokens[j].group == group && group > 0); j++ {
			text += n.tokens[j].text
		}
		if p, ok := known[text]; ok && n.tokens[i].mask == primerPart && !seen[p.name] {
			seen[p.name] = true
			out = append(out, p)
		}
		i = j
	}
	return out
}

// direction gives the direction that the tokens say, unknown where they say
// none or both.
func (n *name) direction() seqqc.Direction {
	said := seqqc.UnknownDirection
	for _, t := range n.tokens {
		d := direction(t.text)
		if t.mask != directionPart || d == said {
			continue
		}
		if said != seqqc.UnknownDirection {
			return seqqc.UnknownDirection
		}
		said = d
	}
	return said
}

// alike names vouchers whose codes look like something else in a file name.
func (t *tier) alike() {
	looks := map[mask]string{datePart: "a date", primerPart: "a primer", wellPart: "a plate's well", runPart: "a run number",
		directionPart: "a read's direction", wordPart: "a word of the trade"}
	for _, v := range t.vouchers {
		what, ok := looks[splitName(v.Code, t.index.primers).only()]
		if !ok {
			continue
		}
		p := seqqc.Problem{Line: v.Row, Field: "voucher",
			What: fmt.Sprintf("the code %s looks like %s: a file is tied to it by name only where nothing else in the name can be a code", v.Code, what),
			Hint: "check its reads, or list them in reads.csv"}
		if what == looks[primerPart] {
			p.What = fmt.Sprintf("the code %s looks like a primer, so no file is tied to it by name", v.Code)
			p.Hint = "give it another code, or list its reads in reads.csv"
		}
		t.problems = append(t.problems, p)
	}
}
