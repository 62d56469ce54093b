package ledger

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Recheck says how every stored barcode is looked at again.
type Recheck struct {
	// Key stands for all that the outcome depends on: checksums of library,
	// name table and lineages, and the settings. A recheck of the same key that
	// was broken off goes on where it was, and one that has ended answers for
	// all vouchers that are as they were.
	Key     string
	Library seqqc.LibraryInfo
	Threads int
	Now     time.Time
	// Again gives vouchers of one barcode their new results, in their order. It
	// may be called several times at once.
	Again func(ctx context.Context, alike []seqqc.VoucherResult) ([]seqqc.VoucherResult, error)
	Tell  func(done, of int) // nil for nobody
	// Records are the keys of the library's records, and Found gives what
	// searches found since it was last called: the next recheck is the quicker
	// for it, see Remembered. Found may be nil.
	Records []uint64
	Found   func() map[refs.SearchKey]refs.Answer
	// Keep is true where the new results take the place of the old ones in the
	// ledger, once all vouchers are done.
	Keep bool
}

// Rechecked is what came of a recheck.
type Rechecked struct {
	// Changes are by batch and in sheet order.
	Changes []Change
	// Vouchers counts those with a sequence, Known those of which an earlier
	// recheck of the same key had the answer.
	Vouchers, Known int
}

// Change is a voucher of which a newer library or name table says something
// else.
type Change struct {
	Batch, Voucher, FieldID string
	// Kinds are newly_named, other_name, no_longer_named, verdict_changed,
	// renamed and newly_doubtful.
	Kinds         []string
	Before, After string
}

// Recheck looks at every voucher with a sequence again. What is done is stored
// as it goes on: one that was broken off loses a few vouchers at most.
func (l *Ledger) Recheck(ctx context.Context, r Recheck) (Rechecked, error) {
	var id int64
	err := l.within(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO rechecks (key, began, ended, library, library_sha256, records) VALUES (?, ?, '', ?, ?, ?)
			ON CONFLICT (key) DO UPDATE SET ended = '', records = excluded.records`,
			r.Key, r.Now.UTC().Format(time.RFC3339), r.Library.Name, r.Library.SHA256, bytesOf(r.Records))
		if err != nil {
			return err
		}
		return tx.QueryRowContext(ctx, "SELECT id FROM rechecks WHERE key = ?", r.Key).Scan(&id)
	})
	if err != nil {
		return Rechecked{}, err
	}
	todo, all, err := l.todo(ctx, id)
	if err != nil {
		return Rechecked{}, err
	}
	out := Rechecked{Vouchers: all, Known: all - len(todo)}
	if err := l.work(ctx, r, id, todo, all); err != nil {
		return Rechecked{}, err
	}
	if out.Changes, err = l.changes(ctx, id); err != nil {
		return Rechecked{}, err
	}
	return out, l.conclude(ctx, r, id)
}

// again is a voucher to be looked at.
type again struct {
	id     int64
	its    string // of the barcode on which its verdict rests
	result string
}

// todo gives the vouchers with a sequence that this recheck has not seen, those
// of one barcode after one another, and how many there are in all.
func (l *Ledger) todo(ctx context.Context, id int64) (todo []again, all int, err error) {
	const withSequence = "EXISTS (SELECT 1 FROM barcodes WHERE voucher = v.id)"
	if err := l.db.QueryRowContext(ctx, "SELECT count(*) FROM vouchers v WHERE "+withSequence).Scan(&all); err != nil {
		return nil, 0, plain(err)
	}
	rows, err := l.db.QueryContext(ctx, `SELECT v.id, coalesce(substr(b.sequence, b.its_start + 1, b.its_end - b.its_start), '') AS its, v.result
		FROM vouchers v LEFT JOIN barcodes b ON b.voucher = v.id AND b.chosen = 1 WHERE `+withSequence+`
		AND NOT EXISTS (SELECT 1 FROM rechecked WHERE recheck = ? AND voucher = v.id) ORDER BY its, v.id`, id)
	if err != nil {
		return nil, 0, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var a again
		if err := rows.Scan(&a.id, &a.its, &a.result); err != nil {
			return nil, 0, plain(err)
		}
		todo = append(todo, a)
	}
	return todo, all, plain(rows.Err())
}

// outcome is what came of one voucher.
type outcome struct {
	voucher                       int64
	kinds, before, after, renewed string
}

// stride is how many barcodes are stored at once, and alikeAtOnce how many
// vouchers of one barcode are looked at by one thread.
const (
	stride      = 20
	alikeAtOnce = 50
)

func (l *Ledger) work(ctx context.Context, r Recheck, id int64, todo []again, all int) error {
	done := all - len(todo)
	for block := range slices.Chunk(alike(todo), stride) {
		out := make([][]outcome, len(block))
		err := atOnce(ctx, r.Threads, len(block), func(i int) (err error) {
			out[i], err = r.look(ctx, block[i])
			return err
		})
		if err != nil {
			return err
		}
		flat := slices.Concat(out...)
		err = l.within(ctx, func(tx *sql.Tx) error {
			for _, o := range flat {
				// A voucher that was taken away meanwhile is passed over.
				if _, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO rechecked (recheck, voucher, change, before, after, result)
					SELECT ?, id, ?, ?, ?, ? FROM vouchers WHERE id = ?`, id, o.kinds, o.before, o.after, o.renewed, o.voucher); err != nil {
					return err
				}
			}
			return remember(ctx, tx, r, id)
		})
		if err != nil {
			return err
		}
		if done += len(flat); r.Tell != nil {
			r.Tell(done, all)
		}
	}
	return nil
}

