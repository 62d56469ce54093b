package batch

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"

	"forayseq/align"
	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/region"
)

// AuditCheck is one thing that a library's records are looked at for.
type AuditCheck string

// The checks. All but the last two take seconds.
const (
	CheckUnnamed   AuditCheck = "unnamed"   // no usable name
	CheckShort     AuditCheck = "short"     // too few bases
	CheckAmbiguous AuditCheck = "ambiguous" // too many codes that are no base
	CheckCopies    AuditCheck = "copies"    // one name and one sequence again
	CheckSpecies   AuditCheck = "species"   // one sequence under several species
	CheckRegion    AuditCheck = "region"    // no ITS
	CheckReversed  AuditCheck = "reversed"  // on the other strand
	CheckGenera    AuditCheck = "genera"    // one sequence, or nearly, under several genera
	CheckLabels    AuditCheck = "labels"    // contradicted by all near neighbours
	CheckChimeras  AuditCheck = "chimeras"  // joined from two genera
)

// AuditChecks lists the checks in the order in which they are reported.
var AuditChecks = []AuditCheck{CheckLabels, CheckChimeras, CheckGenera, CheckSpecies, CheckCopies, CheckRegion,
	CheckReversed, CheckShort, CheckAmbiguous, CheckUnnamed}

// QuickChecks are those that need few searches or none.
var QuickChecks = []AuditCheck{CheckGenera, CheckSpecies, CheckCopies, CheckRegion, CheckReversed, CheckShort, CheckAmbiguous, CheckUnnamed}

// AuditOptions say what to look at a library for.
type AuditOptions struct {
	Refs, Taxonomy string
	// Only are the checks to make, all where it is empty.
	Only     []AuditCheck
	Settings Settings
	// Threads is the number of records worked on at once; zero is one a
	// processor.
	Threads int
	// Progress hears of every step, one call at a time; nil for nobody.
	Progress func(Progress)
}

// AuditFinding is one thing found about a record.
type AuditFinding struct {
	Check  AuditCheck
	Record int // index in the library
	ID     string
	Line   int // 1-based line of its header
	What   string
	Hint   string
	// LeaveOut is true where the record does more harm than good in a library;
	// Turn where it only lies on the other strand.
	LeaveOut, Turn bool
}

// Problem gives the finding as the other commands print theirs.
func (f AuditFinding) Problem(file string) seqqc.Problem {
	return seqqc.Problem{File: file, Line: f.Line, What: f.ID + ": " + f.What, Hint: f.Hint}
}

// Audit is what was found about a library.
type Audit struct {
	Info seqqc.LibraryInfo
	// Problems are what is wrong with the file: records that cannot be used,
	// repeated ids, an index that does not fit.
	Problems []seqqc.Problem
	// Findings are ordered by check, as in AuditChecks, then by record.
	Findings []AuditFinding
	// Different is the number of different sequences, Searched of those that
	// were compared with all others; the rest share no seeds with enough records
	// of other names.
	Different, Searched int

	lib *refs.Library
}

// Records counts the records with a finding.
func (a *Audit) Records() int {
	seen := map[int]bool{}
	for _, f := range a.Findings {
		seen[f.Record] = true
	}
	return len(seen)
}

// Of counts the findings of a check.
func (a *Audit) Of(check AuditCheck) int {
	n := 0
	for _, f := range a.Findings {
		if f.Check == check {
			n++
		}
	}
	return n
}

// AuditLibrary looks through a library. Copies, species, names and lengths are
// compared letter for letter, every record is asked where its ITS lies, and
// labels and chimeras are asked of the exact search, each record against all
// others. Which records are worth a search is told by seeds they share with
// others (see seeds): a record among its own kind needs none.
//
// An error means that the library could not be read, or is that of ctx.
func AuditLibrary(ctx context.Context, opt AuditOptions) (*Audit, error) {
	if err := opt.Settings.Validate(); err != nil {
		return nil, err
	}
	lib, info, problems, err := OpenLibrary(opt.Refs, opt.Taxonomy)
	if err != nil {
		return nil, err
	}
	problems = slices.DeleteFunc(problems, func(p seqqc.Problem) bool { return p.Hint == listRemarks })
	a := auditor{opt: opt, Audit: &Audit{Info: info, Problems: problems, lib: lib}}
	a.remarks()
	a.Different = len(a.units)
	if err := a.locate(ctx); err != nil {
		return nil, err
	}
	if err := a.search(ctx); err != nil {
		return nil, err
	}
	slices.SortStableFunc(a.Findings, func(f, g AuditFinding) int {
		if d := slices.Index(AuditChecks, f.Check) - slices.Index(AuditChecks, g.Check); d != 0 {
			return d
		}
		return f.Record - g.Record
	})
	return a.Audit, nil
}

// auditor carries an audit from step to step.
type auditor struct {
	*Audit
	opt   AuditOptions
	units []unit
	// equal gives, by record, the number of its unit.
	equal []int
}

// unit is one sequence with the records that have it.
type unit struct {
	records []int
	// contig is the sequence on the coding strand, with its Region.
	contig *seqqc.Contig
	// joined is true where its 5.8S follows a piece of the LSU.
	joined bool
}

func (a *auditor) asks(check AuditCheck) bool {
	return len(a.opt.Only) == 0 || slices.Contains(a.opt.Only, check)
}

func (a *auditor) tell(p Progress) {
	if a.opt.Progress != nil {
		a.opt.Progress(p)
	}
}

// add adds a finding, with its record's id and line.
func (a *auditor) add(f AuditFinding) {
	if !a.asks(f.Check) {
		return
	}
	r := a.lib.Record(f.Record)
	f.ID, f.Line = r.ID, r.Line
	a.Findings = append(a.Findings, f)
}

