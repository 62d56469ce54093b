package main

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
)

// wells is the size of a plate; voucher i lies in row i%rows of column i/rows.
const (
	wells = 96
	rows  = 8
)

func well(i int) string { return fmt.Sprintf("%c%02d", 'A'+i%rows, i/rows+1) }

// mixedPlate has every scenario in it.
func mixedPlate(m maker) ([]voucher, error) {
	var rest []voucher
	for _, s := range singles {
		for range s.number {
			v, err := s.make(m)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", s.name, err)
			}
			v.scenario = s.name
			rest = append(rest, v)
		}
	}
	for _, n := range []int{2, 2, 3} {
		group, err := exchanged(m, n)
		if err != nil {
			return nil, err
		}
		rest = append(rest, group...)
	}
	crossed, err := crossed(m)
	if err != nil {
		return nil, err
	}
	rest = append(append(rest, crossed...), silentBlank())
	m.rng.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })

	plate := make([]voucher, 0, wells)
	for len(plate) < wells {
		if len(plate)%(4*rows) == 0 {
			three, err := contaminated(m)
			if err != nil {
				return nil, err
			}
			plate = append(plate, three...)
			continue
		}
		plate, rest = append(plate, rest[0]), rest[1:]
	}
	return plate, nil
}

// different gives n clean vouchers of as many genera.
func different(m maker, n int) ([]voucher, error) {
	var out []voucher
	seen := map[string]bool{}
	for len(out) < n {
		v, err := m.clean(m.rng.IntN(2))
		if err != nil {
			return nil, err
		}
		if !seen[v.fieldGenus] {
			seen[v.fieldGenus] = true
			v.clean = false
			out = append(out, v)
		}
	}
	return out, nil
}

// exchanged are n vouchers of which each holds the DNA of the next.
func exchanged(m maker, n int) ([]voucher, error) {
	group, err := different(m, n)
	if err != nil {
		return nil, err
	}
	first := group[0].tube
	for i := range group {
		next := first
		if i+1 < n {
			next = group[i+1].tube
		}
		group[i].holds(next, seqqc.CauseExchanged)
		group[i].scenario = fmt.Sprintf("exchange of %d", n)
	}
	return group, nil
}

// holds puts another tube in the place of a voucher's own.
func (v *voucher) holds(t tube, cause seqqc.CauseCode) {
	v.tube, v.dnaGenus, v.cause, v.clean = t, t.genus, cause, false
	v.verdict = seqqc.Agrees
	switch {
	case len(t.reads) == 0:
		v.verdict, v.reason = seqqc.Undetermined, seqqc.NoSequence
	case v.apart():
		v.verdict = seqqc.Conflict
	}
}

// crossed are two vouchers with the reverse read of one another. Both forward
// reads are right, and as long.
func crossed(m maker) ([]voucher, error) {
	pair, err := different(m, 2)
	if err != nil {
		return nil, err
	}
	a, b := pair[0].tube.reads, pair[1].tube.reads
	a[1], b[1] = b[1], a[1]
	for i := range pair {
		pair[i].scenario, pair[i].cause, pair[i].dnaGenus = "reads crossed", seqqc.CauseReadsCrossed, ""
	}
	return pair, nil
}

// contaminated are three wells in a column: a clean voucher, another with its
// DNA in the place of its own, and a blank with it.
func contaminated(m maker) ([]voucher, error) {
	group, err := different(m, 2)
	if err != nil {
		return nil, err
	}
	source, victim := group[0], group[1]
	source.scenario = "neighbour of a contaminated one"
	victim.scenario = "DNA of a neighbour, blank too"
	victim.holds(source.tube, seqqc.CauseContamination)
	blank := voucher{kind: seqqc.Blank, tube: source.tube, truth: truth{scenario: "blank with DNA",
		verdict: seqqc.Undetermined, reason: seqqc.Control, cause: seqqc.CauseContamination}}
	return []voucher{source, victim, blank}, nil
}

// allElseClean ends the name of what is alone on its plate.
const allElseClean = ", all else clean"

