package pgtest

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// building runs work while no other process makes or clears templates.
func (h *host) building(ctx context.Context, work func() error) error {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if _, err := h.keeper.Exec(ctx, "select pg_advisory_lock($1, 0)", buildLock); err != nil {
		return err
	}
	err := work()
	_, err2 := h.keeper.Exec(ctx, "select pg_advisory_unlock($1, 0)", buildLock)
	return errors.Join(err, err2)
}

// template returns the name of the migrated template, making it when no process
// has done so yet.
func (h *host) template(ctx context.Context, migrate Migrate, hash string) (string, error) {
	name := fmt.Sprintf("migrated_%x", sha256.Sum256([]byte(hash)))[:40]
	h.mutex.Lock()
	ready := h.templates[name]
	h.mutex.Unlock()
	if ready {
		return name, nil
	}
	return name, h.building(ctx, func() error { return h.makeTemplate(ctx, name, migrate) })
}

// makeTemplate makes the template unless it is there whole. One that a dying
// process left half-made is not yet marked as a template, and made again.
func (h *host) makeTemplate(ctx context.Context, name string, migrate Migrate) error {
	if h.templates[name] {
		return nil
	}
	class, number := lockOf(name)
	if _, err := h.keeper.Exec(ctx, "select pg_advisory_lock_shared($1, $2)", class, number); err != nil {
		return err
	}
	var whole bool
	err := h.keeper.QueryRow(ctx, "select exists (select from pg_database where datname = $1 and datistemplate)", name).Scan(&whole)
	if err != nil {
		return err
	}
	if !whole {
		if err := h.migrateNew(ctx, name, migrate); err != nil {
			return err
		}
	}
	h.templates[name] = true
	return nil
}

// migrateNew makes the database afresh, migrates it and closes it to connections,
// which would stand in the way of copies.
func (h *host) migrateNew(ctx context.Context, name string, migrate Migrate) error {
	quoted := pgx.Identifier{name}.Sanitize()
	if err := h.drop(ctx, name); err != nil {
		return err
	}
	if _, err := h.keeper.Exec(ctx, "create database "+quoted+" template template0"); err != nil {
		return err
	}
	pool, err := h.connect(ctx, name)
	if err != nil {
		return err
	}
	err = migrate(ctx, pool)
	pool.Close()
	if err != nil {
		return err
	}
	_, err = h.keeper.Exec(ctx, "alter database "+quoted+" is_template true allow_connections false")
	return err
}
