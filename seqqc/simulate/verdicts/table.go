package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"forayseq/seqqc"
)

const shareColumns = "\tright\tof\tpercent\t95 % interval"

// write writes the tables, tab-separated.
func (m *measures) write(out io.Writer) error {
	var b strings.Builder
	b.WriteString("measure" + shareColumns + "\n")
	for _, row := range []struct {
		name string
		c    count
	}{
		{"DNA of another genus than the label's, and agrees", m.agreesApart},
		{"clean, accused", m.cleanAccused},
		{"clean, decided", m.cleanDecided},
		{"exchanged with another genus, all else clean, found", m.exchangesFound},
		{"the same on plates with many faults", m.exchangesMixed},
		{"records of the library under a wrong name, found", m.labels.found},
		{"records under their own name, accused", m.labels.accused},
	} {
		fmt.Fprintf(&b, "%s\t%s\n", row.name, row.c)
	}
	b.WriteString("\nscenario\tvouchers\tverdict as expected\tpercent\t95 % interval\tfor attention\ttrue cause first\tamong the first two\n")
	slices.Sort(m.scenarios)
	for _, s := range m.scenarios {
		e := m.expected[s]
		cells := strings.Split(e.String(), "\t")
		fmt.Fprintf(&b, "%s\t%d\t%s\t%s\t%s\t%d\t%d\t%d\n", s, e.all, cells[0], cells[2], cells[3], m.attended[s].right, m.first[s].right, m.second[s].right)
	}
	var kinds []string
	for _, k := range seqqc.VerdictKinds {
		kinds = append(kinds, string(k))
	}
	confusion(&b, "true verdict \\ given", kinds, kinds, m.verdicts)
	truths, firsts := map[string]bool{}, map[string]bool{}
	for pair := range m.causes {
		truths[pair[0]], firsts[pair[1]] = true, true
	}
	confusion(&b, "true cause \\ first named", slices.Sorted(maps.Keys(truths)), slices.Sorted(maps.Keys(firsts)), m.causes)
	_, err := io.WriteString(out, b.String())
	return err
}

// confusion writes a table of counts, '-' for none of the words.
func confusion(b *strings.Builder, title string, rows, columns []string, counts map[[2]string]int) {
	word := func(s string) string {
		if s == "" {
			return "-"
		}
		return s
	}
	fmt.Fprintf(b, "\n%s", title)
	for _, c := range columns {
		fmt.Fprintf(b, "\t%s", word(c))
	}
	b.WriteString("\n")
	for _, r := range rows {
		b.WriteString(word(r))
		for _, c := range columns {
			fmt.Fprintf(b, "\t%d", counts[[2]string{r, c}])
		}
		b.WriteString("\n")
	}
}
