// Package migrations holds the schema of the records as embedded, forward-only
// SQL and applies it.
package migrations

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"
)

//go:embed *.sql
var files embed.FS

// lockKey is the advisory lock under which programs that start together take
// turns: "wetside" in ASCII.
const lockKey = 0x77657473696465

// ErrNewerSchema is returned for records that a newer program has migrated:
// an older one must not touch them.
var ErrNewerSchema = errors.New("the records were made by a newer version of this program")

// Up brings the schema up to date, the work queue's tables included. Programs
// that start at once wait for each other; one does the work. The returned
// error wraps [ErrNewerSchema] when the schema is newer than this program.
func Up(ctx context.Context, pool *pgxpool.Pool) (err error) {
	db := stdlib.OpenDBFromPool(pool)
	defer func() { err = errors.Join(err, db.Close()) }()
	lock, err := db.Conn(ctx)
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	defer lock.Close()
	if _, err := lock.ExecContext(ctx, "SELECT pg_advisory_lock($1)", int64(lockKey)); err != nil {
		return fmt.Errorf("migrate: lock: %w", err)
	}
	defer func() {
		_, unlockErr := lock.ExecContext(context.WithoutCancel(ctx), "SELECT pg_advisory_unlock($1)", int64(lockKey))
		err = errors.Join(err, unlockErr)
	}()
	if err := records(ctx, db); err != nil {
		return err
	}
	return queue(ctx, pool)
}

func records(ctx context.Context, db *sql.DB) error {
	provider, err := goose.NewProvider(goose.DialectPostgres, db, files)
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	sources := provider.ListSources()
	newest := sources[len(sources)-1].Version
	present, err := provider.GetDBVersion(ctx)
	if err != nil {
		return fmt.Errorf("migrate: read version: %w", err)
	}
	if present > newest {
		return fmt.Errorf("%w: schema %d, this program knows up to %d; start the newer program", ErrNewerSchema, present, newest)
	}
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	return nil
}

// queue makes River's tables. River's own migrator takes no lock, which is why
// it runs under ours.
func queue(ctx context.Context, pool *pgxpool.Pool) error {
	migrator, err := rivermigrate.New(riverpgxv5.New(pool), nil)
	if err != nil {
		return fmt.Errorf("migrate queue: %w", err)
	}
	if _, err := migrator.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return fmt.Errorf("migrate queue: %w", err)
	}
	return nil
}

// Hash names the schema by its content, for caches of migrated databases.
func Hash() string {
	sum := sha256.New()
	names, err := fs.Glob(files, "*.sql")
	if err != nil {
		panic(err) // the pattern is a constant
	}
	for _, name := range names {
		text, err := files.ReadFile(name)
		if err != nil {
			panic(err) // the file is part of the program
		}
		fmt.Fprintf(sum, "%s %d\n%s", name, len(text), text)
	}
	return hex.EncodeToString(sum.Sum(nil))[:16]
}
