package cluster

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// asChild holds, in a second process started by a test, the folder it is to open.
const asChild = "WETSIDE_CLUSTER_CHILD"

// TestMain is also the second process of the tests: it opens a cluster, says so,
// and leaves when its input ends. For the folder "none" it only lives until then.
func TestMain(m *testing.M) {
	dir := os.Getenv(asChild)
	if dir == "" {
		if err := Ensure(context.Background(), os.Stderr); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		status := m.Run()
		if example.dir != "" {
			_ = os.RemoveAll(example.dir)
		}
		os.Exit(status)
	}
	if dir == "none" {
		_, _ = io.Copy(io.Discard, os.Stdin)
		os.Exit(0)
	}
	c, err := Open(context.Background(), Config{Dir: dir, Durable: os.Getenv(asChild+"_DURABLE") != ""})
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	fmt.Println("open")
	_, _ = io.Copy(io.Discard, os.Stdin)
	if err := c.Close(); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	os.Exit(0)
}

// child is a second process with the cluster open.
type child struct {
	cmd   *exec.Cmd
	stdin io.Closer
	out   *bufio.Reader
}

func startChild(t *testing.T, dir string, env ...string) *child {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(append(os.Environ(), asChild+"="+dir), env...)
	cmd.Stderr = os.Stderr
	stdin, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() })
	return &child{cmd: cmd, stdin: stdin, out: bufio.NewReader(stdout)}
}

// opened waits until the child has the cluster open.
func (p *child) opened(t *testing.T) {
	t.Helper()
	line, err := p.out.ReadString('\n')
	if line != "open\n" {
		t.Fatalf("the second process says %q, %v", line, err)
	}
}

// leave lets the child close the cluster and end.
func (p *child) leave(t *testing.T) {
	t.Helper()
	if err := p.stdin.Close(); err != nil {
		t.Fatal(err)
	}
	said, err := io.ReadAll(p.out)
	if err := errors.Join(err, p.cmd.Wait()); err != nil {
		t.Fatalf("the second process did not leave well: %s%v", said, err)
	}
}

// kill ends the child with no chance to do anything.
func (p *child) kill(t *testing.T) {
	t.Helper()
	if err := p.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = p.cmd.Wait() // reports the kill
}

// folder returns an empty folder that PostgreSQL's user can reach.
func folder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.Chmod(filepath.Dir(dir), 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// example is a cluster made once for the tests to copy: making one takes longer
// than most of what they look at.
var example struct {
	once sync.Once
	dir  string
	err  error
}

func makeExample() {
	if example.dir, example.err = os.MkdirTemp("", "example"); example.err != nil {
		return
	}
	if example.err = os.Chmod(example.dir, 0o755); example.err != nil {
		return
	}
	c, err := Open(context.Background(), Config{Dir: example.dir})
	if err != nil {
		example.err = err
		return
	}
	example.err = c.Close()
}

// made returns a folder in which an earlier start has made the records.
func made(t *testing.T) string {
	t.Helper()
	example.once.Do(makeExample)
	if example.err != nil {
		t.Fatal(example.err)
	}
	dir := folder(t)
	// cp -a keeps the owner, which is not always who tests.
	if out, err := exec.Command("cp", "-a", filepath.Join(example.dir, "data"), dir).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return dir
}

// open opens a cluster and leaves it when the test ends.
func open(t *testing.T, cfg Config) *Cluster {
	t.Helper()
	c, err := Open(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.Close(); err != nil {
			t.Error(err)
		}
	})
	return c
}

func shut(t *testing.T, c *Cluster) {
	t.Helper()
	if err := c.Close(); err != nil {
		t.Fatal(err)
	}
}

// ask1 runs a statement on a connection of its own and returns its one text value.
func ask1(t *testing.T, c *Cluster, statement string) string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), c.DSN(Database))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	var value string
	if err := conn.QueryRow(t.Context(), statement).Scan(&value); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
	return value
}

// keep commits a row, and checkKept reads it back.
func keep(t *testing.T, c *Cluster) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), c.DSN(Database))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	if _, err := conn.Exec(t.Context(), "create table kept (roll text); insert into kept values ('K-1')"); err != nil {
		t.Fatal(err)
	}
}

func checkKept(t *testing.T, c *Cluster) {
	t.Helper()
	if got := ask1(t, c, "select string_agg(roll, ',') from kept"); got != "K-1" {
		t.Errorf("the acknowledged row reads %q, want K-1", got)
	}
}

// serverPid reads the number of the running postmaster.
func serverPid(t *testing.T, dir string) int {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "data", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil {
		t.Fatal(err)
	}
	return pid
}

func killServer(t *testing.T, dir string) {
	t.Helper()
	if err := syscall.Kill(serverPid(t, dir), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
}

// eventually waits until the condition holds.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	limit := time.After(time.Minute)
	for !holds() {
		select {
		case <-tick.C:
		case <-limit:
			t.Fatalf("waited in vain: %s", what)
		}
	}
}

// record is a log that a test reads while the cluster writes to it.
type record struct {
	mutex sync.Mutex
	text  strings.Builder
}

func (r *record) Write(p []byte) (int, error) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	return r.text.Write(p)
}

func (r *record) String() string {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	return r.text.String()
}
