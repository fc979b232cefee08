package cluster

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func TestDefaultDir(t *testing.T) {
	state := map[string]string{"linux": ".local/state/wetside", "darwin": "Library/Application Support/Wetside"}[runtime.GOOS]
	tests := []struct{ data, xdg, user, root string }{
		{"", "", filepath.Join("/home/ada", state, "demo"), "/var/lib/wetside/demo"},
		{"", "/state", "/state/wetside/demo", "/var/lib/wetside/demo"},
		{"", "not/absolute", filepath.Join("/home/ada", state, "demo"), "/var/lib/wetside/demo"},
		{"/srv/film", "/state", "/srv/film/demo", "/srv/film/demo"},
	}
	for _, test := range tests {
		t.Setenv("HOME", "/home/ada")
		t.Setenv("WETSIDE_DATA", test.data)
		t.Setenv("XDG_STATE_HOME", test.xdg)
		want := test.user
		if os.Geteuid() == 0 {
			want = test.root
		}
		if got, err := DefaultDir("demo"); err != nil || got != want {
			t.Errorf("with WETSIDE_DATA=%q XDG_STATE_HOME=%q: %q, %v; want %q", test.data, test.xdg, got, err, want)
		}
	}
	if os.Geteuid() != 0 {
		t.Setenv("WETSIDE_DATA", "")
		t.Setenv("XDG_STATE_HOME", "")
		t.Setenv("HOME", "")
		if _, err := DefaultDir("demo"); !errors.Is(err, ErrFolder) {
			t.Errorf("without a home: %v, want %v", err, ErrFolder)
		}
	}
}

func TestRefusedNames(t *testing.T) {
	t.Parallel()
	base := folder(t)
	for _, name := range []string{"o'clock", `in"quotes`, "a,b", `back\slash`, "$HOME", "`id`", "two\nlines"} {
		dir := filepath.Join(base, name)
		if _, err := Open(t.Context(), Config{Dir: dir}); !errors.Is(err, ErrFolder) || !strings.Contains(err.Error(), "not allowed") {
			t.Errorf("%q: got %v, want a refusal", name, err)
		}
		if _, err := os.Lstat(dir); err == nil {
			t.Errorf("%q was made all the same", name)
		}
	}
	if err := os.Mkdir(filepath.Join(base, "a,b"), 0o755); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(base, "link")
	if err := os.Symlink(filepath.Join(base, "a,b"), link); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), Config{Dir: link}); !errors.Is(err, ErrFolder) {
		t.Errorf("a link to a refused name: got %v, want a refusal", err)
	}
	if _, err := Open(t.Context(), Config{}); !errors.Is(err, ErrFolder) {
		t.Errorf("no folder: got %v, want a refusal", err)
	}
}

func TestUnusableFolder(t *testing.T) {
	t.Parallel()
	base := folder(t)
	file := filepath.Join(base, "file")
	closed := filepath.Join(base, "closed")
	if err := errors.Join(os.WriteFile(file, nil, 0o600), os.Mkdir(closed, 0o700)); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(closed, "lab"), 0o755); err != nil {
		t.Fatal(err)
	}
	inside := filepath.Join(closed, "lab")
	if os.Geteuid() != 0 {
		inside = closed // root writes everywhere; a user needs the permission
		if err := os.Chmod(closed, 0o500); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(closed, 0o700) }) // so that it can be removed
	}
	for dir, want := range map[string]string{
		file:                       file,
		filepath.Join(file, "lab"): file,
		inside:                     closed,
	} {
		_, err := Open(t.Context(), Config{Dir: dir})
		if !errors.Is(err, ErrFolder) || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "WETSIDE_DATA") {
			t.Errorf("%s: got %v, want one that names %s and the way out", dir, err, want)
		}
	}
}

func TestForeignFilesAreLeftAlone(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	data := filepath.Join(dir, "data")
	precious := filepath.Join(data, "precious")
	if err := errors.Join(os.Mkdir(data, 0o700), os.WriteFile(precious, []byte("scans"), 0o600)); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), Config{Dir: dir}); !errors.Is(err, ErrFolder) {
		t.Errorf("got %v, want a refusal", err)
	}
	if text, err := os.ReadFile(precious); string(text) != "scans" {
		t.Errorf("the file in the way is gone: %v", err)
	}
	if err := os.Remove(precious); err != nil {
		t.Fatal(err)
	}
	keep(t, open(t, Config{Dir: dir})) // an empty folder is no records
}

func TestLongPath(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(folder(t), strings.Repeat("long", 30))
	c := open(t, Config{Dir: dir})
	keep(t, c)
	short := c.socket
	if len(socketFile(short)) > socketLimit {
		t.Errorf("the socket's path %s has %d bytes", short, len(socketFile(short)))
	}
	second := startChild(t, dir)
	second.opened(t)
	shut(t, c)
	second.leave(t)
	if _, err := os.Lstat(short); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the short folder %s stayed behind: %v", short, err)
	}
	// A restart of the machine empties /tmp and may leave the link.
	if err := os.Symlink(short, filepath.Join(dir, "socket")); err != nil {
		t.Fatal(err)
	}
	checkKept(t, open(t, Config{Dir: dir}))
}

// TestSocketFolderOfOthers puts a folder that others can enter where the socket
// would be.
func TestSocketFolderOfOthers(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	socket := filepath.Join(dir, "socket")
	if err := errors.Join(os.Mkdir(socket, 0o700), os.Chmod(socket, 0o777)); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), Config{Dir: dir}); !errors.Is(err, ErrFolder) || !strings.Contains(err.Error(), socket) {
		t.Errorf("got %v, want a refusal that names %s", err, socket)
	}
}
