package deposit

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// Fault is a breach of a rule in a FASTA that is meant for an archive.
type Fault struct {
	// Line is 1-based; SeqID is empty where the fault is of the whole file.
	Line  int
	SeqID string
	// Field is the modifier concerned, empty where the fault is of the title or
	// the bases.
	Field string
	Rule  string
	What  string
	Hint  string
}

// String gives the fault as one line of text.
func (f Fault) String() string {
	where := fmt.Sprintf("line %d", f.Line)
	if f.SeqID != "" {
		where += ", " + f.SeqID
	}
	if f.Field != "" {
		where += ", " + f.Field
	}
	return fmt.Sprintf("%s: %s (%s)", where, f.What, f.Hint)
}

// The limits of what Check reads.
const (
	maxLine      = 1 << 20
	maxSequences = 1_000_000
	minArchive   = 200 // bases; published submission rule, from memory
	maxNShare    = 0.5 // of N; published submission rule, from memory
	adviseAbove  = 0.02
)

// Checked is what Check found.
type Checked struct {
	Sequences int
	Faults    []Fault
}

// Check holds a FASTA with source modifiers against the archives' rules:
// titles on one line, ids, modifiers and their values, letters, lengths, what
// must not be left in. A collection date may not lie behind today, where that is
// not zero. The error is of reading alone.
func Check(r io.Reader, today time.Time) (Checked, error) {
	c := checker{ids: map[string]int{}, today: today}
	scan := bufio.NewScanner(r)
	scan.Buffer(make([]byte, 64<<10), maxLine)
	line := 0
	for scan.Scan() {
		line++
		text := strings.TrimRight(scan.Text(), "\r")
		if line == 1 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		if rest, ok := strings.CutPrefix(text, ">"); ok {
			c.finish()
			if c.found.Sequences++; c.found.Sequences > maxSequences {
				return c.found, fmt.Errorf("more than %d sequences", maxSequences)
			}
			c.begin(line, rest)
			continue
		}
		c.bases(line, text)
	}
	if err := scan.Err(); err != nil {
		if errors.Is(err, bufio.ErrTooLong) {
			err = fmt.Errorf("line %d is longer than %d bytes", line+1, maxLine)
		}
		return c.found, err
	}
	c.finish()
	if c.found.Sequences == 0 {
		c.fault(Fault{Line: 1, Rule: "fasta", What: "there is no sequence", Hint: "a FASTA begins with a line that begins with >"})
	}
	return c.found, nil
}

// checker holds what is known of the sequence that is being read.
type checker struct {
	found Checked
	ids   map[string]int // folded id -> its line
	today time.Time
	open  bool
	line  int
	seqID string
	seq   []byte
	told  bool // a fault of letters was told for this sequence
	// primers are the names given in its title.
	primers []string
}

func (c *checker) fault(f Fault) { c.found.Faults = append(c.found.Faults, f) }

func (c *checker) begin(line int, text string) {
	c.open, c.line, c.seq, c.told, c.primers = true, line, c.seq[:0], false, nil
	seqID, mods, err := parseTitle(text)
	c.seqID = seqID
	say := func(rule, field, what, hint string) {
		c.fault(Fault{line, seqID, field, rule, what, hint})
	}
	switch {
	case seqID == "":
		say("sequence-id", "", "there is no id right after the >", "begin the line with >id")
	case strings.IndexFunc(seqID, func(r rune) bool { return !isSeqIDRune(r) }) >= 0:
		say("sequence-id", "", "its id holds other than letters, digits and -_.:*#", "write the id with these alone")
	case len(seqID) > maxSeqID:
		say("sequence-id", "", fmt.Sprintf("its id has %d characters", len(seqID)), fmt.Sprintf("shorten it to %d", maxSeqID))
	}
	if first := c.ids[strings.ToLower(seqID)]; first > 0 && seqID != "" {
		say("sequence-id", "", fmt.Sprintf("its id is that of line %d", first), "give each sequence an id of its own")
	} else {
		c.ids[strings.ToLower(seqID)] = line
	}
	if err != nil {
		say("brackets", "", err.Error(), "write each modifier as [name=value], with no brackets in the value")
	}
	if strings.ContainsRune(text, '\t') {
		say("title", "", "its title holds a tab", "write blanks")
	}
	c.modifiers(mods, say)
}

// required are the modifiers without which archives take no sequence of a
// specimen: collection date and place since December 2024.
var required = []string{"organism", "geo_loc_name", "collection-date"}

