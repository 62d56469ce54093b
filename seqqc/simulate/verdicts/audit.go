package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"

	"forayseq/refs"
	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/match"
	"forayseq/seqqc/region"
)

// labels counts the records with a wrong name that the look through a library
// finds, and the rightly named ones that it accuses; foundAmong counts those of
// found that have four rightly named neighbours.
type labels struct{ found, foundAmong, accused count }

// auditLabels looks through a library of which the records in wrong bear a wrong
// name. ids are those to count, right gives the genus that each is of.
func auditLabels(ctx context.Context, library []byte, ids []string, wrong map[string]bool, right func(id string) string) (labels, error) {
	var l labels
	dir, err := os.MkdirTemp("", "verdicts")
	if err != nil {
		return l, err
	}
	defer func() { _ = os.RemoveAll(dir) }() // what is left of a temporary folder harms nobody
	path := filepath.Join(dir, batch.RefsName)
	if err := os.WriteFile(path, library, 0o644); err != nil {
		return l, err
	}
	a, err := batch.AuditLibrary(ctx, batch.AuditOptions{
		Refs: path, Only: []batch.AuditCheck{batch.CheckLabels}, Settings: batch.DefaultSettings()})
	if err != nil {
		return l, err
	}
	among, err := amongRight(ctx, library, wrong, right)
	if err != nil {
		return l, err
	}
	named := map[string]bool{}
	for _, f := range a.Findings {
		named[f.ID] = true
	}
	for _, id := range ids {
		switch {
		case !wrong[id]:
			l.accused.add(named[id])
		case among[id]:
			l.foundAmong.add(named[id])
			fallthrough
		default:
			l.found.add(named[id])
		}
	}
	return l, nil
}

// amongRight tells which of the records in wrong have four neighbours that are of
// the same genus and are named so: at the genus threshold or nearer, copies
// counted once.
func amongRight(ctx context.Context, library []byte, wrong map[string]bool, right func(id string) string) (map[string]bool, error) {
	lib, err := refs.Read(bytes.NewReader(library), refs.ReadOptions{})
	if err != nil {
		return nil, err
	}
	const asked = 4
	out, p := map[string]bool{}, match.Defaults()
	for i, rec := range lib.All() {
		if !wrong[rec.ID] {
			continue
		}
		c := &seqqc.Contig{Bases: bytes.Clone(rec.Seq), Quals: make([]byte, len(rec.Seq))}
		region.Orient(c)
		scan, err := refs.NewScan(ctx, lib, match.QueryOf(c), p.Gate)
		if err != nil {
			return nil, err
		}
		seen := map[string]bool{string(rec.Seq): true}
		is := func(r int) bool {
			o := lib.Record(r)
			return r != i && !wrong[o.ID] && right(o.ID) == right(rec.ID) && !seen[string(o.Seq)]
		}
		n := 0
		for ; n < asked; n++ {
			near, err := scan.BestFrom(p.Thresholds.Genus, 1, nil, is)
			if err != nil {
				return nil, err
			}
			if len(near) == 0 {
				break
			}
			seen[string(lib.Record(near[0].Record).Seq)] = true
		}
		out[rec.ID] = n == asked
	}
	return out, nil
}
