package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"wetside/jobs/postgres/cluster"
)

// asProgram tells this test binary to be the program itself: a second process
// that can be killed.
const asProgram = "WETSIDE_TEST_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		return
	}
	// The tests start the program without --setup, several at once.
	if err := cluster.Ensure(context.Background(), os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// program is the program running as a process of its own.
type program struct {
	t      *testing.T
	cmd    *exec.Cmd
	url    string
	said   *lockedBuffer // what it printed
	errors *lockedBuffer
	exited chan struct{}
}

// lockedBuffer may be read while a process writes to it.
type lockedBuffer struct {
	mu sync.Mutex
	bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.String()
}

// startWithin is how long the program may take on a busy machine before a test
// gives it up.
const startWithin = 2 * time.Minute

// dataFolder returns an empty folder that the user PostgreSQL runs as can
// reach, too.
func dataFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, open := range []string{dir, filepath.Dir(dir)} {
		if err := os.Chmod(open, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// programCommand is the program with its records in a folder.
func programCommand(ctx context.Context, data string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, os.Args[0], args...)
	cmd.Env = append(os.Environ(), asProgram+"=1", "WETSIDE_DATA="+data, databaseURL+"=")
	return cmd
}

var addressLine = regexp.MustCompile(`open: (http://\S+)`)

// start runs a serving command and returns when it says where it listens and
// its health is good.
func start(t *testing.T, data string, args ...string) *program {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), startWithin)
	defer cancel()
	p := &program{t: t, cmd: programCommand(context.Background(), data, args...), said: &lockedBuffer{}, errors: &lockedBuffer{}, exited: make(chan struct{})}
	p.cmd.Stderr = p.errors
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	stop := context.AfterFunc(ctx, func() { _ = p.cmd.Process.Kill() })
	defer stop()
	t.Cleanup(p.stop)
	lines := bufio.NewScanner(io.TeeReader(out, p.said))
	for p.url == "" && lines.Scan() {
		if found := addressLine.FindStringSubmatch(lines.Text()); found != nil {
			p.url = found[1]
		}
	}
	go func() {
		for lines.Scan() {
		}
		_ = p.cmd.Wait() // the tests look at what it did, not at how it was killed
		close(p.exited)
	}()
	if p.url == "" {
		<-p.exited
		t.Fatalf("wetside %s did not start:\n%s", strings.Join(args, " "), p.errors)
	}
	p.get("/healthz")
	return p
}

// get fetches a page that must be there.
func (p *program) get(path string) string {
	p.t.Helper()
	response, err := http.Get(p.url + path)
	if err != nil {
		p.t.Fatalf("%v\n%s", err, p.errors)
	}
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	if err != nil || response.StatusCode != http.StatusOK {
		p.t.Fatalf("GET %s: %s, %v", path, response.Status, err)
	}
	return string(body)
}

// stop asks the program to end and waits until it has.
func (p *program) stop() {
	_ = p.cmd.Process.Signal(syscall.SIGTERM) // it may have ended already
	<-p.exited
}

// kill ends the program with no chance to do anything.
func (p *program) kill() {
	p.t.Helper()
	if err := p.cmd.Process.Kill(); err != nil {
		p.t.Fatal(err)
	}
	<-p.exited
}
