package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"
)

// listed is what the go command says of a package.
type listed struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
}

// allowed says which of our packages each of ours may import, by prefix. A
// package that is not named here may not exist: new ones are placed on purpose.
// Tests may import more; the test checks them apart.
var allowed = map[string][]string{
	"wetside/chemistry":             {},
	"wetside/jobs":                  {"wetside/chemistry", "wetside/jobs/note", "wetside/jobs/plan"},
	"wetside/jobs/note":             {"wetside/chemistry"},
	"wetside/jobs/plan":             {"wetside/chemistry"},
	"wetside/jobs/postgres":         {"wetside/chemistry", "wetside/jobs", "wetside/jobs/note", "wetside/jobs/plan", "wetside/migrations"},
	"wetside/jobs/postgres/cluster": {},
	"wetside/jobs/postgres/pgtest":  {"wetside/jobs/postgres/cluster"},
	"wetside/migrations":            {},
	"wetside/server":                {"wetside/chemistry", "wetside/jobs", "wetside/server/api", "wetside/web"},
	"wetside/server/api":            {"wetside/chemistry", "wetside/jobs"},
	"wetside/web":                   {"wetside/chemistry", "wetside/jobs"},
	"wetside/cmd/wetside":           {"wetside/"},
	"wetside/cmd/wetside/demolab":   {"wetside/chemistry", "wetside/jobs"},
}

// forbiddenOutside keeps whole kinds of libraries out of the pure packages and
// away from the wrong edge.
var forbiddenOutside = map[string][]string{
	"wetside/chemistry": {"context", "net/http", "database/sql", "os", "github.com/jackc/", "github.com/labstack/"},
	"wetside/jobs/note": {"context", "net/http", "database/sql", "os", "time", "github.com/jackc/", "github.com/labstack/"},
	"wetside/jobs/plan": {"context", "net/http", "database/sql", "os", "github.com/jackc/", "github.com/labstack/"},
	"wetside/jobs":      {"net/http", "database/sql", "os", "github.com/jackc/", "github.com/labstack/"},
	"wetside/web":       {"database/sql", "github.com/jackc/", "github.com/labstack/"},
	"wetside/server":    {"database/sql", "github.com/jackc/"},
	"wetside/jobs/postgres": {
		"net/http", "github.com/labstack/",
	},
}

func TestArrowsRunOneWay(t *testing.T) {
	t.Parallel()
	for _, p := range packages(t) {
		mayImport, known := allowed[p.ImportPath]
		if !known {
			t.Errorf("%s has no place in the architecture: give it one in this table", p.ImportPath)
		}
		for _, imported := range p.Imports {
			if strings.HasPrefix(imported, "wetside/") && !anyPrefix(imported, mayImport) {
				t.Errorf("%s imports %s, which its place does not allow", p.ImportPath, imported)
			}
			if anyPrefix(imported, forbiddenOutside[p.ImportPath]) {
				t.Errorf("%s imports %s, which is kept out of it", p.ImportPath, imported)
			}
			if imported == "wetside/jobs/postgres/pgtest" {
				t.Errorf("%s imports test helpers outside a test", p.ImportPath)
			}
		}
	}
}

func TestServerTestsAloneSeeTheDatabase(t *testing.T) {
	t.Parallel()
	for _, p := range packages(t) {
		if p.ImportPath == "wetside/chemistry" || p.ImportPath == "wetside/jobs" || p.ImportPath == "wetside/web" {
			for _, imported := range append(p.TestImports, p.XTestImports...) {
				if strings.HasPrefix(imported, "wetside/jobs/postgres") || imported == "wetside/server" {
					t.Errorf("the tests of %s import %s: they are tested without it", p.ImportPath, imported)
				}
			}
		}
	}
}

// anyPrefix reports whether path is one of the names, or lies below one that
// ends in a slash.
func anyPrefix(path string, names []string) bool {
	for _, name := range names {
		if path == name || strings.HasSuffix(name, "/") && strings.HasPrefix(path, name) {
			return true
		}
	}
	return false
}

func packages(t *testing.T) []listed {
	t.Helper()
	command := exec.Command("go", "list", "-json=ImportPath,Imports,TestImports,XTestImports", "wetside/...")
	out, err := command.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for decoder := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		err := decoder.Decode(&p)
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}
