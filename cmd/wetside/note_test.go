package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestNoteCommand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		args   []string
		status int
		fields map[string]any // of the JSON, without because
		err    string
	}{
		{
			name:   "rating and push",
			args:   []string{"note", "--json", "--iso", "400", "--", "shot at 1600, push 2"},
			fields: map[string]any{"push": 2.0, "ei": 1600.0, "confirm": false},
		},
		{
			name:   "a note that begins with a minus",
			args:   []string{"note", "--iso", "400", "--json", "--", "-1/2 stop"},
			fields: map[string]any{"push": -0.5, "ei": nil, "confirm": false},
		},
		{
			name:   "thirds have four decimals",
			args:   []string{"note", "--json", "--iso=160", "push one and a third"},
			fields: map[string]any{"push": 1.3333, "ei": nil, "confirm": false},
		},
		{
			name:   "nothing said",
			args:   []string{"note", "--json", "--iso", "400", "--", ""},
			fields: map[string]any{"push": nil, "ei": nil, "confirm": false},
		},
		{name: "no speed", args: []string{"note", "--json", "--", "push 1"}, status: 2, err: "--iso 0 is not a film speed, allowed are 1 to 102400"},
		{name: "absurd speed", args: []string{"note", "--iso", "102401", "--", "push 1"}, status: 2, err: "allowed are 1 to 102400"},
		{name: "speed in words", args: []string{"note", "--iso", "fast", "--", "push 1"}, status: 2, err: "fast"},
		{name: "no note", args: []string{"note", "--iso", "400"}, status: 2, err: "the note is wanted"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var out, errs bytes.Buffer
			if status := run(t.Context(), c.args, stdio{strings.NewReader(""), &out, &errs}); status != c.status {
				t.Fatalf("status %d, want %d: %s", status, c.status, errs.String())
			}
			if c.err != "" {
				if !strings.Contains(errs.String(), c.err) || strings.Count(errs.String(), "\n") != 1 || out.Len() > 0 {
					t.Errorf("want one line about %q, got %q and output %q", c.err, errs.String(), out.String())
				}
				return
			}
			var got map[string]any
			if err := json.Unmarshal(out.Bytes(), &got); err != nil {
				t.Fatalf("%v in %q", err, out.String())
			}
			if because, _ := got["because"].(string); because == "" {
				t.Error("because is empty")
			}
			delete(got, "because")
			if diff := cmp.Diff(c.fields, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

func TestNoteCommandInWords(t *testing.T) {
	t.Parallel()
	var out, errs bytes.Buffer
	if status := run(t.Context(), []string{"note", "--iso", "400", "--", "shot at 1600"}, stdio{strings.NewReader(""), &out, &errs}); status != 0 {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	for _, want := range []string{"push     not said\n", "EI       1600\n", "confirm  yes\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("want %q in %q", want, out.String())
		}
	}
}
