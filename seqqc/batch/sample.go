package batch

import (
	"fmt"
	"path"
	"regexp"
	"slices"

	"forayseq/seqqc"
	"forayseq/seqqc/contig"
	"forayseq/seqqc/region"
)

// barcode makes the contig of a sample from its usable reads, on the coding
// strand. Other stretches of DNA are often sequenced for the same specimen: of
// several contigs that do not join, it is the first that holds ITS. Reads that
// are recognised as of another stretch are then set aside, for that they do not
// join says nothing against the others; a note of the contig and one of the
// read say so.
func barcode(reads []*seqqc.Read, p contig.Params) (*seqqc.Contig, error) {
	c, err := firstITS(reads, p)
	if err != nil || !isITS(c.Region) {
		return c, err
	}
	var rest []*seqqc.Read
	var notes []string
	for _, r := range reads {
		// A read that joined belongs to the molecule; the parts of a two-part
		// contig did not.
		joined := c.Gap.Empty() && slices.ContainsFunc(c.Reads, func(p seqqc.ReadPlacement) bool { return p.File == r.File })
		why := ""
		if !joined {
			why = elsewhere(r)
		}
		if why == "" {
			rest = append(rest, r)
			continue
		}
		notes = append(notes, fmt.Sprintf("set aside: %s; %s", r.File, why))
		r.Notes = append(slices.Clone(r.Notes), "set aside, not of the ITS: "+why)
	}
	if notes == nil {
		return c, nil
	}
	c, err = firstITS(rest, p)
	if err != nil {
		return nil, err
	}
	c.Notes = append(c.Notes, notes...)
	return c, nil
}

// firstITS gives the best contig that holds ITS, or the best where none does.
func firstITS(reads []*seqqc.Read, p contig.Params) (*seqqc.Contig, error) {
	all, err := contig.Alternatives(reads, p)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", reads[0].File, err)
	}
	for _, c := range all {
		region.Orient(c)
		if isITS(c.Region) {
			return c, nil
		}
	}
	return all[0], nil
}

func isITS(r seqqc.Region) bool { return r.Located && r.NotITS == "" }

// elsewhere says what makes it sure that a read is of another stretch of DNA
// than the ITS, empty where nothing does.
func elsewhere(r *seqqc.Read) string {
	at := region.Locate(r.Trace.Bases[r.Kept.Start:r.Kept.End])
	switch {
	case at.NotITS != "":
		return "it looks like " + at.NotITS
	case at.Located:
		return ""
	case isLSUPrimer(r.Primer):
		return "it was sequenced with " + r.Primer + ", and shows no ITS"
	}
	if locus := otherLocus.FindStringSubmatch(path.Base(r.File)); locus != nil {
		return "its name says " + locus[1] + ", and it shows no ITS"
	}
	return ""
}

// otherLocus finds, at the beginning of a word of a file name, the usual names
// of other stretches that clubs and laboratories sequence: genes for the
// elongation factor, polymerase subunits, tubulin and others (common practice,
// no source).
var otherLocus = regexp.MustCompile(`(?i)(?:^|[^a-z0-9])(EF1|TEF|RPB[12]|B?TUB|MCM7|ATP6|COX?1|mtSSU|LSU|SSU)`)

// isLSUPrimer reports whether the site of a primer lies in the large subunit,
// beyond the usual end of an ITS amplicon (Vilgalys & Hester 1990, Journal of
// Bacteriology 172: 4238-4246).
func isLSUPrimer(name string) bool {
	return slices.Contains([]string{"LR0R", "LR3", "LR5"}, name)
}
