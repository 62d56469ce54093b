package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"

	"forayseq/seqqc"
)

// Invented people and places.
var (
	collectors = []string{"Fern Placeholder", "Moss Testwright", "Hazel Sample"}
	localities = []string{"Quillmoor Wood", "Old Tarn Bank", "Mirkle Heath", "Lower Nowhere"}
	substrates = []string{"soil", "dead wood", "litter", "moss"}
	habitats   = []string{"beech wood", "spruce plantation", "wet birch wood", "pasture"}
)

// nowhere is what archives take as the country of what was never collected (INSDC
// list of terms for missing values).
const nowhere = "missing: synthetic construct"

// samplesOf gives the samples of a voucher in their order, one without a name
// where no read names one.
func samplesOf(v voucher) []string {
	var ids []string
	for _, r := range v.reads {
		if r.sample != "" && (len(ids) == 0 || ids[len(ids)-1] != r.sample) {
			ids = append(ids, r.sample)
		}
	}
	if len(ids) == 0 {
		return []string{""}
	}
	return ids
}

func writeCSV(rows [][]string) ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// writeSheet gives vouchers.csv.
func writeSheet(rows []voucher) ([]byte, error) {
	table := [][]string{{"voucher", "field_id", "sample", "kind", "collector", "identified_by", "date", "locality",
		"substrate", "habitat", "primer_f", "primer_r", "notes", "country"}}
	for i, v := range rows {
		for _, sample := range samplesOf(v) {
			row := []string{v.code, v.field, sample, string(v.kind)}
			if v.kind == seqqc.Specimen {
				row = append(row, collectors[i%3], collectors[(i/3)%3], fmt.Sprintf("2026-09-%02d", 3+i%14),
					localities[i%4], substrates[(i/2)%4], habitats[(i/3)%4])
			} else {
				row = append(row, "", "", "", "", "", "")
			}
			primers := []string{"ITS1F", "ITS4"}
			if len(v.reads) > 0 && v.reads[0].forward != its1f {
				primers = []string{v.reads[0].forward, v.reads[0].reverse}
			}
			table = append(table, append(append(row, primers...), "synthetic", nowhere))
		}
	}
	return writeCSV(table)
}

// writeReadTable gives reads.csv: the reads whose file names do not tell the
// sample, or fit two vouchers.
func writeReadTable(all []tube) ([]byte, error) {
	table := [][]string{{"file", "voucher", "sample", "primer", "run"}}
	for _, t := range all {
		if t.sample != "" || strings.HasPrefix(t.label, t.owner+"_") {
			table = append(table, []string{strings.TrimPrefix(t.path(), "reads/"), t.owner, t.sample, t.says, t.plate})
		}
	}
	return writeCSV(table)
}

// writeTruth gives truth.tsv.
func writeTruth(rows []voucher) []byte {
	var out bytes.Buffer
	line := func(cells ...string) { fmt.Fprintln(&out, strings.Join(cells, "\t")) }
	line("voucher", "verdict", "reason_code", "agree_rank", "parts_at", "flags", "built_in")
	for _, v := range rows {
		t := v.truth
		line(v.code, string(t.verdict), string(t.reason), t.agreeRank, t.partsAt,
			seqqc.JoinFlags(seqqc.MergeFlags(t.flags)), t.builtIn)
	}
	return out.Bytes()
}

// writeReadme gives README.txt.
func writeReadme(seed uint64) []byte {
	var out bytes.Buffer
	fmt.Fprintf(&out, `The batch of an invented club, the Quillmoor Mushroom Circle

EVERYTHING HERE IS SYNTHETIC. Club, people, places and collections are
invented. So is every sequence: reads and references were drawn by a simulator
(seed %d) and say nothing about the organisms whose genus names they bear. The
species epithets (synprima, synsecunda, syntertia, synquarta) and the genus
Fictomyces are made up. Use none of it as a reference, and publish none of it.

  vouchers.csv   the voucher sheet
  reads/         plate_1: ABIF files in a folder; plate_2.zip: as a laboratory
                 sends them
  reads.csv      the samples of the two vouchers that were extracted twice, and
                 a read whose file name fits two vouchers
  refs.fasta     the reference library
  truth.tsv      what was built into each voucher, and the verdict and flags
                 that follow from it

Cautions, as in every report:

`, seed)
	for _, c := range seqqc.Cautions {
		fmt.Fprintf(&out, "- %s\n", c)
	}
	return out.Bytes()
}
