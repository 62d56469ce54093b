package ledger

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"
)

// speciesPct is the identity from which two barcodes are taken for one species:
// Vu et al. 2019, Studies in Mycology 92: 135-154.
const speciesPct = 99.6

// CodeChange is one thing that happened to a club code.
type CodeChange struct {
	Code string
	What string
}

// member is a barcode's place in a batch, which outlives the barcode's row: a
// batch that is added again has new rows.
type member struct{ batch, voucher, sample string }

func (a member) compare(b member) int {
	return cmp.Or(cmp.Compare(a.batch, b.batch), cmp.Compare(a.voucher, b.voucher), cmp.Compare(a.sample, b.sample))
}

// UpdateCodes gives the clusters of barcodes that no reference names their
// codes, as club-YYYY-NN with the year of now.
//
// Two barcodes are of one cluster where a chain of barcodes leads from one to
// the other, each at least 99.6 % identical to the next. A cluster keeps the
// oldest code of its members. Where clusters grow together, the younger codes
// are merged into it; where one falls apart, the part with most members keeps
// the code and the others get new ones; where a reference names all members,
// the code is named after it. No code is ever given twice, and its history
// tells all of this. What Add stored and this has not seen yet, it sees the
// next time: it can be interrupted and run again.
func (l *Ledger) UpdateCodes(ctx context.Context, now time.Time, tell func(done, of int)) ([]CodeChange, error) {
	for {
		if err := l.compareNew(ctx, tell); err != nil {
			return nil, err
		}
		var changes []CodeChange
		err := l.within(ctx, func(tx *sql.Tx) error {
			var behind bool
			if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM barcodes WHERE unnamed = 1 AND compared = 0)").Scan(&behind); err != nil {
				return err
			}
			if behind {
				return errBehind
			}
			u := update{ctx: ctx, tx: tx, now: now.UTC()}
			if err := u.read(); err != nil {
				return err
			}
			if err := u.assign(); err != nil {
				return err
			}
			changes = u.changes
			return nil
		})
		if !errors.Is(err, errBehind) {
			return changes, err
		}
	}
}

// errBehind is a ledger that got barcodes since its neighbours were worked out:
// they would be given codes of their own, to be merged later.
var errBehind = errors.New("another process added barcodes")

