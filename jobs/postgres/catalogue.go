package postgres

import (
	"context"

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

// catalogue reads the catalogue in one round trip and keeps it as it is until
// the transaction ends.
func (t tx) catalogue(ctx context.Context) (jobs.Catalogue, error) {
	c := jobs.Catalogue{
		Stocks:    map[jobs.StockID]jobs.Stock{},
		Solutions: map[jobs.SolutionID]jobs.Solution{},
		Lines:     map[jobs.LineID]jobs.Line{},
	}
	batch := &pgx.Batch{}
	batch.Queue("SELECT pg_advisory_xact_lock_shared($1)", int64(catalogueLock))
	queueLab(batch, &c)
	queueSolutions(batch, &c)
	queueStocks(batch, &c)
	queueStockTimes(batch, &c)
	queueLines(batch, &c)
	queueTested(batch, &c)
	if err := t.SendBatch(ctx, batch).Close(); err != nil {
		return jobs.Catalogue{}, err
	}
	return c, nil
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
