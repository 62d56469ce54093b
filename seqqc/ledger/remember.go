package ledger

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"

	"forayseq/refs"
)

// Remembered gives what the searches of an earlier recheck found, of the one
// that made most of them, and the keys of the records of its library; nothing
// where there was none.
func (l *Ledger) Remembered(ctx context.Context) (records []uint64, found map[refs.SearchKey]refs.Answer, err error) {
	var id int64
	var raw []byte
	err = l.db.QueryRowContext(ctx, `SELECT r.id, r.records FROM rechecks r JOIN searches s ON s.recheck = r.id
		WHERE r.records IS NOT NULL GROUP BY r.id ORDER BY count(*) DESC, r.id DESC LIMIT 1`).Scan(&id, &raw)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil, nil, nil
	case err != nil:
		return nil, nil, plain(err)
	}
	rows, err := l.db.QueryContext(ctx, "SELECT key, level, window_end, identity_pct, coverage_pct, score, records FROM searches WHERE recheck = ?", id)
	if err != nil {
		return nil, nil, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	found = map[refs.SearchKey]refs.Answer{}
	for rows.Next() {
		var key, list []byte
		var a refs.Answer
		if err := rows.Scan(&key, &a.Level, &a.End, &a.Identity, &a.Coverage, &a.Score, &list); err != nil {
			return nil, nil, plain(err)
		}
		a.Records = keysOf(list)
		if len(key) == len(refs.SearchKey{}) {
			found[refs.SearchKey(key)] = a
		}
	}
	return keysOf(raw), found, plain(rows.Err())
}

// remember stores what searches found since the last time.
func remember(ctx context.Context, tx *sql.Tx, r Recheck, id int64) error {
	if r.Found == nil {
		return nil
	}
	for key, a := range r.Found() {
		if _, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO searches
			(recheck, key, level, window_end, identity_pct, coverage_pct, score, records) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
			id, key[:], a.Level, a.End, a.Identity, a.Coverage, a.Score, bytesOf(a.Records)); err != nil {
			return err
		}
	}
	return nil
}

// forget takes away the searches of rechecks that have ended and made no more
// than this one.
func forget(ctx context.Context, tx *sql.Tx, id int64) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM searches WHERE recheck IN (SELECT s.recheck FROM searches s JOIN rechecks r ON r.id = s.recheck
		WHERE r.ended <> '' AND r.id <> ? GROUP BY s.recheck HAVING count(*) <= (SELECT count(*) FROM searches WHERE recheck = ?))`, id, id)
	return err
}

// bytesOf writes keys as bytes, most significant first; it is never nil, which
// would be NULL.
func bytesOf(keys []uint64) []byte {
	out := make([]byte, 0, 8*len(keys))
	for _, key := range keys {
		out = binary.BigEndian.AppendUint64(out, key)
	}
	return out
}

func keysOf(raw []byte) []uint64 {
	var out []uint64
	for ; len(raw) >= 8; raw = raw[8:] {
		out = append(out, binary.BigEndian.Uint64(raw))
	}
	return out
}