// checkOf gives the check that a remark of the library belongs to, and whether
// its record is to be left out. Of one sequence under two names nobody knows
// which is wrong; the labels tell where that can be told.
var checkOf = map[refs.RemarkKind]struct {
	check    AuditCheck
	leaveOut bool
}{
	refs.RemarkUnnamed: {CheckUnnamed, true},
	refs.RemarkShort:   {CheckShort, true},
	refs.RemarkGene:    {CheckRegion, true},
	refs.RemarkGenera:  {CheckGenera, false},
	refs.RemarkSpecies: {CheckSpecies, false},
}

// remarks takes over what names, lengths and equal sequences tell, and looks
// for copies and unclear bases.
func (a *auditor) remarks() {
	for _, r := range a.lib.Remarks() {
		to := checkOf[r.Kind]
		a.add(AuditFinding{Check: to.check, Record: r.Records[0], What: r.What, Hint: r.Hint, LeaveOut: to.leaveOut})
	}
	a.equal = make([]int, a.lib.Len())
	for i := range a.equal {
		a.equal[i] = -1
	}
	for _, group := range a.lib.EqualSequences() {
		a.copies(group)
		for _, r := range group {
			a.equal[r] = len(a.units)
		}
		a.units = append(a.units, unit{records: group})
	}
	for i, rec := range a.lib.All() {
		a.ambiguous(i, rec.Seq)
		if a.equal[i] < 0 {
			a.equal[i] = len(a.units)
			a.units = append(a.units, unit{records: []int{i}})
		}
	}
}

// copies finds the records of a group of equal sequences whose name stands
// before.
func (a *auditor) copies(group []int) {
	first := map[string]int{}
	for _, i := range group {
		r := a.lib.Record(i)
		name := r.Name.Label()
		if of, again := first[name]; again {
			o := a.lib.Record(of)
			a.add(AuditFinding{Check: CheckCopies, Record: i, LeaveOut: true,
				What: fmt.Sprintf("it has name and sequence of %s at line %d", o.ID, o.Line),
				Hint: "one of them tells as much as both"})
			continue
		}
		first[name] = i
	}
}

func (a *auditor) ambiguous(record int, seq []byte) {
	unclear := 0
	for _, c := range seq {
		if !align.Plain(c) {
			unclear++
		}
	}
	most := a.opt.Settings.Verdict.MaxAmbiguousPct
	if pct := 100 * float64(unclear) / float64(len(seq)); pct > most {
		a.add(AuditFinding{Check: CheckAmbiguous, Record: record, LeaveOut: true,
			What: fmt.Sprintf("%d of its %d bases are not clear (%s %%, at most %s %% can support a genus)", unclear, len(seq), seqqc.Figure(pct), seqqc.Figure(most)),
			Hint: "take a cleaner record, or leave it out"})
	}
}

// locate asks of every sequence where its ITS lies.
func (a *auditor) locate(ctx context.Context) error {
	if !slices.ContainsFunc(AuditChecks, func(c AuditCheck) bool { return a.asks(c) && !slices.Contains(nameChecks, c) }) {
		return nil
	}
	err := inParallel(ctx, a.opt.Threads, len(a.units), func(_ context.Context, i int) error {
		u := &a.units[i]
		seq := bytes.Clone(a.lib.Record(u.records[0]).Seq)
		u.contig = &seqqc.Contig{Bases: seq, Quals: make([]byte, len(seq))}
		region.Orient(u.contig)
		u.joined = isJoined(u.contig)
		return nil
	}, func(done int) { a.tell(Progress{Doing: "locating the ITS of sequences", Done: done, Of: len(a.units)}) })
	if err != nil {
		return err
	}
	for _, u := range a.units {
		for _, r := range u.records {
			switch g := u.contig.Region; {
			case g.NotITS != "":
				a.add(AuditFinding{Check: CheckRegion, Record: r, LeaveOut: true,
					What: "it is no ITS: it looks like " + g.NotITS, Hint: "take it out"})
			case u.joined:
				a.add(AuditFinding{Check: CheckRegion, Record: r, LeaveOut: true,
					What: "it is no ITS: its 5.8S follows a piece of the large subunit (28S), so that two genes were joined without the spacers", Hint: "take it out"})
			case g.Complemented:
				a.add(AuditFinding{Check: CheckReversed, Record: r, Turn: true,
					What: "it lies on the other strand", Hint: "nothing to do here, both strands are searched; other programs may want it turned"})
			}
		}
	}
	return nil
}

// longITS1 is a length, in bases, that the ITS1 of few mushrooms has; a shorter
// stretch is not looked into.
const longITS1 = 300

// isJoined reports whether what stands before the 5.8S is a piece of the LSU,
// which follows it in nature. Authors who join the genes that they aligned leave
// the spacers out.
func isJoined(c *seqqc.Contig) bool {
	v := c.Region.ITS1
	if c.Region.R58S.Empty() || v.Len() < longITS1 {
		return false
	}
	part := region.Locate(c.Bases[v.Start:v.End])
	return part.NotITS != "" && !part.LSU.Empty() && part.SSU.Empty()
}

// nameChecks need no sequence to be looked at.
var nameChecks = []AuditCheck{CheckSpecies, CheckCopies, CheckShort, CheckAmbiguous, CheckUnnamed}

// ParseAuditChecks reads the words of checks.
func ParseAuditChecks(words []string) ([]AuditCheck, error) {
	var out []AuditCheck
	for _, w := range words {
		c := AuditCheck(strings.ToLower(strings.TrimSpace(w)))
		if !slices.Contains(AuditChecks, c) {
			return nil, fmt.Errorf("%q is no check", w)
		}
		out = append(out, c)
	}
	return out, nil
}
