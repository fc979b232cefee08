package cluster

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func TestFirstStart(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(folder(t), "Naßlabor (2) & söhne; #1 %d=x", "lab") // odd but allowed
	var log record
	c := open(t, Config{Dir: dir, Durable: true, Log: &log})
	if !strings.Contains(log.String(), "Making a private PostgreSQL") {
		t.Errorf("the log does not say what is made: %q", log.String())
	}
	for statement, want := range map[string]string{
		"show listen_addresses":     "",
		"show fsync":                "on",
		"show synchronous_commit":   "on",
		"show full_page_writes":     "on",
		"show server_encoding":      "UTF8",
		"show timezone":             "UTC",
		"select current_database()": Database,
		"select current_user::text": Role,
	} {
		if got := ask1(t, c, statement); got != want {
			t.Errorf("%s: %q, want %q", statement, got, want)
		}
	}
	for _, name := range []string{"data", "socket"} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("%s is open to others: %v, %v", name, info, err)
		}
	}
	keep(t, c)
	shut(t, c)
	if err := c.Close(); err != nil {
		t.Errorf("closing twice: %v", err)
	}
	if listening(c.socket) {
		t.Error("it still listens after its last user left")
	}
	checkKept(t, open(t, Config{Dir: dir, Durable: true}))
}

func TestForTestsOnly(t *testing.T) {
	t.Parallel()
	dir := made(t)
	c := open(t, Config{Dir: dir})
	if got := ask1(t, c, "show fsync"); got != "off" {
		t.Errorf("fsync is %s in a cluster for tests", got)
	}
	if _, err := Open(t.Context(), Config{Dir: dir, Durable: true}); !errors.Is(err, ErrServer) {
		t.Errorf("a cluster without fsync served one who needs it: %v", err)
	}
	if got := ask1(t, c, "show fsync"); got != "off" {
		t.Errorf("the refused one stopped the server of others")
	}
}

func TestSecondProcessShares(t *testing.T) {
	t.Parallel()
	dir := made(t)
	first := startChild(t, dir)
	first.opened(t)
	c := open(t, Config{Dir: dir})
	pid := serverPid(t, dir)
	second := startChild(t, dir)
	second.opened(t)
	first.leave(t)
	if !listening(c.socket) {
		t.Fatal("the one who started it took it along although others use it")
	}
	shut(t, c)
	if !listening(c.socket) || serverPid(t, dir) != pid {
		t.Fatal("leaving stopped or replaced what another still uses")
	}
	second.leave(t)
	if listening(c.socket) {
		t.Error("the last one out did not stop it")
	}
}

func TestManyStartAtOnce(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(folder(t), "new")
	var all []*child
	for range 4 {
		all = append(all, startChild(t, dir))
	}
	for _, p := range all {
		p.opened(t)
	}
	for _, p := range all {
		p.leave(t)
	}
	if listening(filepath.Join(dir, "socket")) {
		t.Error("the last one out did not stop it")
	}
}

func TestWaitingEndsWithContext(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	busy, err := openOwn(filepath.Join(dir, "boot.lock"), os.O_RDWR)
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	if !tryFlock(busy, syscall.LOCK_EX) {
		t.Fatal("the lock is not free")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Open(ctx, Config{Dir: dir}); !errors.Is(err, context.Canceled) {
		t.Errorf("waiting for another process ended with %v, want %v", err, context.Canceled)
	}
	_, err = os.Stat(filepath.Join(dir, "data"))
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("it did not keep off: %v", err)
	}
}
