package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// containers returns every container by key, with what it holds.
func containers(ctx context.Context, q querier) (jobs.Containers, error) {
	rows, err := q.Query(ctx, `SELECT id, name, kind, volume_ml, active, version,
		(SELECT coalesce(sum(amount), 0) FROM ledger WHERE container_id = containers.id)::double precision FROM containers`)
	if err != nil {
		return nil, err
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.Container])
	all := jobs.Containers{}
	for _, c := range found {
		all[c.ID] = c
	}
	return all, err
}

// lockContainers keeps what the containers hold as it is until the transaction
// ends. They are read after the lock.
func (t tx) lockContainers(ctx context.Context) (jobs.Containers, error) {
	if _, err := t.Exec(ctx, "SELECT FROM containers ORDER BY id FOR UPDATE"); err != nil {
		return nil, fmt.Errorf("lock containers: %w", err)
	}
	return containers(ctx, t)
}
