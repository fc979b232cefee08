package cluster

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func TestParentKilled(t *testing.T) {
	t.Parallel()
	dir := made(t)
	p := startChild(t, dir)
	p.opened(t)
	pid := serverPid(t, dir)
	if group, err := syscall.Getpgid(pid); err != nil || group != pid {
		t.Errorf("the server is in the group %d of its parent, whom Ctrl-C stops: %v", group, err)
	}
	p.kill(t)
	c := open(t, Config{Dir: dir})
	if serverPid(t, dir) != pid {
		t.Error("the server did not outlive its killed parent")
	}
	shut(t, c)
	if listening(c.socket) {
		t.Error("the one who attached after the kill did not stop it")
	}
}

func TestServerKilledIsStartedAgain(t *testing.T) {
	t.Parallel()
	dir := made(t)
	var log record
	c := open(t, Config{Dir: dir, Durable: true, Log: &log})
	keep(t, c)
	pid := serverPid(t, dir)
	killServer(t, dir)
	eventually(t, "the server is started again", func() bool {
		return c.ask(t.Context()) == answers && serverPid(t, dir) != pid
	})
	checkKept(t, c)
	if !strings.Contains(log.String(), "starting it again") {
		t.Errorf("the log does not say that the server was gone: %q", log.String())
	}
}

func TestEverythingKilled(t *testing.T) {
	t.Parallel()
	dir := made(t)
	p := startChild(t, dir, asChild+"_DURABLE=1")
	p.opened(t)
	c := &Cluster{socket: filepath.Join(dir, "socket")}
	keep(t, c)
	p.kill(t)
	killServer(t, dir)
	checkKept(t, open(t, Config{Dir: dir, Durable: true}))
}

// TestFirstStartKilled kills a first start while initdb is at work.
func TestFirstStartKilled(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	halfMade := func() []string {
		found, err := filepath.Glob(filepath.Join(dir, "data.new-*", "*"))
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	p := startChild(t, dir)
	eventually(t, "initdb begins", func() bool { return len(halfMade()) > 0 })
	p.kill(t)
	if _, err := os.Stat(filepath.Join(dir, "data")); err == nil {
		t.Fatal("the kill came too late to test anything")
	}
	left := filepath.Join(dir, "data.new-1")
	if err := os.Mkdir(left, 0o700); err != nil {
		t.Fatal(err)
	}
	keep(t, open(t, Config{Dir: dir}))
	if _, err := os.Stat(left); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the leavings of an earlier first start are still there: %v", err)
	}
}

// TestPidTaken leaves the pid files of a killed server behind when the number has
// passed to another program of the same user, as after a power cut.
func TestPidTaken(t *testing.T) {
	t.Parallel()
	dir := made(t)
	shut(t, open(t, Config{Dir: dir}))
	other := startChild(t, "none")
	text := fmt.Sprintf("%d\n%s\n1700000000\n5432\n%s\n\n", other.cmd.Process.Pid, filepath.Join(dir, "data"), filepath.Join(dir, "socket"))
	for _, path := range []string{filepath.Join(dir, "data", "postmaster.pid"), socketFile(filepath.Join(dir, "socket")) + ".lock"} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	c := open(t, Config{Dir: dir})
	if got := ask1(t, c, "select 'there'"); got != "there" {
		t.Errorf("it answers %q", got)
	}
	if err := other.cmd.Process.Signal(syscall.Signal(0)); err != nil {
		t.Errorf("the other program was harmed: %v", err)
	}
	other.leave(t)
}

func TestBrokenSettingIsReported(t *testing.T) {
	t.Parallel()
	dir := made(t)
	path := filepath.Join(dir, "data", "postgresql.conf")
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, append(good, "no_such_setting = 1\n"...), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), Config{Dir: dir})
	if !errors.Is(err, ErrServer) || !strings.Contains(err.Error(), "errors") || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v, want one line with what PostgreSQL complains about", err)
	}
	if err := os.WriteFile(path, good, 0o600); err != nil {
		t.Fatal(err)
	}
	open(t, Config{Dir: dir})
}

// TestAsOrdinaryUser runs every other test again as nobody, when it is root who
// tests: PostgreSQL then needs no other user, and folders can be closed to us.
func TestAsOrdinaryUser(t *testing.T) {
	if os.Geteuid() != 0 {
		return // every test here already is that
	}
	t.Parallel()
	base, err := os.MkdirTemp("/tmp", "u") // short: a socket's path has a limit
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(base) })
	nobody, err := stepDownTo(user.Lookup("nobody"))
	if err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile(os.Args[0])
	if err != nil {
		t.Fatal(err)
	}
	binary := filepath.Join(base, "tests") // the original lies where nobody may look
	if err := errors.Join(os.WriteFile(binary, program, 0o755), os.Chmod(base, 0o755), nobody.give(base)); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(binary, "-test.skip=^TestAsOrdinaryUser$", "-test.timeout=8m")
	cmd.Dir = base
	cmd.Env = append(os.Environ(), "TMPDIR="+base, "HOME="+base)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody.uid, Gid: nobody.gid}}
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("as nobody: %v\n%s", err, out)
	}
}
