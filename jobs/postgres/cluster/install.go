package cluster

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"time"
)

// aptScript installs the server programs on Debian and its kin. Where PostgreSQL's
// server package has never been, it first tells it to make no cluster of its own:
// nobody asked for a second server on the network port. Existing ones are not touched.
const aptScript = `set -e
export DEBIAN_FRONTEND=noninteractive
apt-get update -qq
if [ ! -e /etc/postgresql-common/createcluster.conf ]; then
	mkdir -p /etc/postgresql-common
	echo 'create_main_cluster = false' >/etc/postgresql-common/createcluster.conf
fi
apt-get install -y -qq -o Dpkg::Use-Pty=0 --no-install-recommends -o DPkg::Lock::Timeout=120 -o Dpkg::Options::=--force-confold postgresql
`

// manager is a way to install the server programs.
type manager struct {
	program string
	command []string
	root    bool // needs root, by sudo if need be
	says    string
}

var managers = []manager{
	{"apt-get", []string{"sh", "-c", aptScript}, true, "apt-get install postgresql"},
	{"dnf", []string{"dnf", "install", "-y", "postgresql-server"}, true, "dnf install postgresql-server"},
	{"brew", []string{"brew", "install", "postgresql@17"}, false, "brew install postgresql@17"},
}

// Ensure installs the server programs unless the machine has them. Processes
// of one user that ask at once take turns, because package managers do not.
func Ensure(ctx context.Context, out io.Writer) error {
	name := filepath.Join(os.TempDir(), fmt.Sprintf("wetside-install-%d.lock", os.Geteuid()))
	turn, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrInstall, err)
	}
	defer turn.Close() // gives the lock back
	if err := flock(ctx, turn, syscall.LOCK_EX); err != nil {
		return fmt.Errorf("%w: another process is still installing: %w", ErrInstall, err)
	}
	if _, err := installed(ctx); !errors.Is(err, ErrNoServer) {
		return err
	}
	return Install(ctx, out)
}

// Install installs PostgreSQL's server programs through the machine's package
// manager (apt-get, dnf or brew), by sudo where root is needed, and says on out
// what it does. Errors wrap ErrInstall.
func Install(ctx context.Context, out io.Writer) error {
	for _, m := range managers {
		if m.program == "apt-get" && runtime.GOOS == "darwin" {
			continue // a Mac's apt-get is another program
		}
		if _, err := exec.LookPath(m.program); err == nil {
			return m.install(ctx, out)
		}
	}
	return fmt.Errorf("%w: none of apt-get, dnf and brew is on this machine: install the server programs by hand and name their folder in WETSIDE_PG_BIN, or set WETSIDE_DATABASE_URL", ErrInstall)
}

func (m manager) install(ctx context.Context, out io.Writer) error {
	command := m.command
	says := m.says
	if m.root && os.Geteuid() != 0 {
		if _, err := exec.LookPath("sudo"); err != nil {
			return fmt.Errorf("%w: that needs root and there is no sudo: run this as root: %s", ErrInstall, m.says)
		}
		command = append([]string{"sudo"}, command...)
		says = "sudo " + says
	}
	if !m.root && os.Geteuid() == 0 {
		return fmt.Errorf("%w: %s refuses to run as root: run this as an ordinary user: %s", ErrInstall, m.program, m.says)
	}
	fmt.Fprintf(out, "Installing PostgreSQL's server programs: %s\n", says)
	cmd := exec.CommandContext(ctx, command[0], command[1:]...)
	cmd.Stdin = os.Stdin // for sudo's password
	cmd.Stdout, cmd.Stderr = out, out
	// Cut short, a package manager wants to tidy up.
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	cmd.WaitDelay = time.Minute
	// A service that the packages start may keep the output open: not our worry.
	if err := cmd.Run(); err != nil && !errors.Is(err, exec.ErrWaitDelay) {
		return fmt.Errorf("%w: %s: %w; try it by hand, or set WETSIDE_DATABASE_URL", ErrInstall, says, err)
	}
	return nil
}
