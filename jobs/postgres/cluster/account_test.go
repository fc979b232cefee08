package cluster

import (
	"errors"
	"os"
	"os/user"
	"path/filepath"
	"testing"
)

// TestRunAs changes owners, which only root may; for others there is nothing to decide.
func TestRunAs(t *testing.T) {
	t.Parallel()
	me := account{uid: uint32(os.Geteuid()), gid: uint32(os.Getegid())}
	if me.uid != 0 {
		if got, err := runAs("/", "/"); err != nil || got != me {
			t.Errorf("an ordinary user runs PostgreSQL as %v, %v; want itself", got, err)
		}
		return
	}
	nobody, err := stepDownTo(user.Lookup("nobody"))
	if err != nil {
		t.Fatal(err)
	}
	usual := nobody
	if postgres, err := stepDownTo(user.Lookup("postgres")); err == nil {
		usual = postgres
	}
	const nameless = 987654
	tests := []struct {
		name            string
		folder, records int // owners; records -1 for none
		want            account
		fails           bool
	}{
		{"a fresh folder of root's", 0, -1, usual, false},
		{"a folder of somebody's", int(nobody.uid), -1, nobody, false},
		{"a folder of nobody known", nameless, -1, usual, false},
		{"records of somebody's", 0, int(nobody.uid), nobody, false},
		{"records before folder", nameless, int(nobody.uid), nobody, false},
		{"records of nobody known", 0, nameless, account{uid: nameless, gid: nameless, drop: true}, false},
		{"records of root's", 0, 0, account{}, true},
	}
	for _, test := range tests {
		dir := t.TempDir()
		data := filepath.Join(dir, "data")
		if test.records >= 0 {
			version := filepath.Join(data, "PG_VERSION")
			err := errors.Join(os.Mkdir(data, 0o700), os.WriteFile(version, nil, 0o600), os.Chown(version, test.records, test.records))
			if err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Chown(dir, test.folder, 0); err != nil {
			t.Fatal(err)
		}
		got, err := runAs(dir, data)
		if got != test.want || errors.Is(err, ErrFolder) != test.fails {
			t.Errorf("%s: %v, %v; want %v, failing %v", test.name, got, err, test.want, test.fails)
		}
	}
}