func (c *checker) modifiers(mods []Modifier, say func(rule, field, what, hint string)) {
	seen := map[string]string{}
	for _, m := range mods {
		if modifierKey(m.Name) == "country" {
			say("modifier-name", m.Name, "it was renamed in June 2024", "write geo_loc_name")
			seen["geo_loc_name"] = m.Value
			continue
		}
		kind, ok := kindOf(m.Name)
		if !ok {
			say("modifier-name", m.Name, "it is no modifier that is known here", "check its spelling against the archive's list, and leave it out if it is not there")
			continue
		}
		if _, twice := seen[kind.name]; twice && kind.name != "note" {
			say("modifier-twice", kind.name, "it is given twice", "keep one of them")
		}
		seen[kind.name] = m.Value
		if kind.name == "fwd-PCR-primer-name" || kind.name == "rev-PCR-primer-name" {
			c.primers = append(c.primers, m.Value)
		}
		if m.Value == "" {
			say("modifier-value", kind.name, "it has no value", "give it one, or leave it out")
			continue
		}
		if kind.check == nil {
			continue
		}
		if err := kind.check(m.Value); err != nil {
			say("modifier-value", kind.name, err.Error(), "see the archive's page on this modifier")
		} else if kind.name == "collection-date" && isFuture(m.Value, c.today) {
			say("modifier-value", kind.name, "it lies in the future", "write the day of the find")
		}
	}
	for _, name := range required {
		if _, ok := seen[name]; !ok {
			say("modifier-missing", name, "it is missing", "add it; a date or place that is not known is written with a published term, such as \"not collected\"")
		}
	}
	if seen["specimen-voucher"] == "" && seen["isolate"] == "" && seen["strain"] == "" && seen["culture-collection"] == "" {
		say("modifier-missing", "specimen-voucher", "nothing names the specimen", "add [specimen-voucher=...] or [isolate=...]")
	}
	for _, end := range []string{"fwd", "rev"} {
		if seen[end+"-PCR-primer-seq"] != "" && seen[end+"-PCR-primer-name"] == "" {
			say("primer", end+"-PCR-primer-name", "a primer has a sequence and no name", "name it")
		}
	}
}

func (c *checker) bases(line int, text string) {
	text = strings.TrimSpace(text)
	if text == "" {
		return
	}
	if !c.open {
		if !c.told {
			c.fault(Fault{Line: line, Rule: "fasta", What: "there is text before the first >", Hint: "a title may not be broken over two lines"})
			c.told = true
		}
		return
	}
	for i := range len(text) {
		b := text[i] &^ 0x20
		if !strings.ContainsRune("ACGTUNRYSWKMBDHV", rune(b)) {
			if !c.told {
				c.fault(Fault{line, c.seqID, "", "letters", fmt.Sprintf("%q, character %d of the line, is no nucleotide code", text[i:i+1], i+1),
					"keep the title on one line, and take gaps and other characters out"})
				c.told = true
			}
			continue
		}
		c.seq = append(c.seq, b)
	}
}

// finish judges the bases of the sequence that has ended.
func (c *checker) finish() {
	if !c.open {
		return
	}
	say := func(rule, what, hint string) { c.fault(Fault{c.line, c.seqID, "", rule, what, hint}) }
	n := len(c.seq)
	if n == 0 {
		say("length", "it has no bases", "leave it out")
		return
	}
	if n < minArchive {
		say("length", fmt.Sprintf("it has %d bases, and archives take none under %d", n, minArchive), "leave it out")
	}
	unknown, codes := 0, 0
	for _, b := range c.seq {
		switch b {
		case 'N':
			unknown++
		case 'A', 'C', 'G', 'T', 'U':
		default:
			codes++
		}
	}
	switch {
	case float64(unknown) > maxNShare*float64(n):
		say("ambiguous", fmt.Sprintf("%d of its %d bases are N", unknown, n), "sequence it again")
	case float64(unknown+codes) > adviseAbove*float64(n):
		say("ambiguous", fmt.Sprintf("%d of its %d bases are ambiguous", unknown+codes, n), "look at the trace again, or sequence it again")
	}
	if c.seq[0] == 'N' || c.seq[n-1] == 'N' {
		say("ends", "it begins or ends with N", "cut the Ns off")
	}
	if name := foreignPiece(c.seq, c.primers...); name != "" {
		say("tails", fmt.Sprintf("a piece of %s is still in it", name), "cut it off")
	}
	if onOtherStrand(c.seq) {
		say("strand", "it is on the other strand", "reverse and complement it")
	}
	c.open = false
}

// The beginning of the 5.8S is nearly the same in all fungi: 3,991 and 4,166 of
// 4,276 published macrofungal ITS hold these two; the second is of Harpke &
// Peterson 2008, Molecular Phylogenetics and Evolution 47: 1177-1185 (the
// place of publication from memory).
var conserved = []string{"GATCTCTTGG", "CGATGAAGAACG"}

// onOtherStrand reports whether the conserved pieces of the 5.8S are there on
// the other strand alone.
func onOtherStrand(seq []byte) bool {
	text := string(seq)
	here := slices.ContainsFunc(conserved, func(m string) bool { return strings.Contains(text, m) })
	there := !slices.ContainsFunc(conserved, func(m string) bool { return !strings.Contains(text, reverseComplement(m)) })
	return there && !here
}
