package verdict

import (
	"fmt"

	"forayseq/seqqc"
)

// flagsOf gives what the stages before noticed about the chosen sample, and
// what the limits say about its length and quality.
func flagsOf(c Case, p Params) []seqqc.Flag {
	contig := c.contig()
	if contig == nil {
		return nil
	}
	lists := [][]seqqc.Flag{c.ReadFlags, contig.Flags}
	if m := c.match(); m != nil {
		lists = append(lists, m.Flags)
	}
	w := weigh(contig)
	var own []seqqc.Flag
	if w.plain < p.ShortBases {
		own = append(own, seqqc.Short)
	}
	if w.hasErrors && w.errorPct() > p.LowQualityErrorPct {
		own = append(own, seqqc.LowQuality)
	}
	return seqqc.MergeFlags(append(lists, own)...)
}

func checkFlags(c Case, p Params) []seqqc.Finding {
	if flags := flagsOf(c, p); len(flags) > 0 {
		return []seqqc.Finding{{Flags: flags}}
	}
	return nil
}

func checkSpelling(c Case, _ Params) []seqqc.Finding {
	n := c.Field.Name
	if !n.Respelt {
		return nil
	}
	return []seqqc.Finding{{
		Flags:    []seqqc.Flag{seqqc.SpellingAssumed},
		Reason:   fmt.Sprintf("The label says %q, which is in no list of names, and was read as %s.", n.Verbatim, n.Taxon()),
		NextStep: "Correct the name in the sheet if that is what was meant.",
	}}
}
