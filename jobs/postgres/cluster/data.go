package cluster

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// makeData makes the records' folder if there is none. It is made beside its
// place and moved there whole, so a first start that is cut short leaves nothing
// that looks like records.
func (c *Cluster) makeData(ctx context.Context) error {
	version, err := dataVersion(c.data)
	if err != nil || version != 0 {
		return err
	}
	// An empty folder may go; one with anything in it is not ours to touch.
	if err := os.Remove(c.data); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%w: %s holds something other than PostgreSQL's records: move it away, or choose another folder with WETSIDE_DATA", ErrFolder, c.data)
	}
	c.clearHalfMade()
	fmt.Fprintf(c.log, "Making a private PostgreSQL %d in %s.\n", c.programs.major, c.dir)
	half, err := os.MkdirTemp(c.dir, "data.new-")
	if err != nil {
		return unusable(c.dir, err)
	}
	if err := c.initialise(ctx, half); err != nil {
		_ = os.RemoveAll(half) // if not, the next start does
		return err
	}
	if err := os.Rename(half, c.data); err != nil {
		return unusable(c.dir, err)
	}
	return syncDir(c.dir)
}

// clearHalfMade removes what earlier first starts left behind when they were cut
// short. Best effort: an initdb that outlived its parent may still be writing
// there, and the next start will try again.
func (c *Cluster) clearHalfMade() {
	left, _ := filepath.Glob(filepath.Join(c.dir, "data.new-*"))
	for _, dir := range left {
		_ = os.RemoveAll(dir)
	}
}

// initialise runs initdb on an empty folder.
func (c *Cluster) initialise(ctx context.Context, dir string) error {
	if err := c.account.give(dir); err != nil {
		return unusable(c.dir, err)
	}
	args := []string{"-D", dir, "-A", "trust", "-E", "UTF8", "--locale=C", "-U", Role}
	if !c.durable {
		args = append(args, "--no-sync")
	}
	out, err := c.account.command(ctx, c.programs.path("initdb"), args...).CombinedOutput()
	if ctx.Err() != nil {
		return fmt.Errorf("%w: making the records' folder was interrupted: %w", ErrServer, ctx.Err())
	}
	if err != nil {
		return fmt.Errorf("%w: could not make the records' folder in %s: %s", ErrServer, c.dir, complaint(string(out), err))
	}
	return nil
}

// complaint finds the lines of PostgreSQL's output that say what went wrong, as
// one line.
func complaint(out string, err error) string {
	var said []string
	for line := range strings.Lines(out) {
		for _, mark := range []string{"PANIC:", "FATAL:", "error:", "HINT:"} {
			if _, after, ok := strings.Cut(line, mark); ok {
				said = append(said, strings.TrimSpace(after))
				break
			}
		}
	}
	if len(said) == 0 {
		return err.Error()
	}
	return strings.Join(said, "; ")
}

// syncDir makes a rename in the folder outlast a power cut.
func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return unusable(dir, err)
	}
	defer f.Close()
	if err := f.Sync(); err != nil {
		return unusable(dir, err)
	}
	return nil
}

// SQLSTATEs that this package tells apart.
const (
	cannotConnectNow  = "57P03" // starting up, recovering or shutting down
	duplicateDatabase = "42P04"
	uniqueViolation   = "23505"
)

// makeDatabase makes the database if it is missing, and refuses a running cluster
// that would lose what this process needs kept.
func (c *Cluster) makeDatabase(ctx context.Context) error {
	conn, err := pgx.Connect(ctx, c.DSN("postgres"))
	if err != nil {
		return fmt.Errorf("%w: %w", ErrServer, err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	var durable, exists bool
	err = conn.QueryRow(ctx, `select current_setting('fsync')::bool, exists (select from pg_database where datname = $1)`,
		Database).Scan(&durable, &exists)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrServer, err)
	}
	if c.durable && !durable {
		return fmt.Errorf("%w: the PostgreSQL running in %s was started for tests and may lose records: end what uses it first", ErrServer, c.dir)
	}
	if exists {
		return nil
	}
	_, err = conn.Exec(ctx, "create database "+pgx.Identifier{Database}.Sanitize())
	var refusal *pgconn.PgError
	if errors.As(err, &refusal) && (refusal.Code == duplicateDatabase || refusal.Code == uniqueViolation) {
		return nil // somebody else has just made it
	}
	if err != nil {
		return fmt.Errorf("%w: could not make the database %s: %w", ErrServer, Database, err)
	}
	return nil
}
