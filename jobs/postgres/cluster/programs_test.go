package cluster

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestOtherVersionIsRefused(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	data := filepath.Join(dir, "data")
	version := filepath.Join(data, "PG_VERSION")
	if err := errors.Join(os.Mkdir(data, 0o700), os.WriteFile(version, []byte("9.6\n"), 0o600)); err != nil {
		t.Fatal(err)
	}
	found, err := installed(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), Config{Dir: dir})
	if !errors.Is(err, ErrVersion) {
		t.Fatalf("got %v, want %v", err, ErrVersion)
	}
	for _, part := range []string{"PostgreSQL 9,", describe(found), "WETSIDE_PG_BIN", "pg_upgrade", "WETSIDE_DATABASE_URL"} {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q does not say %q", err, part)
		}
	}
	if text, err := os.ReadFile(version); string(text) != "9.6\n" {
		t.Errorf("the records were touched: %q, %v", text, err)
	}
	if err := os.WriteFile(version, []byte("nonsense"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err = Open(t.Context(), Config{Dir: dir}); !errors.Is(err, ErrFolder) {
		t.Errorf("an unreadable version: got %v, want %v", err, ErrFolder)
	}
}

// fake puts a program that says it is the version into a folder.
func fake(t *testing.T, dir, version string) {
	t.Helper()
	for _, name := range []string{"initdb", "postgres", "pg_ctl"} {
		script := "#!/bin/sh\necho \"" + name + " (PostgreSQL) " + version + "\"\n"
		if err := errors.Join(os.MkdirAll(dir, 0o755), os.WriteFile(filepath.Join(dir, name), []byte(script), 0o755)); err != nil {
			t.Fatal(err)
		}
	}
}

// onlyIn makes a folder's programs the only ones that can be found.
func onlyIn(t *testing.T, dir string) {
	t.Helper()
	before := places
	t.Cleanup(func() { places = before })
	places = []string{filepath.Join(dir, "*", "bin")}
	t.Setenv("WETSIDE_PG_BIN", "")
	t.Setenv("PATH", dir)
}

func TestFindingPrograms(t *testing.T) {
	dir := folder(t)
	onlyIn(t, dir)
	for _, version := range []string{"13.9", "15.2 (Debian 15.2-1)", "18beta1", "9.6.24"} {
		fake(t, filepath.Join(dir, version, "bin"), version)
	}
	if err := os.MkdirAll(filepath.Join(dir, "empty", "bin"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(dir, "18beta1"), filepath.Join(dir, "default")); err != nil {
		t.Fatal(err)
	}
	found, err := installed(t.Context())
	if err != nil || len(found) != 2 || found[0].major != 18 || found[1].major != 15 {
		t.Fatalf("found %s, %v; want 18 before 15, each once, and nothing older than %d", describe(found), err, oldest)
	}
	made := filepath.Join(dir, "data")
	if err := errors.Join(os.Mkdir(made, 0o700), os.WriteFile(filepath.Join(made, "PG_VERSION"), []byte("15\n"), 0o600)); err != nil {
		t.Fatal(err)
	}
	p, err := (&Cluster{data: made}).findPrograms(t.Context(), false)
	if err != nil || p.major != 15 {
		t.Errorf("for records of 15 it picks %d, %v", p.major, err)
	}
	t.Setenv("WETSIDE_PG_BIN", filepath.Join(dir, "18beta1", "bin"))
	if found, err = installed(t.Context()); err != nil || len(found) != 1 || found[0].major != 18 {
		t.Errorf("WETSIDE_PG_BIN names 18, found %s, %v", describe(found), err)
	}
	t.Setenv("WETSIDE_PG_BIN", filepath.Join(dir, "13.9", "bin"))
	if _, err = installed(t.Context()); !errors.Is(err, ErrNoServer) || !strings.Contains(err.Error(), "13") {
		t.Errorf("WETSIDE_PG_BIN names 13: got %v, want a refusal", err)
	}
}

func TestNoPrograms(t *testing.T) {
	dir := folder(t)
	onlyIn(t, dir)
	_, err := Open(t.Context(), Config{Dir: filepath.Join(dir, "lab")})
	if !errors.Is(err, ErrNoServer) {
		t.Fatalf("got %v, want %v", err, ErrNoServer)
	}
	for _, way := range []string{"apt-get install postgresql", "brew install postgresql@17", "--setup", "WETSIDE_PG_BIN", "WETSIDE_DATABASE_URL"} {
		if !strings.Contains(err.Error(), way) {
			t.Errorf("%q does not name the way out %q", err, way)
		}
	}
	t.Setenv("WETSIDE_PG_BIN", filepath.Join(dir, "nowhere"))
	if _, err = Open(t.Context(), Config{Dir: filepath.Join(dir, "lab")}); !errors.Is(err, ErrNoServer) || !strings.Contains(err.Error(), "nowhere") {
		t.Errorf("a wrong WETSIDE_PG_BIN: got %v, want %v", err, ErrNoServer)
	}
}

func TestInstall(t *testing.T) {
	dir := folder(t)
	onlyIn(t, dir)
	script := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+text+"\n"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	var out record
	if err := Install(t.Context(), &out); !errors.Is(err, ErrInstall) || !strings.Contains(err.Error(), "WETSIDE_DATABASE_URL") {
		t.Errorf("without a package manager: got %v", err)
	}
	// The programs of the machine are played by scripts that say how they were called.
	script("dnf", `echo dnf "$@"`)
	if os.Geteuid() != 0 {
		if err := Install(t.Context(), &out); !errors.Is(err, ErrInstall) || !strings.Contains(err.Error(), "as root: dnf install postgresql-server") {
			t.Errorf("a user without sudo: got %v", err)
		}
		script("sudo", `echo as root; "$@"`)
	}
	if err := Install(t.Context(), &out); err != nil {
		t.Fatal(err)
	}
	said := out.String()
	if !strings.Contains(said, "Installing PostgreSQL's server programs: ") || !strings.Contains(said, "dnf install -y postgresql-server") {
		t.Errorf("it said %q", said)
	}
	if got := strings.Contains(said, "as root"); got != (os.Geteuid() != 0) {
		t.Errorf("went through sudo: %v; it said %q", got, said)
	}
	script("dnf", `echo no network; exit 3`)
	if err := Install(t.Context(), &out); !errors.Is(err, ErrInstall) || !strings.Contains(out.String(), "no network") {
		t.Errorf("a failing package manager: got %v, said %q", err, out.String())
	}
	// With setup, what was installed is then used.
	script("dnf", `/bin/mkdir -p `+dir+`/17/bin; for p in initdb postgres pg_ctl; do printf '#!/bin/sh\necho 17.1\n' >`+dir+`/17/bin/$p; /bin/chmod +x `+dir+`/17/bin/$p; done`)
	p, err := (&Cluster{data: filepath.Join(dir, "data"), log: &out}).findPrograms(t.Context(), true)
	if err != nil || p.major != 17 {
		t.Errorf("after setup it found %d, %v", p.major, err)
	}
}
