package deposit

import (
	"fmt"
	"io"
	"strings"

	"forayseq/seqqc"
)

// The files of a deposit. The checklist comes last: where it is there, the
// others are those it tells of.
const (
	FASTAName     = "sequences.fsa"
	SourceName    = "source_modifiers.tsv"
	FeaturesName  = "features.tbl"
	LeftOutName   = "left_out.tsv"
	ChecklistName = "checklist.txt"
)

// Files gives the names of the files in the order in which they are written.
func Files() []string {
	return []string{FASTAName, SourceName, FeaturesName, LeftOutName, ChecklistName}
}

// WriteFile writes one of the Files.
func (d *Deposit) WriteFile(name string, w io.Writer) error {
	write, ok := map[string]func(*strings.Builder){
		FASTAName: d.fasta, SourceName: d.source, FeaturesName: d.features, LeftOutName: d.leftOut, ChecklistName: d.checklist,
	}[name]
	if !ok {
		return fmt.Errorf("%s is no file of a deposit", name)
	}
	var b strings.Builder
	write(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

// basesALine is the width of the FASTA, which archives leave free.
const basesALine = 70

func (d *Deposit) fasta(b *strings.Builder) {
	for _, e := range d.Entries {
		fmt.Fprintf(b, ">%s\n", title(e))
		for s := string(e.Bases); s != ""; {
			n := min(len(s), basesALine)
			b.WriteString(s[:n] + "\n")
			s = s[n:]
		}
	}
}

// source writes the table of source modifiers, with a column for each that any
// sequence has. Cells are not made safe for spreadsheets, for archives read
// the file: none can begin with a sign that a spreadsheet takes for a formula
// but through a name that does.
func (d *Deposit) source(b *strings.Builder) {
	var used []modifierKind
	for _, k := range modifierKinds {
		for _, e := range d.Entries {
			if e.value(k.name) != "" {
				used = append(used, k)
				break
			}
		}
	}
	heads := []string{"Sequence_ID"}
	for _, k := range used {
		heads = append(heads, k.column)
	}
	row(b, heads...)
	for _, e := range d.Entries {
		cells := []string{e.SeqID}
		for _, k := range used {
			cells = append(cells, e.value(k.name))
		}
		row(b, cells...)
	}
}

func row(b *strings.Builder, cells ...string) {
	for i, c := range cells {
		if i > 0 {
			b.WriteByte('\t')
		}
		b.WriteString(oneLine(c))
	}
	b.WriteByte('\n')
}

func (d *Deposit) features(b *strings.Builder) {
	for _, e := range d.Entries {
		if len(e.Features) > 0 {
			writeFeatures(b, e)
		}
	}
}

func (d *Deposit) leftOut(b *strings.Builder) {
	row(b, "voucher", "field_id", "rule", "why", "what_to_do")
	for _, l := range d.LeftOut {
		for _, r := range l.Reasons {
			row(b, defused(l.Voucher), defused(l.FieldID), r.Rule, defused(r.What), r.ToDo)
		}
	}
}

// defused keeps a spreadsheet from taking a cell for a formula.
func defused(s string) string {
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

func (d *Deposit) checklist(b *strings.Builder) {
	fmt.Fprintf(b, `What is in this folder, and what to do with it

Going:   %s, in %s
Staying: %s; %s says why, and what would let them go

Names are no more precise than DNA, label and review allow. Sequences were
compared by %s with %s, SHA-256
%s.

Before you submit

[ ] The club agrees that these sequences are published, with the finders' names
    and the places as they stand in %s.
[ ] Places of rare or threatened species are not more precise than local rules
    and the finder allow.
[ ] Every specimen is kept, under the code given as specimen-voucher.
[ ] The names were looked over by somebody who knows the group. An ITS sequence
    alone does not settle every species.
[ ] %s is the file that archives ask for as sequences; each title holds the
    source modifiers. Where the archive asks for a table of source modifiers
    instead, it is %s; for features, %s.
[ ] The archive's own check has been read to the end. The list of countries and
    the limits on lengths, ids and N used here were written down from memory.
[ ] occurrences.zip, where it is here, has its title, the holder of the rights
    and a licence, and went through the portal's own check.
`, seqqc.Count(len(d.Entries), "sequence"), FASTAName, seqqc.Count(len(d.LeftOut), "voucher"), LeftOutName,
		d.Program, d.Library.Name, d.Library.SHA256, SourceName, FASTAName, SourceName, FeaturesName)
	doubts := false
	for _, e := range d.Entries {
		for _, s := range e.Doubts {
			if !doubts {
				b.WriteString("\nTo be known of single sequences\n\n")
				doubts = true
			}
			fmt.Fprintf(b, "%s (%s): %s\n", e.SeqID, oneLine(e.value("organism")), oneLine(s))
		}
	}
	b.WriteString("\nCautions\n\n")
	for _, c := range seqqc.Cautions {
		fmt.Fprintf(b, "- %s\n", c)
	}
}
