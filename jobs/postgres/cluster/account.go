package cluster

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// account is who PostgreSQL runs as. It refuses to run as root.
type account struct {
	uid, gid uint32
	drop     bool // this process is root and must step down for PostgreSQL
}

// runAs decides who PostgreSQL runs as: an ordinary user as itself; root as
// whoever owns the records already, else the folder, else postgres or nobody.
func runAs(dir, data string) (account, error) {
	if os.Geteuid() != 0 {
		return account{uid: uint32(os.Geteuid()), gid: uint32(os.Getegid())}, nil
	}
	records := filepath.Join(data, "PG_VERSION")
	for _, path := range []string{records, dir} {
		uid, gid, err := ownerOf(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return account{}, unusable(dir, err)
		}
		if uid == 0 && path == records {
			return account{}, fmt.Errorf("%w: %s belongs to root, as whom PostgreSQL refuses to run: give it to the user it should run as (chown -R)", ErrFolder, data)
		}
		if uid == 0 {
			continue
		}
		if a, err := stepDownTo(user.LookupId(fmt.Sprint(uid))); err == nil {
			return a, nil
		}
		// The server does without a name for its user; initdb, for a new folder, does not.
		if path == records {
			return account{uid: uid, gid: gid, drop: true}, nil
		}
	}
	for _, name := range []string{"postgres", "nobody"} {
		if a, err := stepDownTo(user.Lookup(name)); err == nil {
			return a, nil
		}
	}
	return account{}, fmt.Errorf("%w: PostgreSQL refuses to run as root and this machine has neither a user postgres nor nobody: run as an ordinary user", ErrServer)
}

// stepDownTo makes the account for root to run PostgreSQL as from what a lookup found.
func stepDownTo(u *user.User, err error) (account, error) {
	if err != nil {
		return account{}, err
	}
	uid, err1 := strconv.ParseUint(u.Uid, 10, 32)
	gid, err2 := strconv.ParseUint(u.Gid, 10, 32)
	return account{uid: uint32(uid), gid: uint32(gid), drop: true}, errors.Join(err1, err2)
}

// command prepares a PostgreSQL program to run as the account, away from any
// folder that may vanish, and deaf to settings meant for other PostgreSQLs.
func (a account) command(ctx context.Context, program string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, program, args...)
	cmd.Dir = "/"
	cmd.SysProcAttr = &syscall.SysProcAttr{}
	if a.drop {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: a.uid, Gid: a.gid}
	}
	cmd.Env = []string{"LC_ALL=C"} // English messages, whatever the machine speaks
	for _, pair := range os.Environ() {
		if !strings.HasPrefix(pair, "PG") && !strings.HasPrefix(pair, "LC_") && !strings.HasPrefix(pair, "LANG") {
			cmd.Env = append(cmd.Env, pair)
		}
	}
	return cmd
}

// give hands a file or folder that this process made to the account.
func (a account) give(path string) error {
	if !a.drop {
		return nil
	}
	return os.Lchown(path, int(a.uid), int(a.gid))
}

// reaches checks that the account may enter dir, and names the first parent that
// stops it. The kernel is asked rather than the permission bits read, because
// groups and access lists count too.
func (a account) reaches(ctx context.Context, p programs, dir string) error {
	if !a.drop || a.enters(ctx, p, dir) == nil {
		return nil
	}
	blocked := dir
	for at := dir; at != "/"; at = filepath.Dir(at) {
		if a.enters(ctx, p, at) != nil {
			blocked = at
		}
	}
	who := fmt.Sprint(a.uid)
	if u, err := user.LookupId(who); err == nil {
		who = u.Username
	}
	return fmt.Errorf("%w: PostgreSQL runs as user %s, who may not enter %s: open it (chmod o+x %s) or choose another folder with WETSIDE_DATA", ErrFolder, who, blocked, blocked)
}

// enters tries a harmless program as the account inside the folder.
func (a account) enters(ctx context.Context, p programs, dir string) error {
	cmd := a.command(ctx, p.path("pg_ctl"), "--version")
	cmd.Dir = dir
	return cmd.Run()
}
