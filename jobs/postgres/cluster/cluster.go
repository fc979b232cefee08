// Package cluster runs a private PostgreSQL on this machine: made on the first
// start, reached by a unix socket only, shared by every process that opens the
// same data folder, and stopped by the last one to leave.
//
// It needs PostgreSQL's server programs (initdb, postgres, pg_ctl), found on the
// machine or installed by Install. It never deletes or remakes existing records.
package cluster

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
)

// Database is the database that Open makes sure exists, and Role the superuser
// that owns everything in the cluster.
const (
	Database = "wetside"
	Role     = "wetside"
)

// What can be wrong, for errors.Is. The wrapping error says it in full.
var (
	// ErrNoServer: the machine has no usable PostgreSQL server programs.
	ErrNoServer = errors.New("no PostgreSQL server programs")
	// ErrVersion: the records were made by another PostgreSQL version than any found here.
	ErrVersion = errors.New("PostgreSQL version mismatch")
	// ErrFolder: the data folder cannot be used: its name, its permissions or what lies in it.
	ErrFolder = errors.New("unusable data folder")
	// ErrServer: PostgreSQL was found but did not start, stop or answer.
	ErrServer = errors.New("PostgreSQL failed")
	// ErrInstall: the server programs could not be installed.
	ErrInstall = errors.New("cannot install PostgreSQL")
)

// Config says which private PostgreSQL to open and how.
type Config struct {
	// Dir is the data folder, made when missing. See DefaultDir.
	Dir string
	// Setup installs the server programs through the machine's package manager
	// where there are none.
	Setup bool
	// Durable keeps every acknowledged commit through a power cut. Without it the
	// cluster is faster and good only for throw-away tests.
	Durable bool
	// Log gets one line for each thing worth telling a person; nil for silence.
	Log io.Writer
}

// Cluster is a running private PostgreSQL. Safe for use by several goroutines.
type Cluster struct {
	dir, data, socket string
	programs          programs
	account           account
	durable           bool
	log               io.Writer

	// boot is held only while PostgreSQL is started or stopped, users as long as
	// this process uses it. With a single lock a second process would wait for
	// the first to finish its work.
	boot, users *os.File
	server      *server // the postmaster, when this process started it

	closing func()        // tells the watch to end
	watched chan struct{} // closed when it has
	once    sync.Once
	closed  error
}

// Open starts the private PostgreSQL in cfg.Dir, or attaches to the one already
// running there, and returns when it answers and has the database. It waits for
// another process that is starting or stopping it, until ctx ends.
//
// Errors wrap ErrNoServer, ErrVersion, ErrFolder, ErrServer or ErrInstall.
func Open(ctx context.Context, cfg Config) (*Cluster, error) {
	dir, err := prepareDir(cfg.Dir)
	if err != nil {
		return nil, err
	}
	c := &Cluster{dir: dir, data: filepath.Join(dir, "data"), durable: cfg.Durable, log: cfg.Log}
	if c.log == nil {
		c.log = io.Discard
	}
	if c.boot, err = openOwn(filepath.Join(dir, "boot.lock"), os.O_RDWR); err != nil {
		return nil, err
	}
	if c.users, err = openOwn(filepath.Join(dir, "users.lock"), os.O_RDWR); err != nil {
		return nil, errors.Join(err, c.boot.Close())
	}
	if err := c.join(ctx, cfg.Setup); err != nil {
		// What went wrong first is what the person needs; leaving is best effort.
		_ = c.leave()
		return nil, err
	}
	watching, stop := context.WithCancel(context.Background())
	c.closing, c.watched = stop, make(chan struct{})
	go c.watch(watching)
	return c, nil
}

// join takes its place among the users of the cluster and brings it up.
func (c *Cluster) join(ctx context.Context, setup bool) error {
	if err := flock(ctx, c.boot, syscall.LOCK_EX); err != nil {
		return fmt.Errorf("%w: another process has been starting or stopping the PostgreSQL in %s: %w", ErrServer, c.dir, err)
	}
	defer unlock(c.boot)
	if err := flock(ctx, c.users, syscall.LOCK_SH); err != nil {
		return err
	}
	var err error
	if c.programs, err = c.findPrograms(ctx, setup); err != nil {
		return err
	}
	if c.account, err = runAs(c.dir, c.data); err != nil {
		return err
	}
	if err := c.account.reaches(ctx, c.programs, c.dir); err != nil {
		return err
	}
	if c.socket, err = socketDir(c.dir, c.account); err != nil {
		return err
	}
	if err := c.makeData(ctx); err != nil {
		return err
	}
	if err := c.up(ctx); err != nil {
		return err
	}
	return c.makeDatabase(ctx)
}

// DSN returns the connection string of a database in the cluster, in the
// keyword form that pgx and psql read.
func (c *Cluster) DSN(database string) string {
	return fmt.Sprintf("host=%s port=%s user=%s dbname=%s sslmode=disable",
		quoteDSN(c.socket), socketPort, Role, quoteDSN(database))
}

// quoteDSN quotes a value for a keyword connection string.
func quoteDSN(value string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(value) + "'"
}

// Close leaves the cluster; the last process to leave stops it. Calling it again
// returns the first answer.
func (c *Cluster) Close() error {
	c.once.Do(func() {
		c.closing()
		<-c.watched
		c.closed = c.leave()
	})
	return c.closed
}

// leave gives up this process's place and stops PostgreSQL if it was the last one.
func (c *Cluster) leave() error {
	ctx, cancel := context.WithTimeout(context.Background(), stopLimit)
	defer cancel()
	defer c.users.Close()
	defer c.boot.Close()
	if c.socket == "" {
		return nil // never got as far as starting anything
	}
	if err := flock(ctx, c.boot, syscall.LOCK_EX); err != nil {
		return fmt.Errorf("%w: could not leave the PostgreSQL in %s: %w", ErrServer, c.dir, err)
	}
	if !tryFlock(c.users, syscall.LOCK_EX) {
		return nil // others are still using it
	}
	return c.down(ctx)
}
