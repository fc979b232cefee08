package postgres

import (
	"context"

	"wetside/jobs"
)

// AddClosure closes the lab on some days, and forgets those that are long over.
func (s *CatalogueStore) AddClosure(ctx context.Context, by jobs.Actor, closure jobs.Closure) (jobs.Closure, error) {
	var saved jobs.Closure
	err := s.db.changeCatalogue(ctx, func(t tx, c jobs.Catalogue) (err error) {
		if saved, err = c.Lab.CheckClosure(closure, t.now); err != nil {
			return err
		}
		over := c.Lab.Today(t.now).AddDate(0, 0, -jobs.ClosuresKept)
		if _, err := t.Exec(ctx, "DELETE FROM closures WHERE last_day < $1", over); err != nil {
			return err
		}
		err = t.QueryRow(ctx, "INSERT INTO closures (first_day, last_day, name) VALUES ($1, $2, $3) RETURNING id",
			saved.From, saved.To, saved.Name).Scan(&saved.ID)
		if err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "add closure", Why: saved.Name + ", " + saved.Days()})
	})
	return saved, err
}

// RemoveClosure opens the lab again on the days of a closure.
func (s *CatalogueStore) RemoveClosure(ctx context.Context, by jobs.Actor, id jobs.ClosureID) error {
	return s.db.changeCatalogue(ctx, func(t tx, c jobs.Catalogue) error {
		for _, closure := range c.Lab.Closures {
			if closure.ID != id {
				continue
			}
			if _, err := t.Exec(ctx, "DELETE FROM closures WHERE id = $1", id); err != nil {
				return err
			}
			return t.addEvents(ctx, jobs.Event{By: by, Kind: "remove closure", Why: closure.Name + ", " + closure.Days()})
		}
		return jobs.Errorf(jobs.NotFound, "there is no closure %d", id)
	})
}
