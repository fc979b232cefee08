package cluster

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

const (
	// stopLimit is how long leaving may take, with PostgreSQL's last checkpoint.
	stopLimit = 2 * time.Minute
	// orphanLimit is how long a killed server's own children may keep the records
	// busy before a new one can start.
	orphanLimit = 20 * time.Second
)

// server is a postmaster that this process started.
type server struct {
	exited chan struct{} // closed when it has ended
	err    error         // how, once it has
	from   int64         // where its part of the log begins
}

// up brings PostgreSQL to the point where it answers, starting it if nobody has.
// The caller holds the boot lock.
func (c *Cluster) up(ctx context.Context) error {
	tick := time.NewTicker(pollEvery)
	defer tick.Stop()
	_, err := os.Stat(filepath.Join(c.data, "postmaster.pid"))
	crashed := err == nil
	giveUp := time.Now().Add(orphanLimit)
	for {
		state := c.ask(ctx)
		if state == answers {
			return nil
		}
		if state == silent && !c.server.running() {
			if c.server != nil && (!crashed || time.Now().After(giveUp)) {
				return fmt.Errorf("%w: it did not start in %s: %s (its log: %s)", ErrServer, c.dir, c.lastWords(), c.logPath())
			}
			if err := c.start(); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("%w: it did not answer in time in %s: %w", ErrServer, c.dir, ctx.Err())
		case <-tick.C:
		}
	}
}

// state is what a caller hears from the socket.
type state int

const (
	silent  state = iota // nothing is listening
	busy                 // starting up, recovering or shutting down
	answers              // takes connections
)

// ask tries to connect.
func (c *Cluster) ask(ctx context.Context) state {
	if !listening(c.socket) {
		return silent
	}
	conn, err := pgconn.Connect(ctx, c.DSN("postgres"))
	if err == nil {
		_ = conn.Close(ctx)
		return answers
	}
	var refusal *pgconn.PgError
	if errors.As(err, &refusal) && refusal.Code != cannotConnectNow {
		return answers // refused, but by a server that is up
	}
	return busy
}

// start runs the postmaster in a session of its own, so that neither Ctrl-C nor
// the death of this process reaches it: others may be using it.
func (c *Cluster) start() error {
	c.clearStale()
	log, err := c.openLog()
	if err != nil {
		return err
	}
	defer log.Close()
	size, err := log.Seek(0, io.SeekEnd)
	if err != nil {
		return unusable(c.dir, err)
	}
	cmd := c.account.command(context.Background(), c.programs.path("postgres"), c.arguments()...)
	cmd.SysProcAttr.Setsid = true
	cmd.Stdout, cmd.Stderr = log, log // a file: a pipe would die with this process
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("%w: %w", ErrServer, err)
	}
	c.server = &server{exited: make(chan struct{}), from: size}
	go c.server.wait(cmd)
	return nil
}

// wait reaps the postmaster, which would otherwise stay behind as a zombie.
func (s *server) wait(cmd *exec.Cmd) {
	s.err = cmd.Wait()
	close(s.exited)
}

// running tells whether this process's postmaster is alive; a nil server is not.
func (s *server) running() bool {
	if s == nil {
		return false
	}
	select {
	case <-s.exited:
		return false
	default:
		return true
	}
}

// clearStale removes the pid files of a killed server when their number now
// belongs to some other program: PostgreSQL would take that one for itself and
// never start again. It knows a postmaster by the folder it works in, where the
// system tells (Linux), and leaves the files alone otherwise.
func (c *Cluster) clearStale() {
	text, err := os.ReadFile(filepath.Join(c.data, "postmaster.pid"))
	if err != nil {
		return
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil || pid <= 0 || syscall.Kill(pid, 0) != nil {
		return // a dead number: PostgreSQL sees that itself
	}
	works, err := os.Readlink(filepath.Join("/proc", first, "cwd"))
	if err != nil || works == c.data {
		return
	}
	_ = os.Remove(filepath.Join(c.data, "postmaster.pid"))
	_ = os.Remove(socketFile(c.socket) + ".lock")
}

// down stops PostgreSQL if it runs. The caller holds both locks alone.
func (c *Cluster) down(ctx context.Context) error {
	if listening(c.socket) || c.server.running() {
		out, err := c.account.command(ctx, c.programs.path("pg_ctl"), "stop", "-D", c.data,
			"-m", "fast", "-w", "-t", strconv.Itoa(int(stopLimit.Seconds()))).CombinedOutput()
		if err != nil {
			return fmt.Errorf("%w: could not stop it in %s: %s", ErrServer, c.dir, complaint(string(out), err))
		}
	}
	dropSocketDir(c.dir)
	return nil
}
