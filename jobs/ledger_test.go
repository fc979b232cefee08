package jobs

import (
	"strings"
	"testing"
	"time"
)

func TestALedgerNeverRunsBackwards(t *testing.T) {
	t.Parallel()
	last := monday
	for _, test := range []struct {
		name string
		kind EntryKind
		now  time.Time
		want time.Time // zero where it is refused
	}{
		{"later", EntryDumped, last.Add(time.Second), last.Add(time.Second)},
		{"at once", EntryDumped, last, last},
		{"a minute back, as another server's clock", EntryDumped, last.Add(-time.Minute), last},
		{"set back", EntryDumped, last.Add(-time.Minute - time.Microsecond), time.Time{}},
		{"film is not lost", EntryFilm, last.Add(-24 * time.Hour), last},
		{"nor what it used up", EntryUsedOnce, last.Add(-24 * time.Hour), last},
	} {
		got, err := Entry{Kind: test.kind}.PostAt(test.now, last)
		if !got.Equal(test.want) || (err != nil) != test.want.IsZero() {
			t.Errorf("%s: posted at %s, %v, want %s", test.name, got, err, test.want)
		}
		if err != nil && (CodeOf(err) != WrongState || !strings.Contains(err.Error(), "set the clock right")) {
			t.Errorf("%s: %v", test.name, err)
		}
	}
}
