package postgres

import (
	"context"
	"maps"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// CatalogueStore keeps what the lab knows before a roll arrives.
type CatalogueStore struct{ db *DB }

var _ jobs.CatalogueService = (*CatalogueStore)(nil)

// NewCatalogueStore returns the catalogue kept in db.
func NewCatalogueStore(db *DB) *CatalogueStore { return &CatalogueStore{db} }

// catalogueLock is the advisory lock that keeps the catalogue still while a
// decision is made on it: whoever decides shares it until the end of the
// transaction, whoever saves holds it alone.
const catalogueLock = 0x77657443

// Catalogue returns the whole catalogue.
func (s *CatalogueStore) Catalogue(ctx context.Context) (catalogue jobs.Catalogue, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		catalogue, err = t.catalogue(ctx)
		return err
	})
	return catalogue, err
}

// readCatalogue is the catalogue as it was after so many changes. Nobody
// changes it.
type readCatalogue struct {
	changes int64
	jobs.Catalogue
}

// catalogue returns the catalogue and keeps it as it is until the transaction
// ends. It is read again when it has changed since it was read last: every
// decision needs it, and it hardly ever changes.
func (t tx) catalogue(ctx context.Context) (jobs.Catalogue, error) {
	c, _, err := t.catalogueAndCount(ctx)
	return c, err
}

// catalogueAndCount is catalogue with what tells whether the workload that was
// read last is still right.
func (t tx) catalogueAndCount(ctx context.Context) (jobs.Catalogue, counted, error) {
	var changes int64
	var seen counted
	batch := &pgx.Batch{}
	batch.Queue("SELECT pg_advisory_xact_lock_shared($1)", int64(catalogueLock))
	batch.Queue("SELECT number, counted_at, last_roll, (SELECT last_value FROM rolls_id_seq) FROM catalogue_changes, workload").
		QueryRow(func(row pgx.Row) error { return row.Scan(&changes, &seen.at, &seen.lastRoll, &seen.issued) })
	if err := t.SendBatch(ctx, batch).Close(); err != nil {
		return jobs.Catalogue{}, seen, err
	}
	last := t.last.Load()
	if last == nil || last.changes != changes {
		read, err := t.readCatalogue(ctx)
		if err != nil {
			return jobs.Catalogue{}, seen, err
		}
		last = &readCatalogue{changes, read}
		t.last.Store(last)
	}
	c := last.Catalogue
	c.Stocks, c.Solutions, c.Lines = maps.Clone(c.Stocks), maps.Clone(c.Solutions), maps.Clone(c.Lines)
	return c, seen, nil
}

// readCatalogue reads the catalogue in one round trip.
func (t tx) readCatalogue(ctx context.Context) (jobs.Catalogue, error) {
	c := jobs.Catalogue{
		Stocks:    map[jobs.StockID]jobs.Stock{},
		Solutions: map[jobs.SolutionID]jobs.Solution{},
		Lines:     map[jobs.LineID]jobs.Line{},
	}
	batch := &pgx.Batch{}
	queueLab(batch, &c)
	queueSolutions(batch, &c)
	queueStocks(batch, &c)
	queueStockTimes(batch, &c)
	queueLines(batch, &c)
	queueTested(batch, &c)
	return c, t.SendBatch(ctx, batch).Close()
}

// changeCatalogue runs a change to the catalogue with nobody deciding on it
// meanwhile, and gives it the catalogue as it is.
func (db *DB) changeCatalogue(ctx context.Context, change func(t tx, c jobs.Catalogue) error) error {
	return db.withTx(ctx, func(t tx) error {
		if _, err := t.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", int64(catalogueLock)); err != nil {
			return err
		}
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		return change(t, c)
	})
}
