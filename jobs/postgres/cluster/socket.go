package cluster

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
)

// socketPort is only part of the socket's name: nothing listens on a network.
const socketPort = "5432"

// socketLimit is the longest socket path in bytes that every system takes: 107
// on Linux, 103 on a Mac.
const socketLimit = 103

// shortTemp holds the socket when the data folder's own path is too long for one.
// Not TMPDIR: that may itself be too long, or be another user's.
const shortTemp = "/tmp"

func socketFile(dir string) string { return filepath.Join(dir, ".s.PGSQL."+socketPort) }

// socketDir makes and returns the closed folder of the socket: "socket" in the
// data folder, or where the link of that name leads when the path would be too
// long. A second process finds the first by the same link.
func socketDir(dir string, a account) (string, error) {
	path := filepath.Join(dir, "socket")
	target, err := os.Readlink(path)
	if err == nil && isClosed(target, a) == nil {
		return target, nil
	}
	if err == nil { // led to a folder that is gone or not ours
		if err := os.Remove(path); err != nil {
			return "", unusable(dir, err)
		}
	}
	if len(socketFile(path)) > socketLimit {
		return linkedSocketDir(path, a)
	}
	if err := os.Mkdir(path, 0o700); errors.Is(err, fs.ErrExist) {
		return path, isClosed(path, a)
	} else if err != nil {
		return "", unusable(dir, err)
	}
	if err := a.give(path); err != nil {
		return "", unusable(dir, err)
	}
	return path, nil
}

// linkedSocketDir makes a short folder and the link to it.
func linkedSocketDir(link string, a account) (string, error) {
	target, err := os.MkdirTemp(shortTemp, "wetside-")
	if err != nil {
		return "", unusable(shortTemp, err)
	}
	if err := a.give(target); err != nil {
		return "", errors.Join(unusable(target, err), os.Remove(target))
	}
	if err := os.Symlink(target, link); err != nil {
		return "", errors.Join(unusable(filepath.Dir(link), err), os.Remove(target))
	}
	return target, nil
}

// dropSocketDir removes the short folder and its link once nobody needs them.
func dropSocketDir(dir string) {
	link := filepath.Join(dir, "socket")
	target, err := os.Readlink(link)
	if err != nil {
		return // the socket is in the data folder
	}
	// A killed server's socket keeps the folder, and the link, for the next start.
	if os.Remove(target) == nil {
		_ = os.Remove(link)
	}
}

// isClosed checks that nobody but the account can put a socket into the folder:
// everyone is trusted who can reach the real one.
func isClosed(dir string, a account) error {
	info, err := os.Lstat(dir)
	if err != nil {
		return unusable(dir, err)
	}
	uid, _, err := ownerOf(dir)
	if err != nil {
		return unusable(dir, err)
	}
	if !info.IsDir() || uid != a.uid || info.Mode().Perm()&0o077 != 0 {
		return fmt.Errorf("%w: %s is not a folder that only the user %d can enter, as PostgreSQL's socket needs: remove it", ErrFolder, dir, a.uid)
	}
	return nil
}

// listening tells whether anything answers on the socket. The pid file is not
// asked: it outlives a killed server and its number may be somebody else's by now.
func listening(dir string) bool {
	conn, err := net.Dial("unix", socketFile(dir))
	if err != nil {
		return false
	}
	_ = conn.Close()
	return true
}
