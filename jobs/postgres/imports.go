package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// ImportStore keeps which orders came together in a file.
type ImportStore struct{ db *DB }

var _ jobs.ImportService = (*ImportStore)(nil)

// NewImportStore returns the imports kept in db.
func NewImportStore(db *DB) *ImportStore { return &ImportStore{db} }

// Import takes in the orders of a file, all or none, once for each key.
func (s *ImportStore) Import(ctx context.Context, by jobs.Actor, file jobs.OrderFile, key string) (taken jobs.Import, again bool, err error) {
	if key == "" {
		key = file.Key()
	}
	if err := jobs.CheckKey(key); err != nil {
		return jobs.Import{}, false, err
	}
	err = s.db.withCount(ctx, func(t tx, countedNow bool) error {
		taken, again, err = t.importFile(ctx, s.db, by, file, key, countedNow)
		return err
	})
	if err != nil {
		return jobs.Import{}, false, err
	}
	return taken, again, nil
}

// importFile takes the orders of a file in, each promised behind those before
// it, or finds the import that took them before.
func (t tx) importFile(ctx context.Context, db *DB, by jobs.Actor, file jobs.OrderFile, key string, countedNow bool) (jobs.Import, bool, error) {
	c, seen, err := t.catalogueAndCount(ctx)
	if err != nil {
		return jobs.Import{}, false, err
	}
	work, err := t.workNow(ctx, db, c, seen)
	if err != nil {
		return jobs.Import{}, false, err
	}
	orders, refused := file.Orders(c, work.Workload, t.now)
	if refused != nil {
		// What was taken before is returned as it is, even when the catalogue
		// would no longer allow it.
		before, err := t.importedBefore(ctx, key, file)
		if errors.Is(err, errNoImport) {
			err = refused
		}
		return before, err == nil, err
	}
	if !work.stands(t.now) && !countedNow {
		return jobs.Import{}, false, errCountAnew
	}
	taken := jobs.Import{At: t.now, By: by.Name}
	err = t.QueryRow(ctx, `INSERT INTO imports (at, person_id, by_name, key, content) VALUES ($1, nullif($2::bigint, 0), $3, $4, $5)
		ON CONFLICT (key) DO NOTHING RETURNING id`, t.now, int64(by.Person), by.Name, key, file.Key()).Scan(&taken.ID)
	if errors.Is(err, pgx.ErrNoRows) {
		before, err := t.importedBefore(ctx, key, file)
		return before, err == nil, err
	}
	if err != nil {
		return jobs.Import{}, false, fmt.Errorf("add import: %w", err)
	}
	for _, order := range orders {
		admitted := order.Admitted
		admitted.Token = newToken()
		if _, err := t.addOrder(ctx, by, &admitted, "", nil, taken.ID); err != nil {
			return jobs.Import{}, false, err
		}
		taken.Orders = append(taken.Orders, admitted)
	}
	return taken, false, nil
}

var errNoImport = jobs.Errorf(jobs.NotFound, "there is no such import")

// importedBefore returns the import that came with this key: Duplicate when its
// content was another.
func (t tx) importedBefore(ctx context.Context, key string, file jobs.OrderFile) (jobs.Import, error) {
	var id jobs.ImportID
	var content string
	err := t.QueryRow(ctx, "SELECT id, content FROM imports WHERE key = $1", key).Scan(&id, &content)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		return jobs.Import{}, errNoImport
	case err != nil:
		return jobs.Import{}, err
	case content != file.Key():
		return jobs.Import{}, jobs.Errorf(jobs.Duplicate, "another file was sent with this key before: import %d", id)
	}
	return oneImport(ctx, t, "WHERE id = $1", id)
}

// ImportOf returns the import that took a file before.
func (s *ImportStore) ImportOf(ctx context.Context, file jobs.OrderFile) (jobs.Import, error) {
	return oneImport(ctx, s.db.pool, "WHERE key = $1", file.Key())
}

// SameReference returns for each order the last one on record that seems to be
// the same.
func (s *ImportStore) SameReference(ctx context.Context, orders []jobs.FileOrder) ([]jobs.OrderID, error) {
	references, emails := make([]string, len(orders)), make([]string, len(orders))
	for i, order := range orders {
		references[i], emails[i] = order.Admitted.Reference, order.Admitted.Email
	}
	rows, err := s.db.pool.Query(ctx, `SELECT coalesce((SELECT max(o.id) FROM orders o
			WHERE o.reference <> '' AND lower(o.reference) = lower(sent.reference) AND lower(o.email) = lower(sent.email)), 0)
		FROM unnest($1::text[], $2::text[]) WITH ORDINALITY AS sent(reference, email, place) ORDER BY sent.place`, references, emails)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[jobs.OrderID])
}

// OneImport returns an import with its orders.
func (s *ImportStore) OneImport(ctx context.Context, id jobs.ImportID) (jobs.Import, error) {
	return oneImport(ctx, s.db.pool, "WHERE id = $1", id)
}

// Imports lists the last imports, the newest first.
func (s *ImportStore) Imports(ctx context.Context, limit int) ([]jobs.Import, error) {
	return imports(ctx, s.db.pool, "ORDER BY id DESC LIMIT $1", limit)
}

func oneImport(ctx context.Context, q querier, where string, args ...any) (jobs.Import, error) {
	found, err := imports(ctx, q, where, args...)
	if err != nil {
		return jobs.Import{}, err
	}
	if len(found) == 0 {
		return jobs.Import{}, errNoImport
	}
	return found[0], nil
}

// imports returns the imports that a WHERE clause, with what follows it, picks.
func imports(ctx context.Context, q querier, where string, args ...any) ([]jobs.Import, error) {
	rows, err := q.Query(ctx, "SELECT id, at, by_name FROM imports "+where, args...)
	if err != nil {
		return nil, err
	}
	found, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Import, error) {
		var one jobs.Import
		err := row.Scan(&one.ID, &one.At, &one.By)
		return one, err
	})
	if err != nil {
		return nil, err
	}
	for i := range found {
		if found[i].Orders, err = orders(ctx, q, "WHERE o.import_id = $1 ORDER BY o.id", found[i].ID); err != nil {
			return nil, err
		}
	}
	return found, nil
}