// cleanPlate has clean vouchers, and two exchanges as all that is the matter.
func cleanPlate(m maker) ([]voucher, error) {
	var plate []voucher
	for _, n := range []int{2, 3} {
		group, err := exchanged(m, n)
		if err != nil {
			return nil, err
		}
		for i := range group {
			group[i].scenario += allElseClean
		}
		plate = append(plate, group...)
	}
	for i := range wells - len(plate) {
		s := singles[0]
		switch { // the shares of a club's labels, by guess
		case i%8 >= 7:
			s = singles[2]
		case i%8 >= 5:
			s = singles[1]
		}
		v, err := s.make(m)
		if err != nil {
			return nil, err
		}
		v.scenario = s.name
		plate = append(plate, v)
	}
	m.rng.Shuffle(wells, func(i, j int) { plate[i], plate[j] = plate[j], plate[i] })
	return plate, nil
}

// movedPlate is a clean plate of which the DNA was shifted by a well, or that was
// turned by 180 degrees.
func movedPlate(m maker, turned bool) ([]voucher, error) {
	var plate []voucher
	for range wells {
		v, err := m.clean(m.rng.IntN(2))
		if err != nil {
			return nil, err
		}
		plate = append(plate, v)
	}
	was := make([]tube, wells)
	for i, v := range plate {
		was[i] = v.tube
	}
	for i := range plate {
		from := i - 1
		if turned {
			from = wells - 1 - i
		}
		t := tube{}
		if from >= 0 {
			t = was[from]
		}
		plate[i].holds(t, seqqc.CausePlate)
		plate[i].scenario = "plate moved"
	}
	return plate, nil
}

// outcome is what came of one voucher.
type outcome struct {
	truth
	code, field string
	verdict     seqqc.Verdict
}

// judge runs a plate as a batch.
func judge(ctx context.Context, m maker, plate []voucher) ([]outcome, error) {
	dir, err := os.MkdirTemp("", "verdicts")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(dir) }() // what is left of a temporary folder harms nobody
	if err := writeBatch(dir, m, plate); err != nil {
		return nil, err
	}
	res, err := batch.Run(ctx, batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	if err != nil {
		return nil, err
	}
	if len(res.Vouchers) != len(plate) {
		return nil, fmt.Errorf("%d vouchers came back as %d", len(plate), len(res.Vouchers))
	}
	var out []outcome
	for i, v := range res.Vouchers {
		if n := len(v.Samples[0].ReadFiles); n != len(plate[i].tube.reads) {
			return nil, fmt.Errorf("%s has %d reads instead of %d", v.Voucher.Code, n, len(plate[i].tube.reads))
		}
		out = append(out, outcome{plate[i].truth, v.Voucher.Code, plate[i].field, v.Verdict})
	}
	return out, nil
}

func writeBatch(dir string, m maker, plate []voucher) error {
	reads := filepath.Join(dir, batch.ReadsName)
	if err := os.Mkdir(reads, 0o755); err != nil {
		return err
	}
	sheet := bytes.NewBufferString("voucher,field_id,kind,well\n")
	table := bytes.NewBufferString("file,voucher,primer\n")
	for i, v := range plate {
		code := fmt.Sprintf("MV-%04d", i+1)
		fmt.Fprintf(sheet, "%s,%s,%s,%s\n", code, v.field, v.kind, well(i))
		for _, r := range v.tube.reads {
			name := code + "_" + r.primer
			// Two wells with one DNA are read apart.
			data, ending, err := r.file(rand.New(rand.NewPCG(m.rng.Uint64(), 3)), name)
			if err != nil {
				return err
			}
			fmt.Fprintf(table, "%s,%s,%s\n", name+ending, code, r.primer)
			if err := os.WriteFile(filepath.Join(reads, name+ending), data, 0o644); err != nil {
				return err
			}
		}
	}
	for name, text := range map[string][]byte{
		batch.SheetName: sheet.Bytes(), batch.ReadTableName: table.Bytes(), batch.RefsName: m.w.library,
		batch.NamesName: fmt.Appendf(nil, "name,accepted\n%s,%s\n", batchName[0], batchName[1]),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			return err
		}
	}
	return nil
}