// alike parts a list where the barcode changes.
func alike(todo []again) (groups [][]again) {
	for i, a := range todo {
		n := len(groups) - 1
		if i > 0 && a.its == todo[i-1].its && a.its != "" && len(groups[n]) < alikeAtOnce {
			groups[n] = append(groups[n], a)
			continue
		}
		groups = append(groups, []again{a})
	}
	return groups
}

// atOnce calls do for 0 to n-1, as many at once as there are threads, and gives
// their errors, or that of ctx.
func atOnce(ctx context.Context, threads, n int, do func(i int) error) error {
	errs := make([]error, n)
	var wait sync.WaitGroup
	next := make(chan int)
	for range max(1, threads) {
		wait.Go(func() {
			for i := range next {
				if errs[i] = ctx.Err(); errs[i] == nil {
					errs[i] = do(i)
				}
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	return errors.Join(errs...)
}

func (r Recheck) look(ctx context.Context, group []again) ([]outcome, error) {
	given := make([]seqqc.VoucherResult, len(group))
	for i, a := range group {
		v, err := stored(a.result)
		if err != nil {
			return nil, err
		}
		given[i] = *v
	}
	fresh, err := r.Again(ctx, given)
	if err != nil {
		return nil, err
	}
	out := make([]outcome, len(group))
	for i, a := range group {
		// Again may have written to what it was given.
		before, err := stored(a.result)
		if err != nil {
			return nil, err
		}
		if out[i], err = outcomeOf(a.id, before, &fresh[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func outcomeOf(id int64, before, after *seqqc.VoucherResult) (outcome, error) {
	o := outcome{voucher: id}
	kinds := differences(before, after)
	if len(kinds) == 0 {
		return o, nil
	}
	row, err := rowOf(after)
	if err != nil {
		return outcome{}, err
	}
	data, err := json.Marshal(kinds)
	o.kinds, o.before, o.after, o.renewed = string(data), words(before), words(after), row.json
	return o, err
}

// words says in short what was found about a voucher.
func words(v *seqqc.VoucherResult) string {
	s := string(v.Verdict.Kind)
	if v.Verdict.ReasonCode != "" {
		s += " (" + string(v.Verdict.ReasonCode) + ")"
	}
	if m := matchOf(v); m != nil {
		if m.Taxon != "" {
			s += ": " + m.Taxon
		}
		if len(m.Hits) > 0 {
			s += fmt.Sprintf(", %.2f %% to %s %s", m.Hits[0].IdentityPct, m.Hits[0].Name.Label(), m.Hits[0].Reference)
		}
	}
	return s
}

func matchOf(v *seqqc.VoucherResult) *seqqc.Match {
	if s := v.ChosenSample(); s != nil {
		return s.Match
	}
	return nil
}

// differences says in which ways two results of one voucher differ, as far as
// a club wants to know: not that a figure moved.
func differences(before, after *seqqc.VoucherResult) []string {
	var kinds []string
	add := func(kind string, is bool) {
		if is {
			kinds = append(kinds, kind)
		}
	}
	var old, fresh seqqc.Match
	if m := matchOf(before); m != nil {
		old = *m
	}
	if m := matchOf(after); m != nil {
		fresh = *m
	}
	deeper := fresh.Supported > old.Supported
	add("newly_named", deeper && fresh.Supported >= refs.Genus)
	add("no_longer_named", fresh.Supported < old.Supported && old.Supported >= refs.Genus)
	same := old.Lineage.At(min(old.Supported, fresh.Supported)) == fresh.Lineage.At(min(old.Supported, fresh.Supported))
	add("other_name", old.Supported != refs.NoRank && fresh.Supported != refs.NoRank && !same)
	add("renamed", before.Verdict.Kind != seqqc.Renamed && after.Verdict.Kind == seqqc.Renamed)
	add("verdict_changed", before.Verdict.Kind != after.Verdict.Kind || before.Verdict.ReasonCode != after.Verdict.ReasonCode || before.Verdict.AgreeRank != after.Verdict.AgreeRank)
	doubtful := func(v *seqqc.VoucherResult) bool {
		return slices.Contains(v.Verdict.Flags, seqqc.ReferenceDoubtful) || v.Verdict.ReasonCode == seqqc.ReferencesDisagree
	}
	add("newly_doubtful", !doubtful(before) && doubtful(after))
	return kinds
}

func (l *Ledger) changes(ctx context.Context, id int64) (out []Change, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT batches.name, v.code, v.field_id, r.change, r.before, r.after FROM rechecked r
		JOIN vouchers v ON v.id = r.voucher JOIN batches ON batches.id = v.batch
		WHERE r.recheck = ? AND r.change <> '' ORDER BY batches.id, v.place`, id)
	if err != nil {
		return nil, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var c Change
		var kinds string
		if err := rows.Scan(&c.Batch, &c.Voucher, &c.FieldID, &kinds, &c.Before, &c.After); err != nil {
			return nil, plain(err)
		}
		if err := json.Unmarshal([]byte(kinds), &c.Kinds); err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, plain(rows.Err())
}

// keptRechecks is how many rechecks that have ended keep what they found, to
// answer at once where they are asked for again.
const keptRechecks = 3

// conclude ends a recheck: the new results are kept if they are to be, and the
// rows of the oldest rechecks taken away.
func (l *Ledger) conclude(ctx context.Context, r Recheck, id int64) error {
	return l.within(ctx, func(tx *sql.Tx) error {
		if r.Keep {
			if err := keep(ctx, tx, id); err != nil {
				return err
			}
			if _, err := tx.ExecContext(ctx, "UPDATE vouchers SET library = ? WHERE id IN (SELECT voucher FROM rechecked WHERE recheck = ?)", r.Library.Name, id); err != nil {
				return err
			}
			// Results have changed: what other rechecks found of them holds no
			// longer, and this one finds what is there now.
			if _, err := tx.ExecContext(ctx, `DELETE FROM rechecked WHERE recheck <> ?
				AND voucher IN (SELECT voucher FROM rechecked WHERE recheck = ? AND change <> '')`, id, id); err != nil {
				return err
			}
			if _, err := tx.ExecContext(ctx, "UPDATE rechecked SET change = '', before = '', after = '', result = '' WHERE recheck = ?", id); err != nil {
				return err
			}
		}
		if _, err := tx.ExecContext(ctx, "UPDATE rechecks SET ended = ? WHERE id = ?", r.Now.UTC().Format(time.RFC3339), id); err != nil {
			return err
		}
		if err := forget(ctx, tx, id); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM rechecks WHERE ended <> '' AND id <> ? AND id NOT IN
			(SELECT id FROM rechecks WHERE ended <> '' ORDER BY ended DESC, id DESC LIMIT ?)`, id, keptRechecks)
		return err
	})
}

func keep(ctx context.Context, tx *sql.Tx, id int64) error {
	type renewed struct {
		voucher int64
		result  string
	}
	rows, err := tx.QueryContext(ctx, "SELECT voucher, result FROM rechecked WHERE recheck = ? AND result <> ''", id)
	if err != nil {
		return err
	}
	var list []renewed
	for rows.Next() {
		var n renewed
		if err := rows.Scan(&n.voucher, &n.result); err != nil {
			return errors.Join(err, rows.Close())
		}
		list = append(list, n)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return err
	}
	for _, n := range list {
		v, err := stored(n.result)
		if err != nil {
			return err
		}
		row, err := rowOf(v)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE vouchers SET verdict = ?, reason_code = ?, dna_taxon = ?, dna_rank = ?, result = ? WHERE id = ?`,
			row.verdict, row.reasonCode, row.dnaTaxon, row.dnaRank, n.result, n.voucher); err != nil {
			return err
		}
		for _, b := range row.barcodes {
			if _, err := tx.ExecContext(ctx, `UPDATE barcodes SET unnamed = ?, compared = CASE WHEN unnamed = ? THEN compared ELSE 0 END
				WHERE voucher = ? AND sample = ?`, b.unnamed, b.unnamed, n.voucher, b.sample); err != nil {
				return err
			}
		}
	}
	return nil
}

// Text gives the kinds of a change with blanks between.
func (c Change) Text() string { return strings.Join(c.Kinds, " ") }
