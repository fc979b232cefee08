package cluster

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// oldest is the first PostgreSQL release that Wetside works with.
const oldest = 14

// programs is one installation of PostgreSQL's server programs.
type programs struct {
	dir   string
	major int
}

func (p programs) path(name string) string { return filepath.Join(p.dir, name) }

// places are where package managers put the server programs, which they mostly
// keep out of PATH.
var places = []string{
	"/usr/lib/postgresql/*/bin",
	"/usr/pgsql-*/bin",
	"/usr/libexec/postgresql*",
	"/opt/homebrew/opt/postgresql@*/bin",
	"/usr/local/opt/postgresql@*/bin",
	"/home/linuxbrew/.linuxbrew/opt/postgresql@*/bin",
	"/Applications/Postgres.app/Contents/Versions/*/bin",
	"/usr/local/pgsql/bin",
}

// findPrograms picks the server programs for the records: of the version that
// made them, or the newest when there are none yet.
func (c *Cluster) findPrograms(ctx context.Context, setup bool) (programs, error) {
	made, err := dataVersion(c.data)
	if err != nil {
		return programs{}, err
	}
	found, err := installed(ctx)
	if errors.Is(err, ErrNoServer) && setup {
		if err := Ensure(ctx, c.log); err != nil {
			return programs{}, err
		}
		found, err = installed(ctx)
	}
	if err != nil {
		return programs{}, err
	}
	if made == 0 {
		return found[0], nil
	}
	for _, p := range found {
		if p.major == made {
			return p, nil
		}
	}
	return programs{}, fmt.Errorf("%w: the records in %s were made by PostgreSQL %d, but this machine has %s: install PostgreSQL %d beside it, or name its programs' folder in WETSIDE_PG_BIN, or bring the records over with pg_upgrade, or set WETSIDE_DATABASE_URL to another PostgreSQL (nothing was changed)",
		ErrVersion, c.data, made, describe(found), made)
}

// installed lists the installations on this machine, newest first, never none
// without an error. WETSIDE_PG_BIN, when set, is the only one looked at.
func installed(ctx context.Context) ([]programs, error) {
	if dir := os.Getenv("WETSIDE_PG_BIN"); dir != "" {
		p, err := programsIn(ctx, dir)
		if err != nil {
			return nil, fmt.Errorf("%w in the folder that WETSIDE_PG_BIN names: %w", ErrNoServer, err)
		}
		return []programs{p}, nil
	}
	var found []programs
	seen := map[string]bool{}
	for _, dir := range candidates(ctx) {
		real, err := filepath.EvalSymlinks(dir)
		if err != nil || seen[real] {
			continue
		}
		seen[real] = true
		if p, err := programsIn(ctx, dir); err == nil {
			found = append(found, p)
		}
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%w (%d or newer) on this machine: start again with --setup to install them, or install them yourself (Debian, Ubuntu: apt-get install postgresql; Fedora: dnf install postgresql-server; Mac: brew install postgresql@17), or name their folder in WETSIDE_PG_BIN, or set WETSIDE_DATABASE_URL to a PostgreSQL you have", ErrNoServer, oldest)
	}
	slices.SortStableFunc(found, func(a, b programs) int { return b.major - a.major })
	return found, nil
}

// candidates lists folders that may hold server programs.
func candidates(ctx context.Context) []string {
	var dirs []string
	// Debian's pg_config is in PATH and knows the folder that is not.
	if out, err := exec.CommandContext(ctx, "pg_config", "--bindir").Output(); err == nil {
		dirs = append(dirs, strings.TrimSpace(string(out)))
	}
	if path, err := exec.LookPath("initdb"); err == nil {
		// Followed to its end: a lone link in /usr/local/bin has no neighbours.
		if path, err = filepath.EvalSymlinks(path); err == nil {
			dirs = append(dirs, filepath.Dir(path))
		}
	}
	for _, place := range places {
		matches, _ := filepath.Glob(place) // fails on a bad pattern only
		dirs = append(dirs, matches...)
	}
	return dirs
}

var versionNumber = regexp.MustCompile(`\d+`)

// programsIn checks that dir holds the server programs and asks their version.
func programsIn(ctx context.Context, dir string) (programs, error) {
	for _, name := range []string{"initdb", "postgres", "pg_ctl"} {
		if _, err := exec.LookPath(filepath.Join(dir, name)); err != nil {
			return programs{}, fmt.Errorf("%s has no program %s", dir, name)
		}
	}
	out, err := exec.CommandContext(ctx, filepath.Join(dir, "postgres"), "--version").Output()
	if err != nil {
		return programs{}, fmt.Errorf("%s does not run: %w", filepath.Join(dir, "postgres"), err)
	}
	major, err := strconv.Atoi(versionNumber.FindString(string(out)))
	if err != nil {
		return programs{}, fmt.Errorf("%s tells no version: %q", filepath.Join(dir, "postgres"), out)
	}
	if major < oldest {
		return programs{}, fmt.Errorf("%s is PostgreSQL %d; %d or newer is needed", dir, major, oldest)
	}
	return programs{dir: dir, major: major}, nil
}

// dataVersion returns the major version that made the records, 0 when there are none.
func dataVersion(data string) (int, error) {
	text, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, unusable(data, err)
	}
	major, err := strconv.Atoi(versionNumber.FindString(string(text)))
	if err != nil {
		return 0, fmt.Errorf("%w: %s/PG_VERSION reads %q, which is no version: the records are damaged; restore them from a backup", ErrFolder, data, text)
	}
	return major, nil
}

// describe names installations for a person: "17 (/usr/lib/postgresql/17/bin)".
func describe(found []programs) string {
	var words []string
	for _, p := range found {
		words = append(words, fmt.Sprintf("%d (%s)", p.major, p.dir))
	}
	return strings.Join(words, " and ")
}
