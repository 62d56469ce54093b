package main

import (
	"context"
	"os"
	"path/filepath"

	"forayseq/seqqc/batch"
)

// labels counts the records with a wrong name that the look through a library
// finds, and the rightly named ones that it accuses.
type labels struct{ found, accused count }

// auditLabels looks through a library of which the records in wrong bear a wrong
// name. ids are those to count.
func auditLabels(ctx context.Context, library []byte, ids []string, wrong map[string]bool) (labels, error) {
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
	named := map[string]bool{}
	for _, f := range a.Findings {
		named[f.ID] = true
	}
	for _, id := range ids {
		if wrong[id] {
			l.found.add(named[id])
		} else {
			l.accused.add(named[id])
		}
	}
	return l, nil
}
