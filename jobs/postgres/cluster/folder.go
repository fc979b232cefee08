package cluster

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
)

// DefaultDir returns the data folder called name: in WETSIDE_DATA when that is
// set, in /var/lib/wetside for root, and in the user's state folder otherwise.
func DefaultDir(name string) (string, error) {
	if dir := os.Getenv("WETSIDE_DATA"); dir != "" {
		return filepath.Join(dir, name), nil
	}
	if os.Geteuid() == 0 {
		// Not root's home: PostgreSQL runs as another user, who cannot look inside.
		return filepath.Join("/var/lib/wetside", name), nil
	}
	if dir := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "wetside", name), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("%w: this user has no home folder: set WETSIDE_DATA to a folder for the records", ErrFolder)
	}
	if runtime.GOOS == "darwin" {
		return filepath.Join(home, "Library", "Application Support", "Wetside", name), nil
	}
	return filepath.Join(home, ".local", "state", "wetside", name), nil
}

// refused are the characters that PostgreSQL's own programs, which pass folder
// names through a shell and through lists, do not take safely.
const refused = "'\"`\\,$"

// checkName refuses a folder whose name PostgreSQL could misread.
func checkName(dir string) error {
	for _, r := range dir {
		if r < ' ' || strings.ContainsRune(refused, r) {
			return fmt.Errorf("%w: the name %q contains %q; quotes, commas, backslashes, dollar signs and control characters are not allowed: choose another with WETSIDE_DATA", ErrFolder, dir, r)
		}
	}
	return nil
}

// prepareDir makes the data folder and returns its one true name, so that two
// processes that name it differently still meet.
func prepareDir(dir string) (string, error) {
	if dir == "" {
		return "", fmt.Errorf("%w: no folder named", ErrFolder)
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", unusable(dir, err)
	}
	if err := checkName(dir); err != nil {
		return "", err
	}
	if err := makeDirs(dir); err != nil {
		return "", unusable(dir, err)
	}
	if dir, err = filepath.EvalSymlinks(dir); err != nil {
		return "", unusable(dir, err)
	}
	return dir, checkName(dir)
}

// makeDirs makes dir and its missing parents. Those made by root stay open to
// pass through, whatever the umask: PostgreSQL runs as another user. What is
// private inside has a closed folder of its own.
func makeDirs(dir string) error {
	info, err := os.Stat(dir)
	if err == nil {
		if !info.IsDir() {
			return syscall.ENOTDIR
		}
		return nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := makeDirs(filepath.Dir(dir)); err != nil {
		return err
	}
	mode := fs.FileMode(0o700)
	if os.Geteuid() == 0 {
		mode = 0o755
	}
	if err := os.Mkdir(dir, mode); errors.Is(err, fs.ErrExist) {
		return nil // another process was faster
	} else if err != nil {
		return err
	}
	return os.Chmod(dir, mode)
}

// openOwn opens a file of ours in the data folder, making it when missing. A file
// that root makes in somebody's folder is given to that somebody, so that they can
// open it too. Links are not followed: root must not be led elsewhere.
func openOwn(path string, flag int) (*os.File, error) {
	dir := filepath.Dir(path)
	f, err := os.OpenFile(path, flag|os.O_CREATE|os.O_EXCL|syscall.O_NOFOLLOW, 0o600)
	if errors.Is(err, fs.ErrExist) {
		f, err = os.OpenFile(path, flag|syscall.O_NOFOLLOW, 0o600)
		if err != nil {
			return nil, unusable(dir, err)
		}
		return f, nil
	}
	if err != nil {
		return nil, unusable(dir, err)
	}
	if os.Geteuid() == 0 {
		uid, gid, err := ownerOf(dir)
		if err == nil {
			err = f.Chown(int(uid), int(gid))
		}
		if err != nil {
			return nil, errors.Join(unusable(dir, err), f.Close())
		}
	}
	return f, nil
}

// ownerOf returns who owns the file or folder itself, not what a link points to.
func ownerOf(path string) (uid, gid uint32, err error) {
	info, err := os.Lstat(path)
	if err != nil {
		return 0, 0, err
	}
	stat := info.Sys().(*syscall.Stat_t)
	return stat.Uid, stat.Gid, nil
}

// unusable says in one line why the data folder cannot be used.
func unusable(dir string, err error) error {
	cause := err
	var path *fs.PathError
	if errors.As(err, &path) && path.Path != dir {
		cause = fmt.Errorf("%s: %w", path.Path, path.Err)
	} else if errors.As(err, &path) {
		cause = path.Err
	}
	return fmt.Errorf("%w: %s: %w; make it writable for this user, or choose another folder with WETSIDE_DATA", ErrFolder, dir, cause)
}
