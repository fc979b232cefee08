package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// act is what somebody does to a fill, with everything that decides on it.
type act struct {
	tx
	jobs.Catalogue
	fill       jobs.Fill
	ledger     []jobs.Entry
	from       jobs.Mix
	containers jobs.Containers
}

// changeFill locks a fill, the mix that something comes from and the
// containers, lets decide say what that does to the ledger, and posts it. The
// event tells of it.
func (s *FillStore) changeFill(ctx context.Context, by jobs.Actor, id jobs.FillID, mix jobs.MixID, kind string,
	decide func(a act) ([]jobs.Entry, error),
) (changed jobs.Fill, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		a := act{tx: t}
		var err error
		if a.Catalogue, err = t.catalogue(ctx); err != nil {
			return err
		}
		if a.fill, err = t.lockFill(ctx, id); err != nil {
			return err
		}
		if a.ledger, err = entries(ctx, t, "WHERE fill_id = $1", int64(id)); err != nil {
			return err
		}
		if a.from, err = t.lockMix(ctx, mix); err != nil {
			return err
		}
		if a.containers, err = t.lockContainers(ctx); err != nil {
			return err
		}
		does, err := decide(a)
		if err != nil {
			return err
		}
		if _, err := t.post(ctx, by, does...); err != nil {
			return err
		}
		why := fmt.Sprintf("%+.0f mL: %s", does[0].Amount, does[0].Why)
		if err := t.addEvents(ctx, jobs.Event{By: by, Kind: kind, Fill: id, Why: why}); err != nil {
			return err
		}
		changed, err = t.fill(ctx, id)
		return err
	})
	return changed, err
}

// TopUpFill records what went into a fill beside what film called for.
func (s *FillStore) TopUpFill(ctx context.Context, by jobs.Actor, id jobs.FillID, topUp jobs.TopUp) (jobs.Fill, error) {
	return s.changeFill(ctx, by, id, topUp.Mix, "top up", func(a act) ([]jobs.Entry, error) {
		return a.fill.TopUp(topUp, a.Solutions[a.fill.Solution], a.ledger, a.from, a.containers)
	})
}

// SpillFill records what was lost of a fill.
func (s *FillStore) SpillFill(ctx context.Context, by jobs.Actor, id jobs.FillID, spill jobs.Spill) (jobs.Fill, error) {
	return s.changeFill(ctx, by, id, 0, "spill", func(a act) ([]jobs.Entry, error) { return a.fill.Spill(spill, a.ledger) })
}

// FoulFill records what got into a fill and does not belong there.
func (s *FillStore) FoulFill(ctx context.Context, by jobs.Actor, id jobs.FillID, fouling jobs.Fouling) (jobs.Fill, error) {
	return s.changeFill(ctx, by, id, fouling.Mix, "foul", func(a act) ([]jobs.Entry, error) {
		return a.fill.Foul(fouling, a.Solutions[a.fill.Solution], a.ledger, a.from, a.containers)
	})
}

// TestClearing records a clearing test.
func (s *FillStore) TestClearing(ctx context.Context, by jobs.Actor, id jobs.FillID, test chemistry.ClearingTest) (tested jobs.Fill, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		fill, err := t.lockFill(ctx, id)
		if err != nil {
			return err
		}
		kept, err := fill.TestClearing(c.Solutions[fill.Solution], test)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "INSERT INTO clearing_tests (fill_id, at, by_name, fresh_seconds, now_seconds) VALUES ($1, $2, $3, $4, $5)",
			int64(id), t.now, by.Name, kept.FreshS, kept.NowS); err != nil {
			return fmt.Errorf("keep clearing test: %w", err)
		}
		why := fmt.Sprintf("clears in %g s, fresh in %g s", kept.NowS, kept.FreshS)
		if err := t.addEvents(ctx, jobs.Event{By: by, Kind: "clearing test", Fill: id, Why: why}); err != nil {
			return err
		}
		tested, err = t.fill(ctx, id)
		return err
	})
	return tested, err
}

// ClearingTests lists the clearing tests of a fill, the oldest first.
func (s *FillStore) ClearingTests(ctx context.Context, id jobs.FillID) ([]jobs.Clearing, error) {
	rows, err := s.db.pool.Query(ctx, "SELECT at, by_name, fresh_seconds, now_seconds FROM clearing_tests WHERE fill_id = $1 ORDER BY id", int64(id))
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (c jobs.Clearing, err error) {
		err = row.Scan(&c.At, &c.By, &c.FreshS, &c.NowS)
		return c, err
	})
}