// compareNew works out the neighbours of barcodes that were added since the
// last time.
func (l *Ledger) compareNew(ctx context.Context, tell func(done, of int)) error {
	all, err := l.barcodes(ctx, "WHERE b.unnamed = 1 ORDER BY b.id")
	if err != nil {
		return err
	}
	fresh, err := l.ids(ctx, "SELECT id FROM barcodes WHERE unnamed = 1 AND compared = 0")
	if err != nil || len(fresh) == 0 {
		return err
	}
	type edge struct {
		a, b     int64
		identity float64
	}
	var edges []edge
	var todo []Barcode
	for _, b := range all.list {
		if fresh[b.id] {
			todo = append(todo, b)
		}
	}
	var mu sync.Mutex
	done := 0
	err = atOnce(ctx, runtime.GOMAXPROCS(0), len(todo), func(i int) error {
		b := todo[i]
		near, err := all.Nearest(ctx, b.Contig, speciesPct, 1)
		if err != nil {
			return err
		}
		mu.Lock()
		defer mu.Unlock()
		for _, n := range near {
			if n.id != b.id && n.IdentityPct >= speciesPct {
				edges = append(edges, edge{min(b.id, n.id), max(b.id, n.id), n.IdentityPct})
			}
		}
		if done++; tell != nil {
			tell(done, len(todo))
		}
		return nil
	})
	if err != nil {
		return err
	}
	return l.within(ctx, func(tx *sql.Tx) error {
		for _, e := range edges {
			// A batch that another process took away meanwhile has no barcodes to be
			// near to.
			if _, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO neighbours (a, b, identity_pct)
				SELECT x.id, y.id, ? FROM barcodes x, barcodes y WHERE x.id = ? AND y.id = ?`, e.identity, e.a, e.b); err != nil {
				return err
			}
		}
		// Not all of fresh: another process may have added to it since all was read.
		for _, b := range todo {
			if _, err := tx.ExecContext(ctx, "UPDATE barcodes SET compared = 1 WHERE id = ?", b.id); err != nil {
				return err
			}
		}
		return nil
	})
}

func (l *Ledger) ids(ctx context.Context, query string) (out map[int64]bool, err error) {
	rows, err := l.db.QueryContext(ctx, query)
	if err != nil {
		return nil, plain(err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	out = map[int64]bool{}
	for rows.Next() {
		var id int64
		if err := rows.Scan(&id); err != nil {
			return nil, plain(err)
		}
		out[id] = true
	}
	return out, plain(rows.Err())
}

// update is one pass over all clusters.
type update struct {
	ctx context.Context
	tx  *sql.Tx
	now time.Time

	clusters [][]member        // of unnamed barcodes, members sorted
	had      map[member]string // the codes before
	names    map[member]string // what references name now
	codes    map[string]string // all codes ever given, with their state
	changes  []CodeChange
}

func (u *update) read() error {
	u.had, u.names, u.codes = map[member]string{}, map[member]string{}, map[string]string{}
	ids := map[int64]int{}
	var members []member
	err := u.each(`SELECT b.id, batches.name, v.code, b.sample, b.unnamed, v.dna_taxon, v.dna_rank FROM barcodes b
		JOIN vouchers v ON v.id = b.voucher JOIN batches ON batches.id = v.batch WHERE b.chosen = 1 ORDER BY b.id`, func(r *sql.Rows) error {
		var id int64
		var m member
		var open bool
		var taxon, rank string
		if err := r.Scan(&id, &m.batch, &m.voucher, &m.sample, &open, &taxon, &rank); err != nil {
			return err
		}
		if open {
			ids[id] = len(members)
			members = append(members, m)
		} else if rank == "species" {
			u.names[m] = taxon
		}
		return nil
	})
	if err != nil {
		return err
	}
	sets := newSets(len(members))
	err = u.each("SELECT a, b FROM neighbours", func(r *sql.Rows) error {
		var a, b int64
		if err := r.Scan(&a, &b); err != nil {
			return err
		}
		x, ok1 := ids[a]
		y, ok2 := ids[b]
		if ok1 && ok2 {
			sets.join(x, y)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, set := range sets.all() {
		cluster := make([]member, len(set))
		for i, x := range set {
			cluster[i] = members[x]
		}
		slices.SortFunc(cluster, member.compare)
		u.clusters = append(u.clusters, cluster)
	}
	// Larger clusters first: of the parts of one, the largest keeps its code.
	slices.SortFunc(u.clusters, func(a, b []member) int {
		return cmp.Or(cmp.Compare(len(b), len(a)), a[0].compare(b[0]))
	})
	if err := u.each("SELECT batch, voucher, sample, code FROM club_members", func(r *sql.Rows) error {
		var m member
		var code string
		if err := r.Scan(&m.batch, &m.voucher, &m.sample, &code); err != nil {
			return err
		}
		u.had[m] = code
		return nil
	}); err != nil {
		return err
	}
	return u.each("SELECT code, state FROM club_codes", func(r *sql.Rows) error {
		var code, state string
		if err := r.Scan(&code, &state); err != nil {
			return err
		}
		u.codes[code] = state
		return nil
	})
}

func (u *update) each(query string, visit func(*sql.Rows) error) (err error) {
	rows, err := u.tx.QueryContext(u.ctx, query)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		if err := visit(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (u *update) assign() error {
	now := map[member]string{}
	kept := map[string][]member{} // code -> its cluster
	var fresh [][]member
	for _, cluster := range u.clusters {
		codes := map[string]bool{}
		for _, m := range cluster {
			if code := u.had[m]; code != "" && kept[code] == nil {
				codes[code] = true
			}
		}
		if len(codes) == 0 {
			fresh = append(fresh, cluster)
			continue
		}
		sorted := slices.SortedFunc(maps.Keys(codes), compareCodes)
		code := sorted[0]
		kept[code] = cluster
		for _, m := range cluster {
			now[m] = code
		}
		for _, other := range sorted[1:] {
			// It may live on in another cluster; that is seen below.
			if !u.livesIn(other, cluster) {
				if err := u.close(other, "merged", code, fmt.Sprintf("merged into %s: its barcodes are now of one cluster", code)); err != nil {
					return err
				}
			}
		}
	}
	for _, cluster := range fresh {
		code := u.next()
		u.codes[code] = "open"
		if _, err := u.tx.ExecContext(u.ctx, "INSERT INTO club_codes (code, state, says) VALUES (?, 'open', '')", code); err != nil {
			return err
		}
		what := "given to " + listed(cluster)
		if old := u.oldCodes(cluster); old != "" {
			what += ", split from " + old
		}
		if err := u.tell(code, what); err != nil {
			return err
		}
		kept[code] = cluster
		for _, m := range cluster {
			now[m] = code
		}
	}
	for _, code := range slices.SortedFunc(maps.Keys(kept), compareCodes) {
		if u.codes[code] != "open" {
			if err := u.reopen(code); err != nil {
				return err
			}
		}
		if err := u.growth(code, kept[code]); err != nil {
			return err
		}
	}
	for _, code := range slices.SortedFunc(maps.Keys(u.codes), compareCodes) {
		if u.codes[code] != "open" || kept[code] != nil {
			continue
		}
		if err := u.ended(code); err != nil {
			return err
		}
	}
	return u.write(now)
}

// livesIn reports whether a code has members outside of a cluster that are
// still in some cluster.
func (u *update) livesIn(code string, cluster []member) bool {
	for _, other := range u.clusters {
		if &other[0] == &cluster[0] {
			continue
		}
		if slices.ContainsFunc(other, func(m member) bool { return u.had[m] == code }) {
			return true
		}
	}
	return false
}

func (u *update) oldCodes(cluster []member) string {
	codes := map[string]bool{}
	for _, m := range cluster {
		if code := u.had[m]; code != "" {
			codes[code] = true
		}
	}
	return strings.Join(slices.SortedFunc(maps.Keys(codes), compareCodes), ", ")
}

// growth tells of members that a code which was there has gained.
func (u *update) growth(code string, cluster []member) error {
	var gained []member
	known := false
	for _, m := range cluster {
		if u.had[m] == code {
			known = true
		} else {
			gained = append(gained, m)
		}
	}
	if !known || len(gained) == 0 {
		return nil
	}
	return u.tell(code, "gained "+listed(gained))
}

// ended settles a code none of whose members is in a cluster any more: its
// barcodes are named now, or gone.
func (u *update) ended(code string) error {
	names := map[string]bool{}
	for m, c := range u.had {
		if c == code && u.names[m] != "" {
			names[u.names[m]] = true
		}
	}
	if len(names) == 0 {
		return u.close(code, "empty", "", "without barcodes: they were taken out of the ledger, or are not good enough any more")
	}
	name := strings.Join(slices.Sorted(maps.Keys(names)), ", ")
	return u.close(code, "named", name, "named: a reference names its barcodes "+name)
}

func (u *update) close(code, state, says, what string) error {
	if u.codes[code] == state {
		return nil
	}
	u.codes[code] = state
	if _, err := u.tx.ExecContext(u.ctx, "UPDATE club_codes SET state = ?, says = ? WHERE code = ?", state, says, code); err != nil {
		return err
	}
	return u.tell(code, what)
}

func (u *update) reopen(code string) error {
	u.codes[code] = "open"
	if _, err := u.tx.ExecContext(u.ctx, "UPDATE club_codes SET state = 'open', says = '' WHERE code = ?", code); err != nil {
		return err
	}
	return u.tell(code, "open again: it has barcodes that no reference names")
}

func (u *update) tell(code, what string) error {
	u.changes = append(u.changes, CodeChange{code, what})
	_, err := u.tx.ExecContext(u.ctx, "INSERT INTO club_history (code, at, what) VALUES (?, ?, ?)", code, u.now.Format(time.RFC3339), what)
	return err
}

// write stores who has which code. Members of closed codes stay on the list of
// their last code: whoever looks for it finds what became of it.
func (u *update) write(now map[member]string) error {
	for _, m := range slices.SortedFunc(maps.Keys(now), member.compare) {
		if u.had[m] == now[m] {
			continue
		}
		if _, err := u.tx.ExecContext(u.ctx, `INSERT INTO club_members (batch, voucher, sample, code) VALUES (?, ?, ?, ?)
			ON CONFLICT (batch, voucher, sample) DO UPDATE SET code = excluded.code`, m.batch, m.voucher, m.sample, now[m]); err != nil {
			return err
		}
	}
	return nil
}

// next gives the first code of the year that was never given.
func (u *update) next() string {
	last := 0
	for code := range u.codes {
		if year, n := codeParts(code); year == u.now.Year() {
			last = max(last, n)
		}
	}
	return fmt.Sprintf("club-%04d-%02d", u.now.Year(), last+1)
}

func codeParts(code string) (year, n int) {
	if _, err := fmt.Sscanf(code, "club-%d-%d", &year, &n); err != nil {
		return 0, 0
	}
	return year, n
}

// compareCodes puts older codes first: club-2026-9 before club-2026-10.
func compareCodes(a, b string) int {
	yearA, a1 := codeParts(a)
	yearB, b1 := codeParts(b)
	return cmp.Or(cmp.Compare(yearA, yearB), cmp.Compare(a1, b1), cmp.Compare(a, b))
}

// listed names members, the first few of many.
func listed(members []member) string {
	const most = 5
	var words []string
	for i, m := range members {
		if i == most {
			return strings.Join(words, ", ") + fmt.Sprintf(" and %d more", len(members)-most)
		}
		words = append(words, m.voucher+" ("+m.batch+")")
	}
	return strings.Join(words, ", ")
}
